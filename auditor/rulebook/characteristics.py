"""What a marking settles: characteristics of a tire, and the statements of a listing that speak about each."""

from __future__ import annotations

from typing import Any, NamedTuple

from auditor.trade.units import factor_between, unit_of


class StatedBy(NamedTuple):
    """A field that states a characteristic; without a fact it votes, and is no evidence."""

    field: str
    fact: str = ""
    tolerance: str = ""
    allowance: str = ""
    table: str = ""  # of the trade's tables: turns the code into what is voted on
    factor: float | None = None  # from the field's unit to that of what is voted on; None for codes


class Characteristic(NamedTuple):
    """One thing that a marking settles.  See `rules/characteristics.toml`."""

    name: str
    half: str  # service | size
    fact: str
    floor: str
    tolerance: str
    allowance: str
    text_fact: str
    told_by_every_marking: bool
    graded_up: str  # always | higher | ""
    consequence: str
    certain_where: str  # lower | agreed | "": when what the marking says may be put into a cell
    statements: tuple[StatedBy, ...]
    also: tuple[str, ...]
    borne_out_by: tuple[str, ...]  # fields that bear out a size in a text against the marking
    tabled: frozenset[str]  # fields whose codes a table turns into what is voted on

    @property
    def fields(self) -> tuple[str, ...]:
        """Every field that speaks about it."""
        return (*(one.field for one in self.statements), *self.also)

    @property
    def of_service(self) -> bool:
        """Whether the service description settles it, and not the size."""
        return self.half == "service"


def _factor(field: str, fact: str) -> float | None:
    return factor_between(field, fact) if unit_of(field) else None


def characteristics_of(data: list[dict[str, Any]]) -> tuple[Characteristic, ...]:
    """Characteristics from checked data."""
    return tuple(
        Characteristic(
            name=one["name"],
            half=one["half"],
            fact=one["fact"],
            floor=one.get("floor", ""),
            tolerance=one["tolerance"],
            allowance=one.get("allowance", ""),
            text_fact=one["text_fact"],
            told_by_every_marking=one.get("told_by_every_marking", True),
            graded_up=one.get("graded_up", ""),
            consequence=one.get("consequence", ""),
            certain_where=one.get("certain_where", ""),
            statements=tuple(
                StatedBy(**line, factor=_factor(line["field"], one["fact"])) for line in one["statements"]
            ),
            also=tuple(one.get("also", [])),
            borne_out_by=tuple(one.get("borne_out_by", [])),
            tabled=frozenset(line["field"] for line in one["statements"] if line.get("table")),
        )
        for one in data
    )
