"""EU label and U.S. quality grades through the whole audit of one listing, against the regulations.

Sources: Regulation (EC) No 661/2009, Article 8 (classes) and Annex II C (noise limits by class and width);
Regulation (EU) 2020/740, Annex I (label classes; the bounds of the noise classes from memory of it);
49 CFR 575.104 (uniform tire quality grading).
"""

from __future__ import annotations

import pytest

from auditor.programs.api import audit_listing


def rules_found(**cells: str) -> set[str]:
    return {finding.rule for finding in audit_listing(cells).findings}


# width in mm -> limit in dB for class C1, at both ends of each step of Annex II C
C1_LIMITS = [
    (145, 70),
    (185, 70),
    (195, 71),
    (215, 71),
    (225, 71),
    (245, 71),
    (255, 72),
    (275, 72),
    (285, 74),
    (325, 74),
]


@pytest.mark.parametrize(("width", "limit"), C1_LIMITS)
def test_noise_classes_of_c1_at_their_bounds(width: int, limit: int) -> None:
    cells = {"marking": f"{width}/65R16 95H", "load_version": "SL", "season": "summer", "tire_class": "C1"}
    for decibels, right in [(limit - 3, "A"), (limit - 2, "B"), (limit, "B"), (limit + 1, "C")]:
        for letter in "ABC":
            found = rules_found(**cells, noise_db=str(decibels), noise_class=letter)
            assert ("noise-class-mismatch" in found) == (letter != right), (width, decibels, letter)


def test_extra_load_adds_one_decibel() -> None:
    cells = {"marking": "235/65R17 108V XL", "noise_db": "72"}
    assert "noise-class-mismatch" not in rules_found(**cells, noise_class="B")
    assert "noise-class-mismatch" in rules_found(**cells, noise_class="C")


@pytest.mark.parametrize(
    ("marking", "tire_class"),
    [
        ("205/55R16 91V", "C1"),
        ("215/65R16C 109/107T", "C2"),
        ("195/75R16C 121/119N", "C2"),
        ("225/75R16C 121/120M", "C3"),
        ("315/80R22.5 156/150L", "C3"),
        ("7.50R16LT 122/120L", None),  # the class of a numeric light truck size is not judged
    ],
)
def test_tire_classes(marking: str, tire_class: str | None) -> None:
    for stated in ("C1", "C2", "C3"):
        found = "tire-class-mismatch" in rules_found(marking=marking, tire_class=stated)
        assert found == (tire_class is not None and stated != tire_class), stated


@pytest.mark.parametrize("field", ["fuel_class", "wet_grip_class"])
def test_label_classes_end_at_e(field: str) -> None:
    for letter in "ABCDE":
        assert "label-class-invalid" not in rules_found(marking="205/55R16 91V", **{field: letter})
    for letter in "FG":
        assert "label-class-invalid" in rules_found(marking="205/55R16 91V", **{field: letter})


@pytest.mark.parametrize("treadwear", [60, 300, 500, 620, 980])
def test_treadwear_in_steps_of_20(treadwear: int) -> None:
    assert "grade-invalid" not in rules_found(marking="225/65R17 102H", treadwear=str(treadwear))
    assert "grade-invalid" in rules_found(marking="225/65R17 102H", treadwear=str(treadwear + 10))
