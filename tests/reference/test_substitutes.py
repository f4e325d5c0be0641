"""Every pair of the reference files gets the answer of the trade, for the right reason."""

from __future__ import annotations

import pytest

from tests.reference.substitutes import Pair, mistakes, own_pairs, trial_pairs

PAIRS = [*own_pairs(), *trial_pairs()]


def test_there_are_enough_of_each_answer() -> None:
    assert len(PAIRS) > 300
    for answer in ("yes", "no", "cannot tell"):
        assert sum(pair.answers == (answer,) for pair in PAIRS) > 50


@pytest.mark.parametrize("pair", PAIRS, ids=[f"{pair.old} -> {pair.new}" for pair in PAIRS])
def test_pair(pair: Pair) -> None:
    assert mistakes(pair) == ""
