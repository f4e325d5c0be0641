"""Loads and speeds that a text gives as a share of the load at some speed are no claims of the tire's own."""

from __future__ import annotations

import pytest

import auditor

VAN = {"marking": "215/65R16C 109/107T"}


@pytest.mark.parametrize(
    "text",
    [
        "At 40 km/h it may carry 25 % more: 1,287 kg.",  # UN R54 Annex 8
        "Bei 40 km/h sind 25 % mehr erlaubt, also 1.287 kg.",
        "At 240 km/h only 91 % of it may be used, 938 kg.",  # UN R30, as of a V tire
    ],
)
def test_a_share_is_no_claim(text: str) -> None:
    assert auditor.audit_listing(VAN | {"description": text}).findings == ()


@pytest.mark.parametrize("text", ["20 % off. Carries 1,287 kg.", "Carries 1,287 kg, now 20 % off."])
def test_a_discount_is_no_share(text: str) -> None:
    found = auditor.audit_listing(VAN | {"description": text}).findings
    assert [one.rule for one in found] == ["load-overstated"]


@pytest.mark.parametrize(
    ("marking", "text", "told"),
    [
        ("205/55R16 91V", "Full load up to 210 km/h.", False),  # UN R30, from memory
        ("205/55R16 91V", "Max. load 615 kg up to 130 mph", False),
        ("225/45R17 94Y XL", "Volle Traglast bis 270 km/h", False),
        ("205/55R16 91W", "Full load up to 210 km/h.", True),
        ("205/55R16 91V", "It carries 615 kg and is good for up to 210 km/h.", True),
        ("205/55R16 91V", "Top speed up to 210 km/h.", True),
        ("205/55R16 91V", "Full load up to 270 km/h.", True),
    ],
)
def test_a_speed_of_full_load_is_no_top_speed(marking: str, text: str, told: bool) -> None:
    found = auditor.audit_listing({"marking": marking, "description": text}).findings
    assert bool(found) == told
