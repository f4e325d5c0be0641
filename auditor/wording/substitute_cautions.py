"""What to mind when one tire stands in for another: what holds for every pair, and what this pair calls for."""

from __future__ import annotations

from collections.abc import Iterator

from auditor.substitution.facts import CLOSED
from auditor.substitution.kinds import KIND_NUMBER
from auditor.substitution.limits import HOLDS
from auditor.trade.marking_model import Marking, Unreadable
from auditor.wording.substitution import Question

# Common practice, no source, unless a sentence names its own.
ALWAYS = (
    "This compares two markings; it does not approve a tire for a vehicle. The vehicle placard, the owner's manual, "
    "the tire itself and a trained fitter decide, and local law applies.",
    "Never mount a tire on a rim of another diameter.",
    "A replacement's load index must not be below what the vehicle requires.",
)
_MOTORCYCLE, _TRUCK = KIND_NUMBER["motorcycle"], KIND_NUMBER["truck"]


def cautions(asked: Question) -> tuple[str, ...]:
    """What this pair calls for, then what holds for every pair."""
    return (*_of_pair(asked), *ALWAYS)


def _of_pair(asked: Question) -> Iterator[str]:
    yield from _not_read(asked)
    if isinstance(asked.old.marking, Marking) and isinstance(asked.new.marking, Marking):
        yield from _of_strength(asked)
        yield from _of_season_and_speed(asked, asked.old.marking, asked.new.marking)
        yield from _of_build(asked, asked.old.marking, asked.new.marking)


def _not_read(asked: Question) -> Iterator[str]:
    for name, side in (("old", asked.old), ("new", asked.new)):
        marking = side.marking
        if isinstance(marking, Unreadable):
            could = f"; it could be {' or '.join(marking.readings)}" if marking.readings else ""
            yield f"The {name} marking could not be read: {marking.reason.rstrip('.')}{could}."
            continue
        left = [*marking.unread, *(said for _, said in marking.unlisted)]
        if left:
            yield f"Not understood in the {name} marking, and left out: {', '.join(left)}."


def _of_strength(asked: Question) -> Iterator[str]:
    old, new = asked.old.facts, asked.new.facts
    if old.version < new.version and new.version >= 1.0:
        yield (
            "Extra load in place of a lower version: at the old tire's pressure it may carry less than its index; "
            "a fitter sets the pressure."
        )
    if old.kind != new.kind and asked.outcomes.kind != HOLDS and old.kind == old.kind and new.kind == new.kind:
        yield "Tires of another kind carry their load at other pressures; the load at the new pressure is not computed."
    if asked.required and old.size == old.size and old.size != new.size:
        yield (
            "Another size than the placard's: the load at the new pressure is not computed; the placard and a "
            "fitter's tables decide."
        )


def _of_season_and_speed(asked: Question, old: Marking, new: Marking) -> Iterator[str]:
    one, other = asked.old.facts, asked.new.facts
    if other.winter and asked.outcomes.speed == asked.outcomes.speed and other.speed_kmh < one.speed_kmh:
        yield (
            "The winter tire is slower: the EU allows it with a notice of its top speed in the driver's view, and the "
            "driver keeps to it (Regulation (EU) No 458/2011)."
        )
    if one.winter and not other.winter:
        yield "The old tire is a winter tire with the three-peak mountain snowflake, the new one is not."
    elif "M+S" in old.letters and not other.winter and "M+S" not in new.letters:
        yield "The old tire is marked M+S, the new one is not."
    if other.speed_open != CLOSED and other.speed_kmh == other.speed_kmh:
        yield "How fast the new tire may go, its maker states; no table ends it."


def _of_build(asked: Question, old: Marking, new: Marking) -> Iterator[str]:
    one, other = asked.old.facts, asked.new.facts
    if one.construction != other.construction and one.construction == one.construction:
        yield "Never mix radial and bias tires on one axle."
    old_flat, new_flat = (m.run_flat or "RUN-FLAT" in m.letters for m in (old, new))
    if old_flat and not new_flat:
        yield "The old tire can run a distance without pressure, the new one cannot: the vehicle may have no spare."
    if new_flat and not old_flat:
        yield "A run-flat tire belongs on a vehicle that warns of lost pressure, and on rims made for it."
    if ("TT" in new.letters) != ("TT" in old.letters):
        yield "One of the two is marked for an inner tube and the other is not: ask which the wheel takes."
    if one.kind == _MOTORCYCLE or other.kind == _MOTORCYCLE:
        yield "Front and rear tires of a motorcycle are two questions; the tire's own arrows and words decide."
    if one.size != other.size and one.size == one.size and other.size == other.size:
        if one.width_mm == other.width_mm and asked.outcomes.rim == HOLDS:
            yield "Another aspect ratio may ask for another rim width, even at the same section width."
        yield "Tires of one axle have the same size and kind; front and rear of a staggered pair are two questions."
    if one.kind == _TRUCK and other.kind == _TRUCK and one.dual_kg == one.dual_kg:
        yield "Tires that run as twins have the same diameter, whatever their markings say."
