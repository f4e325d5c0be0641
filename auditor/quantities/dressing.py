"""What stands around a value in a cell and is none of it: the apostrophe of a spreadsheet, signs of footnotes."""

from __future__ import annotations

import html

from auditor.trade.patterns import Pattern

# Signs for footnotes behind a value; the square of "kg/cm²" is none.
_RAISED = Pattern(r"(?<=[\w)\]\"%.])(?<!cm)(?<!in)\s?[\u00b9\u00b2\u00b3\u2074-\u2079]{1,2}\)?$")
_SIGNS = Pattern(r"(?<=[\w)\"%.])\s?(?:\*{1,3}\)?|[\u2020\u2021]\)?)$")
_NUMBERED = Pattern(r"(?<=[\w\"%.)\]])\s?\([1-3]\)$")
_LINES = Pattern(r"\s*[\r\n]+\s*")
_TAG = Pattern(r"</?[A-Za-z][^<>]{0,80}>")
_QUOTED = Pattern(r"=?\"([^\"]+)\"")  # "=""615""" in a table that was made for a spreadsheet
_IN_BRACKETS = Pattern(r"\[([^\[\]]+)\]")
# Where a small number in brackets says something: "C (6)" are plies, "B (2)" are waves.
_COUNTING = frozenset({"load_range", "ply_rating", "load_version", "noise_db", "noise_class", "tire_class"})


def undressed(text: str, field: str) -> str:
    """A cell of `field` without what stands around its value."""
    if "<" in text or "&" in text:
        text = html.unescape(_TAG.sub(" ", text)).replace("\u00a0", " ").strip()
    if text[:1] == "'" and text[1:2].isalnum():
        text = text[1:]  # by which a spreadsheet keeps a number as text
    if field.startswith(("max_load", "load_index")) and "\n" in text:
        text = _LINES.sub(" / ", text)
    quoted = _QUOTED.fullmatch(text)
    if quoted:
        text = quoted[1].strip()
    if text[-1:] == "." and (text[-2:-1].isdecimal() or text[-2:-1] in (")", "]")):
        text = text[:-1]
    if text[-1:].isalnum() and text.isascii():
        return text
    for pattern in (_RAISED, _SIGNS) if field in _COUNTING else (_RAISED, _SIGNS, _NUMBERED):
        text = pattern.sub("", text)
    whole = _IN_BRACKETS.fullmatch(text)
    return whole[1].strip() if whole else text
