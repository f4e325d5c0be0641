"""Values that something else in their sentence accounts for: another service description, a row of a label, a price.

A load and a speed beside a share in percent are those at which the tire carries more or less than its load index says
(UN R30 and UN R54 have tables of both): "At 40 km/h it may carry 25 % more: 1,287 kg".
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from auditor.claims.terms.items import LOAD_UNITS, Item
from auditor.claims.terms.own import LIKELY, OTHER_LETTER
from auditor.claims.terms.weights import in_kg_or_kmh
from auditor.claims.values.look import Given, Value
from auditor.trade.tables import default_tables

_SAME = 0.006  # parts of a load or a speed within which figures are the same
_LEAST_INDEX = 30  # below it are contours of rims: "W16L"
_BY_LETTER = frozenset({"speed_symbol", "load_range", "fuel_class", "wet_grip_class", "noise_class", "traction"})
_LOADS_AND_SPEEDS = ("max_load", "max_speed")  # how their fields begin
_SHARE, _SPEED_UNITS = "%", frozenset({"kmh", "mph"})
# A V tire carries its full load up to 210 km/h, a W tire up to 240, a Y tire up to 270 (UN R30, from memory).
_FULL_LOAD_KMH = ((210.0, "V"), (240.0, "W"), (270.0, "Y"))
_OF_LOADS = frozenset({"load", "carries", *LOAD_UNITS})
_MOST_PLIES_BESIDE_C = 12
_MOST_OF_ROW = 6  # items between a letter and the decibels of its row


def of_this_tire(values: list[Value], items: Sequence[Item]) -> list[Value]:
    """The values that nothing else accounts for."""
    told: list[tuple[float, float]] | None = None
    left = []
    shared = _are_of_a_share(values, items)
    for one in values:
        if one.field.startswith(_LOADS_AND_SPEEDS):
            if shared:
                continue
            one = _at_full_load(one, items)
            told = list(_told(items)) if told is None else told
            if told and _is_told(one, told):
                continue
        if not _is_elsewhere(one, items):
            left.append(one)
    return left


def _at_full_load(one: Value, items: Sequence[Item]) -> Value:
    """A speed up to which a load holds is no top speed where the tire's symbol stands for a higher one."""
    if not one.field.startswith("max_speed") or (one.given is not None and one.given.field not in LIKELY):
        return one
    if one.place < 2 or "max" not in items[one.place - 1].roles or not items[one.place - 2].roles & _OF_LOADS:
        return one
    speed = in_kg_or_kmh(one.field, float(one.value))
    symbol = next((letter for limit, letter in _FULL_LOAD_KMH if abs(speed - limit) <= 1.0), None)
    return one if symbol is None else one.beside(Given(OTHER_LETTER, symbol))


def _are_of_a_share(values: Sequence[Value], items: Sequence[Item]) -> bool:
    """Whether the loads and speeds of a sentence are those of some share of a load at some speed."""
    in_words = any("share" in item.roles for item in items)
    if not in_words and not any(item.text == _SHARE for item in items):
        return False
    if not any(one.field.startswith("max_load") for one in values):
        return False
    at_speed = in_words and any(item.roles & _SPEED_UNITS for item in items)
    return at_speed or any(one.field.startswith("max_speed") for one in values)


def _is_elsewhere(one: Value, items: Sequence[Item]) -> bool:
    item = items[one.place]
    if one.field == "rim_diameter_in":
        behind = items[one.place + 1].text if one.place + 1 < len(items) else ""
        if behind == "C" and float(one.value) <= _MOST_PLIES_BESIDE_C:
            return True  # "LLANTA 195R14C 8C": eight plies, "capas"
        wide = one.place + 2 < len(items) and "width" in items[one.place + 2].roles  # "7.5 to 9 in. wide"
        return wide or item.text.endswith((".00", ",00"))  # a price
    if one.field == "service_description":
        return item.kind == "service" and item.numbers[0] < _LEAST_INDEX
    return one.field in _BY_LETTER and item.kind == "letter" and _in_row(one.place, items)


def _in_row(place: int, items: Sequence[Item]) -> bool:
    """Whether a letter is one of a row of a label: "C / B / 72 dB"."""
    for at in range(place + 1, min(place + _MOST_OF_ROW, len(items)) - 1, 2):
        if items[at].text not in ("/", "|"):
            return False
        if items[at + 1].numbers:
            return at + 2 < len(items) and "db" in items[at + 2].roles
        if items[at + 1].kind != "letter":
            return False
    return False


def _told(items: Sequence[Item]) -> Iterator[tuple[float, float]]:
    """The loads in kg and the speeds in km/h that other service descriptions of a sentence stand for."""
    tables = default_tables()
    for item in items:
        if item.kind == "service":
            for index in item.numbers:
                if load := tables.load_of(int(index)):
                    yield load, 0.0
            if speed := tables.speed_of(item.text.lstrip("0123456789/")):
                yield 0.0, speed


def _is_told(one: Value, told: list[tuple[float, float]]) -> bool:
    value = in_kg_or_kmh(one.field, float(one.value))
    by = int(one.field.startswith("max_speed"))
    near = max(_SAME * value, in_kg_or_kmh(one.field, one.half_step))
    return any(each[by] and abs(value - each[by]) <= near for each in told)
