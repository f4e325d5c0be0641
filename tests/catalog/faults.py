"""All kinds of mistakes, and cases of them by the number."""

from __future__ import annotations

from collections.abc import Iterable

from tests.catalog import (
    faults_cells,
    faults_load,
    faults_marking,
    faults_other,
    faults_size,
    faults_speed,
    faults_text,
)
from tests.catalog.cases import FAULTS, Case, Expect, Fault
from tests.catalog.valid import Maker

MODULES = (faults_load, faults_speed, faults_text, faults_size, faults_marking, faults_other, faults_cells)


def cases(maker: Maker, each: int, kinds: Iterable[str] | None = None) -> list[Case]:
    """`each` cases of every kind, kind after kind."""
    return [FAULTS[kind].case(maker) for kind in (kinds or FAULTS) for _ in range(each)]


__all__ = ["FAULTS", "Case", "Expect", "Fault", "cases"]
