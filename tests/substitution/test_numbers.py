"""Every number of the points is held by a pair of markings on each of its sides."""

from __future__ import annotations

from collections.abc import Iterator
from copy import deepcopy
from typing import Any

import pytest

from auditor.judging.vocabulary import scalars
from auditor.marking import Marking
from auditor.rulebook.book import load_book
from auditor.substitution.comparison import POINTS, compare
from auditor.substitution.facts import TireFacts, tire_facts
from auditor.substitution.limits import CANNOT_TELL, FAILS, HOLDS, limits_of
from auditor.substitution.reading import read_tire
from auditor.trade.tables import default_tables

SPECS = load_book().substitute_points
# Point and limit -> pairs inside and outside: (old, new, outcome).
HELD = {
    ("diameter", "percent"): [
        ("155/65R14 75T", "155/60R14 75T", HOLDS),  # -2.9 %
        ("205/60R16 92H", "205/65R16 95H", FAILS),  # +3.1 %
    ],
    ("load", "passenger_divisor"): [
        ("LT235/75R15 104/101R C", "235/75R15 108T XL", HOLDS),  # 1,000 / 1.10 = 909 against 900
        ("LT235/75R15 104/101R C", "235/75R15 107T XL", FAILS),  # 975 / 1.10 = 886
    ],
    ("load", "band_room"): [
        ("205/55R16 91V", "205/55R16 96V", HOLDS),
        ("205/55R16 91V", "205/55R16 98V", CANNOT_TELL),  # 750 kg, where the size is made for up to 699
    ],
    ("load-range", "passenger_plies"): [
        ("P235/75R15 105S 6PR", "P235/75R15 105S", None),
        ("P235/75R15 105S 8PR", "P235/75R15 105S", CANNOT_TELL),
    ],
}


def facts(text: str) -> TireFacts:
    found = read_tire(text)
    assert isinstance(found, Marking)
    return tire_facts(found, default_tables())


def outcome(old: str, new: str, point: str, specs: Any) -> float | None:
    limits = limits_of(specs, "all", default_tables())
    found: float = compare(scalars, facts(old), facts(new), limits)[POINTS.index(point)]
    return found if found == found else None


def numbers() -> Iterator[tuple[str, str]]:
    for spec in SPECS:
        for name, value in spec.get("limits", {}).items():
            if isinstance(value, int | float):
                yield spec["name"], name


def test_every_number_has_its_pairs() -> None:
    assert set(numbers()) == set(HELD)


@pytest.mark.parametrize(("point", "limit"), HELD)
def test_number(point: str, limit: str) -> None:
    for old, new, wanted in HELD[point, limit]:
        assert outcome(old, new, point, SPECS) == wanted, (old, new)
    for factor in (0.0, 1.5):
        changed = deepcopy(list(SPECS))
        for spec in changed:
            if spec["name"] == point:
                spec["limits"][limit] = max(
                    factor * spec["limits"][limit], 1.0 if limit == "passenger_divisor" else 0.0
                )
        answers = [outcome(old, new, point, changed) for old, new, _ in HELD[point, limit]]
        assert answers != [wanted for _, _, wanted in HELD[point, limit]], factor
