"""Text of a marking -> `Marking`: size, service description, letters.

`decode` never raises: it gives a `Marking`, or an `Unreadable` that says where and why, with the possible readings
when the text is ambiguous.
"""

from __future__ import annotations

from auditor.marking.cells import compose, decode_service
from auditor.marking.families import NAMES as FAMILIES
from auditor.marking.model import Marking, ServiceDescription, ServiceText, Unreadable
from auditor.marking.reading import read_marking
from auditor.marking.search import find_markings

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
]


def decode(text: str) -> Marking | Unreadable:
    """Reads one marking, clean or dirty.

    Widths are in the unit molded (mm or in), rim diameters in inch code or mm.  Text that has two readings which
    differ in rim, load or speed is never guessed at.  Takes time linear in the length of the text.
    """
    return read_marking(text)
