"""A load or a speed that a load index or a speed symbol is said to stand for is of the tires that have it."""

from __future__ import annotations

import pytest

import auditor


def _found(marking: str, text: str) -> set[str]:
    findings = auditor.audit_listing({"marking": marking, "description": text}).findings
    return {one.rule for one in findings if one.grade != "minor"}


@pytest.mark.parametrize(
    ("marking", "text"),
    [
        ("295/80R22.5 152/148M", "La M significa 120 km/h."),
        ("LT245/70R17 119/116Q E", "Con la Q si arriva a 170 km/h."),
        ("195/65R15 91H", "The H stands for 118 mph."),
        ("205/55R16 91V", "Das V erlaubt 210 km/h."),
    ],
)
def test_a_speed_that_the_own_symbol_has_not_is_told(marking: str, text: str) -> None:
    """It is untrue of this tire, whomever the sentence speaks of."""
    assert _found(marking, text) & {"speed-overstated", "speed-understated"}


@pytest.mark.parametrize(
    ("marking", "text"),
    [
        ("295/80R22.5 152/148M", "La M significa 130 km/h."),
        ("195/65R15 91H", "The V stands for 149 mph."),
        ("205/55R16 91V", "Das H erlaubt 210 km/h."),
        ("215/45R17 91W XL", "Le Y s'arrête à 300 km/h."),
    ],
)
def test_the_speed_of_another_symbol_is_none_of_this_tire(marking: str, text: str) -> None:
    """What explains another symbol is not held against the marking, nor is what is right."""
    assert not _found(marking, text)


@pytest.mark.parametrize(
    ("marking", "text", "rule"),
    [
        ("225/65R17 102H", "Load index 102 stands for 950 kg, whatever the bike weighs.", "load-overstated"),
        ("195R14C 106/104Q", "106 steht für 1.060 kg, gut für den Bagger auf dem Hänger.", "load-overstated"),
        ("LT245/75R16 120/116S E", "116 = 1,400 kg in pairs.", "load-overstated"),
        ("225/65R17 102H", "H equals 149 mph, plenty with a limiter at 90.", "speed-overstated"),
        ("225/65R17 102H", "Au camping : H (240 km/h)", "speed-overstated"),
    ],
)
def test_what_an_own_code_is_said_to_stand_for_is_told(marking: str, text: str, rule: str) -> None:
    """Whomever the rest speaks of, the code has one value."""
    assert rule in _found(marking, text)


@pytest.mark.parametrize(
    ("marking", "text"),
    [
        ("225/65R17 102H", "Load index 106 stands for 950 kg and load index 102 for 850."),
        ("225/65R17 102H", "Load index 102 does not stand for 950 kg."),
        ("225/65R17 102H", "Would 102 mean 950 kg?"),
        ("225/65R17 102H", "The Transit H means 190 km/h on the motorway."),
        ("LT245/75R16 120/116S E", "116 = 1,250 kg in pairs, 120 = 1,400 kg."),
        ("225/65R17 102H", "From H to 240 km/h in one step: that was the wish of a customer."),
    ],
)
def test_what_no_own_code_is_said_to_stand_for_is_left(marking: str, text: str) -> None:
    """What is denied, asked, of another code or beside a name explains no code of this tire."""
    assert not _found(marking, text)
