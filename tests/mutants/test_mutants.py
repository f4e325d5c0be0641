"""The fixed ten mutants are noticed by the edges alone, and the script finds what it should change."""

from __future__ import annotations

from collections import Counter
from pathlib import Path

import pytest

from tests.mutants.fixed import FIXED, mutant_of
from tests.mutants.running import run_all
from tests.mutants.sites import Mutant, all_mutants, chosen
from tests.mutants.targets import SHARES

LADDERS = "tests/edges/test_ladders.py::test_a_feed_of_every_rung_is_answered_as_pinned"


def test_the_fixed_ten_are_noticed() -> None:
    assert len(FIXED) == 10
    only = {mutant_of(one): f"{LADDERS}[{one.room}]" for one in FIXED}
    # Whether they hold on the unchanged tree is what these tests themselves say, each in its place of the whole run.
    done = run_all(list(only), only=only, holding=only.values())
    assert {str(one.mutant): one.state for one in done} == dict.fromkeys(map(str, only), "killed")


def test_numbers_and_signs_are_found_in_every_kind_of_file(tmp_path: Path) -> None:
    every = all_mutants()
    assert set(Counter(mutant.kind for mutant in every)) == set(SHARES)
    assert any(mutant.file == "rules/policy.toml" and mutant.old == "1.2" for mutant in every)
    assert not any(mutant.old == mutant.new for mutant in every)
    for mutant in every[:: len(every) // 50]:
        copy = tmp_path / mutant.file
        copy.parent.mkdir(parents=True, exist_ok=True)
        before = (Path(__file__).parents[2] / mutant.file).read_text(encoding="utf-8")
        copy.write_text(before, encoding="utf-8")
        mutant.apply(tmp_path)
        assert copy.read_text(encoding="utf-8") != before, mutant


def test_the_same_seed_draws_the_same() -> None:
    every = all_mutants()
    drawn = chosen(every, 40, seed=3)
    assert drawn == chosen(every, 40, seed=3) != chosen(every, 40, seed=4)
    assert len({mutant[:3] for mutant in drawn}) == 40


def test_a_mutant_of_another_text_is_refused(tmp_path: Path) -> None:
    (tmp_path / "a.py").write_text("x = 2\n", encoding="utf-8")
    with pytest.raises(ValueError, match="reads 'x = 2"):
        Mutant("a.py", 1, 4, 5, "3", "4").apply(tmp_path)
