"""Keeps a spreadsheet from taking a supplier's text for a formula."""

from __future__ import annotations

_STARTS_A_FORMULA = ("=", "+", "-", "@", "\t", "\r", "\n", "|", "%")


def neutral_cell(text: str) -> str:
    """`text` as a cell that a spreadsheet shows and never evaluates: an apostrophe goes before a risky start.

    Plain numbers such as "-1.5" and "+49" stay as they are.  Full-width signs, which some programs take for the
    plain ones, count as risky too.
    """
    start = text.lstrip(" \u00a0\ufeff")[:1]
    if not start:
        return text
    if start in _STARTS_A_FORMULA or text[0] in "\t\r\n" or start in "＝＋－＠":
        return text if _is_number(text) else f"'{text}"
    return text


def _is_number(text: str) -> bool:
    stripped = text.strip()
    return stripped[:1] in "+-" and stripped[1:].replace(".", "", 1).replace(",", "", 1).isdecimal()
