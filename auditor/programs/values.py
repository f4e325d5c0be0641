"""Values of a program, its libraries' own kinds included, as the text that a supplier would have written."""

from __future__ import annotations

from typing import Any

from auditor.errors import FieldError

_MISSING = {"NAType", "NaTType", "MaskedConstant"}  # of pandas and numpy; neither is loaded for them
_LONGEST_EXPONENT = 400  # of a Decimal that is written out; a float ends below


def cell_text(name: str, value: object) -> str:
    """One value as text, "" for what is missing.  `name` is its field.

    Numbers come out as a person writes them: 850.0 is "850"; a Decimal keeps every digit.
    Raises FieldError for what is no text, number or truth value.
    """
    if value is None:
        return ""
    if isinstance(value, str):
        return str(value)
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, int):
        return _whole_text(name, value)
    if isinstance(value, float):
        return number_text(value)
    return _foreign_text(name, value)


def number_text(value: float) -> str:
    """A number as a person writes it: 850.0 is 850, 7.5 stays, never an exponent below 1e15; "" for NaN."""
    if value != value:
        return ""
    if value in (float("inf"), float("-inf")):
        return str(value)
    if value.is_integer() and abs(value) < 1e15:
        return str(int(value))
    text = repr(float(value))  # numpy's own doubles write their type beside the number
    if "e-" not in text:
        return text
    from decimal import Decimal

    return format(Decimal(text), "f")


def _whole_text(name: str, value: int) -> str:
    try:
        return str(int(value))
    except ValueError:  # Python writes no more than some thousand digits
        raise FieldError(f"{name} is a whole number of too many digits to be read.", name) from None


def _foreign_text(name: str, value: Any) -> str:
    """A value of a kind that other libraries bring along."""
    kind = type(value)
    library = kind.__module__.partition(".")[0]
    if kind.__name__ in _MISSING:
        return ""
    if library == "decimal" and hasattr(value, "as_tuple"):
        return _decimal_text(value)
    if library == "pyarrow" and hasattr(value, "as_py"):
        return cell_text(name, value.as_py())
    if library == "numpy" and getattr(value, "ndim", 1) == 0:
        plain = value.item()
        if getattr(value.dtype, "kind", "") == "f":  # a 0.1 of fewer bits is 0.1 to whoever wrote it
            plain = float(str(value))
        if plain is None or isinstance(plain, str | bool | int | float):
            return cell_text(name, plain)
    raise FieldError(f"{name} should be a text, a number or nothing, not a {kind.__name__}.", name)


def _decimal_text(value: Any) -> str:
    if value.is_nan():
        return ""
    if not value.is_finite() or abs(value.adjusted()) > _LONGEST_EXPONENT:
        return str(value)
    text = format(value, "f")
    return (text.rstrip("0").rstrip(".") or "0") if "." in text else text
