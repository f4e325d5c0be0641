"""What is said of a listing does not hang on the order of its members, of its feed's columns, or on its neighbors."""

from __future__ import annotations

import random
from collections.abc import Sequence
from typing import Any

import pyarrow as pa
import pytest

import auditor
from auditor.programs.verdict import IN_JSON
from tests.trials.listings import FOLDER, read

LISTINGS = [row["listing"] for row in read([FOLDER / "listings.jsonl"])]


def shuffled(listing: dict[str, str], dice: random.Random) -> dict[str, str]:
    names = list(listing)
    dice.shuffle(names)
    return {name: listing[name] for name in names}


@pytest.mark.parametrize("seed", range(3))
def test_the_order_of_members_changes_nothing(seed: int) -> None:
    dice = random.Random(seed)
    for listing in LISTINGS:
        assert auditor.audit_listing(shuffled(listing, dice)) == auditor.audit_listing(listing), listing


def test_a_service_description_in_the_symbol_field_is_read_wherever_it_stands() -> None:
    listing = {"marking": "225/65R17", "speed_symbol": "102H", "load_index": "100", "max_load_kg": "850"}
    verdicts = {repr(auditor.audit_listing(shuffled(listing, random.Random(seed)))) for seed in range(24)}
    assert len(verdicts) == 1


def findings_of(names: Sequence[str], listings: Sequence[dict[str, str]]) -> list[list[dict[str, Any]]]:
    table = pa.table({name: [listing.get(name, "") for listing in listings] for name in names})
    found: list[list[dict[str, Any]]] = [[] for _ in listings]
    for row in auditor.audit(table).findings.to_pylist():
        found[row["record"] - 1].append({name: row[name] for name in IN_JSON})
    return found


@pytest.mark.parametrize("seed", range(2))
def test_neither_columns_nor_neighbors_change_what_is_said_of_a_listing(seed: int) -> None:
    """Suppliers differ, so that no rule across listings has anything to say."""
    dice = random.Random(seed)
    listings = [{**listing, "supplier": f"Supplier {number}"} for number, listing in enumerate(LISTINGS[:120])]
    names = sorted({name for listing in listings for name in listing})
    usual = findings_of(names, listings)
    dice.shuffle(names)
    turn = list(range(len(listings)))
    dice.shuffle(turn)
    turned = findings_of(names, [listings[place] for place in turn])
    assert [turned[turn.index(place)] for place in range(len(listings))] == usual
