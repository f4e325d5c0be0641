"""Columns of width, aspect ratio, rim, load index and speed symbol under headers that nobody knows.

One of them alone could be anything; together they leave no doubt: the numbers make sizes, and the load index is one
that such sizes have.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Sequence
from functools import lru_cache
from itertools import product

from auditor.feeds.column_evidence import Column, decoded, is_blank, of_flags
from auditor.feeds.model import ColumnUse
from auditor.mapping.marking_agreement import size_of_parts
from auditor.marking import Unreadable, decode
from auditor.trade.derive import derive

_LEAST_FILLED = 10  # cells, before values alone decide
_FEW = 3  # cells, where the header says that it is one of the two
_TRIED = 200  # records that are looked at
_MOST = 5  # columns that may hold one part; where more look like it, there is doubt
_FITS, _BEHIND = 0.9, 0.3  # share of records whose index fits their size, and how far every other choice falls behind
_WIDTH = re.compile(r"[1-3][0-9]5")
_ASPECT = re.compile(r"[2-8][05]")
_RIM = re.compile(r"Z?R?\s?(?:1[0-9]|2[0-4])(?:[.,]5)?\s?C?", re.IGNORECASE)
_INDEX = re.compile(r"(?:[4-9][0-9]|1[0-9][0-9])(?:/(?:[4-9][0-9]|1[0-9][0-9]))?")
_PAIR = re.compile(r"(1?[0-9]{2})\s?/\s?(1?[0-9]{2})")
_MOST_BELOW = 8  # steps that the index of dual tires lies below the single one
_FIRST_INDEX = re.compile(r"\(?([0-9]{2,3})")  # of `125/122S`, `(98Y)`
_SYMBOL = re.compile(r"\(?[J-NP-UHVWY]\)?")
_GENERIC = {"generic_width": "section_width_mm", "generic_diameter": "rim_diameter_in"}

_Uses = list[ColumnUse | None]


def place_parts_of_sizes(columns: Sequence[Column], uses: _Uses) -> None:
    """Gives columns without a known header the parts of sizes and service descriptions that they surely hold."""
    held = {_GENERIC.get(use.fields[0], use.fields[0]): use.position for use in uses if use}
    if "marking" in held:
        return
    free = [column for column in columns if uses[column.position] is None and column.filled >= _LEAST_FILLED]
    described = held.get("load_index", held.get("service_description"))
    if described is not None:
        held["load_index"] = described
    parts: dict[str, list[Column]] = {"load_index": _holding(columns, held, free, "load_index", _INDEX.fullmatch, 3)}
    if "size" in held:
        parts["size"] = [columns[held["size"]]]
    else:
        parts["section_width_mm"] = _holding(columns, held, free, "section_width_mm", _WIDTH.fullmatch)
        parts["aspect_ratio"] = _holding(columns, held, free, "aspect_ratio", _ASPECT.fullmatch)
        parts["rim_diameter_in"] = _holding(columns, held, free, "rim_diameter_in", _RIM.fullmatch)
    if not all(0 < len(found) <= _MOST for found in parts.values()):
        return
    chosen = _without_doubt(parts)
    if chosen is None:
        return
    symbols = [
        column
        for column in free
        if column.share(lambda text: bool(_SYMBOL.fullmatch(text))) >= 0.95
        and (not of_flags(column) or stands_behind_index(column, uses))
    ]
    if "speed_symbol" not in held and len(symbols) == 1:
        chosen["speed_symbol"] = symbols[0]
    for name, column in chosen.items():
        if uses[column.position] is None:
            uses[column.position] = ColumnUse(
                column.header, column.position, (name,), None, None, {}, 0.8, column.samples()
            )


def stands_behind_index(column: Column, uses: Sequence[ColumnUse | None]) -> bool:
    """Whether a column stands right behind a load index: an N in each cell is a symbol there, and says no elsewhere."""
    before = uses[column.position - 1] if column.position else None
    return before is not None and before.fields[0].startswith("load_index")


def _holding(
    columns: Sequence[Column],
    held: dict[str, int],
    free: Sequence[Column],
    name: str,
    test: Callable[[str], object],
    distinct: int = 2,
) -> list[Column]:
    """The column that holds a part by its header, else all that may hold it by their values."""
    if name in held:
        return [columns[held[name]]]
    return [
        column
        for column in free
        if len(column.counts) >= distinct and column.share(lambda text: bool(test(text))) >= 0.95
    ]


def _without_doubt(parts: dict[str, list[Column]]) -> dict[str, Column] | None:
    """The one choice of columns whose load indices fit their sizes; None where there is none, or more than one."""
    ranked = sorted(
        ((_share_fitting(choice), number, choice) for number, choice in enumerate(_choices(parts))),
        key=lambda item: (-item[0], item[1]),
    )
    if not ranked or ranked[0][0] < _FITS or (len(ranked) > 1 and ranked[1][0] > ranked[0][0] - _BEHIND):
        return None
    return ranked[0][2]


def _choices(parts: dict[str, list[Column]]) -> Iterator[dict[str, Column]]:
    for chosen in product(*parts.values()):
        if len({column.position for column in chosen}) == len(chosen):
            yield dict(zip(parts, chosen, strict=True))


def _share_fitting(choice: dict[str, Column]) -> float:
    """For which share of the records that have all parts the load index is one of a tire of that size."""
    names = list(choice)
    fitting = judged = 0
    for cells in zip(*(choice[name].cells[:_TRIED] for name in names), strict=True):
        texts = dict(zip(names, (cell.strip() for cell in cells), strict=True))
        if not all(texts.values()):
            continue
        size = texts.get("size") or size_of_parts(
            texts["section_width_mm"], texts["aspect_ratio"], texts["rim_diameter_in"]
        )
        judged += 1
        index = _FIRST_INDEX.match(texts["load_index"])
        fitting += index is not None and fits(size, index[1])
    return fitting / judged if judged >= _LEAST_FILLED else 0.0


@lru_cache(maxsize=1 << 14)
def fits(size: str, index: str) -> bool:
    """Whether a tire of the size is made with a load index, as one of a light truck, a trailer or a van too."""
    return any(_fits(text, index) for text in (size, f"LT{size}", f"ST{size}", f"{size}C"))


def _fits(size: str, index: str) -> bool:
    marking = decode(f"{size} {index}T")
    if isinstance(marking, Unreadable):
        return False
    derived = derive(marking)
    load, least, most = derived.load_single_kg, derived.load_band_min_kg, derived.load_band_max_kg
    return load is not None and least is not None and most is not None and least <= load <= most


def holds_load_indices(column: Column, markings: Sequence[str]) -> bool:
    """Whether a column that may be a load without its unit holds load indices that fit the sizes."""
    if column.share(lambda text: bool(_INDEX.fullmatch(text))) < 0.95:
        return False
    pairs = zip(markings, column.cells, strict=True)
    known = [(size, cell.strip()) for size, cell in pairs if size and cell.strip() and decoded(size)]
    return len(known) >= _FEW and sum(fits(_bare(size), cell.split("/")[0]) for size, cell in known) >= _FITS * len(
        known
    )


def are_index_pairs(column: Column) -> bool:
    """Single and dual load indices, "156/150", and single ones among them: a tire that runs in pairs carries more kg
    and more lb than any index counts.
    """
    said = [(text, count) for text, count in column.usual() if not is_blank(text, "load_index")]
    total = sum(count for _, count in said)
    pairs = sum(
        count for text, count in said if (pair := _PAIR.fullmatch(text)) and _is_dual(int(pair[1]), int(pair[2]))
    )
    single = sum(count for text, count in said if text.isdecimal() and _INDEX.fullmatch(text))
    return pairs >= max(_FEW, total / 2) and pairs + single >= 0.95 * total


def _is_dual(single: int, dual: int) -> bool:
    return single - _MOST_BELOW <= dual <= single


def _bare(marking: str) -> str:
    """The size of a marking, so that another load index can stand beside it."""
    return marking.split(" ")[0]
