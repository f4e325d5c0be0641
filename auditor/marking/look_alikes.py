"""Letters of other alphabets that print like a Latin one and are spoken like another: a Cyrillic В is a B or a V.

Whoever types them means the one or the other, so they are taken only where no tire of the kind has the other.
"""

from __future__ import annotations

from dataclasses import replace

from auditor.marking.families import family_of
from auditor.marking.normalise import Written
from auditor.marking.parts import Tail
from auditor.marking.service import LETTERS
from auditor.marking.shape import Size
from auditor.trade.marking_model import ServiceDescription
from auditor.trade.patterns import Pattern

# How the Latin letter is spoken that a Cyrillic or Greek one prints like: В as V, С as S, Н as N, Р as R, У as U.
_SPOKEN = {"В": "BV", "Β": "BV", "С": "CS", "Н": "HN", "Р": "PR", "Ρ": "PR", "У": "YU", "Υ": "YU"}
_CELL = "".join(_SPOKEN)
_NO_LETTER = f"(?![{LETTERS}\u0400-\u052fa-z])"
_SYMBOL = Pattern(rf"[0-9] ?[/-]?[(\[]?([{_CELL}{_CELL.lower()}]){_NO_LETTER}")
_ALONE = Pattern(rf"(?<![\w.,])([{_CELL}]){_NO_LETTER}")
_BIAS = Pattern(rf"[0-9] ?[ВΒ] ?(?=[12][0-9](?![0-9])){_NO_LETTER}")
_SLOW = frozenset({"agricultural", "off-road", "industrial"})  # none is an S or a V
_CARS = frozenset({"metric", "p-metric"})  # none is an N
_NONE = ServiceDescription()


def drop_doubtful_symbols(written: Written, tail: Tail, size: Size | None = None) -> None:
    """Takes out speed symbols that may be another one; they are listed as unread.

    A cell without a size is taken for one of a car.
    """
    if written.base.isascii():
        return
    symbols, alone = _SYMBOL.findall(written.base), _ALONE.findall(written.base)
    if not symbols and not alone:
        return
    family = None if size is None else family_of(size, _NONE, frozenset(tail.letters))
    name = "metric" if size is None else "" if family is None else family.name
    taken = "BC" if name in _SLOW else "H" if name in _CARS else ""
    doubtful = {_SPOKEN[one.upper()][0] for one in symbols} - set(taken)
    if doubtful:
        for place, (one, apart) in enumerate(tail.services):
            if one.speed_symbol in doubtful:
                tail.lost.append(str(one.speed_symbol))
                tail.services[place] = (replace(one, speed_symbol=None, speed_open=False), apart)
        tail.extra = [one for one in tail.extra if one.speed_symbol not in doubtful]
    doubtful |= {_SPOKEN[one][0] for one in alone} - set(taken)
    if tail.symbol in doubtful:
        tail.lost.append(str(tail.symbol))
        tail.symbol = None
    tail.never_symbols += tuple(doubtful)


def bias_or_speed(size: Size, written: Written) -> tuple[str, str] | None:
    """The two sizes that a foreign letter before the rim makes: bias-belted, or with the old speed letter V."""
    if size.construction != "B" or written.base.isascii() or not _BIAS.search(written.base, size.start, size.end):
        return None
    head, _, rim = size.text.rpartition("B")
    return size.text, f"{head}V{rim}"
