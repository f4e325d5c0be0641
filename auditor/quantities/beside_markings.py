"""What stands beside a marking in its own cell: "91V (615 kg, 240 km/h)", "115/113R - 1215/1150 kg", "121/118S LRE"."""

from __future__ import annotations

from collections.abc import Iterator

from auditor.quantities.model import BLANK, CellReading, Reading, read_as
from auditor.quantities.numbers import parse_number
from auditor.quantities.units import UNIT_OF_SPELLING
from auditor.quantities.versions import VERSIONS
from auditor.trade.patterns import Pattern

MAY_STAND = r"[0-9]\s?(?:[Kk][Gg]|[Ll][Bb]|[Kk][MmPp]|[Mm][Pp][Hh])"  # read by Python and by RE2 alike
_MAY_STAND = Pattern(MAY_STAND)
MAY_STAND_MORE = rf"{MAY_STAND}|[XSH]L\b|[Ll][Oo][Aa][Dd]|[Rr][Ee][Ii][Nn]|[Pp][RrLl]|LR|[0-9A-Z][ /][B-N]$"
_MAY_STAND_MORE = Pattern(MAY_STAND_MORE)
_VERSION = Pattern(r"(?i)(?<![a-z0-9])(xl|sl|hl|extra load|standard load|reinforced)(?![a-z0-9])")
_PLIES = Pattern(r"(?i)(?<![0-9.,])([0-9]{1,2})\s?-?(?:pr|ply)(?![a-z])")
_RANGE = Pattern(
    r"(?i)\b(?:lr|load range)\s?:?\s?([b-hj-n])(?![a-z0-9])|(?-i:^[0-9]{3}/[0-9]{3}[A-Z] ([B-HJ-N])$)"
    r"|(?-i:^(?:LT|ST)[0-9]{3}/[0-9]{2}R[0-9]{2}[ /]([B-HJ-N])$)"
)
_NUMBER = r"[0-9]{1,2}(?:[ '.,][0-9]{3})+(?![0-9])|[0-9]{2,5}(?:[.,][0-9]{1,2})?"
_FIGURES = Pattern(
    rf"(?i)(?P<at>(?:@|\b(?:at|bei))\s*)?(?<![0-9A-Za-z.,])(?P<first>{_NUMBER})(?:\s?/\s?(?P<second>{_NUMBER}))?\s?"
    r"(?P<unit>kgs?|lbs?|km\s?/\s?h|kmh|kph|mph)(?![^\W\d_])"
)
_FIELDS = {
    "kg": ("max_load_kg", "max_load_dual_kg"),
    "lb": ("max_load_lb", "max_load_dual_lb"),
    "km/h": ("max_speed_kmh",),
    "mph": ("max_speed_mph",),
}
_LEAST = {"kg": 70.0, "lb": 155.0, "km/h": 5.0, "mph": 5.0}  # less is the weight of a tire
_MOST = {"kg": 20_000.0, "lb": 45_000.0, "km/h": 500.0, "mph": 300.0}


def read_beside_marking(text: str, field: str) -> CellReading:
    """The loads and speeds in a cell of `field`, and its strength but for a whole marking's; blank for none of these.

    The first of a unit is that of a single tire, the second that of dual ones; conditions ("at 65 km/h") are none.
    """
    if not may_stand(text, field):
        return BLANK
    readings = {one.field: one for one in _strength(text)} if field != "marking" else {}
    for unit, figure in _figures(text):
        parsed = parse_number(figure, None, _LEAST[unit], _MOST[unit])
        name = next((name for name in _FIELDS[unit] if name not in readings), None)
        if parsed is not None and name is not None and _LEAST[unit] <= parsed[0] <= _MOST[unit]:
            readings[name] = Reading(name, *parsed, unit)
    return read_as(*readings.values()) if readings else BLANK


def may_stand(text: str, field: str) -> bool:
    """Whether anything that is read of a cell of `field` may stand in it, beside its marking."""
    return (_MAY_STAND if field == "marking" else _MAY_STAND_MORE).search(text) is not None


def _strength(text: str) -> Iterator[Reading]:
    """The load version, the ply rating and the load range behind a size or a service description."""
    version, plies, letter = (pattern.search(text) for pattern in (_VERSION, _PLIES, _RANGE))
    if version:
        yield Reading("load_version", VERSIONS["".join(version[1].lower().split())])
    if plies:
        yield Reading("ply_rating", float(plies[1]), 0.5)
    if letter:
        yield Reading("load_range", (letter[1] or letter[2] or letter[3]).upper())


def _figures(text: str) -> Iterator[tuple[str, str]]:
    for match in _FIGURES.finditer(text):
        named = " " in match["first"] and text[: match.start("first")].rstrip()[-1:].isalpha()  # "Halden 3 615 kg"
        if not match["at"] and not named:
            unit = UNIT_OF_SPELLING[match["unit"].lower().replace(" ", "")].name
            yield unit, match["first"]
            if match["second"]:
                yield unit, match["second"]
