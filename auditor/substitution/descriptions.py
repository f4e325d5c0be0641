"""What a service description of the old tire asks, and what one of the new tire has: load, dual load, speed."""

from __future__ import annotations

from typing import Any, NamedTuple

from auditor.substitution.facts import ABOVE, CLOSED, TireFacts
from auditor.substitution.limits import CANNOT_TELL, FAILS, HOLDS, Limits


class Description(NamedTuple):
    """One service description: what it allows, and how its speed ends."""

    load_kg: Any
    dual_kg: Any
    speed_kmh: Any
    speed_open: Any


class Met(NamedTuple):
    """The outcomes of one description of the old tire held against one of the new tire; NaN where nothing is asked."""

    load: Any
    dual_load: Any
    speed: Any

    def worst(self, ops: Any) -> Any:
        """The worst of the three."""
        return ops.larger(ops.larger(self.load, self.dual_load), self.speed)

    def badness(self, ops: Any) -> Any:
        """More where more fails, then where more cannot be told: which of two descriptions to compare with."""
        total: Any = 0.0
        for one in self:
            total = total + ops.where(one == FAILS, 10.0, ops.where(one == CANNOT_TELL, 1.0, 0.0))
        return total


def first_description(tire: TireFacts) -> Description:
    """The governing service description."""
    return Description(tire.load_kg, tire.dual_kg, tire.speed_kmh, tire.speed_open)


def second_description(tire: TireFacts) -> Description:
    """The additional service description."""
    return Description(tire.load_2_kg, tire.dual_2_kg, tire.speed_2_kmh, tire.speed_2_open)


def same_or_higher(ops: Any, old: Any, new: Any) -> Any:
    """Whether a number is not below another; cannot be told where one of them is missing."""
    return ops.where(ops.known(old) & ops.known(new), ops.where(new >= old, HOLDS, FAILS), CANNOT_TELL)


def met(ops: Any, pair: tuple[TireFacts, TireFacts], old: Description, new: Description, limits: Limits) -> Met:
    """The outcomes of one description against another; `pair` are the tires that they stand on."""
    divisor = load_divisor(ops, *pair, limits)
    load = new.load_kg / divisor
    above, below = beyond_band(ops, pair[0], limits)
    # What asks more than its size is made for is met by what has as much, whatever it should have said.
    doubt = below | (above & (load < old.load_kg)) | in_doubt(ops, pair[1], limits)
    return Met(
        ops.where(doubt, CANNOT_TELL, same_or_higher(ops, old.load_kg, load)),
        _dual(ops, pair, old, Description(load, new.dual_kg / divisor, new.speed_kmh, new.speed_open)),
        _speed(ops, pair, old, new, limits),
    )


def load_divisor(ops: Any, old: TireFacts, new: TireFacts, limits: Limits) -> Any:
    """By what the load of a passenger tire is divided in place of a light truck, commercial or trailer tire."""
    heavier = old.kind == limits.passenger_in_place_of[0]
    for kind in limits.passenger_in_place_of[1:]:
        heavier = heavier | (old.kind == kind)
    lighter = heavier & (new.kind == 0.0) & (new.letters_left_out == 0.0)
    return ops.where(lighter, limits.passenger_divisor, 1.0)


def in_doubt(ops: Any, tire: TireFacts, limits: Limits) -> Any:
    """Whether no tire of the size is made for the load that the index says: one of the two is a mistake."""
    above, below = beyond_band(ops, tire, limits)
    return above | below


def beyond_band(ops: Any, tire: TireFacts, limits: Limits) -> tuple[Any, Any]:
    """Whether the index says (more, less) than tires of the size are made for."""
    above = tire.load_kg > tire.band_high_kg * (1.0 + limits.band_room)
    return above, tire.load_kg < tire.band_low_kg * (1.0 - limits.band_room)


def _dual(ops: Any, pair: tuple[TireFacts, TireFacts], old: Description, new: Description) -> Any:
    """A tire without a dual index carries in dual mounting less than alone, but how much is not told."""
    untold = ops.where(new.load_kg < old.dual_kg, FAILS, CANNOT_TELL)
    asked = ops.where(ops.known(new.dual_kg), same_or_higher(ops, old.dual_kg, new.dual_kg), untold)
    perhaps = ops.missing(old.load_kg) & (pair[0].dual_usual == 1.0)
    return ops.where(ops.known(old.dual_kg), asked, ops.where(perhaps, CANNOT_TELL, ops.NAN))


def _speed(ops: Any, pair: tuple[TireFacts, TireFacts], old: Description, new: Description, limits: Limits) -> Any:
    """A faster symbol holds; where what a tire is rated above has no end that a table tells, more cannot be told."""
    asked, has = _with_practice(ops, pair, old, new)
    known = ops.known(asked) & ops.known(has)
    winter = (pair[1].winter == 1.0) & (has >= limits.winter_slowest_kmh)
    slower = ops.where(winter, limits.winter, FAILS)
    doubtful = (pair[0].speed_doubt == 1.0) & (has <= asked)
    to_closed = ops.where(has >= asked, ops.where(doubtful, CANNOT_TELL, HOLDS), slower)
    to_open = ops.where(has > asked, CANNOT_TELL, slower)
    old_ends, new_ends = old.speed_open == CLOSED, new.speed_open == CLOSED
    from_open = ops.where(has >= asked, HOLDS, CANNOT_TELL)
    told = (old.speed_open != ABOVE) & (new.speed_open != ABOVE)
    both_open = ops.where(told, ops.where(has >= asked, HOLDS, FAILS), CANNOT_TELL)
    ends = ops.where(old_ends, ops.where(new_ends, to_closed, from_open), ops.where(new_ends, to_open, both_open))
    return ops.where(known, ends, CANNOT_TELL)


def _with_practice(ops: Any, pair: tuple[TireFacts, TireFacts], old: Description, new: Description) -> tuple[Any, Any]:
    """(asked, had) in km/h; a trailer tire without a symbol asks what practice gives it, but may not have it."""
    unmarked = ops.missing(old.speed_kmh)
    asked = ops.first_known(old.speed_kmh, pair[0].practice_kmh)
    has = ops.where(unmarked & ops.missing(new.speed_kmh), pair[1].practice_kmh, new.speed_kmh)
    return asked, has
