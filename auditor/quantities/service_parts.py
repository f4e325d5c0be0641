"""The figures, letters and words of a cell of load indices and speed symbols, each as what it is.

What it takes to be a load index, a load or a speed, `auditor.quantities.service_cells` tells.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from functools import cache
from typing import Any

from auditor.quantities.other_words import in_known_words
from auditor.quantities.scan import IGNORED, MORE_THAN, SEPARATORS, mounting, names_group
from auditor.quantities.units import UNIT_OF_SPELLING
from auditor.quantities.versions import VERSIONS
from auditor.rulebook.built_in import load_contract
from auditor.rulebook.header_words import fold
from auditor.trade.patterns import Pattern
from auditor.trade.units import UNITS, Unit

_TOKEN = Pattern(
    r"(?P<figure>(?:1?[0-9](?:[ '][0-9]{3})+|[0-9]{1,3}(?:[.,][0-9]{3})+)(?![0-9])|[0-9]+(?:[.,][0-9]+)?)"
    r"|(?P<word>km\s?/\s?h|a[1-8](?![0-9])|m\.p\.h|[^\W\d_]+|[#])\.?|(?P<mark>\S)"
)
_IN_BRACKETS = Pattern(r"(?:z?r\s?)?\((?:[0-9]{2,3})?\s?[a-z][1-8]?\s?\)")
_ARROW = Pattern("[=-]>|_|\\bn\\.?/a\\b")
_SYMBOL = Pattern(r"a[1-8]|[a-hj-np-y]")
_OTHER_LABELS = frozenset(
    ["li", "si", "ss", "ic", "iv", "ti", "ip", "in", "gsy", "lk", "code", "zr", "z", "service", "description", "class",
     "tl", "tt", "new", "typ", "n", "na"]
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
    over: bool = False
    in_brackets: bool = False  # the symbol, and nothing but it and its index


def parts_of_service(text: str) -> Parts | str:
    """The parts of a cell, or what in it is not understood."""
    lowered = " ".join(in_known_words(_ARROW.sub(":", text.lower())).split())
    if names_group(lowered):
        return "it speaks of several tires together"
    found, figure = Parts(), None
    found.in_brackets = _IN_BRACKETS.match(lowered) is not None
    tokens = list(_TOKEN.finditer(lowered))
    pairs = _letters_of_mountings([match[0].rstrip(".") for match in tokens])
    for at, match in enumerate(tokens):
        token = (match["word"] or match[0]).rstrip(".")
        if match["figure"]:
            if not match[0].strip("0"):  # "0-240 km/h"
                continue
            figure = Figure(match["figure"])
            found.bare.append(figure)
            continue
        unit = UNIT_OF_SPELLING.get(token.replace(" ", "").replace(".", "")) if len(token) > 1 or token == "#" else None
        if unit is not None and unit.dimension in _QUANTITIES:
            if figure is not None and figure.unit is None:
                figure.unit = unit
            figure = None
            continue
        if match["mark"] is None:
            figure = None
        if token in MORE_THAN:
            found.over = True
        elif match["mark"]:
            if token not in _MARKS:
                return f"{token!r} is not understood"
        elif pairs and token in ("s", "d"):
            found.mountings.append("single" if token == "s" else "dual")
        elif token in _AND and _joins(tokens, at):
            continue
        elif _SYMBOL.fullmatch(token.removeprefix("zr")):
            found.symbols.append(token.removeprefix("zr").upper())
            _describe(tokens, at, found.bare)
        elif token[1:] in VERSIONS and _SYMBOL.fullmatch(token[0]) and len(token) > 2:  # "94VXL"
            found.symbols.append(token[0].upper())
            found.versions.append(token[1:])
        elif token in VERSIONS and token not in ("normal", "standard"):
            found.versions.append(token)
        elif role := mounting(token):
            found.mountings.append(role)
        elif token and token not in _SAYING_NOTHING and fold(token) not in _words_of_labels():
            return f"{token!r} is not understood" if token != lowered else ""
    return found


def _describe(tokens: Sequence[Any], at: int, figures: Sequence[Figure]) -> None:
    """Marks the figures right before a speed symbol: "160K", "160/K", "120/116S"."""
    back = at - 2 if at > 1 and tokens[at - 1][0] == "/" else at - 1
    if back < 0 or not tokens[back]["figure"] or not figures:
        return
    figures[-1].described = True
    if len(figures) > 1 and back > 1 and tokens[back - 1][0] == "/" and tokens[back - 2]["figure"]:
        figures[-2].described = True


_AND = frozenset("aeyu")  # in languages of feeds


def _joins(tokens: Sequence[Any], at: int) -> bool:
    """Whether a letter stands apart between two figures: "115 e 113"."""
    if not 0 < at < len(tokens) - 1:
        return False
    before, match, behind = tokens[at - 1], tokens[at], tokens[at + 1]
    apart = before.end() < match.start() and match.end() < behind.start()
    return apart and bool(before["figure"] and behind["figure"])


_QUANTITIES = frozenset({UNITS["kg"].dimension, UNITS["km/h"].dimension})


def _letters_of_mountings(tokens: Sequence[str]) -> bool:
    """Whether S and D stand for single and dual mounting: "115 (S) / 113 (D)"."""
    return tokens.count("s") == tokens.count("d") == 1 and sum(token.isdecimal() for token in tokens) > 1


@cache
def _words_of_labels() -> frozenset[str]:
    """The words that headers of these fields are made of."""
    phrases = load_contract().phrases
    named = (phrase for phrase, groups in phrases.items() if not _GROUPS.isdisjoint(groups))
    return frozenset(word for phrase in named for word in phrase.split() if len(word) > 1)
