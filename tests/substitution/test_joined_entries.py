"""Tires in one cell of substitutes, however they are joined, as a text and as a column."""

from __future__ import annotations

import pyarrow as pa
import pytest

from auditor.across.block_offers import split_cells
from auditor.substitution.offers import marking_of, parted

ONE, OTHER = "205/55R16 91V", "205/55R16 88V"


@pytest.mark.parametrize(
    "joined",
    ["{} / {}", "{} or {}", "{} oder {}", "{} bzw. {}", "• {} • {}", "1) {} 2) {}", "{}<br>{}", "{}; {}", "{} & {}"],
)
def test_each_is_an_entry(joined: str) -> None:
    cell = joined.format(ONE, OTHER)
    entries = [entry for entry in parted(cell) if entry]
    assert [marking_of(entry) for entry in entries] == [ONE, OTHER]
    assert [entry for entry in split_cells(pa.array([cell]))[0].as_py() if entry] == entries


@pytest.mark.parametrize("cell", ["LT245/75R16 120/116S", "205/55 R 16 91V", "31x10.50R15LT 109S", "8.00-16"])
def test_one_tire_is_one_entry(cell: str) -> None:
    assert parted(cell) == [cell]
    assert split_cells(pa.array([cell]))[0].as_py() == [cell]
