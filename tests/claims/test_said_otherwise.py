"""Versions, units and bounds that texts write in another way than most."""

from __future__ import annotations

import pytest

import auditor


def rules_of(marking: str, text: str) -> list[str]:
    return [one.rule for one in auditor.audit_listing({"marking": marking, "description": text}).findings]


@pytest.mark.parametrize(
    ("marking", "text"),
    [
        ("205/55R16 91V", "Each tyre of the XL version is good for 670 kg, so a loaded boot is no worry."),
        ("205/55R16 91V", "Each tyre in the XL version carries 670 kg."),
        ("155/65R14 75T", "Each tire carries just under 390 kg."),
        ("195/65R15 91H", "Top speed 130 m.p.h."),
        ("195/65R15 91H", "Top speed 210 k.m.h., tested."),
        ("205/55R16 91V", "akciós, 2 db"),
        ("LT315/70R17 121/118Q", "160 км/ц хүртэл"),
    ],
)
def test_right(marking: str, text: str) -> None:
    assert rules_of(marking, text) == []


@pytest.mark.parametrize(
    ("marking", "text", "rule"),
    [
        ("205/55R16 94V XL", "Each tyre of the XL version is good for 730 kg.", "load-overstated"),
        ("155/65R14 75T", "Each tire carries just under 460 kg.", "load-overstated"),
        ("195/65R15 91H", "Laden or empty, 149 m.p.h. is its top speed.", "speed-overstated"),
        ("LT315/70R17 121/118Q", "190 км/ц хүртэл", "speed-overstated"),
    ],
)
def test_untrue(marking: str, text: str, rule: str) -> None:
    assert rules_of(marking, text) == [rule]


@pytest.mark.parametrize("text", ["Homologué hiver au Québec.", "Omologato invernale.", "Winter approved."])
def test_an_approval_for_winter_is_no_season(text: str) -> None:
    listing = {"marking": "205/60R16 92V", "season": "all-season", "description": text}
    assert auditor.audit_listing(listing).findings == ()
