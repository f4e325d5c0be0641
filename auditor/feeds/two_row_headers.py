"""Headers in two rows: headings over several columns, as merged cells leave them, or names, over parts or units."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import zip_longest

from auditor.rulebook.header_rows import header_score
from auditor.rulebook.header_words import fold, is_row_of_units, is_unit
from auditor.rulebook.listing_fields import Contract


def joined_headers(above: Sequence[str], below: Sequence[str]) -> list[str] | None:
    """The headers that two rows make together, "Dimension Width", "Dimension Rim"; None where the lower is no part.

    A heading stands over its own column and the blank ones behind it, each of which has a part of its own; columns
    without parts have a heading or a part alone, and no part begins with a figure.
    """
    cells = [(head.strip(), part.strip()) for head, part in zip_longest(above, below, fillvalue="")]
    if any(part[:1].isdigit() or _says_figures(part) for _, part in cells):
        return None
    found: list[str] = []
    parted = 0
    for heading, parts in _headings(cells):
        if len(parts) == 1 or not any(parts):
            if heading and parts[0]:
                return None  # a heading, and a cell of a record under it
            found += [heading or parts[0], *parts[1:]]
        elif heading and all(parts) and len(set(parts)) == len(parts):
            found += [f"{heading} {part}" for part in parts]
            parted += 1
        elif heading and not parts[0]:  # columns without a heading of their own behind one without parts
            found += [heading, *parts[1:]]
        else:
            return None
    return found if parted else None


def header_in_two_rows(
    rows: Sequence[Sequence[str]], at: int, contract: Contract, wanted: int | None = None
) -> tuple[int, tuple[str, ...]] | None:
    """The last row of a header of two rows and its cells, where row `at`, which reads most like one, is one of them.

    `wanted` is the line of the header that a map names: its first one.  A title above a header is no heading over it,
    for then the header says more by itself.
    """
    if at + 1 < len(rows) and (found := joined_headers(rows[at], rows[at + 1])):
        return at + 1, tuple(found)
    if wanted is None and at > 0 and (found := joined_headers(rows[at - 1], rows[at])):
        headings = sum(cell.strip() != "" for cell in rows[at - 1])
        if headings > 1 and header_score(found, contract) >= header_score(rows[at], contract):
            return at, tuple(found)
    return None


def with_units_below(headers: Sequence[str], below: Sequence[str], contract: Contract) -> tuple[str, ...] | None:
    """The headers with the units in the row below them, "Max load kg"; None where that is no row of units."""
    if not is_row_of_units([text for text in below if text.strip()], contract.units, contract.beside_units):
        return None
    cells = zip_longest(headers, (text.strip() for text in below), fillvalue="")
    return tuple(head if _adds_nothing(head, unit, contract) else f"{head} {unit}".strip() for head, unit in cells)


def _adds_nothing(head: str, unit: str, contract: Contract) -> bool:
    """Whether a header says the unit below it already, or what is below is none: "TT/TL", "USD"."""
    return not is_unit(unit, contract.units) or f" {fold(unit)} " in f" {fold(head)} "


def _says_figures(part: str) -> bool:
    return sum(map(str.isdigit, part)) > 1


def _headings(cells: Sequence[tuple[str, str]]) -> Iterator[tuple[str, list[str]]]:
    """Each heading with the parts below it and below the blank cells behind it."""
    start = 0
    for place in range(1, len(cells) + 1):
        if place == len(cells) or cells[place][0]:
            yield cells[start][0], [part for _, part in cells[start:place]]
            start = place
