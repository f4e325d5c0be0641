"""Many listings at once: the verdicts of one by one, in order, in bounded memory, errors in their place."""

from __future__ import annotations

import itertools
import tracemalloc
from collections.abc import Iterator

import pytest

import auditor
from auditor.programs.many import CHUNK, FEWEST
from tests.trials.listings import FOLDER, read

LISTINGS = [row["listing"] for row in read(sorted(FOLDER.glob("listings*.jsonl")))]
GOOD = {"marking": "225/65R17 102H", "max_load_kg": 850}


def test_each_listing_has_the_verdict_that_it_has_alone() -> None:
    together = list(auditor.audit_listings(LISTINGS))
    assert len(together) == len(LISTINGS) > 10 * FEWEST
    for listing, verdict in zip(LISTINGS, together, strict=True):
        assert verdict == auditor.audit_listing(listing), listing


@pytest.mark.parametrize("count", [0, 1, FEWEST - 1, FEWEST, CHUNK, CHUNK + 1])
def test_any_number_of_them_comes_back_in_order(count: int) -> None:
    loads = itertools.islice(itertools.cycle((850, 950, 850, 800)), count)
    listings = [{"marking": "225/65R17 102H", "max_load_kg": load} for load in loads]
    verdicts = list(auditor.audit_listings(listings))
    assert [verdict.released for verdict in verdicts] == [listing["max_load_kg"] == 850 for listing in listings]


def test_a_field_of_another_listing_is_not_there_and_empty() -> None:
    plain = {"marking": "215/65R16C 109/107T", "season": "winter", "mud_and_snow": "yes"}
    marked = {"marking": "225/65R17 102H", "season": "winter", "severe_snow": "yes"}
    empty = {**plain, "severe_snow": ""}
    verdicts = list(auditor.audit_listings([plain, marked, empty] * FEWEST))
    assert verdicts == [auditor.audit_listing(one) for one in (plain, marked, empty)] * FEWEST
    assert [len(verdict.findings) for verdict in verdicts[:3]] == [0, 0, 1]


def test_an_error_comes_in_the_place_of_its_listing() -> None:
    verdicts = auditor.audit_listings([GOOD] * 100 + [{"markin": "x"}] + [GOOD])
    assert sum(verdict.released for verdict in itertools.islice(verdicts, 100)) == 100
    with pytest.raises(auditor.FieldError, match="did you mean 'marking'"):
        next(verdicts)


def test_listings_are_taken_as_they_are_asked_for() -> None:
    taken = 0

    def endless() -> Iterator[dict[str, object]]:
        nonlocal taken
        while True:
            taken += 1
            yield GOOD

    verdicts = auditor.audit_listings(endless())
    assert next(verdicts).released
    assert taken == CHUNK


def test_any_number_costs_the_memory_of_a_chunk() -> None:
    def made(count: int) -> Iterator[dict[str, object]]:
        return ({"marking": f"225/65R17 {100 + number % 5}H", "sku": str(number)} for number in range(count))

    for _ in auditor.audit_listings(made(CHUNK)):
        pass  # what is kept for good is loaded now
    tracemalloc.start()
    for _ in auditor.audit_listings(made(CHUNK)):
        pass
    _, one = tracemalloc.get_traced_memory()
    tracemalloc.reset_peak()
    for _ in auditor.audit_listings(made(5 * CHUNK)):
        pass
    _, five = tracemalloc.get_traced_memory()
    tracemalloc.stop()
    assert five < 1.5 * one
