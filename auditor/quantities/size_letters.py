"""What of a size stands beside a number of it: "LT265" and "205/55" in a width cell, "ZR18" and "16C" in a rim cell."""

from __future__ import annotations

import re

from auditor.marking.split_size import AFFIXES, CONSTRUCTION_LETTERS
from auditor.quantities.model import Reading
from auditor.trade.patterns import Pattern

_WIDTH = Pattern(
    r"(?P<affix>LT|ST|HL|IF|VF|P|T)?\s?-?(?P<number>\d{2,3}(?:[.,]\d{1,2})?)(?:(?<=\d{3})\s?/\s?(?P<aspect>[2-9]\d))?",
    re.IGNORECASE,
)
_ASPECT = Pattern(
    r"(?:(?P<width>[1-9]\d{2})\s?/|/)?\s?(?P<number>\d{2}(?:[.,]\d)?)\s?%?\s?(?P<letters>ZRF|RF|ZR|R|B|D)?",
    re.IGNORECASE,
)
_RIM = Pattern(
    r"(?P<letters>ZRF|RF|ZR|R|B|D)?\s?-?\s?"
    r"(?P<number>\d{1,3}(?:[.,]\d)?)\s?(?:[\"”]|'')?\s?(?P<affix>LT|C)?",
    re.IGNORECASE,
)
# The whole size, in a cell of one of its parts.
_WHOLE = Pattern(
    r"(?:LT|ST|HL|IF|VF|P|T)?(?P<width>[1-9]\d{2})\s?/\s?(?P<aspect>[2-9]\d)"
    r"\s?[-/]?\s?(?P<letters>ZRF|RF|ZR|R|B|D|-)\s?(?P<rim>\d{2}(?:[.,]5)?)\s?(?:LT|C)?",
    re.IGNORECASE,
)
_PARTS = {"section_width_mm": "width", "aspect_ratio": "aspect", "rim_diameter_in": "rim"}
LETTERED = {
    "section_width_mm": _WIDTH,
    "section_width_in": _WIDTH,
    "aspect_ratio": _ASPECT,
    "rim_diameter_in": _RIM,
}


def letters_of_size(text: str, field: str) -> tuple[str, tuple[Reading, ...]]:
    """The number of a width, aspect or rim cell without the letters of the size, and what these say."""
    whole = _WHOLE.fullmatch(text) if field in _PARTS else None
    if whole is not None:
        others = {name: whole[part].replace(",", ".") for name, part in _PARTS.items() if name != field}
        return whole[_PARTS[field]], tuple(Reading(name, float(part), 0.5) for name, part in others.items())
    match = LETTERED[field].fullmatch(text)
    if match is None:
        return text, ()
    found = match.groupdict()
    letters, affix = (found.get("letters") or "").upper(), (found.get("affix") or "").upper()
    readings = []
    if letters:
        readings.append(Reading("split_letters", float(CONSTRUCTION_LETTERS.index(letters))))
    if found.get("aspect"):  # a width cell that goes on, "205/55"
        readings.append(Reading("aspect_ratio", float(found["aspect"]), 0.5))
    if found.get("width"):  # a cell of the aspect ratio that begins with it
        readings.append(Reading("section_width_mm", float(found["width"]), 0.5))
    if affix:
        readings.append(Reading("split_affix", float(AFFIXES.index(affix))))
    return (match["number"] if readings else text), tuple(readings)
