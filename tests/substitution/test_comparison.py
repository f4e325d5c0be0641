"""The comparison of two tires: the same over arrays as over one pair, and what has to hold of every pair."""

from __future__ import annotations

from functools import cache
from typing import Any

import numpy as np
import pytest

from auditor.judging.vocabulary import arrays, scalars
from auditor.marking import Marking
from auditor.rulebook.book import load_book
from auditor.substitution.comparison import POINTS, Outcomes, compare
from auditor.substitution.facts import NO_TIRE, TireFacts, tire_facts
from auditor.substitution.limits import CANNOT_TELL, FAILS, HOLDS, Limits, limits_of
from auditor.substitution.reading import read_tire
from auditor.trade.tables import default_tables
from tests.reference.substitutes import own_pairs, trial_pairs

TEXTS = sorted({text for pair in (*own_pairs(), *trial_pairs()) for text in (pair.old, pair.new)})


@cache
def facts(text: str) -> TireFacts:
    found = read_tire(text)
    return tire_facts(found, default_tables()) if isinstance(found, Marking) else NO_TIRE


@cache
def limits(market: str = "all") -> Limits:
    return limits_of(load_book().substitute_points, market, default_tables())


def grid(required: bool = False) -> tuple[Any, Any, Outcomes]:
    """Every text against every text, as arrays."""
    matrix = np.array([facts(text) for text in TEXTS]).T
    old, new = np.divmod(np.arange(len(TEXTS) ** 2), len(TEXTS))
    found = compare(arrays, TireFacts(*matrix[:, old]), TireFacts(*matrix[:, new]), limits("EU"), required)
    return old, new, found


@pytest.mark.parametrize("required", [False, True])
def test_arrays_and_one_pair_say_the_same(required: bool) -> None:
    old, new, found = grid(required)
    columns = [np.broadcast_to(column, old.shape) for column in found]
    for place in np.random.default_rng(19).choice(len(old), 3000, replace=False).tolist():
        one = compare(scalars, facts(TEXTS[old[place]]), facts(TEXTS[new[place]]), limits("EU"), required)
        for name, single, column in zip(Outcomes._fields, one, columns, strict=True):
            pair = TEXTS[old[place]], TEXTS[new[place]], name
            assert single == column[place] or (single != single and column[place] != column[place]), pair


def test_a_yes_is_never_lower_in_anything_that_both_markings_say() -> None:
    """Held against the facts alone, without the comparison's own words."""
    old, new, found = grid()
    yes = np.flatnonzero(found.answer(arrays) == HOLDS)
    assert len(yes) > 400
    for place in yes.tolist():
        one, other = facts(TEXTS[old[place]]), facts(TEXTS[new[place]])
        pair = TEXTS[old[place]], TEXTS[new[place]]
        assert one.rim == other.rim and one.rim_kind == other.rim_kind, pair
        assert max(other.load_kg, other.load_2_kg if other.second else 0.0) >= one.load_kg, pair
        assert not other.dual_kg < one.dual_kg or other.second, pair
        assert not other.plies < one.plies or one.kind == 0.0, pair
        assert one.kind == other.kind and one.construction == other.construction, pair
        assert other.speed_kmh >= one.speed_kmh or other.winter or other.second, pair
        assert other.version >= one.version or one.version != one.version, pair


def test_a_tire_stands_in_for_itself_or_cannot_be_told() -> None:
    for text in TEXTS:
        found = compare(scalars, facts(text), facts(text), limits())
        assert found.answer(scalars) in (HOLDS, CANNOT_TELL), text


def test_two_tires_that_stand_in_for_each_other_say_the_same() -> None:
    _, _, found = grid()
    answers = found.answer(arrays).reshape(len(TEXTS), len(TEXTS))
    for one, other in np.argwhere((answers == HOLDS) & (answers.T == HOLDS)).tolist():
        a, b = facts(TEXTS[one]), facts(TEXTS[other])
        if not (a.second or b.second):
            assert a.load_kg == b.load_kg and (a.speed_kmh == b.speed_kmh or a.winter or b.winter)


@pytest.mark.parametrize("slower", ["T", "Q"])
def test_a_slower_winter_tire_goes_by_the_market(slower: str) -> None:
    old, new = facts("205/55R16 91V"), facts(f"205/55R16 91{slower} 3PMSF")
    outcomes = {market: compare(scalars, old, new, limits(market)).speed for market in ("EU", "US", "all")}
    assert outcomes == {"EU": HOLDS, "US": FAILS, "all": CANNOT_TELL}


@pytest.mark.parametrize(
    ("old", "new", "point", "outcome"),
    [
        ("225/65R17 102H", "225/65R17 102H", "rim", HOLDS),
        ("31x10.50R15LT 109S C", "LT265/75R15 112S C", "diameter", HOLDS),  # 764 to 795 mm against 779
        ("31x10.50R15LT 109S C", "LT255/75R15 109S C", "diameter", CANNOT_TELL),  # against 763
        ("31x10.50R15LT 109S C", "LT215/75R15 100S C", "diameter", FAILS),
        ("185/70R14 88T", "185/70R14 88T RF", "load-version", HOLDS),
        ("225/45R17 94W RF", "225/45R17 94W", "load-version", CANNOT_TELL),
        ("235/75R17.5 143/141J FRT", "235/75R17.5 143/141J", "kind", HOLDS),
        ("315/80R22.5 156/150L", "315/80R22.5 156/150L NHS", "kind", FAILS),
        ("245/40ZR19 93V", "245/40R19 98V XL", "speed", CANNOT_TELL),  # ZR and V contradict each other
        ("205-640R440A 95V", "205-640R440A 95V", "diameter", HOLDS),
        ("120/70ZR17 M/C (58W)", "120/70ZR17 M/C", "speed", CANNOT_TELL),
        ("205/70R15C 106/104S", "LT205/70R15 104/101S C", "kind", CANNOT_TELL),
        ("3.50-10 51J", "3.50-10 51J MOPED", "kind", CANNOT_TELL),
        ("25x8-12 43J", "31x10.50R15LT 109S C", "kind", FAILS),
    ],
)
def test_point(old: str, new: str, point: str, outcome: float) -> None:
    found = compare(scalars, facts(old), facts(new), limits())
    assert found[POINTS.index(point)] == outcome
