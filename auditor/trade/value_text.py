"""Derived values as text: numbers with the decimals and the sign of their unit, codes by their letters."""

from __future__ import annotations

from functools import lru_cache

from auditor.trade.codes import code_text, is_code
from auditor.trade.tables import Tables
from auditor.trade.units import field_unit


def number_text(field: str, value: float, tables: Tables | None = None) -> str:
    """A number as text in its field's unit, without the unit; a code where the field holds codes; "" for missing."""
    if value != value:
        return ""
    if is_code(field) and tables is not None:
        return code_text(field, value, tables)
    text = f"{value:.{field_unit(field).decimals}f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def with_unit(field: str, text: str, open_ended: bool = False) -> str:
    """A derived text with its unit, as a message says it."""
    if not text:
        return "nothing that could be told"
    unit = field_unit(field)
    if unit.dimension == "mass" and "." not in text and len(text) > 3:
        text = f"{int(text):,}"
    return ("above " if open_ended else "") + text + unit.written


@lru_cache(maxsize=20_000)
def number_words(field: str, value: float, open_ended: bool, tables: Tables) -> tuple[str, str]:
    """A derived value as text, and as a message says it; kept, since the values of tables come again and again."""
    text = number_text(field, value, tables)
    return text, with_unit(field, text, open_ended)
