"""Sizes whose numbers stand under their names: "width 225, height 45, rim 18"."""

from __future__ import annotations

from auditor.marking import languages
from auditor.marking.letters import BEHIND_NAME
from auditor.marking.shape import Found, Size, read_construction, read_rim
from auditor.marking.worded import Alternatives, Worded
from auditor.trade.patterns import Pattern

_NEXT = r"(?: ?[,;/|] ?| )"


def _width(words: Alternatives) -> str:
    return rf"(?:{words(languages.WIDTHS)}){BEHIND_NAME}(?P<width>[1-4]\d5) ?(?:MM)?"


def _aspect(words: Alternatives) -> str:
    return rf"(?:{words(languages.HEIGHTS)}){BEHIND_NAME}(?P<aspect>[2-9][05]) ?%?"


def _rim(words: Alternatives) -> str:
    return (
        rf"(?:{words(languages.RIMS)}){BEHIND_NAME}(?P<con>Z?R?) ?(?P<rim>1\d|2[0-4]|(?:17|19|22)[.,]5)"
        r"(?P<suffix>C?)(?![0-9A-Z]|[.,/-]\d)"
    )


_RIM_LAST = Worded(lambda words: f"{_width(words)}{_NEXT}{_aspect(words)}{_NEXT}{_rim(words)}")
_RIM_FIRST = Worded(lambda words: rf"{_rim(words)}{_NEXT}{_width(words)}{_NEXT}{_aspect(words)}(?![0-9]|[.,/-]\d)")
_NUMBERS = Pattern(r"[1-4]\d5\D{2,40}[2-9][05](?!\d)")  # what every such size has


def by_names(text: str) -> Found:
    """Width, aspect ratio and rim diameter, each behind its name, the rim last or first."""
    if _NUMBERS.search(text) is None:
        return
    for match in (*_RIM_LAST.finditer(text), *_RIM_FIRST.finditer(text)):
        rim = read_rim(match["rim"])
        if rim is None or rim[0] is None:
            continue
        construction, _, _, letters = read_construction(match["con"] or "R")
        yield Size(
            "metric",
            match.start(),
            match.end(),
            f"{match['width']}/{match['aspect']}{letters}{rim[2]}{match['suffix']}",
            suffix=match["suffix"],
            width_mm=float(match["width"]),
            aspect=float(match["aspect"]),
            construction=construction,
            rim_in=rim[0],
            weak=True,
        )
