"""Units as feeds spell them, and which fields hold which quantity."""

from __future__ import annotations

from typing import NamedTuple

from auditor.trade.units import UNITS, Unit


class Measure(NamedTuple):
    """A numeric field: its quantity, own unit, sister fields by unit, and what can be (in base units)."""

    field: str
    stem: str
    unit: Unit
    sisters: dict[str, str]  # unit name -> field of the same quantity
    lowest: float
    highest: float


def words(text: str) -> frozenset[str]:
    """The words of a space-separated list."""
    return frozenset(text.split())


# Spellings without spaces and dots, lower case.
_SPELLINGS = {
    "kg": "kg kgs kilo kilos kilogram kilograms kilogramm kilogrammes kilogramme kilogramos kilogrammi кг",
    "t": "t tonne tonnes",
    "lb": "lb lbs lb's pound pounds pfund libras livres libbre ponden funtów #",
    "km/h": "km/h km/u km/std km/hr kmh kmph kph kmu kilometersperhour kilometresperhour kmperhour км/ч",
    "mph": "mph mi/h miles/h miles/hr mi/hr milesperhour mileperhour",
    "kPa": "kpa kpas kilopascal kilopascals",
    "MPa": "mpa",
    "bar": "bar bars",
    "psi": "psi psis psig lb/in2 lbs/in2 lb/sqin lbs/sqin poundspersquareinch",
    "kgf/cm2": "kg/cm2 kgf/cm2",
    "mm": "mm mms millimeter millimeters millimetre millimetres мм",
    "cm": "cm centimeter centimeters centimetre centimetres",
    "in": "in ins inch inches inch(es) zoll pouce pouces pulgada pulgadas pollici cali \" ''",
    "32nds": '32nds 32nd /32 /32nds /32nd /32" /32in /32inch 32ndsofaninch /32ndsofaninch /32ndsinch',
    "/km": "/km rev/km revs/km revolutions/km perkm revperkm revsperkm revolutionsperkm u/km rpk",
    "/mile": "/mi /mile rev/mi revs/mi rev/mile revs/mile revolutions/mile permile revpermile revspermile"
    " revolutionspermile rpm",
    "dB": "db db(a) dba decibel decibels",
    "%": "% percent pct prozent",
}

UNIT_OF_SPELLING = {spelling: UNITS[name] for name, words in _SPELLINGS.items() for spelling in words.split()}


def find_unit(spelling: str) -> Unit | None:
    """The unit that `spelling` ("Kg.", "m.p.h.", "Zoll") stands for, None when it is not one."""
    return UNIT_OF_SPELLING.get(spelling.lower().replace(" ", "").replace(".", ""))


def _measures() -> dict[str, Measure]:
    # What can be at all is wide on purpose: it only decides whether "1.360" is 1.36 or 1360.
    quantities = (
        ("max_load", {"kg": "kg", "lb": "lb"}, 30.0, 200_000.0),
        ("max_load_dual", {"kg": "kg", "lb": "lb"}, 30.0, 200_000.0),
        ("max_speed", {"kmh": "km/h", "mph": "mph"}, 5.0, 500.0),
        ("max_pressure", {"kpa": "kPa", "psi": "psi", "bar": "bar"}, 30.0, 1_500.0),
        ("section_width", {"mm": "mm", "in": "in"}, 20.0, 1_600.0),
        ("measured_width", {"mm": "mm", "in": "in"}, 20.0, 1_600.0),
        ("overall_diameter", {"mm": "mm", "in": "in"}, 150.0, 5_000.0),
        ("tread_depth", {"mm": "mm", "32nds": "32nds"}, 0.5, 150.0),
        ("tire_weight", {"kg": "kg", "lb": "lb"}, 0.2, 7_000.0),
        ("revs_per", {"km": "/km", "mile": "/mile"}, 50.0, 1_500.0),
        ("rim_diameter", {"in": "in"}, 70.0, 1_800.0),
        ("measuring_rim", {"in": "in"}, 25.0, 1_500.0),
        ("rim_width_min", {"in": "in"}, 25.0, 1_500.0),
        ("rim_width_max", {"in": "in"}, 25.0, 1_500.0),
        ("noise", {"db": "dB"}, 30.0, 120.0),
    )
    measures: dict[str, Measure] = {}
    for stem, suffixes, lowest, highest in quantities:
        sisters = {name: f"{stem}_{suffix}" for suffix, name in suffixes.items()}
        for name, field in sisters.items():
            measures[field] = Measure(field, stem, UNITS[name], sisters, lowest, highest)
    measures["aspect_ratio"] = Measure("aspect_ratio", "aspect_ratio", UNITS["%"], {"%": "aspect_ratio"}, 0.2, 150.0)
    measures["treadwear"] = Measure("treadwear", "treadwear", Unit("", "grade", 1.0), {"": "treadwear"}, 1.0, 3_000.0)
    return measures


MEASURES = _measures()
