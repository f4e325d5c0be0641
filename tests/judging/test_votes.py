"""Votes against the marking go by the tolerances of the policy, as every other judgement does."""

from __future__ import annotations

from pathlib import Path

import pytest

import auditor
from auditor.programs.one_listing import audit_one
from auditor.rulebook.book import load_book

FASTER = {
    "marking": "225/65R17 102H",
    "max_speed_kmh": "214",
    "title": "Larkmoor Vista, top speed 214 km/h",
    "rim_diameter_in": "16",
}


def rules_of(listing: dict[str, str], policy: Path | None = None) -> dict[str, str]:
    """The message of each rule that speaks."""
    return {one.rule: one.message for one in audit_one(listing, load_book(policy=policy)).findings}


def test_two_statements_outvote_the_marking() -> None:
    found = rules_of(FASTER)
    assert "(max_speed_kmh, title) agree on something else" in found["marking-contradicted"]


@pytest.mark.parametrize(
    ("tolerance", "listing"),
    [
        ("speed]\nkmh = 5.0", FASTER),
        ("width]\nmm = 20.0", {"marking": "225/65R17 102H", "section_width_mm": "245", "size": "245/65R17"}),
        (
            "load]\nkg = 60.0",
            {"marking": "225/65R17 102H", "max_load_kg": "900", "load_index": "104", "rim_diameter_in": "16"},
        ),
    ],
    ids=["speed", "width", "load"],
)
def test_a_wider_tolerance_lets_votes_agree_with_the_marking(
    tolerance: str, listing: dict[str, str], tmp_path: Path
) -> None:
    policy = tmp_path / "policy.toml"
    policy.write_text(f"[tolerance.{tolerance}\n", encoding="utf-8")
    on_marking = [
        finding.message
        for finding in audit_one(listing, load_book(policy=policy)).findings
        if finding.rule == "marking-contradicted" and finding.field == "marking"
    ]
    assert on_marking == []
    plain = audit_one(listing, load_book()).findings
    assert any(finding.rule == "marking-contradicted" and finding.field == "marking" for finding in plain)


def test_evidence_is_never_empty_where_the_marking_is_outvoted(tmp_path: Path) -> None:
    policy = tmp_path / "policy.toml"
    policy.write_text("[tolerance.speed]\nkmh = 5.0\n", encoding="utf-8")
    assert not any("()" in message for message in rules_of(FASTER, policy).values())


@pytest.mark.parametrize(
    ("stated", "rule", "derived"),
    [
        ("1000", "load-understated", "1120"),
        ("1190", "load-understated", "1215"),
        ("1300", "load-overstated", "1215"),
    ],
)
def test_what_lies_above_one_description_is_held_against_the_other(stated: str, rule: str, derived: str) -> None:
    listing = {"marking": "225/70R15C 112/110T (115/113N)", "max_load_kg": stated}
    (finding,) = audit_one(listing, load_book()).findings
    assert (finding.rule, finding.derived) == (rule, derived)
    assert f"{int(derived):,} kg" in finding.message
    assert finding.suggestion == ""


def test_a_check_keeps_to_the_suppliers_of_the_policy(tmp_path: Path) -> None:
    policy = tmp_path / "policy.toml"
    policy.write_text(
        '[[off]]\nrule = "winter-without-snow-mark"\nsuppliers = ["Northfield Supply"]\nwhy = "agreed"\n',
        encoding="utf-8",
    )
    winter = {"marking": "225/65R17 102H", "season": "winter", "severe_snow": "no"}
    assert "winter-without-snow-mark" not in rules_of({**winter, "supplier": "Northfield Supply"}, policy)
    assert "winter-without-snow-mark" in rules_of({**winter, "supplier": "Holt and Daughter"}, policy)


@pytest.mark.parametrize(
    "cell", [{"speed_symbol": "V (240 km/h)"}, {"max_speed_kmh": "240 km/h (V)"}, {"load_index": "103 (875 kg)"}]
)
def test_one_cell_is_one_vote_however_often_it_says_a_thing(cell: dict[str, str]) -> None:
    (finding,) = audit_one({"marking": "225/65R17 102H", **cell}, load_book()).findings
    assert [finding.field] == list(cell) and finding.grade == "critical"


def test_a_cell_of_two_facts_and_another_one_outvote_the_marking() -> None:
    listing = {"marking": "225/65R17 102H", "speed_symbol": "V (240 km/h)", "max_speed_mph": "149"}
    (finding,) = audit_one(listing, load_book()).findings
    assert (finding.rule, finding.field) == ("marking-contradicted", "marking")


@pytest.mark.parametrize(("cell", "suggestion"), [("96V", "96H"), ("99H", "96H"), ("99V", "96H")])
def test_a_finding_names_the_cell_that_states_a_fact_beside_its_own(cell: str, suggestion: str) -> None:
    (finding,) = audit_one({"marking": "215/60R17 96H", "load_index": cell}, load_book()).findings
    assert (finding.field, finding.column) == ("load_index", "load_index")
    assert finding.suggestion == suggestion


@pytest.mark.parametrize(
    ("listing", "field"),
    [
        (
            {
                "size": "205/60R16",
                "load_index": "92",
                "speed_symbol": "V",
                "max_speed_kmh": "210",
                "title": "205/60R16 92H",
            },
            "speed_symbol",
        ),
        (
            {
                "size": "205/60R16",
                "load_index": "96",
                "speed_symbol": "V",
                "max_load_kg": "630",
                "title": "205/60R16 92V",
            },
            "load_index",
        ),
        ({"marking": "205/60R16 92V", "max_speed_kmh": "210", "title": "205/60R16 92H"}, "marking"),
        (
            {
                "size": "215/65R16C",
                "load_index": "109",
                "load_index_dual": "109",
                "speed_symbol": "T",
                "max_load_dual_kg": "975",
                "title": "215/65R16C 109/107T",
            },
            "load_index_dual",
        ),
    ],
)
def test_the_cell_that_gave_the_outvoted_part_is_named(listing: dict[str, str], field: str) -> None:
    found = {one.rule: one.field for one in audit_one(listing, load_book()).findings}
    assert found["marking-contradicted"] == field


SPLIT = {
    "section_width_mm": "215",
    "aspect_ratio": "65",
    "rim_diameter_in": "17",
    "load_index": "98",
    "speed_symbol": "H",
}
TITLE = {"title": "Korvane Quartal 215/65R16 98H"}


@pytest.mark.parametrize(
    ("cells", "fields"),
    [
        # 215/65R16 is 686 mm, 215/65R17 712 mm: UN Regulation No. 30, 6.1.2 (from memory)
        ({**SPLIT, **TITLE, "overall_diameter_mm": "686"}, {"rim_diameter_in"}),
        ({**SPLIT, **TITLE, "overall_diameter_in": "27.0"}, {"rim_diameter_in"}),
        ({**SPLIT, **TITLE, "overall_diameter_mm": "712"}, {"title"}),
        ({**SPLIT, **TITLE}, {"title"}),
        ({"marking": "215/65R17 98H", "size": "215/65R16", "overall_diameter_mm": "686"}, {"marking"}),
        ({**SPLIT, **TITLE, "overall_diameter_mm": "660"}, {"title", "overall_diameter_mm"}),
    ],
)
def test_a_diameter_votes_for_the_size_that_it_is_of(cells: dict[str, str], fields: set[str]) -> None:
    assert {one.field for one in auditor.audit_listing(cells).findings if one.grade != "minor"} == fields


@pytest.mark.parametrize(
    ("title", "told"),
    [
        ("460/85R34 150A8/147B", False),
        ("460/85R34 150A8", False),
        ("460/85R34 147B", False),
        ("460/85R34 147A8/144B", True),
        ("460/85R34 147A8", True),
    ],
)
def test_load_and_speed_of_two_descriptions_go_together(title: str, told: bool) -> None:
    found = auditor.audit_listing({"marking": "460/85R34 150A8/147B", "title": f"Korvane Acre {title}"}).findings
    assert [one.rule for one in found] == ["marking-contradicted"] * told
