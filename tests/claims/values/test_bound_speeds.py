"""A speed that stands beside a speed symbol is said of the tires that have the symbol, whatever else is said."""

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
