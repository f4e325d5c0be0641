"""Columns of the classes of the EU label, told by their place beside the noise level and one another."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Sequence
from itertools import pairwise, product

from auditor.feeds.column_evidence import Column, is_blank, plain_number
from auditor.mapping.marking_agreement import marking_numbers
from auditor.trade.tables import default_tables

_FEW, _NEARLY_ALL = 5, 0.95
_NEAR = 3  # columns between those of one label
_CLASS = re.compile(r"[A-G]")
_WAVES = re.compile(r"[ABC]|\){1,3}")
_LABEL = (("fuel_class", _CLASS), ("wet_grip_class", _CLASS), ("noise_class", _WAVES))
_MOSTLY = 0.7  # of the noise classes, that their levels make
_LIMITS_APART = {"A": -3.0, "B": 0.0, "C": float("inf")}  # dB above the limit up to which a class goes


def label_classes(
    columns: Sequence[Column], free: Sequence[Column], held: dict[str, int], markings: Sequence[str]
) -> list[tuple[Column, str]]:
    """Classes near the noise level, in the order of the label: fuel, wet grip, noise (Regulation (EU) 2020/740)."""
    noise = held.get("noise_db")
    anchors = {name: held[name] for name in ("fuel_class", "wet_grip_class", "noise_class") if name in held}
    if noise is None and len(anchors) < 2:
        return []
    known = sorted([*anchors.values(), *([noise] if noise is not None else [])])
    near = [
        column
        for column in free
        if known[0] - _NEAR <= column.position <= known[-1] + _NEAR and nearly_all(column, _CLASS.fullmatch)
    ]
    order = [name for name, _ in _LABEL]
    found: list[tuple[Column, str]] = []
    for column in near:
        names = [name for name, test in _LABEL if name not in held and nearly_all(column, test.fullmatch)]
        for anchor, position in anchors.items():  # "Fuel" stands before "Wet grip"
            before = column.position < position
            names = [name for name in names if (order.index(name) < order.index(anchor)) == before]
        if noise is not None:  # classes of the noise may stand on either side of the level, the others before it
            names = [name for name in names if name == "noise_class" or column.position < noise]
            if "noise_class" in names and not _go_with(column, columns[noise], markings):
                names.remove("noise_class")
        found += [(column, name) for name in names]
    return _only_way(found, order)


def _go_with(classes: Column, levels: Column, markings: Sequence[str]) -> bool:
    """Whether the classes are mostly those of noise levels, by the limits for car tires of each width, with or without
    the allowance for snow or extra load; true where no width is known.
    """
    fitting = judged = 0
    for said, level, marking in zip(classes.cells, map(plain_number, levels.cells), markings, strict=True):
        width = marking_numbers(marking).get("section_width_mm") if marking else None
        if level is None or width is None or said.strip().upper() not in _LIMITS_APART:
            continue
        judged += 1
        fitting += any(_class_at(level, limit) == said.strip().upper() for limit in _limitsnearly_all(width))
    return fitting >= _MOSTLY * judged


def _limitsnearly_all(width_mm: float) -> Iterator[float]:
    for row in default_tables().noise_limits:
        if row.tire_class == "C1" and row.width_over_mm < width_mm <= row.width_up_to_mm:
            yield from (row.limit_db, row.limit_db + row.snow_extra_db)


def _class_at(level_db: float, limit_db: float) -> str:
    """Regulation (EU) 2020/740: A is 3 dB below the limit, C above it."""
    return next(name for name, apart in _LIMITS_APART.items() if level_db <= limit_db + apart)


def _only_way(found: Sequence[tuple[Column, str]], order: Sequence[str]) -> list[tuple[Column, str]]:
    """The one way to give each column a name of its own in the order of the label; empty where there are more."""
    columns = list(dict.fromkeys(column.position for column, _ in found))
    ways = [
        way
        for way in product(*([one for one in found if one[0].position == position] for position in columns))
        if all(order.index(a[1]) < order.index(b[1]) for a, b in pairwise(way))
    ]
    full = [way for way in ways if "noise_class" not in {name for _, name in way}] if len(ways) > 1 else ways
    return list(full[0]) if len(full) == 1 else []


def nearly_all(column: Column, test: Callable[[str], object]) -> bool:
    """Whether nearly all cells that say something pass."""
    said = [(text, count) for text, count in column.usual() if not is_blank(text, "noise_db")]
    total = sum(count for _, count in said)
    return total >= _FEW and sum(count for text, count in said if test(text.upper())) >= _NEARLY_ALL * total
