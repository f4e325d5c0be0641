"""What one text of a listing says, as numbers: the same for one listing and for a feed's distinct texts."""

from __future__ import annotations

from collections.abc import Mapping
from functools import lru_cache
from math import nan
from typing import NamedTuple

from auditor.quantities import read_cell
from auditor.quantities.blanks import is_blank
from auditor.quantities.figures_left import figures_left
from auditor.quantities.own_measures import OwnKind, own_measure
from auditor.trade.codes import code_number, is_code
from auditor.trade.tables import Tables

BLANK, READ, UNREADABLE = 0, 1, 2
DENIED = "denied:"  # begins the field of a claim that something is not so
SHORT = 40  # characters; only such cells are kept, so that what is kept stays small


class Said(NamedTuple):
    """One value that a text states; `occurrence` counts the values of one field in one text."""

    field: str
    occurrence: int
    value: float
    half_step: float
    open_ended: bool
    words: str


class Parsed(NamedTuple):
    """Everything one text says."""

    status: int
    said: tuple[Said, ...] = ()
    reason: str = ""


_STATUS = {"blank": BLANK, "read": READ, "unreadable": UNREADABLE}


def parse_cell(
    text: str,
    field: str,
    tables: Tables,
    unit: str | None = None,
    decimal: str | None = None,
    translate: Mapping[str, str] | None = None,
    own: OwnKind | None = None,
) -> Parsed:
    """Reads one cell; the first reading of each field counts.  `own` is what an own field holds."""
    if translate:
        text = translate.get(text.strip().casefold(), text)
    measure = own_measure(field, *own) if own else None
    found = read_cell(text, field, unit=unit, decimal=decimal, measure=measure)
    if found.status == "unreadable":
        left = figures_left(text, field, unit, decimal) if measure is None else []
        said_so = tuple(Said(name, place, value, 0.0, False, "") for place, (name, value) in enumerate(left))
        return Parsed(UNREADABLE, said_so, found.reason)
    said: dict[str, Said] = {}
    for reading in found.readings:
        if reading.field == "load_version" and reading.unit == "RF":
            continue  # run-flat or reinforced: never ground for a contradiction
        if reading.field not in said:
            value = code_or_number(reading.field, reading.value, tables)
            said[reading.field] = Said(reading.field, 0, value, reading.half_step, reading.open_ended, "")
    return Parsed(_STATUS[found.status], tuple(said.values()), found.reason)


@lru_cache(maxsize=16_384)
def parse_short_cell(text: str, field: str, tables: Tables, own: OwnKind | None = None) -> Parsed:
    """`parse_cell` for texts of at most SHORT characters, kept: one listing repeats what others stated."""
    return parse_cell(text, field, tables, own=own)


def code_or_number(field: str, value: float | str, tables: Tables) -> float:
    """What a statement says as a number: codes by their published order, NaN for texts that are no code."""
    if isinstance(value, str):
        return code_number(field, value, tables) if is_code(field) else nan
    return float(value)


def marking_text(text: str) -> str:
    """The text of a marking cell without blanks around it; empty where it only says that nothing is known."""
    text = text.strip()
    if any(map(str.isdecimal, text)):
        return text if text.strip("0./- ") else ""
    return "" if is_blank(text, "marking", letters_count=True) else text
