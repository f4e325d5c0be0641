"""What the attack found stays mended, and a short one finds nothing new."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from tests.attack.invariants import check_listings
from tests.attack.worker import check_batch, check_files

FOUND = Path(__file__).parent / "found"
FILES = sorted(path for path in FOUND.iterdir() if path.suffix != ".listing")


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.name)
def test_a_file_that_was_found_stays_mended(tmp_path: Path, path: Path) -> None:
    assert sum(check_files(tmp_path, {path.name: path.read_bytes()}, both=True)) >= 1


def test_listings_that_were_found_are_judged_alike_by_both_paths() -> None:
    listings = json.loads((FOUND / "listings.listing").read_text())
    check_listings(listings)


@pytest.mark.parametrize("number", range(6))
def test_a_short_attack_finds_nothing(number: int) -> None:
    assert sum(check_batch(7, number).values()) > 0
