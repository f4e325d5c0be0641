"""Parts of a marking that cannot both hold: two service descriptions, two indices, a letter that may be either."""

from __future__ import annotations

from dataclasses import replace

from auditor.marking.parts import Tail
from auditor.marking.service import text_of
from auditor.marking.shape import Size
from auditor.trade.family import Family
from auditor.trade.marking_model import ServiceDescription

# Families of which no tire has a second service description; of two, one is another version's.
_ONE_DESCRIPTION = frozenset({"metric", "p-metric", "temporary-spare", "motorcycle"})


def contradiction(size: Size, tail: Tail, family: Family) -> tuple[str, tuple[str, ...]] | None:
    """(reason, possible readings) when two parts of the marking cannot both hold."""
    if tail.conflict:
        return f"The marking contradicts itself: {tail.conflict}.", ()
    if 0 < tail.before < len(tail.services):
        head, after = text_of(tail.services[0][0]), text_of(tail.services[tail.before][0])
        pair = (f"{size.text} {head}", f"{size.text} {after}")
        return f"It states {head} before the size and {after} after it.", pair
    several = [one for one, _ in tail.services]
    if family.name in _ONE_DESCRIPTION and several and several[0].load_index_dual is None:
        several += tail.extra
    if len(several) > 1 and not family.two_descriptions:
        readings = tuple(f"{size.text} {text_of(one)}" for one in several)
        return "It holds two service descriptions.", readings
    return _two_loads(size, tail, family) or _symbol_or_range(size, tail, family)


# A second service description of these tells a load at another mounting, also at one speed: driven or trailed.
_SLOW = frozenset({"agricultural", "off-road", "industrial"})
_FASTER_THAN_VANS = frozenset("VWY")  # tires that run in pairs are made up to H, 210 km/h


def _two_loads(size: Size, tail: Tail, family: Family) -> tuple[str, tuple[str, ...]] | None:
    """Two load indices of which only one can be this tire's.

    Of two service descriptions the faster has the lower index, so two of one form and one speed are two tires'
    (`109/107T (106T)` adds the index as a car's tire); of a pair on a tire that never runs in pairs, `94/98W`, one is
    another version's.
    """
    described = [*(one for one, _ in tail.services), *tail.extra, *([tail.bare] if tail.bare else [])]
    if not described:
        return None
    first = described[0]
    for one in described[1:]:
        at_one_speed = first.speed_symbol is not None and one.speed_symbol == first.speed_symbol
        at_one_speed = at_one_speed and (one.load_index_dual is None) == (first.load_index_dual is None)
        if family.name not in _SLOW and at_one_speed and one.load_index not in (None, first.load_index):
            return "It holds two service descriptions of one speed.", _each(size, first, one)
    single, dual = first.load_index, first.load_index_dual
    if family.name not in _ONE_DESCRIPTION or single is None or dual is None:
        return None
    if dual > single or (dual < single and (first.speed_symbol or "A") in _FASTER_THAN_VANS):
        pair = replace(first, load_index_dual=None), replace(first, load_index=dual, load_index_dual=None)
        return "It holds two load indices, and no such tire has one for twin mounting.", _each(size, *pair)
    return None


def _each(size: Size, *described: ServiceDescription) -> tuple[str, ...]:
    return tuple(f"{size.text} {text_of(one)}" for one in described)


def _symbol_or_range(size: Size, tail: Tail, family: Family) -> tuple[str, tuple[str, ...]] | None:
    """A letter apart from the load index that can be a speed symbol or a load range."""
    first, apart = tail.services[0] if tail.services else (ServiceDescription(), False)
    letter = first.speed_symbol
    if apart and letter and not tail.load_range:
        light = (
            family.name in ("lt-metric", "flotation", "special-trailer", "numeric", "commercial") and letter in "BCDEFG"
        )
        # J, 100 km/h, is a truck tire's commonest symbol, and whoever takes it for one is promised no more.
        if light or (family.name in ("truck-metric", "truck-numeric") and letter in "FGH"):
            index = text_of(replace(first, speed_symbol=None))
            readings = (f"{size.text} {index}{letter}", f"{size.text} {index} LR {letter}")
            return f"The {letter} after the load index can be a speed symbol or a load range.", readings
    return None
