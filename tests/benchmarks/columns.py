"""The columns of a generated feed, each built for a whole chunk at once from small tables of text.

Suppliers, brands and models are invented.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache

import numpy as np
import numpy.typing as npt
import pyarrow as pa
import pyarrow.compute as pc

from tests.benchmarks.free_texts import FreeTexts
from tests.benchmarks.markings import INDEX_KG, INDICES, KINDS, SYMBOLS, Floats, Ints, MarkingTable
from tests.benchmarks.planted import SPEEDS_KMH, Planted, shifted
from tests.benchmarks.tables import LB_PER_KG, MPH_PER_KMH

# What every feed has, however few columns it is given: a key, a text, and the core question.
NEEDED_FIRST = (
    *("sku", "title", "marking", "section_width_mm", "aspect_ratio", "rim_diameter_in"),
    *("max_load_kg", "max_load_lb", "max_speed_kmh", "max_speed_mph"),
)
CONTRACT = (
    *("supplier", "sku", "part_number", "gtin", "brand", "model", "title", "description", "marking"),
    *("load_index", "load_index_dual", "speed_symbol", "load_range", "ply_rating"),
    *("section_width_mm", "aspect_ratio", "rim_diameter_in", "overall_diameter_in"),
    *("max_load_kg", "max_load_lb", "max_load_dual_kg", "max_speed_kmh", "max_speed_mph"),
    *("max_pressure_kpa", "max_pressure_psi", "tread_depth_32nds", "season", "utqg"),
)

_SUPPLIERS = (
    *("Harbor Gate Tire Supply", "Millbrook Wheel Depot", "Larkfield Traders", "Stonequay Distribution"),
    *("Oxbow Valley Rubber", "Pinecrest Tire Works", "Fennimore Logistics", "Blue Heron Wholesale"),
    *("Saltmarsh Imports", "Copper Hollow Supply", "Winterset Tire Trade", "Quarry Road Depot"),
)
_BRANDS = (
    *("Orlavik", "Tavarro", "Quillmar", "Nordesk", "Veltrana", "Pelmora", "Cindral", "Marquill"),
    *("Ostergate", "Halvorn", "Brentholm", "Zarvane"),
)
_MODELS = tuple(
    f"{first} {second}"
    for first in ("Kestrane", "Dunmarra", "Solvane", "Brackley", "Torvane", "Lindquay", "Marlune", "Ferrowe")
    for second in ("Touring", "Trail", "Haul", "Metro", "Ridge")
)
_SEASONS = ("summer", "all-season")
_GRADES = tuple(f"{wear} {traction} A" for wear in range(300, 720, 20) for traction in ("AA", "A", "B"))
_DEPTHS = ("9/32", "10/32", "11/32", "12/32", "13/32", "15/32")
_NOTES = tuple(f"{a}, {b}" for a in ("boxed", "loose", "banded", "palletized") for b in ("dock", "yard", "store"))
_PROSE = (
    "A quiet tread that clears water well and wears evenly, for drivers who want a calm ride. "
    "Sturdy shoulders help in bends, a firm bead holds the tire, and open grooves drain the road. "
    "Have the tire fitted by a trained fitter, and check the pressure when it is cold. "
)
_BLANK_SHARE = 0.02  # of the stated loads, speeds and dimensions

Texts = Sequence[str]
Mask = npt.NDArray[np.bool_]

# How suppliers write a number: bare or with its unit, with or without a thousands separator.
_LOAD_STYLES = ("{0:.0f}", "{0:,.0f}", "{0:.0f} {1}", "{0:,.0f} {1}")
_OTHER_STYLES = ("{0:.0f}", "{0:.0f}", "{0:.0f} {1}", "{0:.0f}{1}")


def _styled(values: Floats | Ints, styles: Texts, unit: str) -> pa.Array:
    """All values in the first style, then all in the second, and so on."""
    return pa.array([style.format(value, unit) for style in styles for value in values.tolist()], pa.string())


class ListingTexts:
    """The text tables of one feed, made once, and the columns taken from them chunk by chunk."""

    suppliers = len(_SUPPLIERS)

    def __init__(self, table: MarkingTable, text_length: int, *, free: bool = False) -> None:
        """`free` mixes titles and sales texts freely; else they follow one pattern, with `text_length` of prose."""
        self._table = table
        self._free = FreeTexts(table) if free else None
        self._marking = pa.array(table.text)
        kg = INDEX_KG.astype(float)
        self._kg, self._lb = _styled(kg, _LOAD_STYLES, "kg"), _styled(kg * LB_PER_KG, _LOAD_STYLES, "lb")
        self._widths, self._width_codes = np.unique(np.rint(table.width_mm), return_inverse=True)
        self._aspects, self._aspect_codes = np.unique(np.nan_to_num(table.aspect, nan=60), return_inverse=True)
        self._facts = pa.array(_fact_sentences(table))
        times = text_length // len(_PROSE) + 1
        self._prose = (_PROSE * times)[:text_length]

    def column(self, name: str, row: Ints, marking: Ints, supplier: Ints, planted: Planted) -> pa.Array:
        """The cells of one column for the records `row` (0-based), as text; null where blank."""
        if name.startswith("supplier_note_"):
            return _take(_NOTES, _scatter(row, int(name.rsplit("_", 1)[1])) % len(_NOTES))
        if name in ("supplier", "brand", "model", "season", "tread_depth_32nds"):
            return self._plain(name, row, supplier)
        if name in ("sku", "part_number", "gtin", "title", "description"):
            return self._identity(name, row, marking, planted)
        if name in ("max_load_kg", "max_load_lb"):
            return self._load(name, row, marking, supplier, planted)
        if name in ("section_width_mm", "aspect_ratio", "rim_diameter_in", "max_speed_kmh", "max_speed_mph"):
            return self._number(name, row, marking, supplier, planted)
        return self._split(name, row, marking, planted)

    def _plain(self, name: str, row: Ints, supplier: Ints) -> pa.Array:
        if name == "supplier":
            return _take(_SUPPLIERS, supplier)
        texts = {"brand": _BRANDS, "model": _MODELS, "season": _SEASONS, "tread_depth_32nds": _DEPTHS}[name]
        salt = {"brand": 1, "model": 2, "season": 3, "tread_depth_32nds": 4}[name]
        return _take(texts, _scatter(row, salt) % len(texts))

    def _identity(self, name: str, row: Ints, marking: Ints, planted: Planted) -> pa.Array:
        if name == "sku":
            return pc.binary_join_element_wise("TL", pa.array(row + 100_000_000).cast(pa.string()), "")
        if name == "part_number":
            return pc.binary_join_element_wise("PN", _part_numbers(row), "-")
        if name == "gtin":
            return _gtins(row, planted.wrong["gtin"])
        brand, model = self._plain("brand", row, row), self._plain("model", row, row)
        if self._free is not None:
            if name == "title":
                return self._free.title(row, marking, brand, model, self._plain("season", row, row))
            return self._free.description(row, marking, brand, model)
        if name == "title":
            return pc.binary_join_element_wise(brand, model, self._marking.take(pa.array(marking)), " ")
        named = pc.binary_join_element_wise(brand, model, " ")
        facts = self._facts.take(pa.array(marking))
        return pc.binary_join_element_wise(
            named, facts, _part_numbers(row), "." + " " * bool(self._prose) + self._prose, ""
        )

    def _load(self, name: str, row: Ints, marking: Ints, supplier: Ints, planted: Planted) -> pa.Array:
        wrong, size = planted.wrong[name], len(INDICES)
        swapped = wrong & planted.swapped
        codes = shifted(self._table.load[marking], wrong & ~swapped, planted.steps, size)
        own, other = (self._kg, self._lb) if name == "max_load_kg" else (self._lb, self._kg)
        styled = (supplier % len(_LOAD_STYLES)) * size + codes
        bare = len(own) + codes  # a swapped value comes without its unit
        texts = pa.concat_arrays([own, other.slice(0, size)])
        return _take(texts, np.where(swapped, bare, styled), _blank(name, row, wrong))

    def _number(self, name: str, row: Ints, marking: Ints, supplier: Ints, planted: Planted) -> pa.Array:
        table, blank_too = self._table, np.zeros(len(row), dtype=bool)
        if name.startswith("max_speed"):
            factor, unit = (1.0, " km/h") if name == "max_speed_kmh" else (MPH_PER_KMH, " mph")
            values, codes = SPEEDS_KMH * factor, table.symbol
        elif name == "section_width_mm":
            values, codes, unit = self._widths, self._width_codes, "mm"
        elif name == "aspect_ratio":
            values, codes, unit = self._aspects, self._aspect_codes, "%"
            blank_too = np.isnan(table.aspect[marking])
        else:
            values, codes, unit = np.arange(10, 32), table.rim_in - 10, "in"
        wrong = planted.wrong[name]
        # Inch and metric widths lie close together; a width a few percent off could be a measured one.
        steps = planted.steps * (3 if name == "section_width_mm" else 1)
        shown = shifted(codes[marking], wrong, steps, len(values))
        texts = _styled(values, _OTHER_STYLES, unit.strip())
        index = (supplier % len(_OTHER_STYLES)) * len(values) + shown
        return _take(texts, index, _blank(name, row, wrong) | blank_too)

    def _split(self, name: str, row: Ints, marking: Ints, planted: Planted) -> pa.Array:
        table, kinds = self._table, self._table.kind[marking]
        none = np.zeros(len(row), dtype=bool)
        wrong, steps = planted.wrong.get(name, none), planted.steps
        if name == "marking":
            return self._marking.take(pa.array(marking))
        if name == "load_index":
            return _take(_texts(INDICES), shifted(table.load[marking], wrong, steps, len(INDICES)))
        if name == "speed_symbol":
            return _take(SYMBOLS.tolist(), shifted(table.symbol[marking], wrong, steps, len(SYMBOLS)))
        dual = table.dual[marking]
        if name == "load_index_dual":
            return _take(_texts(INDICES), np.maximum(dual, 0), dual < 0)
        if name == "max_load_dual_kg":
            return _take(self._kg, np.maximum(dual, 0), dual < 0)
        if name == "overall_diameter_in":
            tenths = np.rint(table.diameter_in[marking] * 10).astype(np.int64) + np.where(wrong, steps * 10, 0)
            return _take(_tenths(), tenths)
        if name == "utqg":
            ungraded = np.array([k.before not in ("", "P") or bool(k.after) for k in KINDS])[kinds]
            exempt = np.isnan(table.aspect[marking]) | (table.rim_in[marking] <= 12)
            return _take(_GRADES, _scatter(row, 5) % len(_GRADES), ungraded | exempt)
        return _kind_column(name, kinds, wrong)


def _kind_column(name: str, kinds: Ints, wrong: Mask) -> pa.Array:
    """Load range, ply rating and pressures: the same for all tires of a kind."""
    if name == "load_range":
        letters = [k.letters.strip() if k.ply_rating else "" for k in KINDS]
        return _take(letters, kinds, np.array([not text for text in letters])[kinds])
    if name == "ply_rating":
        plies = np.array([k.ply_rating for k in KINDS])[kinds]
        shown = np.where(wrong, plies + 2, plies)
        return _take(_texts(np.arange(20)), shown, shown == 0)
    if name == "max_pressure_kpa":
        return _take([str(k.pressure_kpa) for k in KINDS], kinds)
    if name == "max_pressure_psi":
        return _take([str(k.pressure_psi) for k in KINDS], kinds)
    raise KeyError(name)


def _fact_sentences(table: MarkingTable) -> list[str]:
    kg = INDEX_KG[table.load].astype(float)
    mph = SPEEDS_KMH[table.symbol] * MPH_PER_KMH
    columns = (table.size, kg.tolist(), (kg * LB_PER_KG).tolist(), mph.tolist())
    return [
        f" in {size} carries up to {kilos:,.0f} kg ({pounds:,.0f} lb) per tire at up to {top:.0f} mph, item "
        for size, kilos, pounds, top in zip(*columns, strict=True)
    ]


def _take(texts: Texts | pa.Array, index: Ints, blank: Mask | None = None) -> pa.Array:
    values = texts if isinstance(texts, pa.Array) else pa.array(texts, pa.string())
    return values.take(pa.array(index, mask=blank))


def _texts(values: Ints) -> list[str]:
    return [str(value) for value in values.tolist()]


@cache
def _tenths() -> pa.Array:
    return pa.array([f"{value / 10:.1f}" for value in range(700)])


def _scatter(row: Ints, salt: int) -> Ints:
    """A number per record that looks unrelated to its neighbors' and is the same on every run."""
    mixed = (row.astype(np.uint64) + np.uint64(salt * 7919)) * np.uint64(0x9E3779B97F4A7C15)
    return (mixed >> np.uint64(33)).astype(np.int64)


def _blank(name: str, row: Ints, wrong: Mask) -> Mask:
    """Blank cells: a few of those that are right."""
    salt = 100 + sum(name.encode())
    return (_scatter(row, salt) % 10_000 < _BLANK_SHARE * 10_000) & ~wrong


def _part_numbers(row: Ints) -> pa.Array:
    """Nine digits, different for every record: a multiple modulo a prime."""
    return pa.array(100_000_000 + (row + 1) * 48_271 % 899_999_963).cast(pa.string())


def _gtins(row: Ints, wrong: Mask) -> pa.Array:
    """Thirteen digits in the range kept for use inside a company (prefix 2).

    The check digit fits, except where `wrong`: weights 3 and 1 from the right (from memory of the GS1
    General Specifications, check digit calculation).
    """
    body = 200_000_000_000 + row
    total = np.zeros_like(body)
    rest = body
    for weight in (3, 1) * 6:
        rest, digit = np.divmod(rest, 10)
        total += weight * digit
    check = -total % 10
    return pa.array(body * 10 + np.where(wrong, (check + 1) % 10, check)).cast(pa.string())
