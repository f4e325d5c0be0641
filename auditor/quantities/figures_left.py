"""The figures of a load or speed cell that cannot be read: "462,5 kg (gerundet 462)", "515 kg (komplet 2060)".

Whoever knows the marking can tell whether it explains all of them; then nothing is wrong with the cell but its form.
"""

from __future__ import annotations

from auditor.quantities.numbers import parse_number
from auditor.quantities.other_words import in_known_words
from auditor.quantities.scan import names_group
from auditor.quantities.units import UNIT_OF_SPELLING, Measure, find_unit, measures, unit_of_column
from auditor.trade.patterns import Pattern
from auditor.trade.units import UNITS, Unit

FIGURE = "figure"  # the field of what is left; its occurrences count from 0
LOADS, SPEEDS = f"{FIGURE} kg", f"{FIGURE} km/h"  # the fields by quantity, each in its unit
MOST, LONGEST_CELL = 4, 80  # figures, and characters, in a cell that are looked at
_STEMS = {"max_load": LOADS, "max_load_dual": LOADS, "max_speed": SPEEDS}
_QUANTITIES = {UNITS["kg"].dimension: LOADS, UNITS["km/h"].dimension: SPEEDS}
_NUMBER = Pattern(
    r"(?P<number>[0-9]{1,3}(?:[ '’][0-9]{3})+(?![0-9])(?:[.,][0-9]+)?|[0-9]+(?:[.,][0-9]+)*)\s{0,3}"
    r"(?P<unit>km\s?/\s?h|[^\W\d_]+(?:/[^\W\d_]+)?|[\"%#°])?"
)
_GLUED = Pattern(r"[^\W\d_]$")


def figures_left(text: str, field: str, unit: str | None, decimal: str | None) -> list[tuple[str, float]]:
    """(field, figure) of every number of a cell, in kg or km/h.

    None where one is of anything else, or the only one is for several tires.
    """
    measure = measures().get(field)
    own = _STEMS.get(measure.stem) if measure is not None else None
    if measure is None or own is None or len(text) > LONGEST_CELL:
        return []
    column = None if unit is None else find_unit(unit)
    found: list[tuple[str, float]] = []
    lowered = in_known_words(text.lower())
    for match in _NUMBER.finditer(lowered):
        written = UNIT_OF_SPELLING.get((match["unit"] or "").replace(" ", "").replace(".", ""))
        name = _QUANTITIES.get(written.dimension) if written is not None else own
        parsed = None if name is None else _number(match["number"], measure, written, column, decimal)
        if name is None or parsed is None or _GLUED.search(lowered[: match.start()]):
            return []
        found.append((name, parsed))
    several = len(found) > 1
    return [] if len(found) > MOST or (names_group(lowered) and not several) else found


def _number(text: str, measure: Measure, written: Unit | None, unit: Unit | None, decimal: str | None) -> float | None:
    counted = written or unit_of_column(measure, unit)
    own = counted.dimension == measure.unit.dimension
    lowest, highest = (measure.lowest / counted.factor, measure.highest / counted.factor) if own else (1.0, 1000.0)
    parsed = parse_number(text, decimal, lowest, highest)
    return None if parsed is None else parsed[0] * counted.factor
