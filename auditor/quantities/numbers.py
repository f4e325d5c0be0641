"""The text of one number -> its value and half of its last stated digit."""

from __future__ import annotations

from math import inf, isfinite

from auditor.trade.patterns import Pattern

_HIGHEST_EXPONENT = 300  # no number beyond is a float, and 10.0 ** 400 is an error
_NUMBER = Pattern(r"([0-9.,' ’]*[0-9])(?:e([+-]?[0-9]{1,3}))?")


def parse_number(text: str, decimal: str | None, lowest: float, highest: float) -> tuple[float, float] | None:
    """(value, half step) of `text` such as "1,360", "1.360,5" or "1,36e+03"; None when it cannot be decided.

    `decimal` is the feed's decimal mark where known.  `lowest` and `highest` bound what the field
    can hold, in the unit of the text: where only one of two readings can be, it is taken whatever the mark.
    """
    match = _NUMBER.fullmatch(text)
    if match is None:
        return None
    digits, exponent = match[1], int(match[2] or 0)
    if " " in digits or "'" in digits or "’" in digits:
        digits = digits.translate(_GROUPING)
    readings = _readings(digits, decimal)
    values = [_scaled(whole, fraction, exponent) for whole, fraction in readings]
    values = [value for value in values if isfinite(value[0])]
    if len(values) < 2:
        return values[0] if values else None
    possible = [value for value in values if lowest <= value[0] <= highest]
    if len(possible) == 1:
        return possible[0]
    return None if possible and decimal is None else values[0]


_GROUPING = str.maketrans("", "", " '’")


def _readings(digits: str, decimal: str | None) -> list[tuple[str, str]]:
    """The possible (whole, fraction) digits, the likelier one first; empty when it is no number."""
    commas, points = digits.count(","), digits.count(".")
    if not commas and not points:
        return [(digits, "")]
    if commas and points:
        mark = "," if digits.rindex(",") > digits.rindex(".") else "."
        if digits.count(mark) > 1:
            return []
        whole, fraction = digits.split(mark)
        return [(whole.replace("," if mark == "." else ".", ""), fraction)]
    mark = "," if commas else "."
    groups = digits.split(mark)
    grouped = 1 <= len(groups[0]) <= 3 and groups[0] != "0" and all(len(group) == 3 for group in groups[1:])
    if len(groups) > 2:
        return [("".join(groups), "")] if grouped else []
    as_decimal = (groups[0], groups[1])
    if not grouped:
        return [as_decimal]
    as_thousands = ("".join(groups), "")
    return [as_decimal, as_thousands] if mark == (decimal or ".") else [as_thousands, as_decimal]


def _scaled(whole: str, fraction: str, exponent: int) -> tuple[float, float]:
    if not fraction and not exponent:
        return float(whole), 0.5
    if exponent > _HIGHEST_EXPONENT:
        return inf, inf
    value = float(f"{whole or '0'}.{fraction or '0'}e{exponent}")
    return value, 0.5 * 10.0 ** (exponent - len(fraction))
