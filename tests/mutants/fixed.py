"""Ten mutants that every test run makes: limits that could hurt someone if they were wider, one of each kind.

Each is found by what its line says, wherever the line stands; a line that is gone or there twice fails the test, and
has to be named anew.
"""

from __future__ import annotations

from pathlib import Path
from typing import NamedTuple

from tests.mutants.sites import ROOT, Mutant, target_files


class Fixed(NamedTuple):
    """A change of the first `old` after `line` begins to match: `line` is a piece of one line of one target."""

    what: str
    line: str
    old: str
    new: str
    room: str  # of the ladders that notice it


FIXED = (
    Fixed("a load may be 2 kg off the table", "kg = 1.2", "1.2", "2.0", "loads"),
    Fixed("a temporary spare may state 70 km/h", "at_least = { kmh = 78.0", "78.0", "70.0", "speeds"),
    Fixed("a diameter is minor up to 9 mm beyond the envelope", "mm = 6.0", "6.0", "9.0", "sizes"),
    Fixed(
        "the envelope of a commercial tire is wider", "COMMERCIAL = DiameterLimits(0.97, 1.04", "1.04", "1.06", "sizes"
    ),
    Fixed(
        "an unmarked version counts as standard for light trucks",
        'marked_families = ["metric"',
        '"metric"',
        '"lt-metric"',
        "codes",
    ),
    Fixed(
        "two values agree in a vote with twice the share",
        "ops.larger(b * share, amount)",
        "share",
        "(2.0 * share)",
        "votes",
    ),
    Fixed(
        "two values agree in a vote with twice the slack",
        "<= (amount if share is None",
        "amount",
        "2.0 * amount",
        "votes",
    ),
    Fixed("overstated is what is below", "above = outside & (stated > top)", ">", "<", "loads"),
    Fixed("load index 102 carries 875 kg", "102,850", "850", "875", "loads"),
    Fixed("a rim diameter may be a quarter of an inch off", "absolute = 0.05", "0.05", "0.25", "sizes"),
)


def mutant_of(fixed: Fixed, root: Path = ROOT) -> Mutant:
    """The mutant where its line stands now; raises ValueError where no line or more than one says it."""
    found = []
    for path in target_files(root):
        for number, line in enumerate(path.read_text(encoding="utf-8").splitlines(), start=1):
            start = line.find(fixed.line)
            # The number has to end where the piece does: "absolute = 0.05" is not that of 0.005.
            after = line[start + len(fixed.line) : start + len(fixed.line) + 1]
            if start >= 0 and not (after.isdecimal() and fixed.line[-1].isdecimal()):
                place = line.index(fixed.old, start)
                name = path.relative_to(root).as_posix()
                found.append(Mutant(name, number, place, place + len(fixed.old), fixed.old, fixed.new))
    if len(found) != 1:
        raise ValueError(f"{fixed.what}: {fixed.line!r} stands in {len(found)} lines of the targets, not in one")
    return found[0]
