"""Every reading that a figure, a letter or a word of a sentence may have, whatever stands around it.

What the frames find is what somebody thought of; a reading that no frame finds may still be a claim.  Which of them are
is weighed (`auditor.claims.values.weighing`).  A whole size is none by itself: texts name sizes of other tires far
more often.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from math import inf
from typing import NamedTuple

from auditor.claims.terms.items import LOAD_UNITS, UNITS, Item
from auditor.claims.terms.own import LIKELY_CLOSE, LIKELY_INDEX, LIKELY_LOAD, LIKELY_SPEED, OTHER_LETTER, SURELY
from auditor.claims.terms.symbols import FROM_80_KMH
from auditor.claims.terms.weights import in_kg_or_kmh
from auditor.claims.terms.words import UPPER
from auditor.claims.values.look import ASPECTS, LEAST_DB, PLIES, RIMS, Given, Value, a_little_below, is_bounded_below
from auditor.trade.patterns import Pattern

_UNIT_AT = (1, 2, -1, -2, 3)  # where the unit of a number may stand, the likeliest first
THOUSANDS = Pattern(r"[1-9]\d[Kk]")  # "50K" are thousands of miles, unless a word calls them a load index
_NUMBERS = frozenset({"number", "word", "pair"})
_CODES = frozenset({"service", "letter", "rim-code"})
LEAST_OF_PAIR, PAIR_APART = 70, 12  # load indices of single and dual tires, which lie near each other


class _Bounds(NamedTuple):
    """What a number has to be for a field, after it is multiplied."""

    field: str
    least: float
    most: float = inf
    times: float = 1.0
    one_of: frozenset[float] | None = None
    second: bool = False  # of two numbers, the second: "115/112"
    whole: bool = False


def _loads(unit: str, most: float = inf) -> tuple[_Bounds, _Bounds]:
    """A load in a unit, of one tire and of dual ones."""
    times, to = LOAD_UNITS[unit]
    one = _Bounds(f"max_load_{to}", 70, most, times)
    return one, one._replace(field=f"max_load_dual_{to}", second=True)


_RIM = _Bounds("rim_diameter_in", 8, one_of=RIMS)
_PLY = _Bounds("ply_rating", 4, one_of=PLIES)
_BY_UNIT = {
    "kg": _loads("kg"),
    "lb": _loads("lb"),
    "tonne": _loads("tonne", most=100_000),
    "kilonewton": _loads("kilonewton", most=15_000),  # more "kn" are a price in kuna
    "kmh": (_Bounds("max_speed_kmh", 20),),
    "mph": (_Bounds("max_speed_mph", 20),),
    "psi": (_Bounds("max_pressure_psi", 0),),
    "kpa": (_Bounds("max_pressure_kpa", 0),),
    "bar": (_Bounds("max_pressure_bar", 0),),
    "in": (_RIM._replace(least=0), _Bounds("overall_diameter_in", 16), _Bounds("section_width_in", 4, 20)),
    "mm": (
        _Bounds("tread_depth_mm", 4.01, 59.99),
        _Bounds("section_width_mm", 100, 500),
        _Bounds("overall_diameter_mm", 300),
    ),
    "32nds": (_Bounds("tread_depth_32nds", 0),),
    "db": (_Bounds("noise_db", LEAST_DB),),  # "db" is short for pieces in Hungarian
    "ply": (_PLY,),
    "": (
        _Bounds("load_index", 30, 279, whole=True),
        _Bounds("load_index_dual", 30, 279, whole=True, second=True),
        _RIM,
        _PLY,
        _Bounds("treadwear", 60, 1000),
        _Bounds("aspect_ratio", 20, 95, one_of=ASPECTS),
        _Bounds("section_width_mm", 100, 450),
        _Bounds("noise_db", 65, 80),
    ),
}
_BARE_LOADS = ("max_load_kg", "max_load_lb"), ("max_load_dual_kg", "max_load_dual_lb")  # by whether of dual tires
_BARE_LOAD = (200.0, 20_000.0)
_LOADED = frozenset({"load", "single", "dual", "carries"})  # by which a number without a unit may be a load
DENIES = frozenset({"not", "no"})
DENIABLE = frozenset({"severe_snow", "mud_and_snow", "run_flat"})
_LINKS = frozenset({"is", "means", "index", "symbol"})
_LABELS = frozenset({"index", "symbol"})
_EXPLAINING = frozenset({"(", "="})
_MOST_LINKS = 3
_LETTERS = (
    ("speed_symbol", (*"BCDEFGHJKLMNPQRSTUVWY", "A1", "A2", "A3", "A4", "A5", "A6", "A7", "A8")),
    ("load_range", "BCDEFGHJLM"), ("fuel_class", "ABCDEFG"),
    ("wet_grip_class", "ABCDEFG"), ("noise_class", "ABC"), ("temperature", "ABC"), ("traction", ("AA", "A", "B", "C")),
    ("tire_class", ("C1", "C2", "C3")),
)  # fmt: skip
_WORDS: tuple[tuple[str, str, float | str], ...] = (
    ("summer", "season", "summer"), ("winter", "season", "winter"), ("all-season", "season", "all-season"),
    ("xl", "load_version", "XL"), ("sl", "load_version", "SL"), ("hl", "load_version", "HL"),
    ("radial", "construction", "R"), ("bias", "construction", "D"), ("snowflake", "severe_snow", 1.0),
    ("mud-and-snow", "mud_and_snow", 1.0), ("runflat", "run_flat", 1.0), ("plain", "run_flat", 0.0),
)  # fmt: skip
_VALUED = frozenset(role for role, *_ in _WORDS)


def readings_of(items: list[Item], kinds: Mapping[str, str]) -> Iterator[Value]:
    """The readings of a sentence's items, in their order."""
    roles: frozenset[str] = frozenset().union(*[item.roles for item in items])
    for place, item in enumerate(items):
        if not item.numbers and item.kind not in _CODES and _VALUED.isdisjoint(item.roles):
            continue
        for field, value, unit_at in _of_item(items, place, item, roles):
            first, last = (place, unit_at) if unit_at > place else (unit_at, place)
            half = item.halves * _times(items[unit_at]) if item.numbers else 0.0
            if kinds[field] == "load" and place and "below" in items[place - 1].roles:
                value, half = a_little_below(value, half)
            one = Value(field, value, place, first, last, kinds[field], half_step=half)
            one.open_ended = kinds[field] in ("load", "speed") and is_bounded_below(items, place)
            if unit_at == place and field.startswith("max_load") and item.numbers:
                one.given = Given(LIKELY_CLOSE + SURELY, in_kg_or_kmh(field, float(value)))
            yield one
            if field in DENIABLE and roles & DENIES:
                yield replace(one, denied=True)


def _times(unit: Item) -> float:
    """What a figure with a unit is multiplied by to be in that of its field."""
    return next((factor for name, (factor, _) in LOAD_UNITS.items() if name in unit.roles), 1.0)


_RIM_BEFORE, _LABEL_BEFORE = 6, 3  # items from a figure back to the rim that owns it, and from that to the label
_OF_LIMITS = frozenset({"load", "pressure", "max"})


def is_the_rims(items: Sequence[Item], place: int) -> bool:
    """Whether a load or pressure is that of a rim: "Traglast der Felge: 1.050 kg"."""
    for at in range(place - 1, max(place - _RIM_BEFORE, 1), -1):
        roles = items[at].roles
        if "rim" in roles and not roles & UNITS:
            return _is_owner(items, at)
        if "tire" in roles or "it" in roles or "each" in roles:
            return False
    return False


def _is_owner(items: Sequence[Item], rim: int) -> bool:
    """Whether a rim stands behind a label and a small word: "del cerchio", "of the alloy wheel", "der Felge"."""
    for at in range(rim - 1, max(rim - 1 - _LABEL_BEFORE, 0), -1):
        roles = items[at].roles
        if roles & {"genitive", "the"} and items[at - 1].roles & _OF_LIMITS:
            return True
    return False


def likely(field: str, value: float | str) -> Given | None:
    """Beside which markings a value may count that no frame says.

    A load or a speed only near the marking's, a load index too, for other numbers look like it; a letter only where it
    is not the marking's own, be it of the load range or of the speed: "L-rated construction".
    """
    if field.startswith("load_index"):
        return Given(LIKELY_INDEX + SURELY, value)
    if field in ("speed_symbol", "load_range"):
        return Given(OTHER_LETTER, value)
    if isinstance(value, str) or not field.startswith(("max_load", "max_speed")):
        return None
    name = LIKELY_LOAD if field.startswith("max_load") else LIKELY_SPEED
    return Given(name + SURELY, in_kg_or_kmh(field, value))


def bound_to_symbols(values: Sequence[Value], items: Sequence[Item], clause_of: Sequence[int]) -> Iterator[Value]:
    """Speeds once more that stand beside one speed symbol in their clause: said of every tire that has the symbol.

    `clause_of` gives the number of the clause of every item.
    """
    letters: dict[int, set[str]] = {}
    for place, item in enumerate(items):
        if item.kind == "letter" and item.text.isupper():
            letters.setdefault(clause_of[place], set()).add(item.text)
    if not letters:
        return
    for one in values:
        beside = letters.get(clause_of[one.place], set())
        if one.field.startswith("max_speed") and len(beside) == 1 and beside <= FROM_80_KMH and not is_bound(one):
            yield one.beside(Given("speed_symbol", *beside))


def without_bare_loads(values: list[Value]) -> list[Value]:
    """Values without loads that have no unit, where others have: "max load 850 kg 2024" holds a year."""
    loads = [one.first < one.last for one in values if one.field.startswith("max_load")]
    if all(loads) or not any(loads):
        return values
    return [one for one in values if one.first < one.last or not one.field.startswith("max_load")]


def linked_to_codes(values: Sequence[Value], items: Sequence[Item]) -> Iterator[Value]:
    """Loads and speeds once more that a load index or a speed symbol is said to stand for: "102 means 950 kg".

    They are said of every tire that has the code, whomever else the sentence speaks of.  Between them is a word that
    explains or a mark that does, and otherwise only what links.
    """
    for one in values:
        is_load = one.field.startswith("max_load")
        if one.first == one.last or one.denied or not (is_load or one.field.startswith("max_speed")):
            continue
        codes = (_code_of(items, min(one.first, one.place), -1), _code_of(items, max(one.last, one.place), 1))
        for item in (item for item in codes if item is not None):
            if not is_load and item.kind == "letter" and item.text in FROM_80_KMH:
                yield one.beside(Given("speed_symbol", item.text))
            elif is_load and item.kind == "number" and len(item.numbers) == 1 and item.halves == 0.5:
                yield one.beside(Given("load_index_dual" if "dual" in one.field else "load_index", item.numbers[0]))


def _code_of(items: Sequence[Item], place: int, step: int) -> Item | None:
    """The number or the letter beside a quantity that stands for it; None where none does."""
    explained = opened = False
    for at in range(place + step, place + step * (_MOST_LINKS + 2), step):
        item = items[at] if 0 <= at < len(items) else None
        if item is None:
            return None
        if item.kind in ("number", "letter"):
            beside = items[at + 1].roles if at + 1 < len(items) else frozenset()
            named = item.kind == "letter" and at > 0 and items[at - 1].text == UPPER  # "the Transit T means"
            labeled = step < 0 < at and not _LABELS.isdisjoint(items[at - 1].roles)
            is_code = beside.isdisjoint(UNITS) and item.roles <= _LINKS and not named
            return item if is_code and (explained or (opened and labeled)) else None
        opened |= item.text == ":"  # "load index 102: carries 950 kg"
        if item.text not in _EXPLAINING and item.text != ":" and item.roles.isdisjoint(_LINKS):
            return None
        explained |= item.text in _EXPLAINING or "means" in item.roles
    return None


def is_bound(value: Value) -> bool:
    """Whether a value is said of the tires of a speed symbol."""
    return value.given is not None and value.given.field == "speed_symbol"


def _of_item(
    items: list[Item], place: int, item: Item, roles: frozenset[str]
) -> Iterator[tuple[str, float | str, int]]:
    """The readings of one item: field, value and where its unit stands; `roles` are those of the whole sentence."""
    if item.kind in _NUMBERS and item.numbers and "each" not in item.roles:
        unit, unit_at = _unit_of(items, place, item)
        if not unit and len(item.numbers) == 2 and not _are_indices(*item.numbers):
            if "/" in item.text and item.numbers[0] % 5 == item.numbers[1] % 5 == 0:  # "in 425/65"
                yield "section_width_mm", item.numbers[0], place
                yield "aspect_ratio", item.numbers[1], place
            return
        if not unit and roles & _LOADED and _BARE_LOAD[0] <= item.numbers[0] <= _BARE_LOAD[1]:
            for field in _BARE_LOADS["dual" in roles]:
                yield field, item.numbers[0], place
        for bounds in _BY_UNIT.get(unit, ()):
            value = item.numbers[-1 if bounds.second and len(item.numbers) == 2 else 0] * bounds.times
            if not bounds.least <= value <= bounds.most or (bounds.whole and item.halves != 0.5):
                continue
            if bounds.one_of is None or value in bounds.one_of:
                yield bounds.field, value, unit_at
    elif item.kind == "service" and not THOUSANDS.fullmatch(item.text):
        yield "service_description", item.text, place
    elif item.kind == "letter" and (letter := item.text).isupper():
        for field, letters in _LETTERS:
            if letter in letters:
                yield field, letter, place
    elif item.kind == "rim-code" and item.numbers[0] in RIMS:
        yield "rim_diameter_in", item.numbers[0], place
    if item.roles and "all-year" not in item.roles:  # "lasts all year"
        for role, field, word in _WORDS:
            if role in item.roles:
                yield field, word, place


def _are_indices(single: float, dual: float) -> bool:
    return LEAST_OF_PAIR <= dual <= single <= dual + PAIR_APART


def _unit_of(items: list[Item], place: int, item: Item) -> tuple[str, int]:
    """The unit of a number and its place; "" for none."""
    if "ply" in item.roles:
        return "ply", place
    for step in _UNIT_AT:
        at = place + step
        units = items[at].roles & UNITS if 0 <= at < len(items) else None
        if not units or (step == 3 and "ply" in units):
            continue
        between = range(max(0, at - 2), at) if step < 0 else range(place + 1, at)
        if any(items[other].numbers for other in between):
            continue  # the unit of another number
        return min(units), at
    return "", place
