"""The comparison itself: every point that a new tire has to hold to stand in for an old one.

Written once over the vocabulary `ops` of `auditor.judging.vocabulary`, for one pair and for arrays of pairs.
An outcome is HOLDS, CANNOT_TELL or FAILS; NaN where the old tire asks nothing.
"""

from __future__ import annotations

from typing import Any, NamedTuple

from auditor.substitution.descriptions import (
    Met,
    first_description,
    met,
    same_or_higher,
    second_description,
)
from auditor.substitution.facts import TireFacts
from auditor.substitution.kinds import KIND_NUMBER, KINDS, PASSENGER
from auditor.substitution.limits import CANNOT_TELL, FAILS, HOLDS, Limits

_UNSURE, _FARM = KIND_NUMBER["unsure"], KIND_NUMBER["farm"]
_ALIKE_MM = 0.05  # lengths that came from the same text
_ROUNDING = 1e-9  # of binary fractions


class Outcomes(NamedTuple):
    """The outcome of each point, and what it was reached with."""

    rim: Any
    rim_width: Any
    diameter: Any
    construction: Any
    kind: Any
    load: Any
    dual_load: Any
    load_range: Any
    load_version: Any
    speed: Any
    second_description: Any
    by_second: Any  # whether it was the second service description of the new tire that was compared

    def answer(self, ops: Any) -> Any:
        """The worst of all points: HOLDS is a yes, FAILS a no."""
        worst = self.rim
        for outcome in self[1:-1]:
            worst = ops.larger(worst, outcome)
        return worst


POINTS = tuple(name.replace("_", "-") for name in Outcomes._fields[:-1])


def compare(ops: Any, old: TireFacts, new: TireFacts, limits: Limits, required: bool = False) -> Outcomes:
    """Every point of a pair.

    `required` tells that the old marking is what a vehicle asks, so that another rim is a question of other wheels.
    """
    rim = _rim(ops, old, new)
    same_size = (old.size == new.size) & (rim == HOLDS)
    loads, by_second, second = _descriptions(ops, old, new, limits)
    return Outcomes(
        rim=ops.where(rim == FAILS, CANNOT_TELL, rim) if required else rim,
        rim_width=_rim_width(ops, old, new, (rim == HOLDS) | ((rim == FAILS) & required), same_size),
        # Of a tire that cannot be mounted nobody asks how large it is.
        diameter=ops.where((rim == FAILS) & (not required), ops.NAN, _diameter(ops, old, new, same_size, limits)),
        construction=_construction(ops, old, new),
        kind=_kind(ops, old, new, same_size, limits),
        load=loads.load,
        dual_load=loads.dual_load,
        load_range=_load_range(ops, old, new, limits),
        load_version=_load_version(ops, old, new, same_size),
        speed=loads.speed,
        second_description=second,
        by_second=by_second,
    )


def _rim(ops: Any, old: TireFacts, new: TireFacts) -> Any:
    same = (old.rim_kind == new.rim_kind) & (ops.magnitude(old.rim - new.rim) <= _ALIKE_MM)
    return ops.where(ops.known(old.rim) & ops.known(new.rim), ops.where(same, HOLDS, FAILS), CANNOT_TELL)


def _rim_width(ops: Any, old: TireFacts, new: TireFacts, asked: Any, same_size: Any) -> Any:
    """Another width, or one that the size does not tell, needs a rim of a width that no marking tells."""
    same = (ops.magnitude(old.width_mm - new.width_mm) <= _ALIKE_MM) | same_size
    return ops.where(asked & ops.no(same), CANNOT_TELL, ops.NAN)


def _diameter(ops: Any, old: TireFacts, new: TireFacts, same_size: Any, limits: Limits) -> Any:
    """Within the share; where one diameter is nominal and the other worked out, only if it is so throughout."""
    share, exact = limits.diameter_share + _ROUNDING, ops.magnitude(new.diameter_mm - old.diameter_mm)
    alike = ops.where(exact <= share * old.diameter_mm, HOLDS, FAILS)
    least, most = new.diameter_low_mm - old.diameter_high_mm, new.diameter_high_mm - old.diameter_low_mm
    inside = (least >= -share * old.diameter_high_mm) & (most <= share * old.diameter_low_mm)
    outside = (least > share * old.diameter_high_mm) | (most < -share * old.diameter_low_mm)
    unlike = ops.where(inside, HOLDS, ops.where(outside, FAILS, CANNOT_TELL))
    mixed = (old.diameter_low_mm < old.diameter_high_mm) != (new.diameter_low_mm < new.diameter_high_mm)
    known = ops.known(old.diameter_mm) & ops.known(new.diameter_mm)
    told = ops.where(known, ops.where(mixed, unlike, alike), CANNOT_TELL)
    return ops.where(_both_sized(old, new), ops.where(same_size, HOLDS, told), ops.NAN)


def _both_sized(old: TireFacts, new: TireFacts) -> Any:
    return (old.sized == 1.0) & (new.sized == 1.0)


def _construction(ops: Any, old: TireFacts, new: TireFacts) -> Any:
    known = ops.known(old.construction) & ops.known(new.construction)
    return ops.where(known, ops.where(old.construction == new.construction, HOLDS, CANNOT_TELL), ops.NAN)


def _kind(ops: Any, old: TireFacts, new: TireFacts, same_size: Any, limits: Limits) -> Any:
    told = ops.look_up(limits.kind_outcomes, old.kind * float(len(KINDS)) + new.kind)
    unsure = (old.kind == _UNSURE) & (new.kind == _UNSURE) & ops.no(same_size)
    told = ops.where(unsure, CANNOT_TELL, told)
    one, other = old.letters_left_out == 1.0, new.letters_left_out == 1.0
    roads = (old.kind <= KIND_NUMBER["truck"]) & (new.kind <= KIND_NUMBER["truck"])
    left_out = roads & (one | other) & ops.no(one & other & same_size)
    told = ops.where(left_out, CANNOT_TELL, told)
    limited = (new.free_rolling > old.free_rolling) | (new.off_highway > old.off_highway)
    limited = limited | ((new.implement > old.implement) & (new.kind == _FARM))
    told = ops.where(limited, FAILS, told)
    moped = (new.moped > old.moped) & (told == HOLDS)
    return ops.where(ops.known(old.kind) & ops.known(new.kind), ops.where(moped, CANNOT_TELL, told), ops.NAN)


def _load_range(ops: Any, old: TireFacts, new: TireFacts, limits: Limits) -> Any:
    """Four or six plies say nothing on a passenger tire."""
    empty = (old.kind == PASSENGER) & (old.plies <= limits.passenger_plies)
    asked = ops.known(old.plies) & ops.no(empty)
    return ops.where(asked, same_or_higher(ops, old.plies, new.plies), ops.NAN)


def _load_version(ops: Any, old: TireFacts, new: TireFacts, same_size: Any) -> Any:
    """RF alone may stand for run-flat; in the same size an index that is no lower settles it."""
    settled = same_size & (new.load_kg >= old.load_kg)
    high = ops.where((new.version_unsure == 1.0) & (old.version >= 1.0) & ops.no(settled), CANNOT_TELL, HOLDS)
    low = ops.where(old.version_unsure == 1.0, CANNOT_TELL, FAILS)
    told = ops.where(ops.known(new.version), ops.where(new.version >= old.version, high, low), CANNOT_TELL)
    asked = (old.version >= 1.0) | (ops.known(old.version) & (new.version != 0.0) & ops.known(new.version))
    flexion = ops.where(old.flexion > new.flexion, CANNOT_TELL, ops.NAN)
    return ops.where(asked, told, flexion)


def _descriptions(ops: Any, old: TireFacts, new: TireFacts, limits: Limits) -> tuple[Met, Any, Any]:
    """(outcomes of the governing description, whether by the new tire's second one, outcome of the old second one).

    Load and speed of a description go together, so one description of the new tire has to meet both.
    """
    pair = old, new
    first, second = first_description(new), second_description(new)
    by_first = met(ops, pair, first_description(old), first, limits)
    by_other = met(ops, pair, first_description(old), second, limits)
    better = (new.second == 1.0) & (by_other.badness(ops) < by_first.badness(ops))
    chosen = Met(*(ops.where(better, two, one) for one, two in zip(by_first, by_other, strict=True)))
    also_first = met(ops, pair, second_description(old), first, limits).worst(ops)
    also_other = met(ops, pair, second_description(old), second, limits).worst(ops)
    also = ops.where(new.second == 1.0, ops.smaller(also_first, also_other), also_first)
    untold = ops.where(also == HOLDS, HOLDS, CANNOT_TELL)
    return chosen, better, ops.where(old.second == 1.0, untold, ops.NAN)
