"""Flange heights behind the widths of rims for earth-movers: "14.00/1.5" is a rim 14 in wide with flanges of 1.5 in.

From memory of the makers' tables of rims; common practice, no source.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from auditor.quantities.scan import Item

_LEAST_WIDTH_IN = 8.0  # of a rim whose flange height is named
HIGHEST_FLANGE_IN = 5.0
_LEAST_CODE_IN = 20.0  # of rims of earth-movers, whole inches all


def without_flanges(items: Sequence[Item]) -> list[Item]:
    """The evaluated numbers of a rim cell without the heights of flanges.

    Where one alone ends the cell, "13.00-25/2.5", the numbers before it are width and diameter.
    """
    kept: list[Item] = []
    flanges = 0
    for place, item in enumerate(items):
        if place and _is_flange(items[place - 1], item):
            flanges += 1
        else:
            kept.append(item)
    if flanges == 1 and len(kept) == 2 and kept[-1] is items[-2] and _are_width_and_code(kept):
        return [kept[0], replace(kept[1], before="x")]
    return kept


def _is_flange(width: Item, item: Item) -> bool:
    """Whether a number behind a stroke is a flange height of the width before it: no range of widths ends so low."""
    inches = {None, "in"}
    return (
        item.before == "/"
        and (width.value or 0.0) >= _LEAST_WIDTH_IN
        and 0.0 < (item.value or 0.0) <= HIGHEST_FLANGE_IN
        and {item.unit and item.unit.name, width.unit and width.unit.name} <= inches
    )


def _are_width_and_code(items: Sequence[Item]) -> bool:
    width, code = sorted(items, key=lambda item: item.value or 0.0)
    return code.text.isdecimal() and (code.value or 0.0) >= _LEAST_CODE_IN and width.value != code.value
