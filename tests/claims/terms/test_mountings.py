"""Loads of single and dual mounting that stand together go by the order of their names, in titles and sales texts.

Loads of indices 115 and 113: UN R54, annex 4 (the table that `rules/tables` holds).
"""

from __future__ import annotations

from itertools import product

import pytest

import auditor
from auditor.claims.own_cells import own_of
from auditor.claims.terms.lexicon import lexicon_of
from auditor.claims.texts import read_claims

LEXICON = lexicon_of()
MARKING = "235/65R16C 115/113R"  # 1,215 kg single, 1,150 kg dual
NAMES = (
    "Load capacity (single / dual):", "Max load single/twin", "Tragfähigkeit (Einzel/Zwilling):",
    "Capacité de charge (simple/jumelé) :", "Portata (singolo / gemellato):", "Carga (simple/gemelos):",
    "Carga (single/dual):",
)  # fmt: skip
BEHIND = ("single / twin", "(single/dual)")
FIGURES = ("{}/{} kg", "{} / {} kg", "{} kg / {} kg", "{}kg/{}kg", "{} - {} kg", "{} kg - {} kg")
LINES = [
    *(f"{name} {figures}" for name, figures in product(NAMES, FIGURES)),
    *(f"Load capacity: {figures} {names}" for names, figures in product(BEHIND, FIGURES)),
]


def _held(text: str, field: str) -> list[str]:
    found = auditor.audit_listing({"marking": MARKING, field: text}).findings
    return [finding.rule for finding in found if finding.grade != "minor"]


@pytest.mark.parametrize("field", ["title", "description"])
def test_right_loads_are_left_alone_and_wrong_ones_found(field: str) -> None:
    assert [line for line in LINES if _held(line.format(1215, 1150), field)] == []
    assert [line for line in LINES if "load-overstated" not in _held(line.format(1320, 1150), field)] == []
    assert [line for line in LINES if not _held(line.format(1215, 1250), field)] == []


@pytest.mark.parametrize(
    ("text", "loads"),
    [
        ("Load (dual/single): 1,150 kg / 1,215 kg", {1215.0, 1150.0}),
        ("Single 1,215 kg, dual 1,150 kg", {1215.0, 1150.0}),
        ("Max load kg (single/dual): 1215/1150", {1215.0, 1150.0}),
    ],
)
def test_each_load_is_of_its_own_mounting(text: str, loads: set[float]) -> None:
    said = read_claims(text, LEXICON, own_of(MARKING, "", ""), False)
    single = {one.value for one in said if one.field == "max_load_kg"}
    dual = {one.value for one in said if one.field == "max_load_dual_kg"}
    assert (single, dual) == ({max(loads)}, {min(loads)})


def test_a_load_as_a_force() -> None:
    assert _held("Each tire may carry 11.9 kN.", "description") == []
    assert _held("Each tire may carry 12.9 kN.", "description") == ["load-overstated"]
    assert _held("Each tire costs 450 kn.", "description") == []


def test_a_load_in_tonnes_is_cut_off_and_not_rounded_up() -> None:
    assert _held("Each tire carries 1.2 t.", "description") == []
    assert _held("Each tire carries 1.3 t.", "description") == ["load-overstated"]
    assert _held("Each tire carries 1.0 t.", "description") == ["load-understated"]
