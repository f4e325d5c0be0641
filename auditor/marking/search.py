"""Sizes inside a title or a sales text, with the service description and letters that follow them.

Only forms with all their separators count here: "24/7", "10/32", "55/45", dates and model numbers are no sizes.
"""

from __future__ import annotations

import re
from dataclasses import replace

from auditor.marking.apart import ready
from auditor.marking.normalise import Written
from auditor.marking.parts import Tail
from auditor.marking.reading import build
from auditor.marking.shape import Size
from auditor.marking.sizes import STRONG, find_sizes
from auditor.marking.tail import read_tail
from auditor.trade.marking_model import Marking
from auditor.trade.patterns import Pattern

_HINT = Pattern(r"[0-9] {0,2}(?:[/xX×ХхR-]|\\.[0-9]|[A-Z]{1,2}[0-9])|M[A-Z][0-9]{2}|[A-Z]R?[67][08]", re.IGNORECASE)
_WINDOW = 96  # characters read after a size


def find_markings(text: str) -> tuple[tuple[int, int, Marking], ...]:
    """(start, end, marking) of every size in a text, in text order; offsets count from 0 in the text given.

    Never raises; takes time linear in the length of the text.
    """
    if _HINT.search(text) is None:
        return ()
    written = ready(text)
    sizes = _apart(
        [size for reader in STRONG for size in find_sizes(written.text, (reader,))[0] if _sure(size, written)]
    )
    found: list[tuple[int, int, Marking]] = []
    for position, size in enumerate(sizes):
        if found and written.original(size.start) < found[-1][1]:
            continue
        limit = sizes[position + 1].start if position + 1 < len(sizes) else len(written.text)
        reach = min(limit, size.end + _WINDOW)
        window = _clip(written, size.start, reach)
        local = replace(size, start=0, end=size.end - size.start)
        tail = read_tail(window, local.end, tail=Tail(), strict=True)
        marking, end = _build(text, window, local, tail)
        if marking is not None:
            found.append((written.original(size.start), written.original(size.start + end), marking))
    return tuple(found)


def _clip(written: Written, start: int, end: int) -> Written:
    return Written(written.text[start:end], written.base[start:end], False)


def _build(text: str, window: Written, size: Size, tail: Tail) -> tuple[Marking | None, int]:
    """Builds the marking; where what follows does not fit the size, the size alone."""
    end = tail.end
    while end > size.end and window.text[end - 1] in " ,;:|":
        end -= 1
    if tail.loose[-1:] == ["A"] and window.text[end - 1] == "A":  # the article, not a load range
        return _build(text, window, size, read_tail(window, size.end, end - 1, tail=Tail(), strict=True))
    if tail.bare is not None and not tail.services:  # a number after a size in a text is a count or a price
        tail, end = Tail(), size.end
    if end == size.end and _like_a_time_of_day(size):
        return None, end
    marking = build("", window, size, tail, None)
    if not isinstance(marking, Marking):
        marking, end = build("", window, size, Tail(), None), size.end
    return (marking, end) if isinstance(marking, Marking) else (None, end)


def _like_a_time_of_day(size: Size) -> bool:
    """Whether the size reads as opening hours: `9.00-17`, `7.30-18`."""
    if size.shape != "numeric-inch" or size.construction is not None or size.suffix:
        return False
    width, rim = size.width_in or 0, size.rim_in or 0
    return size.decimals == 2 and round(width % 1, 2) in (0.0, 0.15, 0.3, 0.45) and rim % 1 == 0 and rim <= 24


def _apart(sizes: list[Size]) -> list[Size]:
    """The sizes in order, of two that overlap the longer."""
    kept: list[Size] = []
    for size in sorted(sizes, key=lambda one: (one.start, -one.end)):
        if not kept or size.start >= kept[-1].end:
            kept.append(size)
    return kept


def _sure(size: Size, written: Written) -> bool:
    """Whether a stretch of a running text is a size beyond doubt."""
    if size.weak:
        return False
    if size.shape == "metric":
        return True
    radial = size.construction in ("R", "ZR")
    if size.shape == "numeric-mm":
        return radial
    if size.shape == "inch-diameter":
        return radial or size.decimals == 2 or bool(size.suffix)
    if size.shape == "numeric-inch":
        half = size.rim_in is not None and size.rim_in % 1 == 0.5
        return radial or size.decimals == 2 or half or bool(size.suffix)
    if size.shape == "alpha":
        return bool(size.suffix or size.prefix) or "-" in size.text or size.construction is not None
    return True
