"""A cell with what is wrong in it put right, in the cell's own style: its units, separators and words."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from functools import lru_cache
from typing import NamedTuple

from auditor.quantities import CellReading, read_cell, readable_fields
from auditor.trade.codes import is_code
from auditor.trade.tables import Tables, default_tables
from auditor.trade.units import factor_between, field_unit, unit_of
from auditor.trade.value_text import number_text

_SPACES = " '\u2019\u00a0\u2009\u202f"  # that stand between thousands
_NUMBER = re.compile(rf"\d[\d.,{_SPACES}]*\d|\d")
_GROUPED = re.compile(rf"\d{{1,3}}(?:([.,{_SPACES}])\d{{3}})(?:\1\d{{3}})*(?:([.,])(\d{{1,2}}))?")
_PLAIN = re.compile(r"\d+(?:([.,])(\d+))?")
_WRITTEN_UNITS = (
    (re.compile(r"\b(lbs?|pounds?)\b|#", re.I), "lb"),
    (re.compile(r"\bkgs?\b|kilogram", re.I), "kg"),
    (re.compile(r"\bmph\b|m\.p\.h", re.I), "mph"),
    (re.compile(r"km/?h|kmh|kph", re.I), "kmh"),
    (re.compile(r"\bmm\b", re.I), "mm"),
)
_SAME = 1e-6


class CellStyle(NamedTuple):
    """How a cell writes its one value: what stands around it, its unit, its separators."""

    before: str
    after: str
    unit: str  # the unit written in the cell, else the field's own
    number: NumberStyle


class NumberStyle(NamedTuple):
    """How a number is written."""

    thousands: str = ""  # separator between thousands; "" for none
    mark: str = "."  # decimal mark
    decimals: int = 0  # at least


def corrected(text: str, field: str, about: str, rights: Mapping[str, float], tables: Tables) -> str:
    """The text of a cell of `field` with the right values of some fields in it; empty where that cannot be done.

    Of a cell with one value that is what `about` is about.
    """
    if field in readable_fields():
        found = read_cell(text, field)
        if len({one.field for one in found.readings}) > 1:
            return _all_right(text, field, found, rights, tables)
    if len(rights) > 1:
        return ""
    style = style_of(text, about)
    return "" if style is None else style.before + in_style(style, about, rights[about], tables) + style.after


@lru_cache(maxsize=50_000)
def style_of(text: str, field: str) -> CellStyle | None:
    """The style of a cell of `field`; None where it holds more than one number."""
    if is_code(field):
        match = re.match(r"^(.*\s)(\S{1,3})(\s*)$", text)
        if len(text.strip()) <= 3 or match is None or " " not in text.strip():
            return CellStyle("", "", "", NumberStyle())
        return CellStyle(match[1], match[3], "", NumberStyle())
    found = list(_NUMBER.finditer(text))
    if len(found) != 1:
        return None
    start, end = found[0].span()
    if text[end : end + 1] == "/":
        return None
    unit = unit_of(field)
    for pattern, written_unit in _WRITTEN_UNITS:
        if unit and written_unit != unit and pattern.search(text):
            unit = written_unit
            break
    return CellStyle(text[:start], text[end:], unit, number_style(found[0].group()))


def number_style(written: str) -> NumberStyle:
    """How a number is written: "1.360", "825,0", "1 360"."""
    grouped = _GROUPED.fullmatch(written)
    if grouped:
        mark = grouped[2] or ("," if grouped[1] == "." else ".")
        return NumberStyle(grouped[1], mark, len(grouped[3] or ""))
    plain = _PLAIN.fullmatch(written)
    return NumberStyle("", plain[1], len(plain[2])) if plain and plain[1] else NumberStyle()


def in_style(style: CellStyle, field: str, value: float, tables: Tables | None) -> str:
    """`value` (in the field's unit) written as the style writes numbers; codes as they are."""
    if is_code(field):
        return number_text(field, value, tables or default_tables())
    return styled_number(style.unit, style.number, field, value)


@lru_cache(maxsize=20_000)
def styled_number(unit: str, style: NumberStyle, field: str, value: float) -> str:
    """A number as some cells write it; kept, since the values of tables come again and again."""
    own = unit_of(field)
    if unit != own:
        value = value * factor_between("x_" + own, "x_" + unit)
    whole, _, decimals = number_text("x_" + unit if unit and unit != own else field, value).partition(".")
    if style.thousands and len(whole) > 3:
        whole = f"{int(whole):,}".replace(",", style.thousands)
    decimals = decimals.ljust(style.decimals, "0")
    return whole + (style.mark + decimals if decimals else "")


def _all_right(text: str, field: str, found: CellReading, rights: Mapping[str, float], tables: Tables) -> str:
    """A cell of more than one fact, each of them right: found by reading again what was written."""
    wanted = {one.field: one.value for one in found.readings}
    for name, right in rights.items():
        if name not in wanted:
            return ""
        said, wanted[name] = wanted[name], number_text(name, right, tables) if is_code(name) else right
        done = next((trial for trial in _trials(text, name, said, right, tables) if _says(trial, field, wanted)), "")
        if not done:
            return ""
        text = done
    return text


def _trials(text: str, name: str, said: float | str, right: float, tables: Tables) -> Iterator[str]:
    """Texts in which one place holds the right value of a field."""
    if isinstance(said, str):
        code = number_text(name, right, tables)
        for match in re.finditer(rf"(?<![^\W\d_]){re.escape(said)}(?![^\W\d_])", text, re.I):
            yield text[: match.start()] + code + text[match.end() :]
        return
    own = unit_of(name)
    dimension = field_unit(name).dimension
    units = [
        own,
        *(unit for _, unit in _WRITTEN_UNITS if unit != own and field_unit("x_" + unit).dimension == dimension),
    ]
    for match in _NUMBER.finditer(text):
        for unit in units if own else [""]:
            number = styled_number(unit, number_style(match.group()), name, right)
            yield text[: match.start()] + number + text[match.end() :]


def _says(text: str, field: str, wanted: Mapping[str, float | str]) -> bool:
    """Whether a text reads as just these values, each within half of its last digit."""
    found = read_cell(text, field)
    if found.status != "read" or {one.field for one in found.readings} != set(wanted):
        return False
    return all(_same(one.value, wanted[one.field], one.half_step) for one in found.readings)


def _same(a: float | str, b: float | str, room: float) -> bool:
    return a == b if isinstance(a, str) or isinstance(b, str) else abs(a - b) <= room + _SAME
