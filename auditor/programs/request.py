"""A listing as a caller gives it, made into the texts that the audit reads."""

from __future__ import annotations

from collections.abc import Collection, Mapping

from auditor.errors import FieldError, UsageError
from auditor.programs.values import cell_text
from auditor.rulebook.built_in import load_contract

REQUEST_ID = "id"  # passed through by the command and the stream, no part of the listing


def cells_of(listing: Mapping[str, object], *, strict: bool = True, own: Collection[str] = ()) -> dict[str, str]:
    """The listing's fields as text.  Numbers become text as a person writes them: 850.0 is "850".

    None, NaN and the missing values of pandas, numpy and Arrow are blank.  Unknown fields are an error, or dropped
    where `strict` is false.  `own` are the fields of a retailer's own rule book.
    Raises FieldError, a UsageError, for a field that does not exist or a value that is no text, number or truth
    value; UsageError for a listing that is no mapping.
    """
    if not isinstance(listing, Mapping):
        raise UsageError(f"A listing should be a mapping of field names to values, not a {type(listing).__name__}.")
    known = load_contract().fields
    cells: dict[str, str] = {}
    for name, value in listing.items():
        if name in known or name in own:
            cells[name] = value if type(value) is str else cell_text(name, value)
        elif strict and name != REQUEST_ID:
            raise FieldError(_unknown(name, own), str(name))
    return cells


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
