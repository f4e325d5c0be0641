"""A blank inside a number: `225/4 5R17`, `3 15/80R22.5`, `9 4W`.

Where a text makes a marking only once one blank goes, and only one of its blanks does so, it is read without it.  Where
it makes one as it stands too, and another without the blank, neither is taken.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from auditor.marking.normalise import Written
from auditor.marking.other_goods import BICYCLE
from auditor.marking.service import MORE, SYMBOL
from auditor.trade.marking_model import Marking, ServiceDescription, Unreadable
from auditor.trade.patterns import Pattern

Reading = Marking | Unreadable
Read = Callable[[Written], Reading]

# Where a blank may stand inside a number: beside a sign of a size, or in a service description.
_BEFORE_SIGN = r"(?<=[0-9]) (?=[0-9]{1,2}(?:[.,][0-9]{1,2})? ?[/XR-])"
_SIZE_BROKEN = Pattern(rf"{_BEFORE_SIGN}|(?:(?<=[/XR.-][0-9])|(?<=[/XR.-][0-9]{{2}})|(?<=R [0-9])) (?=[0-9])")
_MAY_SAY_MORE = Pattern(rf"{_BEFORE_SIGN}|(?<=[0-9]) (?=[0-9]{{1,2}}(?:/[0-9]{{2,3}})?[A-HJ-NP-Y])")
_LONGEST, _MOST = 120, 6  # characters of a text, and blanks in it, that are looked at
# What may stand behind a blank inside a service description, down to its symbol: `9 4W`, `12 0/116S`, `156/15 0L`.
_TO_ITS_SYMBOL = Pattern(rf" [0-9]{{1,2}}(?:/[1-9][0-9]{{1,2}})?(?:{SYMBOL})(?![{MORE}])")
_OF_A_NAME = Pattern(r"[^\W\d_] ?[0-9]{1,2}$")  # "Trail 1 80/90-21"
_LEFT, _RIGHT = Pattern(r"[0-9]+(?:[.,][0-9]+)?$"), Pattern(r"[0-9]+(?:[.,][0-9]+)?")
_SLASHED = Pattern(r"[0-9]{3} ?/ ?[0-9]{2}")
_TWO_DECIMALS = Pattern(r"[0-9]\.[0-9]{2}")
_LEAST_WIDTH_MM = 125.0  # narrower ones are those of two-wheelers, and more numbers look like them
_HIGHEST_OF_FAST = 130  # no tire of a symbol above N has a single index so high


def without_blanks(text: str, written: Written, found: Reading, read: Read) -> Reading:
    """What a text says, given what it says as it stands."""
    if (
        ("X" in written.text and BICYCLE.search(written.text) is not None)
        or len(written.text) > _LONGEST
        or (isinstance(found, Unreadable) and found.refused == "several")
    ):
        return found
    if isinstance(found, Marking) and not any(map(_holds_digit, found.unread)):
        return found
    where = _SIZE_BROKEN if isinstance(found, Unreadable) else _MAY_SAY_MORE
    spots = [match.start() for match in where.finditer(written.text)][:_MOST]
    others: dict[str, Marking] = {}
    for spot in spots:
        other = read(_joined(written, spot))
        if isinstance(other, Marking) and _bears_out(found, other, written, spot):
            others[other.canonical] = other
    if not others:
        return found
    if len(others) == 1 and _says_nothing_else(found, *others.values()):
        return replace(next(iter(others.values())), nonstandard=True)
    readings = (*([found.canonical] if isinstance(found, Marking) else []), *others)
    reason = "A blank may stand inside of one of its numbers."
    return Unreadable(text, written.original(spots[0]), reason, tuple(dict.fromkeys(readings)), refused="unsure")


def _holds_digit(text: str) -> bool:
    return any(map(str.isdigit, text))


def _joined(written: Written, spot: int) -> Written:
    text, base = (part[:spot] + part[spot + 1 :] for part in (written.text, written.base))
    return Written(text, base, True)


def _bears_out(found: Reading, other: Marking, written: Written, spot: int) -> bool:
    """Whether the number without its blank is one of another size, or of a service description with its symbol."""
    if not _is_one_of_its_numbers(written, spot, other):
        return False
    if isinstance(found, Unreadable):
        return _is_sure(other, written.text[:spot] + written.text[spot + 1 :])
    if len(other.unread) >= len(found.unread) and sum(map(len, other.unread)) >= sum(map(len, found.unread)):
        return False
    if other.size_text != found.size_text:
        return _OF_A_NAME.search(written.text, 0, spot) is None
    if other.service in (found.service, ServiceDescription()) or _of_a_name(other.service):
        return False
    return _TO_ITS_SYMBOL.match(written.text, spot) is not None


def _is_one_of_its_numbers(written: Written, spot: int, other: Marking) -> bool:
    """Whether the digits on both sides make one number of the marking: `R3 120/116` is no `R31 20/116`."""
    left, right = _LEFT.search(written.text, 0, spot), _RIGHT.match(written.text, spot + 1)
    if left is None or right is None or not (left[0] + right[0]).replace(",", ".").count(".") < 2:
        return False
    service = other.service
    numbers = (
        other.section_width_mm,
        other.section_width_in,
        other.overall_diameter_in,
        other.aspect_ratio,
        other.rim_diameter_in,
        service.load_index,
        service.load_index_dual,
    )
    return float((left[0] + right[0]).replace(",", ".")) in numbers


def _of_a_name(service: ServiceDescription) -> bool:
    fast = service.speed_symbol is not None and service.speed_symbol in "PQRSTUHVWY"
    return fast and service.load_index_dual is None and (service.load_index or 0) > _HIGHEST_OF_FAST


def _is_sure(other: Marking, text: str) -> bool:
    """Whether a size that takes a blank away from between digits is one that hardly any other numbers make."""
    if other.rim_diameter_in is None:
        return False
    if other.section_width_mm is not None:
        return other.section_width_mm >= _LEAST_WIDTH_MM and _SLASHED.search(text) is not None
    named = other.overall_diameter_in is not None or other.rim_diameter_in % 1 == 0.5
    return named or _TWO_DECIMALS.search(other.size_text) is not None


def _says_nothing_else(found: Reading, other: Marking) -> bool:
    """Whether a text says no size, or nothing of load and speed, or what no tire has, while the blank stands."""
    if isinstance(found, Unreadable):
        return True
    service = found.service
    if other.size_text != found.size_text:
        return False
    if service.load_index is not None and service.load_index_dual is not None:
        return service.load_index < service.load_index_dual
    return service == ServiceDescription()
