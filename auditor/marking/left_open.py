"""What leaves the load index or the speed symbol open: a choice of two, and a digit that cannot be read."""

from __future__ import annotations

import re
from typing import NamedTuple

from auditor.marking import languages
from auditor.marking.service import HIGHEST_INDEX, MORE, SYMBOL
from auditor.marking.worded import folded
from auditor.trade.patterns import Pattern


class LeftOpen(NamedTuple):
    """Where it stands, why it cannot be told, and what it may be."""

    start: int
    reason: str
    readings: tuple[str, ...] = ()


def left_open(text: str, base: str, end: int, size: str) -> LeftOpen | None:
    """What leaves open the load or the speed of a size that ends at `end` of a normalised text."""
    return _two_letters(text, end, size) or _either(text, base, end, size) or _unreadable_digit(text, end)


_LETTER_PAIR = Pattern(
    r"(?<![A-Z0-9/.,+-])(?P<index>[1-9]\d{1,2}(?:/[1-9]\d{1,2})?) ?"
    r"(?P<one>[HJ-NP-WY])/(?P<other>[HJ-NP-WY])(?![A-Z0-9/+&])"
)
# A kind of tread, and tubeless, apart from the index: "112 H/T", "115 T/L", "121 M/T"; "102H/V" may be H or V.
TREAD = Pattern(r"(?:[A-Z]/[TP]|T/L|M/S)(?![A-Z0-9/])")


def _two_letters(text: str, end: int, size: str) -> LeftOpen | None:
    """Two symbols around a stroke behind an index."""
    found = _LETTER_PAIR.search(text, end) if "/" in text[end:] else None
    if found is None or found["one"] + found["other"] == "MS":
        return None
    if text[found.start("one") - 1] == " " and TREAD.match(text, found.start("one")):
        return None
    readings = tuple(f"{size} {found['index']}{letter}" for letter in (found["one"], found["other"]))
    return LeftOpen(found.start("one"), "It states two speed symbols.", readings)


_NUMBER = r"[1-9]\d{1,2}(?:/[1-9]\d{1,2})?"
_MARK = rf"(?:{SYMBOL})(?![A-Z0-9])"
_EITHER = Pattern(
    rf"(?<![A-Z0-9/.,+-])(?P<one>{_NUMBER})(?: ?(?P<symbol_1>{_MARK}))? ?"
    r"(?P<word>[^\W\d_]{1,6}(?: [^\W\d_]{1,3})?)"
    rf"(?: ?(?P<two>{_NUMBER})(?![0-9.,/])(?: ?(?P<symbol_2>{_MARK}))?| (?P<alone>[HJ-NP-WY])(?![{MORE}/.&+'-]))"
)
_LEAST_INDEX = 40
_OR = frozenset(map(folded, languages.of(languages.OR)))


def _either(text: str, base: str, end: int, size: str) -> LeftOpen | None:
    """Two load indices, or two symbols, with "or" between them: "91 or 94V", "91V oder W"."""
    for found in _EITHER.finditer(text, end):
        one, two = found["one"], found["two"] or found["one"]
        if folded(found["word"]) not in _OR or not (_is_index(one) and _is_index(two)):
            continue
        first, second = found["symbol_1"], found["symbol_2"] or found["alone"]
        beside = not text[end : found.start()].strip(" ,;:|-/(")
        hours = found["symbol_2"] is not None and base[found.end("symbol_2") - 1] == "h"
        if hours or not (beside or first or found["symbol_2"]) or (found["alone"] and not first):
            continue
        readings = (f"{size} {one}{first or second or ''}", f"{size} {two}{second or first or ''}")
        if readings[0] != readings[1]:
            return LeftOpen(found.start(), "It holds two service descriptions.", readings)
    return None


def _is_index(text: str) -> bool:
    return all(_LEAST_INDEX <= int(number) <= HIGHEST_INDEX for number in text.split("/"))


# A sign that a program or a person puts in place of what it could not read: `9?H`, `1#1/118S`.
_IN_PLACE = r"[?_#\ufffd\u00bf]"
_UNREADABLE = Pattern(
    rf"(?<![A-Z0-9])(?=[0-9/]*{_IN_PLACE})(?=[^/]*[0-9]|{_IN_PLACE}+/)(?:[0-9]|{_IN_PLACE}){{2,4}}"
    rf"(?:/(?:[0-9]|{_IN_PLACE}){{2,4}})? ?(?:{SYMBOL})(?![A-Z0-9])"
)


def _unreadable_digit(text: str, end: int) -> LeftOpen | None:
    if "?" not in text and "_" not in text and "#" not in text and text.isascii():
        return None
    found: re.Match[str] | None = _UNREADABLE.search(text, end)
    if found is None or not any(map(str.isdigit, found[0])):
        return None
    return LeftOpen(found.start(), f"A digit of the load index in {found[0]} cannot be read.")
