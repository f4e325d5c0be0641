"""What a run keeps of every feed to its end takes few bytes, and says what was counted."""

from __future__ import annotations

import pickle
from collections import Counter

from auditor.engine.filled_cells import FilledCells
from auditor.engine.rule_counts import RuleCounts


def test_counts_by_rule_are_those_that_were_counted() -> None:
    counts = RuleCounts({"load-overstated": 70_000, "rim-off": 1}).with_more({"rim-off": 2, "age-unknown": 3})
    assert counts.counted() == Counter({"load-overstated": 70_000, "rim-off": 3, "age-unknown": 3})
    assert RuleCounts().counted() == Counter()


def test_filled_cells_are_those_that_were_counted() -> None:
    counted = {("Nordwind", 2, ""): 300, ("Nordwind", 2, "max_load_kg"): 290, ("Kestrel Wheel", 3, ""): 1}
    kept = FilledCells(counted)
    assert {key: kept[key] for key in counted} == counted
    assert kept["Nordwind", 3, ""] == kept["Nobody", 2, ""] == kept["Nordwind", 9, ""] == FilledCells()["", 0, ""] == 0


def test_a_small_feed_takes_a_fraction_of_what_a_dictionary_would() -> None:
    counted = {(f"supplier {one}", source, ""): 3 for one in range(15) for source in range(25)}
    kept = FilledCells(counted)
    assert kept._numbers.nbytes == len(counted)
    assert len(pickle.dumps(kept._suppliers)) < 500
