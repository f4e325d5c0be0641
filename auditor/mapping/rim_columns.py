"""Columns of rims told by their numbers: a plain "rim" over widths, and ranges of widths under any header."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from auditor.feeds.column_evidence import Column, readings
from auditor.feeds.model import ColumnUse
from auditor.mapping.marking_agreement import agreement, marking_numbers
from auditor.trade.units import MM_PER_INCH

_FEW, _NEARLY_ALL, _HARDLY = 5, 0.9, 0.2
# Of the section width, the width of a rim: those of motorcycles are narrow.  Common practice, no source.
_NARROWEST, _WIDEST = 0.4, 1.1
_RANGE = ("rim_width_min_in", "rim_width_max_in")
_HALF = 0.5


def of_rim_widths(column: Column, use: ColumnUse, markings: Sequence[str], decimal: str | None) -> ColumnUse:
    """A use as rim diameter, as the measuring rim where hardly a number is the sizes' rim, and all are widths."""
    if use.fields[0] not in ("rim_diameter_in", "generic_diameter"):
        return use
    agreed, judged = agreement(column, markings, "rim_diameter_in", decimal)
    if judged >= _FEW and agreed > _HARDLY:
        return use
    if judged >= _FEW and _share_of_widths(column, markings, decimal, ("measuring_rim_in",)) >= _NEARLY_ALL:
        return replace(use, fields=("measuring_rim_in",))
    return rim_range(column, markings, decimal) or use


def rim_range(column: Column, markings: Sequence[str], decimal: str | None) -> ColumnUse | None:
    """A column whose header says nothing, of ascending rim widths for its sizes: "5.5-7.0", "1.85-2.15-2.50".

    A few of them may be single widths, as tires have that go on one rim alone.
    """
    if _share_of_widths(column, markings, decimal, _RANGE) < _NEARLY_ALL:
        return None
    return ColumnUse(column.header, column.position, _RANGE, None, decimal, {}, 0.8, column.samples())


def are_no_rim_widths(column: Column, markings: Sequence[str], decimal: str | None) -> bool:
    """Whether at least half of the numbers are no widths of rims for the sizes beside them, but pieces, say."""
    judged, fitting, _ = _judged(column, markings, decimal, ("measuring_rim_in",))
    return judged >= _FEW and fitting < _HALF * judged


def _share_of_widths(column: Column, markings: Sequence[str], decimal: str | None, fields: tuple[str, ...]) -> float:
    """The share of the cells beside a known width that are of rims for such a tire; half give all of `fields`."""
    judged, fitting, whole = _judged(column, markings, decimal, fields)
    return fitting / judged if judged >= _FEW and whole >= _HALF * judged else 0.0


def _judged(
    column: Column, markings: Sequence[str], decimal: str | None, fields: tuple[str, ...]
) -> tuple[int, int, int]:
    """How many cells stand beside a known width, how many are of rims for such a tire, and how many of all `fields`."""
    fitting = whole = judged = 0
    for cell, marking in zip(column.cells, markings, strict=True):
        width = marking_numbers(marking).get("section_width_mm") if cell.strip() and marking else None
        if width is None:
            continue
        said = {name: value for name, value, _ in readings(cell.strip(), fields[0], None, decimal)}
        if not said:
            continue
        judged += 1
        values = [value for name in fields if isinstance(value := said.get(name), float | int)]
        fits = bool(values) and values == sorted(values)
        fits = fits and all(_NARROWEST * width <= value * MM_PER_INCH <= _WIDEST * width for value in values)
        fitting += fits
        whole += fits and len(values) == len(fields)
    return judged, fitting, whole
