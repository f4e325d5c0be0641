"""Cells of numeric fields: "1,360 kg (2,998 lb)", "3000/2755", `11/32"`, "300+ km/h", "5.5-7.0"."""

from __future__ import annotations

from itertools import pairwise

from auditor.quantities.flanges import without_flanges
from auditor.quantities.model import BLANK, CellReading, Reading, unreadable
from auditor.quantities.numbers import parse_number
from auditor.quantities.other_words import in_known_words
from auditor.quantities.scan import RIM_FIELDS, V_MAX, Item, Scan, scan_cell
from auditor.quantities.units import UNIT_OF_SPELLING, Measure, unit_of_column
from auditor.trade.patterns import Pattern
from auditor.trade.tables import default_tables
from auditor.trade.units import MM_PER_INCH, UNITS, Unit

_THIRTY_SECONDS = Pattern(
    r"""(?:/\s?32(?![0-9.,])(?:\s?nds?)?|(?<![0-9.,/])32\s?nds?)(?:\s?(?:"|in(?:ch)?(?:es)?(?![a-z])|of\san\sinch))?"""
)
# "345 kg à 15 km/h", "1,360 lbs @ 50 psi": the condition that a load holds under.
_AT_A_SPEED = Pattern(
    r"(?:(?<=[^\W\d_])\s*[(/,;-]?|(?<=\w)\s*@|(?<=\w)\s[^\W\d_]{1,4}\.?\s)\s*"
    r"[0-9]+(?:[.,][0-9]+)?\s?(?:km/?[^\W\d_]{1,4}|км/ч|mph|psi|bar|kpa)\s?[).]?$"
)
# The pressure that a load holds at, which is none of it: "2,679 lbs @ 80 psi / 2,535 lbs @ 80 psi", "... (80 psi)".
_AT_A_PRESSURE = Pattern(
    r"(?:(?<=\w|\.)\s*@|(?<=\w|\.)\s+(?:at|bei|à|a|bij|przy))\s*"
    r"[0-9]{1,3}(?:[.,][0-9]+)?(?:\s?(?:psi|kpa|bar)(?:\s?cold)?(?![\w.,])|(?=\s*(?:[/,;)]|$)))"
    r"|\s*\(\s*@?\s*[0-9]{1,3}(?:[.,][0-9]+)?\s?(?:psi|kpa|bar)(?:\s?cold)?\s*\)"
)
_NUMBERED_LABEL = Pattern(r"(?<=[a-z])[12](?=\s?[=:])")  # "LBS2=3417"
_SPEED_IN_BRACKETS = Pattern(r"\s*[(\[][^()\[\]]{0,12}[0-9]\s?(?:km/?[^\W\d_]{1,4}|км/ч|mph)[)\]]")  # "4875 (65 km/h)"
# "6.50F-10", "4.00E-9", "8.0-15": a rim's width, contour and diameter (ETRTO, from memory).
_RIM_DESIGNATION = Pattern(
    r"([0-9]{1,2}(?:[.,][0-9]{1,3})?)\s?[a-z]{1,3}\s?[-x×]\s?([89]|[1-6][0-9]|(?:1[4-7]|19|22|24)[.,]5)"
    r"|([0-9]{1,2}[.,][0-9]{1,3})\s?[-x×]\s?(1[2-9]|[2-6][0-9]|(?:1[4-7]|19|22|24)[.,]5)"
)
# "2 x 1,250" is the load of each.
_SO_MANY_TIRES = Pattern(r"^[246]\s?[x×*]\s?(?=[0-9][0-9.,])|(?<=[0-9a-z])\s?[x×*]\s?[246]$")
_DATE = Pattern(r"(?:19|20)\d\d-[01]\d-[0-3]\d(?![\d.,])")
_SINGLE_NUMBER = Pattern(r"([0-9]+(?:[.,][0-9]+)*)\s?([^\W\d_]{1,4}(?:/h)?|[\"#%])?\.?")


def read_measure(text: str, measure: Measure, unit: Unit | None, decimal: str | None) -> CellReading:
    """Reads `text` (stripped) as a cell of `measure`; `unit` is the column's where not the field's."""
    if text[4:5] == "-" and _DATE.match(text):  # what a spreadsheet makes of "5-6" or "10/5"
        return unreadable(f"{text!r} is a date; a spreadsheet may have turned another value into it.")
    lowered = text.lower()
    if measure.field in RIM_FIELDS and "," in lowered and "." in lowered:
        lowered = lowered.replace(",", ";")  # "6.0,6.5,7.0" is a list
    lowered = _NUMBERED_LABEL.sub("", lowered)
    if measure.stem == "tread_depth" and "32" in lowered:
        lowered = _THIRTY_SECONDS.sub(" 32nds ", lowered)
    if measure.stem.startswith("max_load"):
        lowered = _at_its_speed(_AT_A_PRESSURE.sub(" ", lowered))
        lowered = _AT_A_SPEED.sub("", _SO_MANY_TIRES.sub("", lowered))
    elif measure.stem == "max_speed":
        lowered = V_MAX.sub(" max ", lowered)
    elif measure.field == "rim_diameter_in" and (rim := _RIM_DESIGNATION.fullmatch(lowered)):
        return _designated_rim(rim[1] or rim[3], rim[2] or rim[4])
    single = _SINGLE_NUMBER.fullmatch(lowered)
    own_unit = UNIT_OF_SPELLING.get(single[2]) if single and single[2] else None
    if own_unit is not None and own_unit.dimension != measure.unit.dimension:
        single = None  # the T of a rim's contour is no tonne
    if single and (own_unit or not single[2]):  # the usual cell needs no scan
        scan = Scan([Item(single[1], own_unit)])
    else:
        scan = scan_cell(in_known_words(lowered), measure)
    if scan.problem:
        return unreadable(scan.problem)
    items = scan.items
    extra = [] if scan.symbol is None else [Reading("speed_symbol", scan.symbol)]
    if not items:
        return CellReading("read", tuple(extra)) if extra else unreadable(f"{text!r} holds no number.")
    column_unit = unit_of_column(measure, unit)
    if _is_index_and_load(items, measure, decimal):
        extra.append(
            Reading("load_index_dual" if measure.stem == "max_load_dual" else "load_index", float(items[0].text), 0.5)
        )
        items = items[1:]
    _share_units(items, measure, column_unit)
    for item in items:
        problem = _evaluate(item, measure, column_unit, decimal)
        if problem:
            return unreadable(problem)
    if measure.stem.startswith("max_load") and len(items) > 1:
        indices = _load_indices(items)
        named = ("load_index_dual",) if measure.stem == "max_load_dual" else ("load_index", "load_index_dual")
        extra += [Reading(name, item.value or 0.0, 0.5) for name, item in zip(named, indices, strict=False)]
        items = [item for item in items if item not in indices]
    items = [item for item in items if item.value != 0.0]
    if not items:
        return CellReading("read", tuple(extra)) if extra else BLANK
    if measure.field in RIM_FIELDS:
        found = _assemble_rim(without_flanges(items), measure)
    else:
        found = _assemble(items, measure, column_unit, scan.open_ended, extra)
    return found._replace(strange=True) if scan.unknown else found


def _at_its_speed(text: str) -> str:
    """A cell of loads without the speeds in brackets that they hold at; of several, that at the first speed.

    "3.250 kg (40 km/h) / 3.000 kg (50 km/h)" is what 149A8/146B says, whose first load index governs.
    """
    found = list(_SPEED_IN_BRACKETS.finditer(text))
    if len(found) > 1 and text[found[0].end() :].lstrip(" /,;-")[:1].isdigit():
        return text[: found[0].start()].rstrip()
    return _SPEED_IN_BRACKETS.sub(" ", text).strip() if found and found[0].start() else text


def _designated_rim(width: str, diameter: str) -> CellReading:
    """The width and the diameter of a rim designation."""
    numbers = (float(text.replace(",", ".")) for text in (diameter, width))
    fields = ("rim_diameter_in", "measuring_rim_in")
    return CellReading("read", tuple(Reading(name, value) for name, value in zip(fields, numbers, strict=True)))


def _share_units(items: list[Item], measure: Measure, column_unit: Unit) -> None:
    """Lets "1360/1250 kg" give its unit to both numbers, and tells "1360/2998" to be kg and lb."""
    if len(items) == 1:
        return
    for item, after in pairwise(items):
        if item.unit is None and (after.before or after.bracketed) and after.before != "x":
            pair = _unit_pair(item, after, measure) if after.unit is None or len(items) == 2 else None
            if pair is not None:
                item.unit, after.unit = pair
            elif after.unit is not None:
                item.unit = after.unit
        elif item.unit is not None and after.unit is None and after.before == "/":
            after.unit = item.unit


def _unit_pair(item: Item, after: Item, measure: Measure) -> tuple[Unit, Unit] | None:
    """The two units of the field between which two numbers are one quantity, within 1 %."""
    try:
        first, second = float(item.text.replace(",", "")), float(after.text.replace(",", ""))
    except ValueError:
        return None
    names = list(measure.sisters)[:2]
    if len(names) < 2 or not first or not second or measure.stem == "aspect_ratio":
        return None
    for one, other in ((UNITS[names[0]], UNITS[names[1]]), (UNITS[names[1]], UNITS[names[0]])):
        if after.unit in (None, other, one) and abs(first * one.factor / (second * other.factor) - 1.0) < 0.01:
            return one, other
    return None


def _evaluate(item: Item, measure: Measure, column_unit: Unit, decimal: str | None) -> str:
    """Fills in value and half step in the item's own unit; returns the sentence when it cannot."""
    unit = item.unit or column_unit
    if unit.dimension != measure.unit.dimension:
        return f"{unit.name} is no unit of {measure.unit.dimension}."
    if item.value is None:
        parsed = parse_number(item.text, decimal, measure.lowest / unit.factor, measure.highest / unit.factor)
        if parsed is None:
            if parse_number(item.text, ".", measure.lowest, measure.highest) is None:
                return f"{item.text!r} is no number."
            return f"{item.text!r} can be more than one number; state the feed's decimal mark."
        item.value, item.half_step = parsed
    return ""


def _load_indices(items: list[Item]) -> list[Item]:
    """The 119 of "1360 kg (119)", "1360 (119)" and "119 (1360 kg)"."""
    first, second = items[:2]
    if second.bracketed and second.unit is not None and not first.bracketed and _may_be_index(first):
        return [first]
    if first.unit is None and (first.value or 0.0) < _LEAST_LOAD:
        return []
    return [item for item in items if item.bracketed and _may_be_index(item)]


def _is_index_and_load(items: list[Item], measure: Measure, decimal: str | None) -> bool:
    """Whether a cell gives a load index and the very load that it stands for: "91 = 615 kg", "91 - 615 kg"."""
    if not measure.stem.startswith("max_load") or len(items) != 2 or items[1].unit is None:
        return False
    if not _may_be_index(items[0]) or _evaluate(items[1], measure, items[1].unit, decimal):
        return False
    load = default_tables().load_of(int(items[0].text))
    return load is not None and abs((items[1].value or 0.0) * items[1].unit.factor / load - 1.0) < _SAME


def _may_be_index(item: Item) -> bool:
    return item.unit is None and item.text.isdecimal() and _LEAST_INDEX <= int(item.text) < _LEAST_LOAD


_LEAST_RIM_IN = 8.0
_LEAST_WIDTH_IN = 1.5
_LEAST_INDEX, _LEAST_LOAD = 20, 280  # no tire's load index is so low, none so high
_SAME = 0.01  # of a load in whole pounds


def _assemble(
    items: list[Item], measure: Measure, column_unit: Unit, open_ended: bool, extra: list[Reading]
) -> CellReading:
    """Gives every number its field; two numbers of one unit are a single/dual pair of loads."""
    if len(items) == 1 and not items[0].role:
        reading = _reading(items[0], measure.stem, measure, column_unit, open_ended, False)
        return CellReading("read", (reading, *extra))
    readings: list[Reading] = []
    by_unit: dict[str, list[Item]] = {}
    for item in items:
        by_unit.setdefault((item.unit or column_unit).name, []).append(item)
    for group in by_unit.values():
        roles = _roles(group, measure)
        if roles is None:
            numbers = " and ".join(item.text for item in group[:3])
            return unreadable(f"{numbers} are more than one value.")
        for item, stem in roles:
            readings.append(_reading(item, stem, measure, column_unit, open_ended, len(by_unit) > 1))
    fields = [reading.field for reading in readings]
    if len(set(fields)) < len(fields):
        return unreadable("More than one value for one field.")
    return CellReading("read", (*readings, *extra))


def _roles(group: list[Item], measure: Measure) -> list[tuple[Item, str]] | None:
    stem = measure.stem
    if not stem.startswith("max_load"):
        return [(group[0], stem)] if len({item.value for item in group}) == 1 else None
    stems = {"single": "max_load", "dual": "max_load_dual"}
    if len(group) == 1:
        return [(group[0], stems.get(group[0].role, stem))]
    if len(group) > 2 or (group[0].slashes == group[1].slashes and not (group[0].role or group[1].role)):
        return None
    if group[0].role == "dual" or group[1].role == "single":
        group = group[::-1]
    return [(group[0], "max_load"), (group[1], "max_load_dual")]


def _reading(
    item: Item, stem: str, measure: Measure, column_unit: Unit, open_ended: bool, several_units: bool
) -> Reading:
    unit = item.unit or column_unit
    own = measure.unit
    target = UNITS[unit.name] if several_units and unit.name in measure.sisters else own
    field = measure.sisters[target.name]
    value, half_step = item.value or 0.0, item.half_step
    if unit.factor != target.factor:
        value, half_step = value * unit.factor / target.factor, half_step * unit.factor / target.factor
    if stem == "aspect_ratio":
        if 0.0 < value < 1.3:
            # ".65" is a share, not a percentage
            value, half_step = round(value * 100.0, 6), half_step * 100.0
        return Reading("aspect_ratio", value, half_step, _written(item))
    return Reading(
        field if stem == measure.stem else stem + field.removeprefix(measure.stem),
        value,
        half_step,
        _written(item),
        open_ended,
    )


def _written(item: Item) -> str | None:
    return None if item.unit is None else item.unit.name


def _assemble_rim(items: list[Item], measure: Measure) -> CellReading:
    """Rim codes and widths: "18 x 8.0", "7.5Jx17", "5.5-7.0", "6.5 (5.5-7.0)"."""
    field, items = measure.field, _said_once(items)
    if len(items) == 1:
        return CellReading("read", (_rim_reading(items[0], field),))
    if len(items) == 2 and (items[1].before == "x" or _is_width_and_code(items)):
        width, diameter = sorted(items, key=lambda item: item.value or 0.0)
        of_width = field if field.startswith("rim_width") else "measuring_rim_in"
        return CellReading("read", (_rim_reading(diameter, "rim_diameter_in"), _rim_reading(width, of_width)))
    if field == "rim_diameter_in":
        if len({item.value for item in items}) == 1:
            return CellReading("read", (_rim_reading(items[0], field),))
        return unreadable("More than one rim diameter.")
    measuring: tuple[Reading, ...] = ()
    bracketed = [item.bracketed for item in items]
    if bracketed in ([False, True, False], [False, False, True]):  # "7.5-(8.0)-9.0", "7.5-9.0 (8.0)"
        odd = items.pop(bracketed.index(True))
        return CellReading(
            "read",
            (
                _rim_reading(odd, "measuring_rim_in"),
                _rim_reading(items[0], "rim_width_min_in"),
                _rim_reading(items[1], "rim_width_max_in"),
            ),
        )
    if len(items) == 3 and items[1].bracketed and not items[0].bracketed:
        measuring, items = (_rim_reading(items[0], "measuring_rim_in"),), items[1:]
    if any(not item.before for item in items[1:]) and not measuring:
        return unreadable("More than one rim width, without a sign between them.")
    widths = [items[0], items[-1]] if len(items) == 2 else sorted(items, key=lambda item: item.value or 0.0)
    return CellReading(
        "read",
        (
            *measuring,
            _rim_reading(widths[0], "rim_width_min_in"),
            _rim_reading(widths[-1], "rim_width_max_in"),
        ),
    )


def _said_once(items: list[Item]) -> list[Item]:
    """Items without those in mm that say in another unit what one in inches says: "16 in (406 mm)"."""
    inches = [item.value or 0.0 for item in items if item.unit is None or item.unit.name == "in"]

    def is_again(item: Item) -> bool:
        if item.unit is None or item.unit.name != "mm":
            return False
        return any(abs((item.value or 0.0) / MM_PER_INCH - one) <= _SAME_RIM * one for one in inches)

    return [item for item in items if not is_again(item)]


_SAME_RIM = 0.015  # of a rim's width in whole mm
_ROUNDED_IN = 0.03  # by as much a rim's width in whole mm is off its steps of a quarter of an inch


def _is_width_and_code(items: list[Item]) -> bool:
    """Whether "8.00V-20" is a rim's width and diameter: no tire fits two rims of which one is twice as wide."""
    first, second = (item.value or 0.0 for item in items)
    return items[1].before == "-" and second >= _LEAST_RIM_IN and second >= 2.0 * first


def _rim_reading(item: Item, field: str) -> Reading:
    """A rim value in inches; a diameter of 100 or more is mm: an inch code if it is one, else left so."""
    value, half_step = item.value or 0.0, item.half_step
    if field != "rim_diameter_in":
        factor = 1.0 if item.unit is None else item.unit.factor / MM_PER_INCH
        inches = value * factor
        step = round(4.0 * inches) / 4.0
        if _written(item) == "mm" and inches > _LEAST_WIDTH_IN and abs(inches - step) < _ROUNDED_IN:
            inches = step
        return Reading(field, inches, half_step * factor, _written(item))
    if item.unit is not None and item.unit.name != "in":
        value, half_step = value * item.unit.factor, half_step * item.unit.factor
    if value < 100.0:
        return Reading(field, value, half_step, _written(item))
    doubled = round(value / (MM_PER_INCH / 2.0))
    if abs(doubled * (MM_PER_INCH / 2.0) - value) < 0.75:
        return Reading(field, doubled / 2.0, half_step / MM_PER_INCH, "mm")
    return Reading(field, value, half_step, "mm")
