"""What reading one cell yields."""

from __future__ import annotations

from typing import Literal, NamedTuple


class Reading(NamedTuple):
    """One value read from a cell, in the unit of its field."""

    field: str  # the contract field it is a value of (a kg/lb cell yields max_load_kg and max_load_lb)
    value: float | str  # a number in the field's unit; a canonical code for code fields
    half_step: float = 0.0  # half of the last stated digit, in the field's unit
    unit: str | None = None  # the unit written in the cell, None where none was
    open_ended: bool = False  # "300+", "above 300"


class CellReading(NamedTuple):
    """Everything a cell says.  `blank` covers spellings of "unknown": "N/A", "-", "0" where 0 cannot be."""

    status: Literal["blank", "read", "unreadable"]
    readings: tuple[Reading, ...] = ()
    reason: str = ""  # for unreadable: one sentence
    strange: bool = False  # words that nobody knows stand beside what is read


BLANK = CellReading("blank")


def read_as(*readings: Reading) -> CellReading:
    """A cell that says something."""
    return CellReading("read", readings)


def unreadable(reason: str) -> CellReading:
    """A cell that says something, but nothing its field can mean; `reason` is one sentence."""
    return CellReading("unreadable", (), reason)
