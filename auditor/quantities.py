"""What a cell says: numbers with units, pairs, ranges, codes.  "1,360 kg" -> 1360.0 kg."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal


@dataclass(frozen=True, slots=True)
class Reading:
    """One value read from a cell, in the unit of its field."""

    field: str  # the contract field it is a value of (a kg/lb cell yields max_load_kg and max_load_lb)
    value: float | str  # a number in the field's unit; a canonical code for code fields
    half_step: float = 0.0  # half of the last stated digit, in the field's unit
    unit: str | None = None  # the unit written in the cell, None where none was
    open_ended: bool = False  # "300+", "above 300"


@dataclass(frozen=True, slots=True)
class CellReading:
    """Everything a cell says.  `blank` covers the spellings of "unknown" ("N/A", "-", "0" where 0 cannot be)."""

    status: Literal["blank", "read", "unreadable"]
    readings: tuple[Reading, ...] = ()
    reason: str = ""  # for unreadable: one sentence


def read_cell(
    text: str,
    field: str,
    *,
    unit: str | None = None,
    decimal: str | None = None,
) -> CellReading:
    """Reads one cell of `field`; `unit` is the column's unit where it is not the field's own.  Never raises."""
    raise NotImplementedError
