"""Load indices and symbols that stand apart: `150/147 (149/146) K (L)`, `156 150L`, `99 | V`."""

from __future__ import annotations

import re

from auditor.marking.parts import Tail, keep, twin_indices
from auditor.marking.service import HIGHEST_INDEX, MORE, SYMBOL, description
from auditor.trade.marking_model import ServiceDescription
from auditor.trade.patterns import Pattern

_SECOND_PAIR = ("single_2", "dual_2")
# First both indices, then both symbols: `150/147 (149/146) K (L)`.
_PAIRS = Pattern(
    r"(?P<single>[1-9]\d{1,2})(?: ?/ ?(?P<dual>[1-9]\d{1,2}))? ?[(\[] ?(?P<single_2>[1-9]\d{1,2})"
    r"(?: ?/ ?(?P<dual_2>[1-9]\d{1,2}))? ?[)\]] ?"
    rf"(?P<symbol>{SYMBOL})(?![A-Z0-9+&/])(?: ?[(\[] ?(?P<symbol_2>{SYMBOL}) ?[)\]])?"
)


def in_pairs(text: str, position: int, tail: Tail) -> int:
    """Reads two indices with their symbols behind them; with one symbol it cannot be told what the second index is."""
    match = _PAIRS.match(text, position)
    if match is None or max(int(match["single"]), int(match["single_2"])) > HIGHEST_INDEX:
        return position
    tail.dirty = True
    if match["symbol_2"] is None:
        both = " and ".join("/".join(filter(None, match.group(*names))) for names in (("single", "dual"), _SECOND_PAIR))
        tail.conflict = f"it gives the load indices {both} and one speed symbol"
        return match.end()
    first, second = (
        ServiceDescription(int(single), int(dual) if dual else None, symbol)
        for single, dual, symbol in (match.group("single", "dual", "symbol"), match.group(*_SECOND_PAIR, "symbol_2"))
    )
    tail.services.append((first, False))
    if second not in tail.extra:
        tail.extra.append(second)
    return match.end()


_BY_BLANK = Pattern(
    rf"(?P<single>[1-9]\d{{1,2}})(?: {{1,2}}| ?[|,;:+&~_] ?)(?P<dual>[1-9]\d{{1,2}}) ?"
    rf"(?P<symbol>{SYMBOL})(?![{MORE}+&/])"
)


def by_blank(text: str, position: int, tail: Tail) -> int:
    """Reads `156 150L`: the dual index is none of its own."""
    match = _BY_BLANK.match(text, position)
    if match is None or not is_twin(match) or (one := description(match)) is None:
        return position
    tail.dirty = True
    keep(tail, one, apart=False)
    return match.end()


# Index and symbol as two members of a list, `99,V`, `99 | V`, `99 - V`: nothing but a member may follow.
_SET_APART = Pattern(
    r"(?P<single>[1-9]\d{1,2})(?: ?/ ?(?P<dual>[1-9]\d{1,2}))?(?: ?[,;|] ?| [/-] )"
    r"(?P<symbol>[J-NP-UHVWY])(?: ?(?=[,;|(]|$)|(?P<word>(?<= / [A-Z])(?= )))"
)


def set_apart(text: str, position: int, tail: Tail) -> int:
    match = _SET_APART.match(text, position)
    one = description(match) if match else None
    if match is not None and match["word"] is not None and text.count(" / ") < FIELDS:
        return position  # "91 / V Max"
    if match is None or one is None or (one.load_index or 0) < _LEAST_BARE:
        return position
    tail.services.append((one, True))
    tail.dirty = True
    return match.end()


FIELDS = 3  # signs between blanks that make a text a list of fields
_LEAST_BARE = 40  # the lightest tires begin about there


def is_twin(match: re.Match[str]) -> bool:
    """Whether a pair of numbers, `156/150`, can only be the load indices of single and twin tires."""
    return match["dual"] is not None and twin_indices(int(match["single"]), int(match["dual"]))
