"""Cells of loads and speeds that cannot be read, but whose every figure is one that the marking gives."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from auditor.judging.statements import Slot, Source, Statements
from auditor.quantities.figures_left import LOADS, SPEEDS

_LOADS = ("load_single_kg", "load_dual_kg", "load_single_alt_kg", "load_dual_alt_kg")
_SPEEDS = ("speed_kmh", "speed_alt_kmh")
_TIMES = (2.0, 4.0, 6.0)  # of one tire: an axle with single or dual tires, a set
_NEAR, _ONE = 0.001, 1.0  # of a load; km/h or kg


def is_explained(st: Statements, source: Source) -> Any:
    """Where all figures of an unreadable cell are loads or speeds of the governing marking, one of a single tire's."""
    loads, speeds = _slots_of(st, source, LOADS), _slots_of(st, source, SPEEDS)
    if not loads and not speeds:
        return st.never
    ops, in_loads = st.ops, source.field.startswith("max_load")
    every, some = ops.no(st.never), st.never
    for slot in loads:
        value = st.value(slot)
        one, several = _is_one_of(st, value, _LOADS), _is_one_of(st, value, _LOADS[:2], _TIMES)
        every, some = every & (ops.missing(value) | one | several), some | one
    for slot in speeds:
        value = st.value(slot)
        one = _is_one_of(st, value, _SPEEDS)
        if in_loads:  # the speed that a load holds at
            every = every & (ops.missing(value) | one | _is_reached(st, value))
        else:
            every, some = every & (ops.missing(value) | one), some | one
    return every & some


def _slots_of(st: Statements, source: Source, name: str) -> list[Slot]:
    return [slot for slot in st.slots.get(name, ()) if slot.source == source.position]


def _is_reached(st: Statements, value: Any) -> Any:
    return (value <= st.fact(_SPEEDS[0])) | (value <= st.fact(_SPEEDS[1]))


def _is_one_of(st: Statements, value: Any, facts: Sequence[str], times: Sequence[float] = (1.0,)) -> Any:
    found = st.never
    for own in (st.fact(name) * factor for name in facts for factor in times):
        apart = st.ops.magnitude(value - own)
        found = found | (apart <= _ONE) | (apart <= own * _NEAR)
    return found
