"""The short way for clean markings in canonical form; whatever it is not sure of goes the full way.

It holds no rules of its own: it takes only texts for which the full reading gives the same, which the tests hold it
to (`tests/marking/test_fast.py`), and it leaves every doubtful number, letter and family to the full reading.
"""

from __future__ import annotations

import re
from typing import Any

from auditor.marking.model import Marking, ServiceDescription

_CLEAN = re.compile(
    r"((P|LT|ST|T|HL)?([1-9]\d[05])/([2-9][05])(ZR|R|D)(1\d|2[0-4]|17\.5|19\.5|22\.5|24\.5)(LT|C)?)"
    r"(?: (?:(1?\d\d)(?:/(1?\d\d))?([F-HJ-NP-WY])|\((\d\d|1\d\d)([WY])\)))?(?: (XL|[A-HJLMN]))?"
)
_match = _CLEAN.fullmatch
_HALF_INCH = frozenset({"17.5", "19.5", "22.5", "24.5"})
_FAMILY = {
    "P": "p-metric",
    "LT": "lt-metric",
    "ST": "special-trailer",
    "T": "temporary-spare",
    "HL": "metric",
}
_WITH_LOAD_RANGE = frozenset({"lt-metric", "special-trailer", "truck-metric"})
_NONE = ServiceDescription()


class _Draft:
    """Has the slots of `Marking` and can be written to.

    A frozen dataclass sets each of its fields through a function call, which would be two thirds of the time here;
    a draft is filled by plain stores and then becomes the `Marking`.
    """

    __slots__ = tuple(Marking.__dataclass_fields__)


_new: Any = object.__new__


def fast_marking(text: str) -> Marking | None:
    """The marking, or None where the full reading must decide."""
    match = _match(text)
    if match is None:
        return None
    (
        size,
        prefix,
        width,
        aspect,
        construction,
        rim,
        suffix,
        single,
        dual,
        symbol,
        opened,
        open_symbol,
        letter,
    ) = match.groups()
    half = rim in _HALF_INCH
    if prefix is not None:
        if suffix is not None or half:
            return None
        family = _FAMILY[prefix]
    elif suffix is not None:
        if half:
            return None
        family = "lt-metric" if suffix == "LT" else "commercial"
    elif width[2] != "5" or (single is not None and len(single) == 3 and single > "121" and not half):
        return None  # motorcycles, farm and truck tires are told apart the full way
    else:
        family = "truck-metric" if half else "metric"
    load_range = version = None
    if letter is not None:
        if letter == "XL":
            if prefix == "HL":
                return None
            version = "XL"
        elif family not in _WITH_LOAD_RANGE or symbol is None or (letter == "C" and half):
            return None
        else:
            load_range = letter
    if single is not None:
        if single[0] == "0" or (dual is not None and dual[0] == "0"):
            return None
        service = ServiceDescription(int(single), None if dual is None else int(dual), symbol, False)
    elif opened is not None:
        if opened[0] == "0":
            return None
        service = ServiceDescription(int(opened), None, open_symbol, True)
    else:
        service = _NONE
    draft = _new(_Draft)
    draft.family = family
    draft.section_width_mm = float(width)
    draft.aspect_ratio = float(aspect)
    draft.construction = construction
    draft.rim_diameter_in = float(rim)
    draft.service = service
    draft.load_range = load_range
    draft.load_version = "HL" if prefix == "HL" else version
    draft.canonical = text
    draft.size_text = size
    draft.run_flat = draft.nonstandard = False
    draft.additional = draft.letters = draft.other_letters = draft.unread = draft.load_text = ()
    draft.section_width_in = draft.rim_diameter_mm_marked = draft.overall_diameter_in = draft.ply_rating = None
    draft.size_speed_letter = draft.alternative = draft.size_code = draft.overall_diameter_mm_marked = None
    draft.__class__ = Marking
    return draft  # type: ignore[no-any-return]
