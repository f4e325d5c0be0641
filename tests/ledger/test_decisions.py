"""Decisions: what they let through, how long, what ends them, and what is refused."""

from __future__ import annotations

from dataclasses import replace

import pytest

from auditor.ledger.asked import AskedDecision, DecisionLimits
from auditor.ledger.decisions import TakenDecisions, take_decisions
from auditor.ledger.deliveries import last_night
from auditor.ledger.night import opened
from auditor.ledger.telling import forget_before, said_to_be_wrong, story
from tests.ledger.nights import CRITICAL, MAJOR, MINOR, Found, night

A, B, C = Found("a"), Found("b"), Found("c")
DANGER = Found("d", grade=CRITICAL)
FIRST, SECOND, THIRD, FOURTH = (f"2026-03-0{day}" for day in range(1, 5))
ACCEPT = AskedDecision("row 2", A.key, "accept")
WHOLE = AskedDecision("row 2", DANGER.key, "accept", "checked on the sidewall", "2026-05-30", "M. Aalto")


def decide(place: str, *asked: AskedDecision) -> TakenDecisions:
    with opened(place) as database:
        database.begin(1)
        night_now = last_night(database)
        assert night_now is not None
        done = take_decisions(database, asked, night_now, DecisionLimits(90))
        database.commit()
        return done


def test_an_accepted_finding_no_longer_holds_its_listing(place: str) -> None:
    found = [replace(A, record=7), replace(A, sku="a2", grade=MINOR, record=7), B]
    night(place, FIRST, found)
    assert decide(place, ACCEPT).taken == 1
    second = night(place, SECOND, found)
    assert second.states == ["accepted", "standing", "standing"]
    assert second.let_through == [(0, 7, MINOR, "Northern")]  # held no more, and a minor one is left


def test_an_asked_one_still_does(place: str) -> None:
    night(place, FIRST, [A])
    assert decide(place, replace(ACCEPT, decision="ask", by="Bo")).taken == 1
    second = night(place, SECOND, [A])
    assert (second.states, second.let_through) == (["asked"], [])


def test_a_decision_lasts_until_its_end(place: str) -> None:
    night(place, FIRST, [A])
    decide(place, replace(ACCEPT, until=SECOND))
    assert night(place, SECOND, [A]).states == ["accepted"]
    assert night(place, THIRD, [A]).states == ["standing"]


@pytest.mark.parametrize(
    "changed",
    [
        [Found("a", stated="975")],
        [Found("a", marking="225/65R17 100H")],
        [Found("a", grade=CRITICAL)],
        [],
    ],
)
def test_a_decision_is_void_when_what_it_was_taken_on_changes(place: str, changed: list[Found]) -> None:
    night(place, FIRST, [A])
    decide(place, ACCEPT)
    second = night(place, SECOND, changed)
    assert "accepted" not in second.states
    assert sum(second.told.ended_decisions.values()) == 1
    third = night(place, THIRD, [A])
    assert "accepted" not in third.states  # not even when all is as it was


def test_a_decision_waits_for_a_feed_that_was_not_delivered(place: str) -> None:
    night(place, FIRST, [A])
    decide(place, ACCEPT)
    assert night(place, SECOND, [], feeds=["south"]).told.ended_decisions == {}
    assert night(place, THIRD, [A]).states == ["accepted"]


def test_listings_of_one_key_are_let_through_by_their_marking(place: str) -> None:
    other = replace(A, marking="225/65R17 100H")
    night(place, FIRST, [A, other])
    with opened(place) as database:
        chosen = story(database, A.key)["marking"]
    decide(place, ACCEPT)
    second = night(place, SECOND, [A, other])
    assert second.states == ["accepted" if one.marking == chosen else "standing" for one in (A, other)]


def test_the_word_wrong_is_accepted_under_the_same_limits_and_told_as_a_case(place: str) -> None:
    night(place, FIRST, [DANGER, A])
    done = decide(place, replace(WHOLE, decision="wrong", by=""), replace(ACCEPT, decision="wrong", because="no slip"))
    assert done.refused == ["row 2: a critical finding needs a name to be let through."]
    assert night(place, SECOND, [DANGER, A]).states == ["standing", "accepted"]
    with opened(place) as database:
        assert list(said_to_be_wrong(database)) == [
            {
                "id": "a:950",
                "listing": {"supplier": "Northern", "marking": "225/65R17 102H", "max_load_kg": "950"},
                "expect": "nothing above minor",
                "minor_allowed": [],
                "note": "load-overstated on max_load_kg: no slip",
                "source": "said to be wrong on the night 2026-03-01",
            }
        ]


@pytest.mark.parametrize(
    ("asked", "why"),
    [
        (replace(WHOLE, because=" "), "a critical finding needs a reason to be let through"),
        (replace(WHOLE, until=""), "a critical finding needs an end to be let through"),
        (replace(WHOLE, by="", until=""), "a critical finding needs an end and a name to be let through"),
        (
            replace(WHOLE, until="2026-05-31"),
            "its end 2026-05-31 is beyond 2026-05-30, 90 days from now, the most for a critical one",
        ),
        (replace(WHOLE, until="2026-02-28"), "its end 2026-02-28 is past on the night 2026-03-01"),
        (replace(ACCEPT, until="2026-02-28"), "its end 2026-02-28 is past on the night 2026-03-01"),
        (replace(ACCEPT, until="31.03.2026"), "its end '31.03.2026' is no date; write it as 2026-03-31"),
        (replace(ACCEPT, decision="fix"), "'fix' is no decision; there are accept, ask, wrong"),
        (replace(ACCEPT, key=""), "its key is missing"),
        (
            replace(ACCEPT, key="zz"),
            "the ledger knows no finding with the key zz; is it of another ledger, or was the key edited?",
        ),
        (
            replace(ACCEPT, stated="975"),
            "its key is that of another finding: its value is '975', the ledger has '950'",
        ),
        (
            replace(ACCEPT, marking="205/55R16 91V"),
            "its key is that of another finding: its marking is '205/55R16 91V', the ledger has '225/65R17 102H'",
        ),
        (
            replace(ACCEPT, night="2026-02-01"),
            "the ledger knows its finding, but not on the night 2026-02-01",
        ),
    ],
)
def test_what_is_refused(place: str, asked: AskedDecision, why: str) -> None:
    night(place, FIRST, [A, DANGER])
    done = decide(place, asked, replace(ACCEPT, key=A.key, source="good.xlsx") if asked.key != A.key else asked)
    assert done.refused[0] == f"row 2: {why}."
    assert done.taken == (asked.key != A.key)  # a bad row spoils no other


def test_ninety_days_are_the_most(place: str) -> None:
    night(place, FIRST, [DANGER])
    assert decide(place, WHOLE).refused == []
    assert night(place, SECOND, [DANGER]).states == ["accepted"]


def test_a_finding_that_is_gone_takes_no_decision(place: str) -> None:
    night(place, FIRST, [A, B])
    night(place, SECOND, [B])
    assert decide(place, replace(ACCEPT, night=FIRST)).refused == [f"row 2: its finding is gone since {SECOND}."]


def test_a_marking_that_changed_since_the_report_is_named(place: str) -> None:
    night(place, FIRST, [A])
    night(place, SECOND, [replace(A, marking="225/65R17 100H")])
    assert decide(place, replace(ACCEPT, night=FIRST)).refused == [
        "row 2: the marking changed since then, from '225/65R17 102H' to '225/65R17 100H'."
    ]


def test_of_two_workbooks_the_later_wins_and_the_other_is_named(place: str) -> None:
    night(place, FIRST, [A])
    night(place, SECOND, [A])
    early = replace(ACCEPT, place="one.xlsx, row 2", source="one.xlsx", night=FIRST, by="Ann")
    late = replace(ACCEPT, place="two.xlsx, row 2", source="two.xlsx", night=SECOND, decision="ask")
    done = decide(place, early, late)
    assert (done.taken, done.refused) == (2, [])
    assert done.replaced == ["two.xlsx, row 2: replaces the earlier decision 'accept' by Ann, one.xlsx."]
    in_force = f"a decision of the night {SECOND} (two.xlsx) is in force"
    assert decide(place, early).refused == [f"one.xlsx, row 2: it was read from the night {FIRST}, and {in_force}."]
    assert night(place, THIRD, [A]).states == ["asked"]


def test_one_workbook_that_says_two_things_is_not_believed(place: str) -> None:
    night(place, FIRST, [A])
    done = decide(place, ACCEPT, replace(ACCEPT, place="row 9", decision="ask"))
    assert (done.taken, len(done.refused)) == (0, 2)
    assert done.refused[1] == "row 9: the same finding is decided in two ways (row 2, row 9)."


def test_what_is_in_force_already_is_no_decision(place: str) -> None:
    night(place, FIRST, [A])
    decide(place, replace(ACCEPT, until=SECOND))
    night(place, SECOND, [A])
    night(place, THIRD, [A])
    again = decide(place, replace(ACCEPT, until=SECOND, night=SECOND))
    assert (again.taken, again.refused, again.replaced) == (0, [], [])  # although its end is past by now


def test_a_group_is_decided_on_each_member_of_that_night(place: str) -> None:
    group = [replace(one, in_group="slip") for one in (A, B)]
    night(place, FIRST, group)
    done = decide(place, AskedDecision("row 3", "slip", "accept"))
    assert (done.taken, done.findings) == (1, 2)
    second = night(place, SECOND, [*group, replace(C, in_group="slip")])
    assert second.states == ["accepted", "accepted", "new"]  # a later member is held
    assert [row[1] for row in second.let_through] == [1, 2]


def test_a_group_of_an_earlier_night_is_that_of_its_members_then(place: str) -> None:
    night(place, FIRST, [replace(A, in_group="slip")])
    night(place, SECOND, [replace(one, in_group="slip") for one in (A, B)])
    assert decide(place, AskedDecision("row 3", "slip", "accept", night=FIRST)).findings == 1
    assert night(place, THIRD, [A, B]).states == ["accepted", "standing"]


def test_a_critical_column_may_be_asked_about_but_not_accepted(place: str) -> None:
    column = [Found(sku, in_column="column", grade=CRITICAL) for sku in "ab"]
    night(place, FIRST, column)
    whole = replace(WHOLE, key="column")
    assert decide(place, whole).refused == [
        "row 2: a critical finding about a whole column can be asked about, not accepted as a whole."
    ]
    assert decide(place, replace(whole, decision="ask")).findings == 2
    assert night(place, SECOND, column).states == ["asked", "asked"]


def test_a_major_column_is_accepted_on_its_members(place: str) -> None:
    column = [Found(sku, in_column="column", grade=MAJOR) for sku in "ab"]
    night(place, FIRST, column)
    assert decide(place, replace(ACCEPT, key="column")).findings == 2
    assert night(place, SECOND, [Found("a"), Found("b"), C]).states == ["accepted", "accepted", "new"]


def test_forgetting_keeps_first_nights_and_decisions_in_force(place: str) -> None:
    night(place, FIRST, [A, B])
    decide(place, ACCEPT, replace(ACCEPT, key=B.key, decision="ask"))
    night(place, SECOND, [A])
    night(place, THIRD, [A])
    with opened(place) as database:
        database.begin(1)
        counts = forget_before(database, FOURTH)
        database.commit()
        database.tidy()
        assert counts == {"findings": 1, "decisions": 1, "deliveries": 2, "nights": 2}
        assert story(database, A.key)["stays"][0]["first_night"] == FIRST
    fourth = night(place, FOURTH, [A])
    assert (fourth.states, fourth.first_nights) == (["accepted"], [FIRST])


def test_a_story(place: str) -> None:
    night(place, FIRST, [A])
    night(place, SECOND, [])
    night(place, THIRD, [A])
    night(place, FOURTH, [replace(A, marking="225/65R17 100H")])
    decide(place, replace(ACCEPT, because="agreed", by="Ann", until="2026-04-01"))
    with opened(place) as database:
        told = story(database, A.key)
    assert told["state"] == "accepted"
    assert told["stays"] == [
        {"first_night": FIRST, "last_night": FIRST, "gone": SECOND, "changes": []},
        {
            "first_night": THIRD,
            "last_night": FOURTH,
            "gone": None,
            "changes": [
                {"night": FOURTH, "what": "marking", "before": "225/65R17 102H", "now": "225/65R17 100H"},
            ],
        },
    ]
    assert [(one["decision"], one["taken"], one["by"]) for one in told["decisions"]] == [("accept", FOURTH, "Ann")]
