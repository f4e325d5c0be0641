"""The figures, letters and words of a cell of load indices and speed symbols, each as what it is.

What it takes to be a load index, a load or a speed, `auditor.quantities.service_cells` tells.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any

from auditor.quantities.other_words import in_known_words
from auditor.quantities.scan import IGNORED, MORE_THAN, SEPARATORS, V_MAX, mounting, names_group
from auditor.quantities.units import UNIT_OF_SPELLING
from auditor.quantities.versions import TWO_WORD_VERSIONS, VERSIONS
from auditor.rulebook.built_in import words_of_headers
from auditor.rulebook.header_words import fold
from auditor.trade.patterns import Pattern
from auditor.trade.units import UNITS, Unit

_TOKEN = Pattern(
    r"(?P<figure>(?:(?<![A-Za-z0-9])1?[0-9](?:[ '][0-9]{3})+|[0-9]{1,3}(?:[.,][0-9]{3})+)(?![0-9])"
    r"|[0-9]+(?:[.,][0-9]+)?)"
    r"|(?P<word>km\s?/\s?h|a[1-8](?![0-9])|m\.p\.h|[^\W\d_]+|[#])\.?|(?P<mark>\S)"
)
_IN_BRACKETS = Pattern(r"(?:z?r\s?)?\((?:[0-9]{2,3})?\s?[a-z][1-8]?\s?\)")
_ARROW = Pattern("[=-]>|_|\\bn\\.?/a\\b")
_SIZED = Pattern(r"[0-9]\s?[rdb-]\s?[0-9]{2}(?![0-9])\s?c?\s?[0-9]{2}|[0-9]/[0-9]{2}\s?[rdb-]\s?[0-9]")
_SYMBOL = Pattern(r"a[1-8]|[b-hj-np-wy]")
_OTHER_LABELS = frozenset(
    ["li", "si", "ss", "ic", "iv", "ti", "ip", "in", "gsy", "lk", "code", "zr", "z", "service", "description", "class",
     "tl", "tt", "new", "typ", "n", "na", "bzw", "resp", "beziehungsweise"]
)  # fmt: skip
_SAYING_NOTHING = IGNORED | SEPARATORS | _OTHER_LABELS
_GROUPS = frozenset(
    ["load_index", "load_index_dual", "speed_symbol", "service_description", "max_load", "max_load_dual", "max_speed"]
)
_MARKS = frozenset("()[]{}/|\\,;:=&+-–—.~<>≤≥→*\"'")


@dataclass(slots=True)
class Figure:
    text: str
    unit: Unit | None = None
    described: bool = False  # it stands before its speed symbol: "160K", "160/K"
    value: float = 0.0
    half_step: float = 0.5


@dataclass(slots=True)
class Parts:
    """What one pass over a cell has found."""

    indices: list[int] = field(default_factory=list)
    loads: list[Figure] = field(default_factory=list)
    speeds: list[Figure] = field(default_factory=list)
    bare: list[Figure] = field(default_factory=list)  # figures without a unit that are no load index
    symbols: list[str] = field(default_factory=list)
    mountings: list[str] = field(default_factory=list)
    versions: list[str] = field(default_factory=list)
    plies: list[str] = field(default_factory=list)
    ranges: list[str] = field(default_factory=list)
    repeated: bool = False  # the load index, with its symbol in brackets or behind a mark: "91 (91V)", "91 / 91V"
    strange: bool = False  # a word that nobody knows
    over: bool = False
    in_brackets: bool = False  # the symbol, and nothing but it and its index


def _in_usual_words(text: str) -> str:
    lowered = _ARROW.sub(":", V_MAX.sub(" max ", text.lower()))
    for wording, short in TWO_WORD_VERSIONS:
        lowered = lowered.replace(wording, short)
    return " ".join(in_known_words(lowered).split())


def _unit_of(token: str) -> Unit | None:
    return UNIT_OF_SPELLING.get(token.replace(" ", "").replace(".", "")) if len(token) > 1 or token == "#" else None


def parts_of_service(text: str) -> Parts | str:
    """The parts of a cell, or what in it is not understood."""
    lowered = _in_usual_words(text)
    if names_group(lowered):
        return "it speaks of several tires together"
    if _SIZED.search(lowered):
        return "it is a size"
    found, figure, pending, glued = Parts(), None, None, -1
    found.in_brackets = _IN_BRACKETS.match(lowered) is not None
    lowered = _take_strength(lowered, found)
    tokens = list(_TOKEN.finditer(lowered))
    pairs = _letters_of_mountings([match[0].rstrip(".") for match in tokens])
    for at, match in enumerate(tokens):
        token = (match["word"] or match[0]).rstrip(".")
        if match["figure"]:
            if not match[0].strip("0") or _is_of_label(tokens, at) or match.start() == glued:
                continue  # "0-240 km/h", "LI2=126", "DOT24"
            figure = Figure(match["figure"], pending, described=_is_labelled_index(tokens, at))
            pending = None
            found.bare.append(figure)
            continue
        unit = _unit_of(token)
        if unit is not None and unit.dimension not in _QUANTITIES and figure is not None and figure.unit is None:
            found.bare.remove(figure)  # "51 psi"
            figure, found.strange = None, True
            continue
        if unit is not None and unit.dimension in _QUANTITIES:
            if figure is not None and figure.unit is None:
                figure.unit = unit
            elif figure is None:
                pending = unit  # "kg 615", "MPH=112"
            figure = None
            continue
        if token in MORE_THAN:
            found.over = True
            continue
        figure = None
        if match["mark"]:
            if token not in _MARKS:
                return f"{token!r} is not understood"
        elif pairs and token in _OF_MOUNTINGS:
            found.mountings.append(_OF_MOUNTINGS[token])
        elif token in _AND and _joins(tokens, at):
            continue
        elif _SYMBOL.fullmatch(token.removeprefix("zr")):
            found.symbols.append(token.removeprefix("zr").upper())
            found.repeated |= _describe(tokens, at, found.bare)
        elif token[1:] in VERSIONS and _SYMBOL.fullmatch(token[0]) and at and tokens[at - 1]["figure"]:  # "94VXL"
            found.symbols.append(token[0].upper())
            found.versions.append(token[1:])
        elif token in VERSIONS and token not in ("normal", "standard"):
            found.versions.append(token)
        elif role := mounting(token):
            found.mountings.append(role)
        elif token == lowered or (len(token) < _SHORT_WORD and token not in _SAYING_NOTHING):
            return f"{token!r} is not understood" if token != lowered else ""
        elif token not in _SAYING_NOTHING and fold(token) not in words_of_headers(_GROUPS):
            found.strange, glued = True, match.end()
    return found


def _describe(tokens: Sequence[Any], at: int, figures: Sequence[Figure]) -> bool:
    """Marks the figures right before a speed symbol, "160K", "160/K", "120/116S"; True where another stands apart."""
    back = at - 2 if at > 1 and tokens[at - 1][0] == "/" else at - 1
    if back < 0 or not tokens[back]["figure"] or not figures:
        return False
    figures[-1].described = True
    if len(figures) < 2 or figures[-2].unit is not None:
        return False
    glued = back > 1 and tokens[back - 1][0] == "/" and tokens[back - 2]["figure"]
    if glued and tokens[back - 2].end() == tokens[back - 1].start():
        figures[-2].described = True
        return False
    return not figures[-2].described


_AND = frozenset("aeyu")  # in languages of feeds


def _joins(tokens: Sequence[Any], at: int) -> bool:
    """Whether a letter stands apart between two figures: "115 e 113"."""
    if not 0 < at < len(tokens) - 1:
        return False
    before, match, behind = tokens[at - 1], tokens[at], tokens[at + 1]
    apart = before.end() < match.start() and match.end() < behind.start()
    return apart and bool(before["figure"] and behind["figure"])


_OF_MOUNTINGS = {"s": "single", "d": "dual", "e": "single", "z": "dual"}  # also German "einzel", "Zwilling"
_OF_INDICES = frozenset({"li", "ic", "ti", "ip", "lk", "index", "lastindex", "tragfähigkeitsindex", "last"})


def _is_labelled_index(tokens: Sequence[Any], at: int) -> bool:
    """Whether a figure stands behind a word for a load index: "110 km/h (LI 160)"."""
    back = at - 1
    if back >= 0 and tokens[back][0] in (":", "="):
        back -= 1
    return back >= 0 and tokens[back][0].rstrip(".") in _OF_INDICES


_SHORT_WORD = 2  # letters: a letter that is no speed symbol is no word that says nothing


def _is_of_label(tokens: Sequence[Any], at: int) -> bool:
    """Whether a figure is the number of a label: "LI2=126"."""
    if not 0 < at < len(tokens) - 1 or tokens[at][0] not in ("1", "2"):
        return False
    return bool(tokens[at - 1]["word"]) and tokens[at - 1].end() == tokens[at].start() and tokens[at + 1][0] in ":="


_PLIES = Pattern(r"(?<![0-9.,])([0-9]{1,2})\s?-?(?:pr|ply|plies)\b(?:\s?rat(?:ing|ed))?")
_RANGE = Pattern(r"\b(?:lr|load range)\s?:?\s?([a-hj-n])\b")


def _take_strength(text: str, found: Parts) -> str:
    """A cell without its ply rating and its load range."""
    for pattern, taken in ((_PLIES, found.plies), (_RANGE, found.ranges)):
        for match in pattern.finditer(text):
            taken.append(match[1])
        text = pattern.sub(" ", text)
    return text


_QUANTITIES = frozenset({UNITS["kg"].dimension, UNITS["km/h"].dimension})


def _letters_of_mountings(tokens: Sequence[str]) -> bool:
    """Whether S and D stand for single and dual mounting: "115 (S) / 113 (D)"."""
    letters = any(tokens.count(one) == tokens.count(other) == 1 for one, other in ("sd", "ez"))
    return letters and sum(token.isdecimal() for token in tokens) > 1
