"""What a column's cells say of the group that an abbreviated header may stand for."""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence

from auditor.feeds import column_evidence
from auditor.feeds.column_evidence import Column
from auditor.mapping.loose_columns import are_index_pairs, holds_load_indices
from auditor.mapping.marking_agreement import CANDIDATES, agreement, near_widths
from auditor.mapping.season_codes import season_codes
from auditor.quantities import readable_fields
from auditor.rulebook.listing_fields import Contract

FEW = 5  # values that are enough to speak for a header that already names the field, or against it
GENERIC = {
    "generic_width": ("section_width_mm", "measured_width_mm"),
    "generic_diameter": ("rim_diameter_in", "overall_diameter_mm"),
}

# What is usual of a tire in any unit; what lies outside is a column of something else.  Common practice, no source.
_USUAL: dict[str, tuple[float, float]] = {
    "max_load": (30, 200_000),
    "max_load_dual": (30, 200_000),
    "max_speed": (5, 350),
    "max_pressure": (1, 1300),
    "section_width": (2, 1600),
    "measured_width": (2, 1600),
    "generic_width": (2, 1600),
    "aspect_ratio": (20, 110),
    "rim_diameter": (3, 63),
    "overall_diameter": (8, 5000),
    "generic_diameter": (3, 5000),
    "measuring_rim": (2, 60),
    "rim_width_min": (2, 60),
    "rim_width_max": (2, 60),
    "tread_depth": (1, 150),
    "tire_weight": (1, 9000),
    "revs": (100, 1500),
    "load_index": (20, 279),
    "load_index_dual": (20, 279),
    "ply_rating": (2, 60),
    "noise_db": (55, 90),
    "treadwear": (20, 1200),
}
UNEVEN = 0.3  # share of uneven numbers from which on a column is one of prices or pieces, not of plies
_OF_FLAGS = frozenset({"mud_and_snow", "severe_snow", "load_version", "season"})  # what yes and no may say
_VERSIONS = 0.9  # share of cells such as "XL" from which on a column is one of load versions
_LONGEST_CODE = 3  # letters
_SYMBOL = re.compile(r"\(?[J-NP-UHVWY]\)?")
_TIRE_CLASS = re.compile(r"[CcСс]\s?[123]")
_OF_WIDTHS = frozenset({"section_width", "generic_width", "measured_width"})
_CLASSES = frozenset({"fuel_class", "wet_grip_class", "noise_class"})


def speaks(
    column: Column, group: str, markings: Sequence[str], decimal: str | None, contract: Contract
) -> tuple[float, bool]:
    """(the share of cells that may be of the group, whether the same records' markings agree with them)."""
    if not column.filled:
        return 1.0, False
    if group not in _OF_FLAGS and column_evidence.of_flags(column):
        return 0.0, False
    test = _TEXTS.get(group)
    if test is not None:
        return test(column), False
    fields = contract.combined.get(group) or GENERIC.get(group) or contract.groups[group]
    if group in _OF_WIDTHS and near_widths(column, markings, decimal) >= 0.9:
        return 1.0, True
    agreed, judged = max(
        (agreement(column, markings, name, decimal) for name in fields if name in CANDIDATES), default=(0.0, 0)
    )
    if judged >= FEW and group != "section_width" and not group.startswith("generic_"):
        return (
            (1.0, True)
            if agreed >= 0.5
            else (_readable(column, group, fields, decimal, contract) * (0.4 if agreed < 0.1 else 0.8), False)
        )
    if group == "speed_symbol" and len(column.counts) >= 3:
        symbols = column.share(lambda text: _SYMBOL.fullmatch(text) is not None)
        return symbols, symbols >= 0.95  # letters of which most stand for no class or range
    if group == "load_index" and judged < FEW and (holds_load_indices(column, markings) or are_index_pairs(column)):
        return 1.0, True  # no marking says one, but its size is made with such, or pairs say it themselves
    return _readable(column, group, fields, decimal, contract), judged >= FEW and agreed >= 0.5


def _readable(column: Column, group: str, fields: Sequence[str], decimal: str | None, contract: Contract) -> float:
    if group in {"marking", "size"}:
        return column.share(column_evidence.is_marking if group == "marking" else column_evidence.is_size)
    if group in contract.combined:  # each cell says all that such columns hold
        shares = column_evidence.fields_read(column, fields[0], None, decimal)
        said = sorted(shares.get(name, 0.0) for name in fields)
        return said[-2] if group == "eu_label" else min(shares.get(name, 0.0) for name in fields[:2])
    if group == "season" and season_codes(column, contract):
        return 1.0
    if group == "tire_class":  # a category of 1, 2 and 3 may be one of anything
        return column.share(
            lambda text: column_evidence.is_blank(text, group) or _TIRE_CLASS.fullmatch(text) is not None
        )
    if group in _CLASSES:
        return column.share(lambda text: len(text) == 1 and text.upper() in "ABCDEFG")
    if not any(name in readable_fields() for name in fields):
        return 1.0 if group == "service_description" and column.share(column_evidence.is_service) >= 0.9 else 0.0
    share = max(_said(column, name, decimal) for name in fields)
    usual = _USUAL.get(group)
    if usual is None:
        return share
    found = column_evidence.numbers(column, decimal)
    total = sum(count for _, count in found)
    inside = sum(count for value, count in found if usual[0] <= value <= usual[1])
    return share * inside / total if total else share


def _said(column: Column, name: str, decimal: str | None) -> float:
    """The share of cells that say a field themselves, of those that say anything: a letter is no ply rating."""
    own = column_evidence.fields_read(column, name, None, decimal).get(name, 0.0)
    filled = column.share(lambda text: not column_evidence.is_blank(text, name))
    return min(own / filled, 1.0) if filled else 1.0


def _letters(text: str) -> bool:
    return sum(char.isalpha() or char in " .&'-" for char in text) >= 0.8 * len(text) and any(map(str.isalpha, text))


def _name(text: str) -> bool:
    if text[:1].isdigit() and column_evidence.plain_number(text) is not None:
        return False  # "15.5 mm"
    return any(map(str.isalpha, text)) and len(text) <= 60 and not column_evidence.is_size(text)


def _number_of_article(column: Column) -> float:
    """Numbers of articles differ, and hold a digit but no blank."""
    share = column.share(lambda text: 2 <= len(text) <= 40 and any(map(str.isdigit, text)) and " " not in text)
    return share if len(column.counts) >= 0.9 * column.filled and not _decimals(column) else 0.0


def _decimals(column: Column) -> bool:
    return (
        column.share(
            lambda text: text.replace(",", ".").count(".") == 1 and text.replace(",", "").replace(".", "").isdigit()
        )
        > 0.5
    )


_LEAST_TITLE, _LEAST_SIGNS = 14, 6  # characters


def _title(column: Column) -> float:
    return column.share(_is_worded)


def _is_worded(text: str) -> bool:
    """Whether a text is several words; Chinese and Japanese set no blanks between theirs."""
    if len(text) >= _LEAST_TITLE and " " in text:
        return any(map(str.isalpha, text))
    return sum("\u3040" <= char <= "\u9fff" for char in text) >= _LEAST_SIGNS


def _brand(column: Column) -> float:
    if column_evidence.readable_share(column, "load_version") >= _VERSIONS:
        return 0.0  # "XL" says what a tire is, not who makes or sends it
    # Names begin with a capital, where a script has them: "od ręki" and "in stock" are none.
    return column.share(lambda text: _letters(text) and 2 <= len(text) <= 40 and not text[0].islower())


def of_codes(column: Column) -> bool:
    """Whether the cells are codes of up to three letters, kinds or countries, and no names."""
    return column.share(lambda text: len(text) <= _LONGEST_CODE) >= _VERSIONS


_TEXTS: dict[str, Callable[[Column], float]] = {
    "supplier": _brand,
    "brand": _brand,
    "sku": _number_of_article,
    "part_number": _number_of_article,
    "gtin": lambda column: column.share(column_evidence.is_gtin),
    "model": lambda column: column.share(_name),
    "title": _title,
    "description": _title,
}
