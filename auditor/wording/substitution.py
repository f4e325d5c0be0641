"""Words for one tire in place of another: what each point asks, what the new tire has, and by how much they differ."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any, NamedTuple

from auditor.judging.vocabulary import scalars
from auditor.substitution.comparison import POINTS, Outcomes
from auditor.substitution.descriptions import Description, first_description, in_doubt, load_divisor, second_description
from auditor.substitution.facts import BIAS, BRACKETED, CLOSED, VERSIONS, TireFacts
from auditor.substitution.kinds import KIND_WORDS, KINDS, PASSENGER
from auditor.substitution.limits import CANNOT_TELL, FAILS, HOLDS, OUTCOMES, Limits
from auditor.trade.marking_model import Marking, ServiceDescription, Unreadable
from auditor.trade.units import KG_PER_LB, KMH_PER_MPH, MM_PER_INCH

MARGINS = ("kg", "lb", "kmh", "mph", "mm", "percent")
NOT_MARKED, NOT_TOLD = "not marked", "not told by the size"
_CONSTRUCTIONS = ("radial", "bias-belted", "bias")
_VERSION_NAMES = {number: name for name, number in VERSIONS.items()}


class PointWords(NamedTuple):
    """One point in words: what the old tire asks, what the new one has, by how much, and what follows."""

    name: str
    outcome: str
    old: str
    new: str
    margins: dict[str, float]  # by MARGINS, new less old
    why: str
    source: str


class Side(NamedTuple):
    """One of the two tires."""

    marking: Marking | Unreadable
    facts: TireFacts


class Question(NamedTuple):
    """All that a pair was compared with."""

    old: Side
    new: Side
    outcomes: Outcomes
    limits: Limits
    required: bool = False


def point_words(asked: Question) -> tuple[PointWords, ...]:
    """The points that were asked, in order."""
    found = []
    for name, outcome in zip(POINTS, asked.outcomes, strict=False):
        if outcome == outcome:
            old, new, margins, why = _POINTS[name](asked, outcome)
            kept = {unit: round(value, 1) for unit, value in margins.items() if value == value}
            found.append(
                PointWords(name, OUTCOMES[int(outcome)], old, new, kept, why, asked.limits.points[name].source)
            )
    return tuple(found)


Said = tuple[str, str, Mapping[str, float], str]


def _rim(asked: Question, outcome: float) -> Said:
    old, new = _rim_text(asked.old), _rim_text(asked.new)
    margins = {"mm": asked.new.facts.rim - asked.old.facts.rim}
    if outcome == HOLDS:
        return old, new, margins, ""
    if outcome == FAILS:
        return old, new, margins, f"A tire for a rim of {new} never goes on a rim of {old}."
    if margins["mm"] == margins["mm"]:
        return old, new, margins, f"It needs wheels of {new}; whether the vehicle may have them, no marking tells."
    return old, new, margins, "Without a size nothing can be said of the rim."


def _rim_text(side: Side) -> str:
    marking = side.marking
    if isinstance(marking, Unreadable):
        return "not readable"
    if marking.rim_diameter_mm_marked is not None:
        return f"{marking.rim_diameter_mm_marked:g} mm"
    return NOT_MARKED if marking.rim_diameter_in is None else f"{marking.rim_diameter_in:g} in"


def _rim_width(asked: Question, outcome: float) -> Said:
    old, new = _width_text(asked.old), _width_text(asked.new)
    margins = {"mm": asked.new.facts.width_mm - asked.old.facts.width_mm}
    return old, new, margins, "Another section width needs a rim of fitting width, which no marking tells."


def _width_text(side: Side) -> str:
    marking = side.marking
    if isinstance(marking, Marking) and marking.section_width_in is not None:
        return f"{marking.section_width_in:g} in wide"
    width = side.facts.width_mm
    return f"{width:g} mm wide" if width == width else NOT_TOLD


def _diameter(asked: Question, outcome: float) -> Said:
    old, new = asked.old.facts.diameter_mm, asked.new.facts.diameter_mm
    share = (new - old) / old * 100.0
    texts = _diameter_text(asked.old), _diameter_text(asked.new)
    if share != share:
        why = "" if outcome == HOLDS else "No formula gives the diameter of such a size; the makers' tables do."
        if outcome == HOLDS:
            texts = "same size", "same size"
        return *texts, {}, why
    most = asked.limits.diameter_share * 100.0
    if share == 0.0:
        return *texts, {"mm": 0.0, "percent": 0.0}, ""
    where = {HOLDS: "within", FAILS: "outside of", CANNOT_TELL: "near"}[outcome]
    more = "faster" if share > 0 else "slower"
    why = (
        f"{share:+.1f} %, {where} {most:g} %: at 100 km/h on the speedometer the vehicle drives about "
        f"{abs(share):.1f} km/h {more} than with the old size."
    )
    return *texts, {"mm": new - old, "percent": share}, why


def _diameter_text(side: Side) -> str:
    diameter = side.facts.diameter_mm
    if diameter != diameter:
        return NOT_TOLD
    return f"{diameter:,.0f} mm ({diameter / MM_PER_INCH:.1f} in)"


def _construction(asked: Question, outcome: float) -> Said:
    old, new = (_CONSTRUCTIONS[int(side.facts.construction)] for side in (asked.old, asked.new))
    if outcome == HOLDS:
        return old, new, {}, ""
    never = "Radial and bias tires" if BIAS in (asked.old.facts.construction, asked.new.facts.construction) else "They"
    return old, new, {}, f"{never} never run together on one axle; whether the vehicle may have the other is not told."


def _kind(asked: Question, outcome: float) -> Said:
    old, new = asked.old.facts, asked.new.facts
    words = _kind_text(old), _kind_text(new)
    limited = _limited(old, new)
    if outcome == HOLDS:
        return *words, {}, ""
    if limited[0] and outcome == FAILS:
        return words[0], f"{words[1]}, {limited[0]}", {}, limited[1]
    if old.letters_left_out or new.letters_left_out:
        return *words, {}, "A passenger size with a dual index or many plies lacks the letters that tell its kind."
    why = asked.limits.kind_whys.get((old.kind, new.kind), "")
    if outcome == CANNOT_TELL:
        return *words, {}, why or "Whether it may run in place of the other is not told."
    if new.kind == PASSENGER and load_divisor(scalars, old, new, asked.limits) > 1.0:
        why = "A passenger tire does not stand in for it, and on a truck, van or trailer carries its load / 1.10."
        return *words, {}, why
    one = with_article(words[1])
    return *words, {}, f"{one[:1].upper()}{one[1:]} stands in for its own kind only."


def with_article(noun: str) -> str:
    """A noun with "a" or "an" before it."""
    return f"{'an' if noun[:1] in 'aeio' else 'a'} {noun}"


def _kind_text(tire: TireFacts) -> str:
    return "passenger size, LT or C left out" if tire.letters_left_out else KIND_WORDS[KINDS[int(tire.kind)]]


def _limited(old: TireFacts, new: TireFacts) -> tuple[str, str]:
    """What the new tire is made for alone, and the sentence about it; empty where it is not."""
    if new.free_rolling > old.free_rolling:
        return "free rolling", "A free rolling tire is for trailers and undriven axles only."
    if new.off_highway > old.off_highway:
        return "not for highway service", "NHS means that it must not run on the highway."
    if new.implement > old.implement:
        return "for implements", "An implement tire is not made to drive."
    return "", ""


def _load(asked: Question, outcome: float) -> Said:
    new = _compared(asked)
    old_kg, divisor = asked.old.facts.load_kg, load_divisor(scalars, asked.old.facts, asked.new.facts, asked.limits)
    old_text = _load_text(_index(asked.old, first=True, dual=False), old_kg)
    new_text = _load_text(_index(asked.new, not asked.outcomes.by_second, dual=False), new.load_kg)
    margins = _load_margins(new.load_kg / divisor - old_kg)
    if divisor > 1.0 and new.load_kg == new.load_kg:
        less = new.load_kg / divisor
        new_text += f", counted / {divisor:.2f} = {_kg(less)}"
    doubted = [side for side in (asked.old, asked.new) if in_doubt(scalars, side.facts, asked.limits)]
    if doubted:
        which = doubted[0].marking.canonical if isinstance(doubted[0].marking, Marking) else ""
        return (
            old_text,
            new_text,
            margins,
            f"The load index of {which} cannot belong to its size and strength; look at the sidewall.",
        )
    return old_text, new_text, margins, _untold(outcome, old_kg, new.load_kg, "load index")


def _dual_load(asked: Question, outcome: float) -> Said:
    new, old_kg = _compared(asked), asked.old.facts.dual_kg
    old_text = _load_text(_index(asked.old, first=True, dual=True), old_kg)
    new_text = _load_text(_index(asked.new, not asked.outcomes.by_second, dual=True), new.dual_kg)
    if new.dual_kg == new.dual_kg or old_kg != old_kg:
        why = _untold(outcome, old_kg, new.dual_kg, "dual load index")
        return old_text, new_text, _load_margins(new.dual_kg - old_kg), why
    if outcome == FAILS:
        return old_text, new_text, {}, "Even alone it carries less than the old tire in dual mounting."
    return old_text, new_text, {}, "What it carries in dual mounting is not marked."


def _untold(outcome: float, old: float, new: float, what: str) -> str:
    if outcome != CANNOT_TELL:
        return ""
    sides = [name for name, value in (("old", old), ("new", new)) if value != value]
    return f"The {' and the '.join(sides)} marking tell{'s' if len(sides) == 1 else ''} no {what}." if sides else ""


def _compared(asked: Question) -> Description:
    """The description of the new tire that was compared."""
    return second_description(asked.new.facts) if asked.outcomes.by_second else first_description(asked.new.facts)


def _service(side: Side, first: bool) -> ServiceDescription | None:
    if isinstance(side.marking, Unreadable):
        return None
    if first:
        return side.marking.service
    return side.marking.additional[0] if side.marking.additional else None


def _index(side: Side, first: bool, dual: bool) -> int | None:
    service = _service(side, first)
    if service is None:
        return None
    return service.load_index_dual if dual else service.load_index


def _kg(load_kg: float) -> str:
    kg = f"{load_kg:,.1f}".removesuffix(".0") if load_kg < 100 else f"{load_kg:,.0f}"
    return f"{kg} kg ({load_kg / KG_PER_LB:,.0f} lb)"


def _load_text(index: int | None, load_kg: float) -> str:
    return NOT_MARKED if index is None or load_kg != load_kg else f"{index} = {_kg(load_kg)}"


def _load_margins(kg: float) -> Mapping[str, float]:
    return {"kg": kg, "lb": kg / KG_PER_LB}


def _load_range(asked: Question, outcome: float) -> Said:
    old, new = _range_text(asked.old), _range_text(asked.new)
    why = "" if outcome != CANNOT_TELL else "The new marking tells no load range."
    return old, new, {}, why


def _range_text(side: Side) -> str:
    marking, plies = side.marking, side.facts.plies
    if isinstance(marking, Unreadable) or plies != plies:
        return NOT_MARKED
    return f"{marking.load_range} ({plies:g} ply rating)" if marking.load_range else f"{plies:g} ply rating"


def _load_version(asked: Question, outcome: float) -> Said:
    old, new = asked.old.facts, asked.new.facts
    if old.flexion > new.flexion and old.version != old.version:
        names = ("standard", "IF", "VF")
        why = f"{names[int(old.flexion)]} carries its load at a lower pressure."
        return names[int(old.flexion)], names[int(new.flexion)], {}, why
    words = _version_text(asked.old), _version_text(asked.new)
    if outcome == HOLDS:
        return *words, {}, ""
    if outcome == FAILS:
        return *words, {}, f"{_VERSION_NAMES[old.version]} stays {_VERSION_NAMES[old.version]} or higher."
    if old.version_unsure or new.version_unsure:
        return *words, {}, "RF alone may stand for reinforced or for run-flat."
    return *words, {}, "The new tire's kind has no such versions."


def _version_text(side: Side) -> str:
    version = side.facts.version
    if version != version:
        return "of another kind"
    marked = not isinstance(side.marking, Unreadable) and side.marking.load_version is not None
    names = {-1.0: "light load (LL)", 0.0: "standard load", 1.0: "extra load (XL)", 2.0: "high load (HL)"}
    return names[version] + ("" if marked else ", unmarked")


def _speed(asked: Question, outcome: float) -> Said:
    new, old = _compared(asked), first_description(asked.old.facts)
    texts = _speed_text(asked.old, old, True), _speed_text(asked.new, new, not asked.outcomes.by_second)
    margins: dict[str, float] = {}
    if old.speed_open == CLOSED and new.speed_open == CLOSED:
        kmh = new.speed_kmh - old.speed_kmh
        margins = {"kmh": kmh, "mph": kmh / KMH_PER_MPH}
    if outcome == HOLDS and new.speed_kmh < old.speed_kmh:
        return *texts, margins, "A winter tire may be slower in the EU, with a notice in the driver's view."
    if outcome != CANNOT_TELL:
        return *texts, margins, ""
    if old.speed_kmh != old.speed_kmh or new.speed_kmh != new.speed_kmh:
        return *texts, margins, _untold(outcome, old.speed_kmh, new.speed_kmh, "speed symbol")
    if new.speed_kmh < old.speed_kmh and new.speed_open == CLOSED:
        return *texts, margins, "A slower winter tire is allowed in the EU, with a notice, and not in the US."
    if asked.old.facts.speed_doubt:
        return *texts, margins, "ZR and a symbol of 240 km/h or less contradict each other; look at the sidewall."
    return *texts, margins, "What it is rated above, no table ends; the maker states the limit."


def _speed_text(side: Side, description: Description, first: bool) -> str:
    service, kmh = _service(side, first), description.speed_kmh
    symbol = "" if service is None else service.speed_symbol or ""
    if kmh != kmh:
        practice = side.facts.practice_kmh
        if practice == practice:
            return f"not marked; by practice {practice / KMH_PER_MPH:.0f} mph ({practice:.0f} km/h)"
        return NOT_MARKED
    ends = f"{kmh:g} km/h ({kmh / KMH_PER_MPH:.0f} mph)"
    if description.speed_open == CLOSED:
        return f"{symbol or 'in the size'} = {ends}"
    return f"({symbol}) = above {ends}" if description.speed_open == BRACKETED else f"in the size: above {ends}"


def _second(asked: Question, outcome: float) -> Said:
    old = _described(_service(asked.old, first=False))
    new = " and ".join(filter(None, (_described(_service(asked.new, first)) for first in (True, False))))
    why = "" if outcome == HOLDS else "The new tire does not have it; whether the vehicle needs it is not told."
    return old, new or NOT_MARKED, {}, why


def _described(service: ServiceDescription | None) -> str:
    if service is None or service.load_index is None:
        return ""
    dual = "" if service.load_index_dual is None else f"/{service.load_index_dual}"
    return f"{service.load_index}{dual}{service.speed_symbol or ''}"


_POINTS: dict[str, Callable[[Question, float], Any]] = {
    "rim": _rim,
    "rim-width": _rim_width,
    "diameter": _diameter,
    "construction": _construction,
    "kind": _kind,
    "load": _load,
    "dual-load": _dual_load,
    "load-range": _load_range,
    "load-version": _load_version,
    "speed": _speed,
    "second-description": _second,
}
