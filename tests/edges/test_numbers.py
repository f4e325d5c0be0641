"""Every number of the rule book is held by a listing on each of its sides, or it is said why none can tell it."""

from __future__ import annotations

from fnmatch import fnmatchcase

from tests.edges.numbers import is_held, numbers
from tests.edges.paths import book

# No listing tells these from a third more or less; by their keys, with `*` for any.
UNTOLD = {
    "causes.cause.converted-badly.factors.kmh.2": "what 1.61 makes of a speed lies within its tolerance",
    "causes.cause.converted-badly.factors.mm.1": "what 25.5 makes of a length lies within what no rule finds",
    "listing_fields.possible.*.0": "of most quantities only one of 1.36 and 1360 can be, wherever the ends are",
    "listing_fields.possible.*.1": "of most quantities only one of 1.36 and 1360 can be, wherever the ends are",
    "size.rule.rim-in-millimeters.limits.from_mm": "no rim lies between the largest in inches and the least in mm",
    "marking.rule.marking-contradicted.limits.size.*": "sizes are alike, or further apart than any of these",
    "policy.tolerance.width.in": "a half inch and the next nominal width are a twentieth of an inch apart",
    "pressure.rule.pressure-not-permitted.limits.usual_*": "they are named in the sentence, and judge nothing",
    **{
        f"pressure.rule.pressure-impossible.limits.usual_kpa.{family}.*": "another rule tells of these families, but "
        "for the market of the EU: tests/judging/checks/test_pressures.py"
        for family in ("metric", "p-metric", "temporary-spare")
    },
    "*.detail.*": "it chooses the sentence, and an edge goes by what is found",
    "texts.rule.text-contradicted.limits.usual_plies": "it is named in the sentence, and judges nothing",
    "identity.rule.suppliers-disagree.limits.*": "two listings tell them: tests/across/test_slight_disputes.py",
    "substitute_points.*": "pairs of markings tell them: tests/substitution/test_numbers.py",
    "policy.night.*": "it is about deliveries, not listings: tests/ledger/test_deliveries.py",
    "speed.rule.speed-units-disagree.limits.usual.max_speed_mph.1": "no speed of the table is near it",
}
TOLD_ALL_THE_SAME = ("max_load.", "max_load_dual.", "tire_weight.1", "section_width.1", "max_pressure.1")


def test_every_number_is_held() -> None:
    rules = book()
    loose = [
        number.key
        for number in numbers()
        if not any(fnmatchcase(number.key, key) for key in UNTOLD) and not is_held(number, rules)
    ]
    assert not loose, "\n".join(["no listing in tests/edges tells these from a third more or less:", *loose])


def test_ends_of_what_can_be_are_held_where_two_numbers_can_be() -> None:
    ends = [number for number in numbers() if number.path[0] == "possible"]
    wanted = [one for one in ends if any(f"possible.{name}" in one.key for name in TOLD_ALL_THE_SAME)]
    assert len(wanted) >= len(TOLD_ALL_THE_SAME)
    assert not [one.key for one in wanted if not is_held(one, book())]


def test_what_is_said_of_untold_numbers_is_about_some() -> None:
    keys = [number.key for number in numbers()]
    assert not [key for key in UNTOLD if not any(fnmatchcase(one, key) for one in keys)]
