"""Every pair of the reference files gets the answer of the trade, for the right reason."""

from __future__ import annotations

import pyarrow as pa
import pytest

import auditor
from auditor.rulebook.book import load_book
from tests.reference.substitutes import Pair, mistakes, own_pairs, trial_pairs

PAIRS = [*own_pairs(), *trial_pairs()]


def test_there_are_enough_of_each_answer() -> None:
    assert len(PAIRS) > 300
    for answer in ("yes", "no", "cannot tell"):
        assert sum(pair.answers == (answer,) for pair in PAIRS) > 50


@pytest.mark.parametrize("pair", PAIRS, ids=[f"{pair.old} -> {pair.new}" for pair in PAIRS])
def test_pair(pair: Pair) -> None:
    assert mistakes(pair) == ""


def test_a_feed_that_offers_every_pair_is_told_of_those_that_are_a_no() -> None:
    """In both directions, by the rule of a point that fails."""
    pairs = [pair for pair in PAIRS if not pair.required and not pair.market]
    rows = []
    for at, pair in enumerate(pairs):
        rows.append({"sku": f"O-{at}", "marking": pair.old, "substitutes": f"N-{at}", "replaces": ""})
        rows.append({"sku": f"N-{at}", "marking": pair.new, "substitutes": "", "replaces": f"O-{at}"})
    found: dict[str, list[str]] = {}
    for row in auditor.audit(pa.Table.from_pylist(rows)).findings.to_pylist():
        if row["rule"].startswith("substitute-"):
            found.setdefault(row["sku"], []).append(row["rule"])
    rule_of = {point["name"]: point.get("rule") for point in load_book().substitute_points}
    for at, pair in enumerate(pairs):
        answer = auditor.substitute(pair.old, pair.new)
        offered, replacing = (found.get(f"{end}-{at}", []) for end in "ON")
        assert offered == replacing, pair
        assert len(offered) == (answer.answer == "no"), pair
        assert set(offered) <= {rule_of[name] for name in answer.with_outcome("fails")}, pair
