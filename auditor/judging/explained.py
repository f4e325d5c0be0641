"""Cells of loads and speeds that cannot be read, but whose every figure is one that the marking gives."""

from __future__ import annotations

from functools import reduce
from typing import Any

from auditor.judging.statements import Source, Statements
from auditor.quantities.figures_left import LOADS, SPEEDS

_LOADS = ("load_single_kg", "load_dual_kg", "load_single_alt_kg", "load_dual_alt_kg")
_TIMES = (2.0, 4.0, 6.0)  # of one tire: an axle with single or dual tires, a set
_NEAR, _ONE = 0.001, 1.0  # of a load; km/h or kg


def is_explained(st: Statements, source: Source) -> Any:
    """Where all figures of an unreadable cell are loads or speeds of the governing marking, one of a single tire's."""
    ops = st.ops
    loads, speeds = ([slot for slot in st.slots.get(name, ()) if slot.source == source.position] for name in _FIELDS)
    if not loads and not speeds:
        return st.never
    in_loads = source.field.startswith("max_load")
    every, some = ops.no(st.never), st.never
    for slot in loads:
        value = st.value(slot)
        one = _is_one_of(st, value, _LOADS, 1.0)
        several = reduce(lambda found, times: found | _is_one_of(st, value, _LOADS[:2], times), _TIMES, st.never)
        every, some = every & (ops.missing(value) | one | several), some | one
    for slot in speeds:
        value = st.value(slot)
        one = _is_one_of(st, value, ("speed_kmh", "speed_alt_kmh"), 1.0)
        slower = _is_reached(st, value) if in_loads else st.never  # the speed that a load holds at
        every, some = every & (ops.missing(value) | one | slower), some | (st.never if in_loads else one)
    return every & some


_FIELDS = (LOADS, SPEEDS)


def _is_reached(st: Statements, value: Any) -> Any:
    return (value <= st.fact("speed_kmh")) | (value <= st.fact("speed_alt_kmh"))


def _is_one_of(st: Statements, value: Any, facts: tuple[str, ...], times: float) -> Any:
    ops, found = st.ops, st.never
    for name in facts:
        own = st.fact(name) * times
        apart = ops.magnitude(value - own)
        found = found | (apart <= _ONE) | (apart <= own * _NEAR)
    return found
