"""Dimensions against the European Commission JRC's vehicle model and the formulas of the UN Regulations."""

from __future__ import annotations

import csv
from pathlib import Path

import pytest

from auditor.marking.families import family_named
from auditor.trade.derive import derive, section_width_on_rim_mm
from auditor.trade.marking_model import Marking, ServiceDescription

# co2mpas 4.3.7, co2mpas.core.model.physical.wheels, calculate_tyre_dimensions and calculate_r_wheels.
# `left_out_because` names the rows on which the model itself cannot be compared with.
REFERENCE = Path(__file__).with_name("co2mpas_dimensions.csv")

with REFERENCE.open(encoding="utf-8", newline="") as file:
    ROWS = [row for row in csv.DictReader(file) if not row["left_out_because"]]


def size(family: str, width_mm: float, aspect: float, rim_in: float, construction: str = "R") -> Marking:
    return Marking(
        family_named(family),
        section_width_mm=width_mm,
        aspect_ratio=aspect,
        construction=construction,
        rim_diameter_in=rim_in,
        service=ServiceDescription(),
    )


def test_at_least_sixty_sizes_are_compared() -> None:
    assert len({(r["section_width_mm"], r["aspect_ratio"], r["rim_diameter_in"]) for r in ROWS}) >= 60


@pytest.mark.parametrize("row", ROWS, ids=[row["size"] for row in ROWS])
def test_overall_diameter_is_the_vehicle_models_within_rounding(row: dict[str, str]) -> None:
    marking = size(
        row["family"],
        float(row["section_width_mm"]),
        float(row["aspect_ratio"]),
        float(row["rim_diameter_in"]),
        row["construction"],
    )
    diameter_mm = derive(marking).overall_diameter_mm
    assert diameter_mm is not None
    # The model rounds nothing; the Regulations round each section height and the rim: up to 3 times 0.5 mm.
    assert abs(diameter_mm - float(row["overall_diameter_mm"])) <= 1.5


def test_worked_example_of_the_regulation() -> None:
    # 195/65R15: 381 + 2 x 127 = 635 mm, the usual worked example of UN Regulation No. 30, 6.1.2.1.
    derived = derive(size("metric", 195, 65, 15))
    assert (derived.rim_diameter_mm, derived.section_height_mm, derived.overall_diameter_mm) == (
        381,
        127,
        635,
    )


@pytest.mark.parametrize(
    ("marking", "smallest_mm", "largest_mm", "special_largest_mm"),
    [
        # From memory of UN Regulation No. 30, 6.1.4: d + 2H x 0.97 to 1.04 radial, 1.08 other; snow 1 % more.
        (size("metric", 195, 65, 15), 381 + 254 * 0.97, 381 + 254 * 1.04, (381 + 254 * 1.04) * 1.01),
        (
            size("temporary-spare", 145, 80, 18, "D"),
            457 + 232 * 0.97,
            457 + 232 * 1.08,
            (457 + 232 * 1.08) * 1.01,
        ),
        # From memory of UN Regulation No. 54, 6.1.4: 0.97 to 1.04 radial, 1.07 bias; special use 1.06, 1.09.
        (size("truck-metric", 315, 80, 22.5), 572 + 504 * 0.97, 572 + 504 * 1.04, 572 + 504 * 1.06),
        (size("lt-metric", 245, 75, 16), 406 + 368 * 0.97, 406 + 368 * 1.04, 406 + 368 * 1.06),
        (size("commercial", 215, 65, 16, "D"), 406 + 280 * 0.97, 406 + 280 * 1.07, 406 + 280 * 1.09),
    ],
    ids=["R30 radial", "R30 diagonal", "R54 truck", "R54 LT", "R54 diagonal"],
)
def test_envelope(marking: Marking, smallest_mm: float, largest_mm: float, special_largest_mm: float) -> None:
    derived = derive(marking)
    assert derived.diameter_min_mm == pytest.approx(smallest_mm)
    assert derived.diameter_max_mm == pytest.approx(largest_mm)
    assert derived.diameter_special_min_mm == pytest.approx(smallest_mm)
    assert derived.diameter_special_max_mm == pytest.approx(special_largest_mm)


def test_every_envelope_holds_its_own_design_diameter() -> None:
    for row in ROWS:
        marking = size(
            row["family"],
            float(row["section_width_mm"]),
            float(row["aspect_ratio"]),
            float(row["rim_diameter_in"]),
            row["construction"],
        )
        derived = derive(marking)
        if derived.diameter_min_mm is None:
            assert row["family"] == "agricultural"
            continue
        assert derived.diameter_max_mm is not None
        assert derived.diameter_min_mm < float(row["overall_diameter_mm"]) < derived.diameter_max_mm


def test_width_on_another_rim() -> None:
    # UN Regulation No. 30, 6.1.1: S = S1 + 0.4 (A - A1); half an inch of rim is 5 mm of section.
    assert section_width_on_rim_mm(214, 6.5, 7.0) == 219
    assert section_width_on_rim_mm(214, 6.5, 6.0) == 209
    assert section_width_on_rim_mm(214, 6.5, 6.5) == 214
