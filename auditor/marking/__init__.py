"""Text of a marking -> `Marking`: size, service description, letters.

`decode` never raises: it gives a `Marking`, or an `Unreadable` that says where and why, with the possible readings
when the text is ambiguous.  The full reading is loaded when the first text needs it, so that a single clean marking
costs little start-up time.
"""

from __future__ import annotations

from auditor.marking.fast import fast_marking, fast_service
from auditor.trade.family import FAMILIES
from auditor.trade.marking_model import Marking, ServiceDescription, ServiceText, Unreadable

__all__ = [
    "FAMILIES",
    "Marking",
    "ServiceDescription",
    "ServiceText",
    "Unreadable",
    "compose",
    "decode",
    "decode_service",
    "find_markings",
    "names_only_others",
    "service_alone",
    "with_letters",
]


def decode(text: str) -> Marking | Unreadable:
    """Reads one marking, clean or dirty.

    Widths are in the unit molded (mm or in), rim diameters in inch code or mm.  Text that has two readings which
    differ in rim, load or speed is never guessed at.  Takes time linear in the length of the text.
    """
    marking = fast_marking(text)
    if marking is not None:
        return marking
    # Start-up: one clean marking is read without the patterns of the full reading.
    from auditor.marking.reading import read_marking

    return read_marking(text)


def decode_service(text: str) -> ServiceText | Unreadable:
    """Reads a cell that holds a service description without a size: `120/116S`, `(98Y)`, `102 H`, `98Y XL`."""
    service = fast_service(text)
    if service is not None:
        return service
    # Start-up: few listings have a cell that holds a service description alone.
    from auditor.marking.cells import decode_service

    return decode_service(text)


def compose(size: Marking, service: ServiceText | ServiceDescription) -> Marking:
    """Joins a size cell with a service description cell, or with one put together from loose index and symbol.

    What the size cell states itself goes before what the other cell states.
    """
    # Start-up: few listings have their marking in several cells.
    from auditor.marking.cells import compose

    return compose(size, service)


def service_alone(service: ServiceText) -> Marking:
    """The marking that a service description makes without a size: that of a placard, or of a cell of its own."""
    # Start-up: few listings have a cell that holds a service description alone.
    from auditor.marking.cells import service_alone

    return service_alone(service)


def with_letters(size: Marking, letters: str) -> Marking:
    """The marking with P, LT, ST, T, HL or C that stand in a cell of their own; unchanged where none of its size do."""
    # Start-up: few listings have such a cell.
    from auditor.marking.cells import with_letters

    return with_letters(size, letters)


def find_markings(text: str) -> tuple[tuple[int, int, Marking], ...]:
    """(start, end, marking) of every size in a title or sales text, in text order, 0-based offsets.

    Only forms with all their separators count.  Never raises; takes time linear in the length of the text.
    """
    # Start-up: a listing without texts needs no search in them.
    from auditor.marking.search import find_markings

    return find_markings(text)


def names_only_others(text: str) -> bool:
    """Whether every size of a text is another tire's, which its own stands in for: "ersetzt 195/65R15 91H"."""
    # Start-up: few titles are read beside a marking that they do not repeat.
    from auditor.marking.instead import names_only_others

    return names_only_others(text)
