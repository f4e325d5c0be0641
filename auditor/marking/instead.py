"""Sizes of other tires that this one stands in for: "205/55R16 91V replaces 195/65R15 91H", "(ex 20.8R42)"."""

from __future__ import annotations

import re
from dataclasses import replace
from typing import NamedTuple

from auditor.marking.apart import ready
from auditor.marking.languages import ALSO, INSTEAD, INSTEAD_BEHIND
from auditor.marking.normalise import Written
from auditor.marking.service import DESCRIPTION
from auditor.marking.shape import Size
from auditor.marking.sizes import all_sizes
from auditor.marking.worded import Worded
from auditor.trade.patterns import Pattern
from auditor.trade.tables import default_tables

_LONGEST = 40  # characters of such words and what may stand between them and the size
_INSTEAD = Worded(lambda words: rf"(?<![^\W\d_])(?:{words(_of_others())})[ :=(.-]{{0,3}}$")
_BEHIND = Worded(lambda words: rf" {{0,2}}(?:{words(INSTEAD_BEHIND)})(?![^\W\d_])")
# "Also available as 94V XL", of a choice that this listing is not.
_ALSO_AS = Worded(lambda words: rf"(?<![^\W\d_])(?:{words(ALSO)})[ :=.]{{1,3}}(?=[1-9]\d{{1,2}})")
_VERSION = Pattern(r" ?(?:XL|EXTRA LOAD|REINF(?:ORCED|\.)?|[1-9]\d?PR)(?![A-Z])")
_LEAST_BEHIND = 8  # characters of such words with what they speak of
_OPENS = Pattern(r"[(\[][^()\[\]]{0,40}$")  # a bracket that is still open
_CLOSES = Pattern(r"[^()\[\]]{0,60}[)\]]")
_ENDS = Pattern(r"[:;,|)\]]| [-–=>/] ")  # where the words about another tire end


def _of_others() -> str:
    return ", ".join((*sorted(default_tables().replaces_words), INSTEAD, ALSO))


class Others(NamedTuple):
    """The text without the sizes of other tires, the sizes that are left, and the stretches that were taken out."""

    written: Written
    sizes: list[Size]
    spans: list[tuple[int, int]]


def may_name_others(written: Written, sizes: list[Size]) -> bool:
    """Whether another tire may be spoken of: two sizes, or numbers before the one that was found."""
    return len(sizes) > 1 or any(map(str.isdecimal, written.text[: sizes[0].start]))


def without_others(written: Written, sizes: list[Size]) -> Others:
    """Takes out what is said of other tires, by words before a size or behind it.

    Behind this tire's own size such words go on to the end, in brackets to their end; before it, to the next sign that
    sets something apart.  Where every size is another tire's, none is: it may be all that the text gives.
    """
    text = written.text
    marked = [(size, span) for size, before in _pairs(sizes) if (span := _words_about(text, size, before)) is not None]
    own = [size for size in sizes if all(size is not other for other, _ in marked)]
    if not marked:
        return Others(written, sizes, [])
    first = own[0].start if own else len(text)
    spans: list[tuple[int, int]] = []
    for size, (start, end) in marked:
        if not spans or start >= spans[-1][1]:
            spans.append(_stretch(text, size, start, end, first))
    blanked = list(text)
    for start, end in spans:
        blanked[start:end] = " " * (end - start)
    left = [size for size in own if all(not start <= size.start < end for start, end in spans)]
    return Others(replace(written, text="".join(blanked), dirty=True), left, spans)


def without_other_choice(written: Written, size: Size) -> tuple[Written, tuple[int, int] | None]:
    """The text without a service description behind "also as" and the like, and where that stood."""
    text = written.text
    if len(text) - size.end < _LEAST_BEHIND or (words := _ALSO_AS.search(text, size.end)) is None:
        return written, None
    described = DESCRIPTION.match(text, words.end())
    if described is None or described["dual"]:  # of a truck, whose tires have two of them
        return written, None
    version = _VERSION.match(text, described.end())
    start, end = words.start(), (version or described).end()
    return replace(written, text=f"{text[:start]}{' ' * (end - start)}{text[end:]}", dirty=True), (start, end)


def names_only_others(text: str) -> bool:
    """Whether every size of a text is another tire's, which its own stands in for."""
    written = ready(text)
    told = without_others(written, all_sizes(written.text)[0])
    return bool(told.spans) and not (told.sizes or all_sizes(told.written.text)[0])


def _pairs(sizes: list[Size]) -> list[tuple[Size, int]]:
    """Each size with the place where the one before it ends."""
    ends = [0, *(size.end for size in sizes)]
    return list(zip(sizes, ends, strict=False))


def _words_about(text: str, size: Size, before: int) -> tuple[int, int] | None:
    """The words that say that a size is another tire's, with the size itself."""
    found = _INSTEAD.search(text[: size.start], max(before, size.start - _LONGEST))
    if found is not None:
        return found.start(), size.end
    behind = _BEHIND.match(text, size.end) or _BEHIND.match(text, _described(text, size.end))
    return (size.start, behind.end()) if behind else None


def _described(text: str, end: int) -> int:
    """The end of the service description behind a size; that of the size where there is none."""
    place = end + 1 if text[end : end + 1] == " " else end
    match = DESCRIPTION.match(text, place)
    return match.end() if match else end


def _stretch(text: str, size: Size, start: int, end: int, first: int) -> tuple[int, int]:
    """From the words, or the bracket that they stand in, to where what they say ends."""
    opened: re.Match[str] | None = _OPENS.search(text[:start], max(0, start - _LONGEST))
    inner = text[start : size.start].rfind("(")
    if opened is None and inner >= 0:  # "ersetzt (195/65R15)"
        opened_at, closes = start, _CLOSES.match(text, end)
    else:
        opened_at, closes = (opened.start(), _CLOSES.match(text, end)) if opened else (start, None)
    if closes is not None:
        return opened_at, closes.end()
    if start > first:  # behind this tire's own size
        return start, len(text) if end == size.end else end
    stop, limit = _ENDS.search(text, end), _described(text, end)
    if stop is not None and stop.start() < first:
        limit = max(limit, stop.start())
    return start, min(limit, first)
