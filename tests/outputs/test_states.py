"""What a ledger knows, in words."""

from __future__ import annotations

from auditor.outputs.states import day_in_words, leads_with_new, state_of_group


def test_the_state_of_a_repeated_mistake_in_words() -> None:
    assert state_of_group({}) == ""
    assert state_of_group({"states": {"new": 7, "standing": 0}, "first_night": "2026-11-28"}) == "new"
    asked = {"states": {"new": 0, "asked": 7}, "first_night": "2026-11-02"}
    assert state_of_group(asked) == "asked since 2 November 2026"
    mixed = {"states": {"new": 1, "standing": 1200, "accepted": 3}, "first_night": "2026-11-02"}
    assert state_of_group(mixed) == "1 new, 1,200 standing, 3 accepted since 2 November 2026"


def test_outputs_lead_with_what_is_new_where_there_is_an_old() -> None:
    assert not leads_with_new({"night": "2026-11-28"})
    assert not leads_with_new({"night_before": None, "states": {"new": 8}})
    assert not leads_with_new({"night_before": "2026-11-27", "states": {"new": 0}})
    assert leads_with_new({"night_before": "2026-11-27", "states": {"new": 1}})
    assert day_in_words("") == ""
