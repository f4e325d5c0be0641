"""Cells of load indices, speed symbols, and the loads and speeds that they stand for, in whatever order and dress.

"115 (1215 kg) / 113 (1150 kg)", "V - up to 240 km/h", "615 kg (91)", "single 115 / dual 113", "LI: 91, SI: V".

Figures are told by their units, those without one by what they can be: a load index has at most three digits, and of a
load or a speed whose unit is not said, that one counts in which it fits the index or the symbol beside it.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from functools import lru_cache
from itertools import pairwise
from math import log

from auditor.quantities.model import BLANK, CellReading, Reading, read_as, unreadable
from auditor.quantities.numbers import parse_number
from auditor.quantities.service_parts import Figure, Parts, parts_of_service
from auditor.quantities.versions import VERSIONS
from auditor.trade.patterns import Pattern
from auditor.trade.tables import default_tables
from auditor.trade.units import UNITS, Unit

_LEAST_INDEX, _MOST_INDEX = 20, 279
_LEAST_SPEED_KMH = 160.0  # of a figure without a unit, to be no load index
_SPEEDS = frozenset({"speed_symbol", "max_speed_kmh", "max_speed_mph"})
_MOST_INDICES = 2  # of single and of dual mounting
_ONE_PERCENT, _ABOUT = 0.01, 0.1
_NEEDED: dict[str, tuple[str, ...]] = {  # what a cell of a field has to say, at least
    "load_index": ("load_index",),
    "load_index_dual": ("load_index",),
    "speed_symbol": ("speed_symbol", "max_speed"),
}


def read_service_cell(text: str, name: str) -> CellReading:
    """Reads a cell of the field `name` as load indices, speed symbols, loads and speeds."""
    parts = parts_of_service(text)
    problem = parts if isinstance(parts, str) else _settle(parts, name)
    if isinstance(parts, str) or problem:
        why = f": {problem}" if problem else ""
        return unreadable(f"{text!r} is no {_CALLED.get(name, 'load index or speed symbol')}{why}.")
    if not (parts.bare or parts.symbols or parts.versions) and parts.mountings == ["single"] and "dual" in name:
        return BLANK  # there are no dual ones
    if "dual" in name and parts.symbols == ["D"]:
        parts.symbols = []  # the mounting
    readings = [*_index_readings(parts, name), *_symbol_readings(parts), *_load_readings(parts, name)]
    readings += [
        Reading(_field("max_speed", one), one.value, one.half_step, _name(one), parts.over) for one in parts.speeds
    ]
    readings += [Reading("load_version", VERSIONS[one]) for one in parts.versions[:1] if one != "rf"]
    readings += [Reading("ply_rating", float(one), 0.5) for one in parts.plies[:1]]
    readings += [Reading("load_range", one.upper()) for one in parts.ranges[:1]]
    if name.startswith("max_"):
        readings.sort(key=lambda one: not one.field.startswith(name.rpartition("_")[0]))
    if name in _NEEDED and not any(one.field.startswith(_NEEDED[name]) for one in readings):
        if readings and readings[0].field == "load_index":
            return unreadable(f"{text!r} may be a load index; the cells of load index and speed symbol may be swapped.")
        return unreadable(f"{text!r} is no {_CALLED[name]}; it may be that of another cell.")
    if readings:
        return read_as(*readings)._replace(strange=parts.strange)
    return unreadable(f"{text!r} holds neither load index nor speed symbol.")


_PLAIN = Pattern(r"\(?[0-9]{2,3}(?:/[0-9]{2,3})? ?[A-Z][1-8]?\)?")


@lru_cache(maxsize=16_384)
def plain_service(text: str) -> str:
    """A cell of a service description as it is marked on a tire: "91V" for "LI 91 (615 kg) / SI V (240 km/h)".

    A cell that is not understood as a whole stays as it is, and so does one that describes two pairs.
    """
    if _PLAIN.fullmatch(text) or len(text) > _LONGEST:
        plain = text[0] == "(" and text[-1] == ")" and text[-2] not in _OPEN_ENDED
        return text[1:-1] if plain else text
    if two := _TWO.fullmatch(text):
        one, other = two.groups()
        if one[-1] != other[-1]:
            return f"{one} ({other})" if "/" in one + other else f"{one}/{other}"
    parts = parts_of_service(text)
    if isinstance(parts, str) or parts.strange or _settle(parts, "service_description"):
        return text
    if len(set(parts.symbols)) != 1 or not 0 < len(parts.indices) <= 2:
        return text
    indices = list(dict.fromkeys(parts.indices))[:: _order(parts)]
    described = "/".join(map(str, indices)) + parts.symbols[0]
    version = "".join(f" {VERSIONS[one]}" for one in parts.versions[:1] if one != "rf")
    open_ended = parts.in_brackets and parts.symbols[0] in _OPEN_ENDED
    strength = "".join([f" {one}PR" for one in parts.plies[:1]] + [f" LR{one.upper()}" for one in parts.ranges[:1]])
    return (f"({described})" if open_ended else described) + version + strength


_TWO = Pattern(r"([0-9]{2,3}(?:/[0-9]{2,3})?[A-Z][1-8]?)\s*[\s;,]\s*([0-9]{2,3}(?:/[0-9]{2,3})?[A-Z][1-8]?)")
_OPEN_ENDED = frozenset("WY")  # in brackets: faster than the symbol says
_LONGEST = 80  # characters
_CALLED = {
    "load_index": "load index such as 102 or 120/116",
    "load_index_dual": "load index such as 116",
    "speed_symbol": "speed symbol such as H or A8",
}


def _settle(parts: Parts, name: str) -> str:
    """Sorts the figures of a cell; returns what cannot be, "" for nothing."""
    unsaid: list[Figure] = []
    for figure, behind in pairwise(parts.bare):
        if figure.unit is None and behind.unit is not None and behind.unit.name in ("kg", "lb"):
            figure.unit = _unit_of_pair(figure, behind, behind.unit)
    for figure in parts.bare:
        if figure.unit is None:
            whole = figure.text.split(".")[0] if figure.text.endswith((".0", ".00")) else figure.text
            if not whole.isdecimal():
                unsaid.append(figure)
            elif name in _SPEEDS and _is_of_symbol(float(whole), parts.symbols):
                continue  # "V (149)": the symbol's own speed, whichever unit it is in
            elif figure.described and _LEAST_INDEX <= int(whole) <= _MOST_INDEX:
                parts.indices.append(int(whole))
            elif name in _SPEEDS and parts.symbols and _may_be_speed(float(whole), parts.symbols):
                return "the speed has no unit"
            elif name.startswith("max_speed") and not (figure.described or parts.symbols):
                return "a speed has no unit"
            elif name in _SPEEDS and _is_speed(float(whole)):
                figure.unit, figure.value = UNITS["km/h"], float(whole)
                parts.speeds.append(figure)
            elif _LEAST_INDEX <= int(whole) <= _MOST_INDEX:
                parts.indices.append(int(whole))
            else:
                unsaid.append(figure)
            continue
        is_load = figure.unit.dimension == UNITS["kg"].dimension
        if not _evaluated(figure, 50.0 if is_load else 5.0, 20_000.0 if is_load else 500.0):
            return f"{figure.text!r} is no {'load' if is_load else 'speed'}"
        (parts.loads if is_load else parts.speeds).append(figure)
    if not parts.loads and len(parts.indices) == 2 and (beside := _load_beside(parts)) is not None:
        parts.loads.append(beside)
    single, *dual = parts.indices or [0]
    if dual and (dual[0] > single or (parts.repeated and dual[0] != single)) and not parts.mountings:
        return "it says two load indices"
    if len(set(parts.indices)) > _MOST_INDICES or _says_too_many(parts):
        return "it says more than one thing"
    if len(unsaid) == 1 and not parts.loads and name.startswith("max_load"):
        unsaid[0].unit = UNITS["lb" if name.endswith("lb") else "kg"]
        if not _evaluated(unsaid[0], 50.0, 20_000.0):
            return f"{unsaid[0].text!r} is no load"
        parts.loads.append(unsaid.pop())
    if unsaid and (parts.loads or not parts.indices or len(unsaid) > 2):
        return f"{unsaid[0].text!r} has no unit"
    for place, figure in enumerate(unsaid):
        load = default_tables().load_of(parts.indices[min(place, len(parts.indices) - 1)])
        if not load or not _evaluated(figure, 50.0, 20_000.0, load):
            return f"{figure.text!r} has no unit"
        parts.loads.append(figure)
    return ""


def _says_too_many(parts: Parts) -> bool:
    """Whether there are more speed symbols than load indices; those of a farm tire go together: "A8/B"."""
    symbols = set(parts.symbols)
    return len(symbols) > max(len(parts.indices), 1) and not symbols <= _OF_FARMS


_OF_FARMS = frozenset({"A1", "A2", "A3", "A4", "A5", "A6", "A7", "A8", "B", "C", "D", "E"})


def _load_beside(parts: Parts) -> Figure | None:
    """The load of one of two figures, which the other is in whole kilograms: "58 (236)"."""
    for index, load in (parts.indices, parts.indices[::-1]):
        table = default_tables().load_of(index)
        if table is not None and abs(load / table - 1.0) < _ONE_PERCENT:
            parts.indices = [index]
            return Figure(str(load), UNITS["kg"], value=float(load))
    return None


def _unit_of_pair(figure: Figure, behind: Figure, unit: Unit) -> Unit | None:
    """The unit of the first of two loads of which only the second has one: "1215/1150 kg", "1215/2679 lb"."""
    values = [parse_number(one.text, ",", 50.0, 20_000.0) for one in (figure, behind)]
    if values[0] is None or values[1] is None or values[0][0] <= _MOST_INDEX:
        return None
    other = UNITS["kg" if unit.name == "lb" else "lb"]
    is_other = abs(values[0][0] * other.factor / (values[1][0] * unit.factor) - 1.0) < _ONE_PERCENT
    return other if is_other else unit


def _is_of_symbol(value: float, symbols: Sequence[str]) -> bool:
    """Whether a figure is the speed of a symbol, in km/h or as it is printed in mph."""
    return any(value == table.get(one) for table in _speeds() for one in symbols)


def _may_be_speed(value: float, symbols: Sequence[str]) -> bool:
    """Whether a figure beside a symbol is a speed of any tire, or about the symbol's own: "V (150)"."""
    tables = default_tables()
    near = (abs(value / table[one] - 1.0) <= _ABOUT for table in _speeds() for one in symbols if one in table)
    return value in tables.speed_kmh.values() or any(near)


def _speeds() -> tuple[Mapping[str, float], Mapping[str, float]]:
    tables = default_tables()
    return tables.speed_kmh, tables.speed_mph_printed


def _is_speed(value: float) -> bool:
    """Whether a figure without a unit is a speed in km/h, as it is no load index of a tire for roads."""
    return value >= _LEAST_SPEED_KMH and value in default_tables().speed_kmh.values()


def _evaluated(figure: Figure, least: float, most: float, near_kg: float = 0.0) -> bool:
    """Fills in the value of a figure, and its unit where only a load near to it tells; False where it is none."""
    factor = figure.unit.factor if figure.unit is not None else 1.0
    parsed = parse_number(figure.text, None, least / factor, most / factor)
    if parsed is None and near_kg:
        parsed = parse_number(figure.text, ",", least, most)
    if parsed is None or not least / factor <= parsed[0] <= most / factor:
        return False
    figure.value, figure.half_step = parsed
    if figure.unit is None:
        distance = {name: abs(log(max(figure.value, 1.0) * UNITS[name].factor / near_kg)) for name in ("kg", "lb")}
        figure.unit = UNITS["kg" if distance["kg"] <= distance["lb"] else "lb"]
    return True


def _order(parts: Parts) -> int:
    """1 where single mounting is named first or nothing is, -1 where dual is."""
    return -1 if parts.mountings[:2] == ["dual", "single"] else 1


def _index_readings(parts: Parts, name: str) -> Iterator[Reading]:
    indices = parts.indices
    if len(indices) > 1 and len(set(indices)) == 1:
        indices = indices[:1]  # "91 (91V)"
    if len(indices) == 2 and len(parts.symbols) == 2 and parts.symbols[0] != parts.symbols[1]:
        indices = indices[:1]  # "149A8/146B" is one index and its symbol, and another pair
    if len(indices) == 1:
        alone = name in ("load_index_dual", "max_load_dual_kg", "max_load_dual_lb") or parts.mountings == ["dual"]
        yield Reading("load_index_dual" if alone else "load_index", float(indices[0]), 0.5)
    elif indices:
        for told, index in zip(("load_index", "load_index_dual"), indices[:: _order(parts)], strict=False):
            yield Reading(told, float(index), 0.5)


def _symbol_readings(parts: Parts) -> Iterator[Reading]:
    if parts.symbols:
        yield Reading("speed_symbol", parts.symbols[0], open_ended=parts.in_brackets)


def _load_readings(parts: Parts, name: str) -> Iterator[Reading]:
    by_unit: dict[str, list[Figure]] = {}
    for one in parts.loads:
        by_unit.setdefault(_name(one), []).append(one)
    dual = "dual" in name or parts.mountings == ["dual"]
    for loads in by_unit.values():
        if len(loads) == 1:
            yield _load("max_load_dual" if dual else "max_load", loads[0])
        else:
            for stem, one in zip(("max_load", "max_load_dual"), loads[:2][:: _order(parts)], strict=True):
                yield _load(stem, one)


def _load(stem: str, figure: Figure) -> Reading:
    return Reading(_field(stem, figure), figure.value, figure.half_step, _name(figure))


def _name(figure: Figure) -> str:
    return figure.unit.name if figure.unit is not None else ""


def _field(stem: str, figure: Figure) -> str:
    """The field of a figure, whose value is put in the field's unit where that has no field of its own."""
    unit = figure.unit or UNITS["kg"]
    if unit.name in ("kg", "lb", "km/h", "mph"):
        return f"{stem}_{unit.suffix}"
    figure.value, figure.half_step = figure.value * unit.factor, figure.half_step * unit.factor
    figure.unit = UNITS["kg"]
    return f"{stem}_kg"
