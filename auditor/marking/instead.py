"""Sizes of other tires that this one stands in for: "205/55R16 91V replaces 195/65R15 91H"."""

from __future__ import annotations

from auditor.marking.languages import INSTEAD
from auditor.marking.normalise import Written
from auditor.marking.shape import Size
from auditor.marking.worded import Worded
from auditor.trade.tables import default_tables

_LONGEST = 40  # characters of such words and what may stand between them and the size
_INSTEAD = Worded(
    lambda words: (
        rf"(?<![^\W\d_])(?:{words(', '.join((*sorted(default_tables().replaces_words), INSTEAD)))})[ :=(-]{{0,3}}$"
    )
)


def place_of_instead(written: Written, end: int, others: list[Size]) -> int | None:
    """Where the words begin behind which the other sizes stand; None where one of these stands elsewhere.

    `end` is that of this tire's size.
    """
    first = min(others, key=lambda other: other.start)
    start = max(end, first.start - _LONGEST)
    if first.start <= end:
        return None
    found = _INSTEAD.search(written.text[: first.start], start)
    return None if found is None else found.start()
