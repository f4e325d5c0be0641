"""The one registry of facts: what a marking says and what follows from it, as numbers that rules can compare.

An entry here is all that a fact needs: its name (which ends in its unit), its formula, and its place in the order.  The
row of a marking, which feeds keep as columns, and the same fact in other units follow from it.  NaN stands for what the
marking does not say.
"""

from __future__ import annotations

from collections.abc import Callable
from math import nan
from typing import Any, NamedTuple

from auditor.trade import formulas as of
from auditor.trade.codes import CONSTRUCTIONS, LOAD_VERSIONS, SIZE_PREFIXES
from auditor.trade.formulas import Inputs
from auditor.trade.load_band import Other
from auditor.trade.marking_model import Marking
from auditor.trade.tables import Tables
from auditor.trade.units import in_other_units, unit_of


class Fact(NamedTuple):
    """One fact.  Its formula answers with a number, a truth value, or None."""

    name: str
    formula: Callable[[Inputs], Any]
    second_of: str = ""  # the fact that a second service description says this instead of

    @property
    def unit(self) -> str:
        """The unit it is in; empty for counts and codes."""
        return unit_of(self.name)


_LT, _COMMERCIAL = of.LIGHT_TRUCK, Other(family="commercial")  # what a plain size could be with its letters
_LT_D, _LT_E = _LT._replace(load_range="D"), _LT._replace(load_range="E")
_COMMERCIAL_D, _COMMERCIAL_E = _COMMERCIAL._replace(load_range="D"), _COMMERCIAL._replace(load_range="E")

REGISTRY = (
    Fact("readable", lambda x: 1.0),
    Fact("refused", lambda x: 0.0),  # SEVERAL or UNSURE of a text with something like a size that is not taken for one
    Fact("family", lambda x: x.family.number),
    Fact("section_width_mm", of.width_mm),
    Fact("section_width_in", of.width_in),
    Fact("width_is_inch", lambda x: x.marking.section_width_in is not None),
    Fact("aspect_ratio", lambda x: x.marking.aspect_ratio),
    Fact("construction", lambda x: _place(CONSTRUCTIONS, "R" if x.radial else x.marking.construction)),
    Fact("zr", lambda x: x.marking.construction == "ZR"),
    Fact("rim_diameter_in", lambda x: x.marking.rim_diameter_in),
    Fact("rim_diameter_mm", lambda x: x.rim_mm),
    Fact("rim_diameter_mm_marked", lambda x: x.marking.rim_diameter_mm_marked),
    Fact("load_index", lambda x: x.service.load_index),
    Fact("load_index_dual", lambda x: x.service.load_index_dual),
    Fact("load_index_alt", lambda x: x.second.load_index, second_of="load_index"),
    Fact("load_index_dual_alt", lambda x: x.second.load_index_dual, second_of="load_index_dual"),
    Fact("speed_symbol", lambda x: x.tables.place_of(x.service.speed_symbol or of.old_symbol(x))),
    Fact("speed_symbol_alt", lambda x: x.tables.place_of(x.second.speed_symbol), second_of="speed_symbol"),
    Fact("speed_symbol_open", lambda x: x.service.speed_open),
    Fact("load_single_kg", lambda x: x.tables.load_of(x.service.load_index)),
    Fact("load_dual_kg", lambda x: x.tables.load_of(x.service.load_index_dual)),
    Fact("load_single_alt_kg", lambda x: x.tables.load_of(x.second.load_index), second_of="load_single_kg"),
    Fact("load_dual_alt_kg", lambda x: x.tables.load_of(x.second.load_index_dual), second_of="load_dual_kg"),
    Fact("load_band_min_kg", lambda x: x.band_kg[0]),
    Fact("load_band_max_kg", lambda x: x.band_kg[1]),
    Fact("load_as_lt_min_kg", lambda x: of.band_as_kg(x, _LT, 0)),
    Fact("load_as_lt_max_kg", lambda x: of.band_as_kg(x, _LT, 1)),
    Fact("load_as_lt_d_min_kg", lambda x: of.band_as_kg(x, _LT_D, 0)),
    Fact("load_as_lt_e_min_kg", lambda x: of.band_as_kg(x, _LT_E, 0)),
    Fact("load_as_commercial_min_kg", lambda x: of.band_as_kg(x, _COMMERCIAL, 0)),
    Fact("load_as_commercial_max_kg", lambda x: of.band_as_kg(x, _COMMERCIAL, 1)),
    Fact("load_as_commercial_d_min_kg", lambda x: of.band_as_kg(x, _COMMERCIAL_D, 0)),
    Fact("load_as_commercial_e_min_kg", lambda x: of.band_as_kg(x, _COMMERCIAL_E, 0)),
    Fact("load_standard_max_kg", of.standard_load_most_kg),
    Fact("speed_kmh", of.speed_kmh),
    Fact("speed_alt_kmh", lambda x: x.tables.speed_of(x.second.speed_symbol), second_of="speed_kmh"),
    Fact("speed_floor_kmh", of.speed_floor_kmh),
    Fact("speed_practice_mph", of.speed_practice_mph),
    Fact("section_height_mm", lambda x: x.height_mm),
    Fact("overall_diameter_mm", lambda x: x.diameter_mm),
    Fact("diameter_marked_mm", of.diameter_marked_mm),
    Fact("diameter_min_mm", of.smallest_mm),
    Fact("diameter_max_mm", of.largest_mm),
    Fact("diameter_special_min_mm", lambda x: of.smallest_mm(x, special=True)),
    Fact("diameter_special_max_mm", lambda x: of.largest_mm(x, special=True)),
    Fact("special_use", of.special_use),
    Fact("load_range", of.load_range),
    Fact("ply_rating", of.ply_rating),
    Fact("load_version", lambda x: _place(LOAD_VERSIONS, x.marking.load_version)),
    Fact("reinforced_unsure", lambda x: x.marking.load_version == "XL" and "RF" in x.marking.letters),
    Fact("revs_per_km", of.revs_per_km),
    Fact("mud_and_snow", lambda x: "M+S" in x.marking.letters),
    Fact("severe_snow", lambda x: "3PMSF" in x.marking.letters),
    Fact("nonstandard", lambda x: x.marking.nonstandard and x.marking.says_all),
    Fact("us_letters_left_out", of.us_letters_left_out),
    Fact("temporary", lambda x: x.family.temporary),
    Fact("prefix", of.prefix),
    Fact("size_prefix", lambda x: _place(SIZE_PREFIXES, of.letters_of_size(x))),
    Fact("service_unread", of.service_unread),
    Fact("partly_unread", lambda x: not x.marking.says_all),
    Fact("load_index_unlisted", lambda x: _unlisted(x.marking, "load_index")),
    Fact("speed_symbol_unlisted", lambda x: _unlisted(x.marking, "speed_symbol")),
    Fact("load_range_unlisted", lambda x: _unlisted(x.marking, "load_range")),
    Fact("run_flat", lambda x: x.marking.run_flat or "RUN-FLAT" in x.marking.letters or None),
)


def _unlisted(marking: Marking, field: str) -> bool:
    """Whether the marking states something for a field that no published table lists."""
    return bool(marking.unlisted) and any(name.startswith(field) for name, _ in marking.unlisted)


def _place(codes: tuple[str, ...], code: str | None) -> float | None:
    return None if code is None else float(codes.index(code))


FACTS = tuple(fact.name for fact in REGISTRY)
FACT_POSITION = {name: position for position, name in enumerate(FACTS)}
NO_FACTS = (0.0, 0.0, *(nan for _ in FACTS[2:]))  # of a text that is no marking: not even readable
SEVERAL, UNSURE = 1.0, 2.0
REFUSED_FACTS = {"": NO_FACTS} | {
    why: (0.0, number, *NO_FACTS[2:]) for why, number in (("several", SEVERAL), ("unsure", UNSURE))
}

# A fact in another unit of its dimension -> (the fact it is converted from, factor).
CONVERTED = {
    name: (fact, factor) for fact in FACTS for name, factor in in_other_units(fact).items() if name not in FACT_POSITION
}
# A fact, in whichever unit, and what a second service description says instead; a statement that fits either agrees.
SECOND_DESCRIPTION = {
    one: other
    for fact in REGISTRY
    if fact.second_of
    for one, other in zip(
        (fact.second_of, *in_other_units(fact.second_of)), (fact.name, *in_other_units(fact.name)), strict=True
    )
}
_FORMULAS = tuple(fact.formula for fact in REGISTRY)


def fact_row(marking: Marking, tables: Tables) -> tuple[float, ...]:
    """The facts of one marking, in the registry's order."""
    inputs = Inputs(marking, tables)
    return tuple([nan if (value := formula(inputs)) is None else float(value) for formula in _FORMULAS])


def fact_in(row: tuple[float, ...], name: str) -> float:
    """A fact of a row, in any unit; KeyError for a name that is no fact."""
    position = FACT_POSITION.get(name)
    if position is not None:
        return row[position]
    base, factor = CONVERTED[name]
    return row[FACT_POSITION[base]] * factor
