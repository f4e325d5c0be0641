"""What is overstated is found, and what is right is left alone, whatever fields the facts of a tire stand in.

Loads and speeds are those of the load index and speed symbol tables (UN R30 Annex 4, UN R54 Annexes 4 and 6, as
`rules/tables` holds them); the tires are sizes of every family.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

import pytest

import auditor
from auditor.trade.patterns import Pattern
from auditor.trade.tables import default_tables
from auditor.trade.units import KG_PER_LB, KMH_PER_MPH

Listing = dict[str, str]
NAME = "Brenmoor Talvik"
_SPLIT = Pattern(r"[A-Z]*([0-9]+)/([0-9]+)Z?R([0-9.]+)(?:LT|C)?")


class Tire(NamedTuple):
    """A size with its service description, and the next faster symbol."""

    size: str
    index: int
    dual: int | None
    symbol: str
    faster: str
    behind: str = ""

    @property
    def service(self) -> str:
        return f"{self.index}/{self.dual}{self.symbol}" if self.dual else f"{self.index}{self.symbol}"

    @property
    def marking(self) -> str:
        return f"{self.size} {self.service}{self.behind}"

    @property
    def fields(self) -> Listing:
        """The service description in cells of its parts."""
        dual = {"load_index_dual": str(self.dual)} if self.dual else {}
        return {"load_index": str(self.index), **dual, "speed_symbol": self.symbol}


TIRES = (
    Tire("225/65R17", 102, None, "H", "V"),
    Tire("P225/65R17", 100, None, "T", "H"),
    Tire("205/55ZR16", 91, None, "W", "Y"),
    Tire("255/55R19", 111, None, "V", "W", " XL"),
    Tire("LT245/75R16", 120, 116, "S", "T"),
    Tire("235/65R16C", 115, 113, "R", "S"),
    Tire("195R14C", 106, 104, "Q", "R"),
    Tire("ST205/75R15", 107, 102, "M", "N"),
    Tire("315/80R22.5", 156, 150, "L", "M"),
    Tire("11R22.5", 148, 145, "M", "N"),
    Tire("120/70ZR17", 58, None, "W", "Y"),
    Tire("130/90-16", 67, None, "H", "V"),
    Tire("480/70R34", 143, None, "A8", "B"),
    Tire("14.9-24", 126, None, "A6", "A8"),
    Tire("35X12.50R17LT", 121, None, "Q", "R"),
)


def layouts(tire: Tire) -> Iterator[tuple[str, Listing]]:
    """The fields in which a listing may say what tire it is."""
    size, whole = {"size": tire.size}, f"{NAME} {tire.marking}"
    yield "marking", {"marking": tire.marking}
    yield "size, service description", {**size, "service_description": tire.service}
    yield "size, index, symbol", {**size, **tire.fields}
    yield "size, title", {**size, "title": whole}
    yield "size as marking, title", {"marking": tire.size, "title": f"{whole} A/T"}
    yield "size, description", {**size, "description": f"{NAME}, size {tire.marking}."}
    indices = f"{tire.index}/{tire.dual}" if tire.dual else f"{tire.index}"
    said = f"Load index: {indices}. Speed symbol: {tire.symbol}."
    if len(tire.symbol) == 1:  # texts name vehicles and models A6 and A8
        yield "size, index and symbol in a text", {**size, "description": said}
        yield "title of a size, index and symbol in a text", {"title": f"{NAME} {tire.size}", "description": said}
    index, symbol = {"load_index": tire.fields["load_index"]}, {"speed_symbol": tire.symbol}
    for name, part in (("index", index), ("symbol", symbol)):
        yield f"size, {name}, service description", {**size, **part, "service_description": tire.service}
        yield f"size, {name}, title", {**size, **part, "title": whole}
        yield (
            f"title of a size, {name}, description",
            {
                "title": f"{NAME} {tire.size}",
                **part,
                "description": f"{NAME}, size {tire.marking}.",
            },
        )
    part = {"marking": f"{tire.size} {tire.index}{tire.behind}"}
    yield "size with an index, service description", {**part, "service_description": tire.service}
    yield "size with an index, title", {**part, "title": whole}
    yield "size with an index, description", {**part, "description": f"{NAME}, size {tire.marking}."}
    yield (
        "size with an index, dual index, symbol",
        {**part, **{name: text for name, text in tire.fields.items() if name != "load_index"}},
    )
    yield "title", {"title": whole}
    yield "title of a size, index, symbol", {"title": f"{NAME} {tire.size}", **tire.fields}
    yield "description", {"description": f"{NAME}, size {tire.marking}."}
    yield "every text", {"marking": tire.marking, "title": whole, "description": f"The Talvik in {tire.marking}."}
    if (found := _SPLIT.fullmatch(tire.size)) and tire.size[0].isdigit() and tire.size[-1].isdigit():
        names = ("section_width_mm", "aspect_ratio", "rim_diameter_in")
        split = dict(zip(names, found.groups(), strict=True))
        yield "split size, index, symbol", {**split, **tire.fields}
        yield "split size, title", {**split, "title": whole}
        yield "split size, service description", {**split, "service_description": tire.service}


def stated(index: int, dual: int | None, symbol: str) -> Listing:
    """Loads and speeds of a service description, in all units."""
    tables = default_tables()
    found = {}
    for name, one in (("max_load", index), ("max_load_dual", dual)):
        if load := tables.load_of(one):
            found |= {f"{name}_kg": f"{load:g}", f"{name}_lb": f"{load / KG_PER_LB:.0f}"}
    speed = tables.speed_of(symbol)
    assert speed is not None
    return {**found, "max_speed_kmh": f"{speed:g}", "max_speed_mph": f"{speed / KMH_PER_MPH:.0f}"}


CASES = [pytest.param(tire, layout, id=f"{tire.size}: {name}") for tire in TIRES for name, layout in layouts(tire)]


@pytest.mark.parametrize(("tire", "layout"), CASES)
def test_what_is_right_is_left_alone(tire: Tire, layout: Listing) -> None:
    right = stated(tire.index, tire.dual, tire.symbol)
    for cells in (right, {}, *({name: cell} for name, cell in right.items())):
        found = auditor.audit_listing({**layout, **cells}).findings
        assert not [one for one in found if one.grade != "minor"], cells


@pytest.mark.parametrize(("tire", "layout"), CASES)
def test_what_is_overstated_is_critical(tire: Tire, layout: Listing) -> None:
    right = stated(tire.index, tire.dual, tire.symbol)
    above = stated(tire.index + 3, tire.dual + 3 if tire.dual else None, tire.faster)
    for name, cell in above.items():
        for beside in ({}, right):  # alone, and among what is right
            found = auditor.audit_listing({**layout, **beside, name: cell}).findings
            assert any(one.grade == "critical" for one in found), (name, cell)
    for said in (f"Carries {above['max_load_kg']} kg.", f"Rated to {above['max_speed_mph']} mph."):
        text = f"{layout.get('description', '')} {said}".strip()
        found = auditor.audit_listing({**layout, "description": text}).findings
        assert any(one.grade == "critical" for one in found), said
