"""Units as feeds spell them, and which fields hold which quantity."""

from __future__ import annotations

from functools import cache
from typing import NamedTuple

from auditor.rulebook.built_in import load_contract
from auditor.trade.units import NO_UNIT, UNITS, Unit


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


# Spellings without spaces and dots, lower case.  KGM, LBR, MMT, CMT and INH are those of UN/ECE Recommendation 20, from
# memory.
_SPELLINGS = {
    "kg": "kg kgs kgm kilo kilos kilogram kilograms kilogramm kilogrammes kilogramme kilogramos kilogrammi кг",
    "t": "t tn ton tonne tonnes",
    "kN": "kn kilonewton kilonewtons",
    "lb": "lb lbs lbr lb's pound pounds pfund libras livres libbre ponden funtów #",
    "km/h": "km/h km/u km/std km/hr km/t km/st km/godz km/saat km/sa km/jam"
    " kmh kmph kph kmu kilometersperhour kilometresperhour kmperhour км/ч",
    "mph": "mph mi/h miles/h miles/hr mi/hr milesperhour mileperhour",
    "kPa": "kpa kpas kilopascal kilopascals",
    "MPa": "mpa",
    "bar": "bar bars бар бара",
    "psi": "psi psis psig lb/in2 lbs/in2 lb/sqin lbs/sqin poundspersquareinch",
    "kgf/cm2": "kg/cm2 kgf/cm2",
    "mm": "mm mms mmt millimeter millimeters millimetre millimetres мм",
    "cm": "cm cmt centimeter centimeters centimetre centimetres",
    "in": "in ins inh inch inches inch(es) zoll pouce pouces po"
    " pulgada pulgadas pulg pollici polegada polegadas pol cali duim"
    " tum tommer tuumaa palec palce palců col colių collas tolli inç țoli дюйм дюймов \" ''",
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


def unit_of_column(measure: Measure, unit: Unit | None) -> Unit:
    """The unit of a column's bare numbers: the one it is said to be in, where that is one of its quantity."""
    return unit if unit is not None and unit.dimension == measure.unit.dimension else measure.unit


@cache
def measures() -> dict[str, Measure]:
    """Every numeric field of the listing contract: those of a group whose possible values it gives."""
    contract = load_contract()
    found: dict[str, Measure] = {}
    for group, (lowest, highest) in contract.possible.items():
        units = {name: UNITS.get(contract.fields[name].unit or "", NO_UNIT) for name in contract.groups[group]}
        sisters = {unit.name: name for name, unit in units.items()}
        for name, unit in units.items():
            stem = name.removesuffix(f"_{unit.suffix}") if unit.suffix else name
            found[name] = Measure(name, stem, unit, sisters, lowest, highest)
    return found
