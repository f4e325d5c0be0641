"""Between which load indices each row of the load bands ends: a step more or less, or another factor, is seen here.

What the bands are worth is asked by `tests/reference/test_load_band.py`; these ends are those that came of it.
"""

from __future__ import annotations

import pytest

import auditor
from auditor.marking import Marking
from auditor.trade.load_band import Other, load_band_kg
from auditor.trade.tables import default_tables

TABLES = default_tables()
ENDS = [
    ("metric", "", "", "225/65R17", (99, 108)),
    ("metric", "SL", "", "225/65R17", (99, 104)),
    ("metric", "XL", "", "225/65R17", (103, 108)),
    ("metric", "HL", "", "225/65R17", (107, 111)),
    ("metric", "LL", "", "225/65R17", (93, 102)),
    ("p-metric", "", "", "P225/65R17", (99, 106)),
    ("p-metric", "SL", "", "P225/65R17", (99, 104)),
    ("p-metric", "XL", "", "P225/65R17", (103, 108)),
    ("p-metric", "HL", "", "P225/65R17", (107, 111)),
    ("p-metric", "LL", "", "P225/65R17", (93, 102)),
    ("lt-metric", "", "", "LT245/75R16", (105, 124)),
    ("lt-metric", "", "C", "LT245/75R16", (105, 110)),
    ("lt-metric", "", "D", "LT245/75R16", (111, 116)),
    ("lt-metric", "", "D", "LT305/75R16", (118, 123)),
    ("lt-metric", "", "E", "LT245/75R16", (115, 121)),
    ("lt-metric", "", "E", "LT305/75R16", (123, 129)),
    ("lt-metric", "", "F", "LT245/75R16", (118, 125)),
    ("lt-metric", "", "F", "LT305/75R16", (127, 135)),
    ("lt-metric", "", "G", "LT245/75R16", (121, 128)),
    ("flotation", "", "", "31x10.50R15LT", (96, 120)),
    ("flotation", "", "C", "31x10.50R15LT", (99, 111)),
    ("flotation", "", "D", "31x10.50R15LT", (104, 110)),
    ("flotation", "", "E", "31x10.50R15LT", (107, 119)),
    ("flotation", "", "F", "31x10.50R15LT", (111, 118)),
    ("commercial", "", "", "215/65R16C", (103, 117)),
    ("commercial", "", "C", "215/65R16C", (103, 108)),
    ("commercial", "", "D", "215/65R16C", (105, 111)),
    ("commercial", "", "E", "215/65R16C", (111, 118)),
    ("commercial", "", "", "215/65R12C", (96, 121)),
    ("commercial", "", "D", "215/65R12C", (96, 121)),
    ("commercial", "", "E", "215/65R12C", (96, 121)),
    ("special-trailer", "", "", "ST225/75R15", (104, 125)),
    ("special-trailer", "", "C", "ST225/75R15", (104, 109)),
    ("special-trailer", "", "D", "ST225/75R15", (110, 115)),
    ("special-trailer", "", "E", "ST225/75R15", (115, 119)),
    ("special-trailer", "", "F", "ST225/75R15", (118, 122)),
    ("special-trailer", "", "G", "ST225/75R15", (121, 125)),
    ("temporary-spare", "", "", "T145/70R17", (100, 108)),
    ("truck-metric", "", "", "315/80R22.5", (138, 170)),
    ("motorcycle", "", "", "120/70R17 M/C", (55, 70)),
    ("numeric", "", "", "155R13", (76, 86)),
    ("agricultural", "", "", "520/85R38", (147, 178)),
]


def ends_of(family: str, version: str, letter: str, size: str) -> tuple[int, int]:
    """The lowest and the highest load index inside of a band."""
    marking = auditor.decode(size)
    assert isinstance(marking, Marking) and marking.rim_diameter_in is not None
    low, high = load_band_kg(marking, TABLES.rim_of(marking.rim_diameter_in), TABLES, Other(family, version, letter))
    assert low is not None and high is not None
    inside = [index for index, load_kg in enumerate(TABLES.load_kg) if low <= load_kg <= high]
    return inside[0], inside[-1]


@pytest.mark.parametrize(("family", "version", "letter", "size", "ends"), ENDS)
def test_each_band_ends_where_it_did(family: str, version: str, letter: str, size: str, ends: tuple[int, int]) -> None:
    assert ends_of(family, version, letter, size) == ends


def test_every_row_is_asked() -> None:
    asked = {row[:3] for row in ENDS}
    assert asked == {
        (family, row.load_version, row.load_range) for family, rows in TABLES.load_bands.items() for row in rows
    }
    assert len(ENDS) == sum(len(rows) for rows in TABLES.load_bands.values())
