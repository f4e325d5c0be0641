"""A listing as a caller gives it, made into the texts that the audit reads."""

from __future__ import annotations

from collections.abc import Collection, Mapping

from auditor.errors import UsageError
from auditor.rulebook.built_in import load_contract

REQUEST_ID = "id"  # passed through by the command and the stream, no part of the listing


class FieldError(UsageError):
    """A member of a listing is wrong; `field` names it."""

    def __init__(self, message: str, field: str) -> None:
        super().__init__(message)
        self.field = field


def cells_of(listing: Mapping[str, object], *, strict: bool = True, own: Collection[str] = ()) -> dict[str, str]:
    """The listing's fields as text.  Numbers become text as a person writes them: 850.0 is "850".

    None and NaN are blank.  Unknown fields are an error, or dropped where `strict` is false; so are values that
    are no text, number or truth value.  `own` are the fields of a retailer's own rule book.
    Raises FieldError, a UsageError.
    """
    known = load_contract().fields
    cells: dict[str, str] = {}
    for name, value in listing.items():
        if name in known or name in own:
            cells[name] = value if type(value) is str else cell_text(name, value)
        elif strict and name != REQUEST_ID:
            raise FieldError(_unknown(name, own), str(name))
    return cells


def cell_text(name: str, value: object) -> str:
    """One value as text; "" for None and NaN.  Raises FieldError for what is no text, number or truth value."""
    if value is None or value != value:  # None, NaN
        return ""
    if isinstance(value, str):
        return str(value)
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, int):
        return str(value)
    if isinstance(value, float):
        return number_text(value)
    kind = type(value)
    if kind.__module__.partition(".")[0] in ("numpy", "decimal"):
        item = getattr(value, "item", None)
        plain = item() if callable(item) else float(str(value))
        if plain is not value and isinstance(plain, str | bool | int | float):
            return cell_text(name, plain)
    raise FieldError(f"{name} should be a text, a number or nothing, not a {kind.__name__}.", name)


def number_text(value: float) -> str:
    """A number as a person writes it: 850.0 is 850, 7.5 stays, never an exponent below 1e15."""
    if value in (float("inf"), float("-inf")):
        return str(value)
    if value.is_integer() and abs(value) < 1e15:
        return str(int(value))
    text = repr(value)
    if "e-" not in text:
        return text
    from decimal import Decimal

    return format(Decimal(text), "f")


def _unknown(name: object, own: Collection[str]) -> str:
    if not isinstance(name, str):
        return f"A field name should be a text, not {name!r}."
    near = nearest_field(name, own)
    if near:
        return f"There is no listing field {name!r}; did you mean {near!r}?"
    return f"There is no listing field {name!r}; `auditor schema listing` names all of them."


def nearest_field(name: str, own: Collection[str] = ()) -> str | None:
    """The field whose name is most like it; the first of the contract where several are; None where none is."""
    from difflib import SequenceMatcher

    wanted = name.strip().lower().replace(" ", "_").replace("-", "_")[:100]
    likeness = {
        field: SequenceMatcher(None, wanted, field).ratio() for field in (*load_contract().fields, *sorted(own))
    }
    best = max(likeness, key=lambda field: likeness[field])
    return best if likeness[best] >= 0.6 else None
