"""Every unit that cells are read in against `pint`, an independent units library."""

from __future__ import annotations

import pint
import pytest

from auditor.quantities import Reading, read_cell
from auditor.trade.units import KG_PER_LB, KMH_PER_MPH, MM_PER_INCH, UNITS

REGISTRY = pint.UnitRegistry()
BASE = {"mass": "kg", "speed": "km/h", "pressure": "kPa", "length": "mm"}
PINT_NAMES = {
    "32nds": "inch/32",
    "kgf/cm2": "kgf/cm**2",
    "in": "inch",
    "mph": "mile/hour",
    "t": "metric_ton",
    "kN": "kilonewton/standard_gravity",
}


@pytest.mark.parametrize("name", [unit.name for unit in UNITS.values() if unit.dimension in BASE])
def test_factor_to_the_base_unit(name: str) -> None:
    unit = UNITS[name]
    expected = REGISTRY.Quantity(1, REGISTRY.parse_expression(PINT_NAMES.get(name, name)).units)
    scale = REGISTRY.parse_expression(PINT_NAMES.get(name, name)).magnitude
    assert unit.factor == pytest.approx(expected.to(BASE[unit.dimension]).magnitude * scale, rel=1e-12)


def test_constants() -> None:
    assert REGISTRY.Quantity(1, "lb").to("kg").magnitude == pytest.approx(KG_PER_LB, rel=1e-15)
    assert REGISTRY.Quantity(1, "mile").to("km").magnitude == pytest.approx(KMH_PER_MPH, rel=1e-15)
    assert REGISTRY.Quantity(1, "inch").to("mm").magnitude == pytest.approx(MM_PER_INCH, rel=1e-15)


@pytest.mark.parametrize(
    ("text", "field", "number", "unit", "field_unit"),
    [
        ("2998 lb", "max_load_kg", 2998, "lb", "kg"),
        ("1360 kg", "max_load_lb", 1360, "kg", "lb"),
        ("130 mph", "max_speed_kmh", 130, "mile/hour", "km/hour"),
        ("80 psi", "max_pressure_kpa", 80, "psi", "kPa"),
        ("5.5 bar", "max_pressure_psi", 5.5, "bar", "psi"),
        ("8.86 in", "section_width_mm", 8.86, "inch", "mm"),
        ("724 mm", "overall_diameter_in", 724, "mm", "inch"),
        ("28.4 lbs", "tire_weight_kg", 28.4, "lb", "kg"),
    ],
)
def test_cells_written_in_another_unit(text: str, field: str, number: float, unit: str, field_unit: str) -> None:
    reading = read_cell(text, field).readings[0]
    assert isinstance(reading, Reading)
    assert reading.field == field
    assert reading.value == pytest.approx(REGISTRY.Quantity(number, unit).to(field_unit).magnitude)


def test_tread_depth_in_32nds() -> None:
    # Common practice, no source: 10/32 in is 7.9 mm.
    reading = read_cell("10/32", "tread_depth_mm").readings[0]
    assert reading.value == pytest.approx(REGISTRY.Quantity(10 / 32, "inch").to("mm").magnitude)
    assert round(float(reading.value), 1) == 7.9
