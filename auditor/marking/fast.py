"""The short way for clean markings in canonical form; whatever it is not sure of goes the full way.

It holds no rules of its own: it takes only texts for which the full reading gives the same, which the tests hold it
to, and it leaves every doubtful number, letter and family to the full reading.
"""

from __future__ import annotations

from typing import Any

from auditor.marking.families import family_named
from auditor.trade.marking_model import Marking, ServiceDescription, ServiceText
from auditor.trade.patterns import Pattern

_TAIL = (
    r"(?: ([468]|1[02468]|20)PR)?"
    r"(?: (?:([2-9]\d|1\d\d)(?:/([2-9]\d|1\d\d))?([F-HJ-NP-WY])|\(([2-9]\d|1\d\d)([WY])\)))?"
    r"(?: (XL|[A-HJLMN]))?((?: (?:M\+S|3PMSF|TL|TT|FRT|BSW|OWL|RWL|VSB|REGROOVABLE))*)"
)
_METRIC = Pattern(
    r"((P|LT|ST|T|HL)?([6-9][05]|[1-9]\d[05])/([2-9][05]|100)(ZR|R|D|B|-)(1\d|2[0-4]|17\.5|19\.5|22\.5|24\.5)(LT|C)?)"
    rf"( M/C)?{_TAIL}"
)
_INCH = Pattern(
    r"((?:(2[4-9]|3\d|4\d)x((?:[89]|1[0-7])\.[05]0)(R|-)(?:(1[4-9]|2[0-2])(LT)?|(1[23]|2[34])LT)"
    rf"|(8|9|1[0-3])R(17\.5|19\.5|22\.5|24\.5))){_TAIL}"
)
_SERVICE = Pattern(r"([5-9]\d|1\d\d)(?:/([5-9]\d|1\d\d))?([F-HJ-NP-WY])")
_HALF_INCH = frozenset({"17.5", "19.5", "22.5", "24.5"})
_FAMILY = {"P": "p-metric", "LT": "lt-metric", "ST": "special-trailer", "T": "temporary-spare", "HL": "metric"}
_WITH_LOAD_RANGE = frozenset({"lt-metric", "special-trailer", "truck-metric", "truck-numeric", "flotation"})
_LIGHT = frozenset({"metric", "p-metric", "temporary-spare", "motorcycle"})
_NONE = ServiceDescription()


def fast_service(text: str) -> ServiceText | None:
    """What a cell with nothing but a clean service description holds, `120/116S`; None for anything else."""
    match = _SERVICE.fullmatch(text)
    if match is None:
        return None
    single, dual, symbol = match.groups()
    return ServiceText((ServiceDescription(int(single), None if dual is None else int(dual), symbol),), canonical=text)


def fast_marking(text: str) -> Marking | None:
    """The marking, or None where the full reading must decide."""
    match = _METRIC.fullmatch(text)
    if match is None:
        return _inch(text)
    size, prefix, width, aspect, construction, rim, suffix, cycle, *tail = match.groups()
    if rim == "22" and width >= "245" and (aspect >= "60" or width >= "355"):
        return None  # perhaps a truck's 22.5 without its half
    half = rim in _HALF_INCH
    if cycle is not None:
        if prefix is not None or suffix is not None or half or construction == "D":
            return None
        if len(width) == 2 and aspect < "50" and aspect != "100":
            return None
        family = "motorcycle"
    elif construction == "-" or construction == "B" or len(width) == 2 or aspect == "100":
        return None
    elif prefix is not None:
        if suffix is not None or half:
            return None
        family = _FAMILY[prefix]
    elif suffix is not None:
        if half:
            return None
        family = "lt-metric" if suffix == "LT" else "commercial"
    elif width[2] != "5" or (tail[1] is not None and not half and _perhaps_truck(tail[1], str(tail[3]), aspect)):
        return None  # motorcycles, farm and truck tires are told apart the full way
    else:
        family = "truck-metric" if half else "metric"
    rest = _tail(family, tail, cycle is not None)
    if rest is None or (prefix == "HL" and rest["load_version"] is not None):
        return None
    if prefix == "HL":
        rest["load_version"] = "HL"
    return Marking(
        canonical=text,
        size_text=size,
        section_width_mm=float(width),
        aspect_ratio=float(aspect),
        construction=None if construction == "-" else construction,
        rim_diameter_in=float(rim),
        **rest,
    )


def _perhaps_truck(index: str, symbol: str, aspect: str) -> bool:
    """Whether a metric tire on a whole-inch rim could be a truck tire: heavy, slow and tall in section."""
    return len(index) == 3 and index > "121" and symbol in "FGJKLMN" and aspect >= "60"


def _inch(text: str) -> Marking | None:
    """`31x10.50R15LT 109S C` and `11R22.5 144/142L G`."""
    match = _INCH.fullmatch(text)
    if match is None:
        return None
    size, overall, width, construction, rim, _, light_rim, truck_width, truck_rim, *tail = match.groups()
    rim = rim or light_rim
    rest = _tail("flotation" if truck_rim is None else "truck-numeric", tail, False)
    if rest is None:
        return None
    if truck_rim is not None:
        return Marking(
            canonical=text,
            size_text=size,
            section_width_in=float(truck_width),
            rim_diameter_in=float(truck_rim),
            construction="R",
            **rest,
        )
    if float(rim) + 2 > float(overall):
        return None
    return Marking(
        canonical=text,
        size_text=size,
        section_width_in=float(width),
        rim_diameter_in=float(rim),
        construction="R" if construction == "R" else None,
        overall_diameter_in=float(overall),
        **rest,
    )


def _tail(family: str, tail: list[str | None], cycle: bool) -> dict[str, Any] | None:
    """Everything but the size's own text and numbers, or None."""
    ply, single, dual, symbol, opened, open_symbol, letter, words = tail
    load_range = version = None
    if letter is not None:
        if letter == "XL":
            version = "XL"
        elif family not in _WITH_LOAD_RANGE or symbol is None or (letter == "C" and family[:5] == "truck"):
            return None
        else:
            load_range = letter
    index = single or opened
    if index is not None and len(index) == 2 and index <= ("49" if family in _LIGHT and dual is None else "54"):
        return None  # perhaps a count of plies, hours or a tread depth
    if dual is not None and family in _LIGHT:
        return None  # perhaps the indices of two versions
    service = _NONE
    if single is not None:
        service = ServiceDescription(int(single), None if dual is None else int(dual), symbol, False)
    elif opened is not None:
        if open_symbol == "W" and not cycle:
            return None
        service = ServiceDescription(int(opened), None, open_symbol, True)
    letters: tuple[str, ...] = ("M/C",) if cycle else ()
    if words:
        marks = words.split()
        if len(set(marks)) != len(marks):
            return None
        letters += tuple(marks)
    return {
        "size_family": family_named(family),
        "service": service,
        "load_range": load_range,
        "load_version": version,
        "ply_rating": None if ply is None else int(ply),
        "letters": letters,
    }
