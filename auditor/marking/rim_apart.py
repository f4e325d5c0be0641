"""Sizes whose rim diameter stands apart: "R16 - Winter - 205/55 91H", "18 jant 235/45 94W", "175/70 на 13"."""

from __future__ import annotations

from auditor.marking import languages
from auditor.marking.letters import BEHIND_NAME
from auditor.marking.shape import Found, Size
from auditor.marking.worded import Worded
from auditor.trade.patterns import Pattern

_SIZE = Pattern(r"(?<![0-9A-Z.,/-])(?P<width>[1-3]\d5) ?[/-] ?(?P<aspect>[2-8][05])(?![0-9A-Z]|[.,/-]\d)")
_INCHES = r"1[2-9]|2[0-4]"
_RIM = Worded(
    lambda words: (
        rf"(?<![0-9A-Z])(?:R ?|(?:{words(languages.RIMS)})(?:{BEHIND_NAME})?R?)(?P<rim>{_INCHES})(?![0-9A-Z]|[.,/-]\d)"
        rf"|(?<![0-9A-Z.,/-])(?P<inches>{_INCHES}) ?(?:{words(languages.RIMS)}|\"|INCH|ZOLL|CALI)(?![A-Z])"
    )
)
# "On" behind a size, where nothing else is counted: "205/55 auf 16, 91V", no "205/55 en 16 unidades".
_BEHIND_ON = r"(?= ?(?:$|[,;|()\"]|INCH|ZOLL|[0-9]{2,3}(?:/[0-9]{2,3})? ?[A-Z](?![A-Z])))"
_ON = Worded(lambda words: rf" (?:{words(languages.ON)}) R?(?P<rim>{_INCHES}){_BEHIND_ON}")


def rim_apart(text: str) -> Found:
    """Width and aspect ratio where the text has one pair, and its one rim diameter stands elsewhere."""
    found = [*_SIZE.finditer(text)]
    if len(found) != 1:
        return
    (size,) = found
    on = _ON.match(text, size.end())
    rims = {on["rim"]} if on else {match["rim"] or match["inches"] for match in _RIM.finditer(text)}
    if len(rims) != 1:
        return
    (rim,) = rims
    yield Size(
        "metric",
        size.start(),
        size.end(),
        f"{size['width']}/{size['aspect']}R{rim}",
        width_mm=float(size["width"]),
        aspect=float(size["aspect"]),
        construction="R",
        rim_in=float(rim),
        weak=True,
    )
