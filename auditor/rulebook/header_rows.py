"""How much a row of a feed reads like its header."""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache

from auditor.rulebook.header_words import fold
from auditor.rulebook.headers import exact_reading, unwrapped
from auditor.rulebook.listing_fields import Contract

_MAPPED = 100.0  # what a header that a map names weighs
_KNOWN = 0.9


def header_score(row: Sequence[str], contract: Contract, mapped: frozenset[str] = frozenset()) -> float:
    """How much a row reads like a header: the number of cells that are known header spellings.

    `mapped` are the headers that a feed map names; they weigh more than any spelling.
    """
    score = _MAPPED * sum(cell.strip() in mapped for cell in row) if mapped else 0.0
    return score + sum(_cell_score(text, contract) for cell in row[:200] if 0 < len(text := cell.strip()) <= 80)


def most_of_row(row: Sequence[str], mapped: frozenset[str] = frozenset()) -> float:
    """No less than the row's `header_score`, told without reading it: of a record mostly less than a header has."""
    if mapped:
        return (_MAPPED + 1.0) * len(row)
    return float(sum(0 < len(text := cell.strip()) <= 80 and not text.isdecimal() for cell in row[:200]))


@lru_cache(maxsize=32_768)
def _cell_score(text: str, contract: Contract) -> float:
    """How surely a cell is a header; kept, since a row is scored by every delimiter, and feeds share their headers."""
    if text.isdecimal():
        return 0.0
    if text.lower().replace(" ", "_") in contract.fields:
        return 1.0
    known = exact_reading(fold(text), contract).groups or unwrapped(text, contract)
    return _KNOWN if known else 0.0
