"""The size families, one file each, all of one shape: `RANK`, `STANDARD`, `EXAMPLES`, `FAMILY`, `claims()`.

A family is named after its file.  They are asked in the order of `RANK`; the first that claims a size has it.  A new
family is one new file here, and its rows among the reference markings.
"""

from __future__ import annotations

import importlib
from functools import cache
from typing import TYPE_CHECKING, Protocol

from auditor.trade.family import FAMILIES, FAMILY_NUMBER, Family
from auditor.trade.marking_model import ServiceDescription

if TYPE_CHECKING:  # what a family is can be told without reading sizes
    from auditor.marking.shape import Size

OFF_ROAD_RIMS = frozenset({25.0, 29.0, 33.0, 35.0, 39.0, 43.0, 45.0, 49.0, 51.0, 57.0, 63.0})


class FamilyFile(Protocol):
    """What each file in this folder offers."""

    RANK: int
    STANDARD: str  # the standard that defines the family
    EXAMPLES: tuple[str, ...]  # canonical markings
    FAMILY: Family  # what the facts of a marking take from it

    def claims(self, size: Size, service: ServiceDescription, letters: frozenset[str]) -> bool:
        """Whether the size is of this family."""
        ...


@cache
def family_file(name: str) -> FamilyFile:
    """The file of a family, loaded when first asked for: a clean marking needs but one of them."""
    file: FamilyFile = importlib.import_module(f"{__name__}.{name.replace('-', '_')}")
    return file


@cache
def family_named(name: str) -> Family:
    """The family of that name."""
    return family_file(name).FAMILY._replace(name=name, number=FAMILY_NUMBER[name])


@cache
def _in_turn() -> tuple[tuple[str, FamilyFile], ...]:
    return tuple(sorted(((name, family_file(name)) for name in FAMILIES), key=lambda pair: pair[1].RANK))


def family_of(size: Size, service: ServiceDescription, letters: frozenset[str]) -> Family | None:
    """The family that claims the size, or None."""
    for name, file in _in_turn():
        if file.claims(size, service, letters):
            return family_named(name)
    return None


def low_speed_or_heavy(service: ServiceDescription, index: int) -> bool:
    """Whether the service description is one of a slow machine, or its load index is `index` or more."""
    slow = service.speed_symbol is not None and service.speed_symbol[0] in "ABCDE"
    return slow or (service.load_index or 0) >= index
