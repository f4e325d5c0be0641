"""The size families, one file each, all of one shape: `NAME`, `RANK`, `STANDARD`, `EXAMPLES`, `claims()`.

They are asked in the order of `RANK`; the first that claims a size has it.  A new family is one new file here.
"""

from __future__ import annotations

import importlib
import os
from typing import Protocol

from auditor.marking.shape import Size
from auditor.trade.marking_model import ServiceDescription

OFF_ROAD_RIMS = frozenset({25.0, 29.0, 33.0, 35.0, 39.0, 43.0, 45.0, 49.0, 51.0, 57.0, 63.0})


class Family(Protocol):
    """What each file in this folder offers."""

    NAME: str
    RANK: int
    STANDARD: str  # the standard that defines the family
    EXAMPLES: tuple[str, ...]  # canonical markings

    def claims(self, size: Size, service: ServiceDescription, letters: frozenset[str]) -> bool:
        """Whether the size is of this family."""
        ...


def low_speed_or_heavy(service: ServiceDescription, index: int) -> bool:
    """Whether the service description is one of a slow machine, or its load index is `index` or more."""
    slow = service.speed_symbol is not None and service.speed_symbol[0] in "ABCDE"
    return slow or (service.load_index or 0) >= index


def _load() -> tuple[Family, ...]:
    # A plain listing: walking with pkgutil would cost more start-up time than all the families together.
    files = sorted(os.listdir(os.path.dirname(__file__)))  # noqa: PTH120, PTH208
    names = [file[:-3] for file in files if file.endswith(".py") and file != "__init__.py"]
    found: list[Family] = [importlib.import_module(f"{__name__}.{name}") for name in names]
    return tuple(sorted(found, key=lambda family: family.RANK))


LOADED = _load()
NAMES = tuple(family.NAME for family in LOADED)


def family_of(size: Size, service: ServiceDescription, letters: frozenset[str]) -> str | None:
    """Name of the family that claims the size, or None."""
    for family in LOADED:
        if family.claims(size, service, letters):
            return family.NAME
    return None
