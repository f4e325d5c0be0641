"""What is sold by the sizes of tires and is none: "Inner tube 7.50-16 TR15", "Snow chains 205/55R16"."""

from __future__ import annotations

from functools import cache

from auditor.marking import languages
from auditor.marking.worded import folded
from auditor.trade.patterns import Pattern

_WORD = Pattern(r"[^\W\d_]+|[+&]")
_WORD_BEHIND = Pattern(r"[ ,;:|-]{1,3}[^\W\d_]{2}")
_FIRST = 2  # words, of which one begins the name of what is sold; a brand may stand before it
_LONGEST_NAME = 3  # words
_LOOKED_AT = 60  # characters on either side of the size


def is_of_another_thing(text: str, start: int, end: int) -> bool:
    """Whether the size at `start` to `end` of a normalised text is that of a tube, a flap, a chain, a cover.

    "Tire with inner tube", "tire + tube" and "tube type" are tires.
    """
    if BICYCLE.match(text, start) or (_BARE_NUMBERS.match(text, start) and _ARTICLE.search(text[:start])):
        return True
    head = _words(text[max(0, start - _LOOKED_AT) : start]) if start else []
    for place in range(min(_FIRST, len(head))):
        if _is_thing(head, place):
            before = head[:place]
            return not before or (before[-1] not in _known().besides and _known().tires.isdisjoint(before))
    if head[:1] and head[0] in _known().rims and _is_a_rim(head, text, start, end):
        return True
    if any(_is_for_a_tire(head, place) for place in range(min(_FIRST, len(head)))):
        return True
    if head or not _WORD_BEHIND.match(text, end):
        return False
    return _is_thing(_words(text[end : end + _LOOKED_AT]), 0)


# Widths in fractions of an inch are those of bicycles: `28x1 5/8x1 3/8`.
BICYCLE = Pattern(r"[12]\d(?:[.,]\d)? ?X ?[12][ -][1-9]/(?:2|4|8|16)(?!\d)")
# Numbers behind the name of an article's number: "Art.-Nr. 185-65-15".
_ARTICLE = Pattern(
    r"(?<![^\W\d_])(?:ART(?:IKEL|ICLE|IKUL)?|SKU|REF|P/?N|MPN|COD(?:E|IGO|ICE)?|KOD|АРТ(?:ИКУЛ)?|APT)"
    r"(?:[ .:-]{0,2}(?:NR|NO|N|NUM|NUMMER|NUMBER))?[ .:#-]{1,3}$"
)
_BARE_NUMBERS = Pattern(r"[\d-]+(?![^\s,;)])")

# What tells a tire: a metric size, a load index with its symbol, plies.
_OF_A_TIRE = Pattern(r"\d{2,3}/\d{2,3}|\d[A-Y](?![A-Z0-9])|P\.?R|PLY")


def _is_a_rim(words: list[str], text: str, start: int, end: int) -> bool:
    """Whether a rim or a wheel stands first and nothing tells of a tire: "Rim 6.00x16", no "Rim 16 4.80-16 6PR"."""
    between = text[:start]
    if any(map(str.isdigit, between)) or not _known().tires.isdisjoint(words):
        return False
    return _OF_A_TIRE.search(text[start : end + _LOOKED_AT].partition(",")[0]) is None


def _is_for_a_tire(words: list[str], place: int) -> bool:
    """Whether a part or a tool stands here, and then "for": "Felge für 205/55R16", not "kit of 4 tires for"."""
    if words[place] not in _known().accessories:
        return False
    for word in words[place + 1 :]:
        if word in _known().tires:
            return False
        if word in _known().for_it:
            return True
    return False


def _is_thing(words: list[str], place: int) -> bool:
    if words[place].endswith(_known().endings) and words[place] not in _known().endings:
        return True
    names = (" ".join(words[place : place + length]) for length in range(_LONGEST_NAME, 0, -1))
    if not any(name in _known().things for name in names):
        return False
    return words[place + 1 : place + 2] != ["TYPE"]


def _words(text: str) -> list[str]:
    return _WORD.findall(folded(text))


class _Known:
    """The words of `languages`, folded."""

    def __init__(self) -> None:
        self.things = frozenset(" ".join(_words(name)) for name in languages.of(languages.NO_TIRES))
        self.besides = frozenset(map(folded, languages.of(languages.BESIDES))) | {"+", "&"}
        self.endings = tuple(map(folded, languages.of(languages.NO_TIRES_AT_END)))
        self.accessories = frozenset(map(folded, languages.of(languages.ACCESSORIES)))
        self.rims = frozenset(map(folded, languages.of(languages.RIMS_ALONE)))
        self.for_it = frozenset(map(folded, languages.of(languages.FOR)))
        self.tires = frozenset(map(folded, languages.of(languages.TIRES)))


@cache
def _known() -> _Known:
    return _Known()
