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
    """Where the words begin behind which sizes of other tires stand; None where there are none.

    `end` is that of this tire's size.
    """
    for other in others:
        found = _INSTEAD.search(written.text[: other.start], max(end, other.start - _LONGEST))
        if found is not None:
            return found.start()
    return None
