"""What one marking really says, by name: loads, speeds and dimensions; and what practice asks beyond its facts."""

from __future__ import annotations

from itertools import pairwise
from math import floor

from auditor.trade.facts import CONVERTED, FACT_POSITION, fact_in, fact_row
from auditor.trade.marking_model import Marking
from auditor.trade.tables import Tables, default_tables
from auditor.trade.units import MM_PER_INCH


class Derived:
    """The facts of one marking by the names of the registry, `derived.load_single_kg`; None where nothing follows.

    Any fact can be asked for in another unit of its dimension, `derived.load_single_lb`: an unrounded conversion.
    """

    __slots__ = ("_row",)

    def __init__(self, row: tuple[float, ...]) -> None:
        self._row = row

    def __getattr__(self, name: str) -> float | None:
        if name not in FACT_POSITION and name not in CONVERTED:
            raise AttributeError(f"There is no fact {name!r}.")
        value = fact_in(self._row, name)
        return None if value != value else value

    def __dir__(self) -> list[str]:
        return sorted([*FACT_POSITION, *CONVERTED])


def derive(marking: Marking, tables: Tables | None = None) -> Derived:
    """Everything that follows from `marking` by formulas and by `tables`, the published ones unless given."""
    return Derived(fact_row(marking, tables or default_tables()))


def load_at_speed_kg(
    load_single_kg: float, speed_symbol: str, speed_kmh: float, tables: Tables | None = None
) -> float | None:
    """kg a V, W or Y tire may carry at `speed_kmh`, linear between the steps; None above the symbol's speed.

    Every other symbol carries the full load up to its own speed.
    Source: UN Regulation No. 30, definition of the maximum load rating (steps from memory).
    """
    tables = tables or default_tables()
    top_kmh = tables.speed_kmh.get(speed_symbol)
    if top_kmh is None or speed_kmh > top_kmh:
        return None
    steps = tables.high_speed_load_percent.get(speed_symbol, ())
    if not steps or speed_kmh <= steps[0][0]:
        return load_single_kg
    for (slow_kmh, slow_percent), (fast_kmh, fast_percent) in pairwise(steps):
        if speed_kmh <= fast_kmh:
            share = (speed_kmh - slow_kmh) / (fast_kmh - slow_kmh)
            return load_single_kg * (slow_percent + share * (fast_percent - slow_percent)) / 100.0
    return load_single_kg * steps[-1][1] / 100.0


def load_at_top_speed_kg(marking: Marking, tables: Tables | None = None) -> float | None:
    """kg per tire at the symbol's own top speed, for V, W and Y; None for any other marking."""
    tables = tables or default_tables()
    symbol, load_kg = marking.service.speed_symbol, tables.load_of(marking.service.load_index)
    if symbol is None or load_kg is None or symbol not in tables.high_speed_load_percent:
        return None
    return load_at_speed_kg(load_kg, symbol, tables.speed_kmh[symbol], tables)


def commercial_loads_by_speed(
    marking: Marking, tables: Tables | None = None
) -> tuple[tuple[float, float, float | None], ...]:
    """(km/h, single kg, dual kg) that a commercial or truck tire may carry when slower than its symbol.

    Empty for other families, without a load index, and for speeds at or above the symbol's own.
    Source: from memory of UN Regulation No. 54, Annex 8.
    """
    tables = tables or default_tables()
    service = marking.service
    single_kg, dual_kg = tables.load_of(service.load_index), tables.load_of(service.load_index_dual)
    if not marking.size_family.carries_more_when_slower or single_kg is None or service.load_index is None:
        return ()
    top_kmh = tables.speed_kmh.get(service.speed_symbol or "", 0.0)
    return tuple(
        (speed_kmh, single_kg * percent / 100.0, None if dual_kg is None else dual_kg * percent / 100.0)
        for over, up_to, speed_kmh, percent in tables.commercial_load_percent
        if over < service.load_index <= up_to and speed_kmh < top_kmh
    )


def load_per_axle_kg(derived: Derived) -> tuple[float | None, float | None]:
    """(kg on an axle with two tires, kg on an axle with four): two single loads, four dual ones."""
    single_kg, dual_kg = derived.load_single_kg, derived.load_dual_kg
    return (None if single_kg is None else 2.0 * single_kg), (None if dual_kg is None else 4.0 * dual_kg)


def section_width_on_rim_mm(section_width_mm: float, measuring_rim_in: float, rim_width_in: float) -> float:
    """Estimate of the section width in whole mm on a rim of another width: S = S1 + 0.4 (A - A1).

    An estimate, since A1 is the maker's theoretical rim width, which the measuring rim only comes near to.
    Source: UN Regulation No. 30, 6.1.1.
    """
    return float(floor(section_width_mm + 0.4 * (rim_width_in - measuring_rim_in) * MM_PER_INCH + 0.5))
