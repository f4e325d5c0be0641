"""Letters that print like others: a Cyrillic В is a B or a V, and a letter among the digits of a size is a digit.

Whoever types a letter of another alphabet means the one that it prints like or the one that it is spoken like, so it is
taken only where no tire of the kind has the other.
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
SPOKEN = frozenset(_SPOKEN)
_CELL = "".join(_SPOKEN)
_NO_LETTER = f"(?![{LETTERS}\u0400-\u052fa-z])"
_SYMBOL = Pattern(rf"[0-9] ?[/-]?[(\[]?([{_CELL}{_CELL.lower()}]){_NO_LETTER}")
_ALONE = Pattern(rf"(?<![\w.,])([{_CELL}]){_NO_LETTER}")
_BIAS = Pattern(rf"[0-9] ?[ВΒ] ?(?=[12][0-9](?![0-9])){_NO_LETTER}")
_SLOW = frozenset({"agricultural", "off-road", "industrial"})  # none is an S or a V
_CARS = frozenset({"metric", "p-metric"})  # none is a B, a C or an N
# What the letters of a car's symbol are, where it has but one of the two: `94В` is 94V.  The Greek Υ is a Y by its
# name too, and no U; a Cyrillic У stays open between them.
_OF_CARS = {"В": "V", "Β": "V", "С": "S", "Υ": "Y"}
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
    taken = set("BC" if name in _SLOW else "H" if name in _CARS else "")
    if name in _CARS:
        taken |= _take_of_cars(tail, {one.upper() for one in symbols})
    doubtful = {_SPOKEN[one.upper()][0] for one in symbols} - taken
    if doubtful:
        for place, (one, apart) in enumerate(tail.services):
            if one.speed_symbol in doubtful:
                tail.lost.append(str(one.speed_symbol))
                tail.services[place] = (replace(one, speed_symbol=None, speed_open=False), apart)
        tail.extra = [one for one in tail.extra if one.speed_symbol not in doubtful]
    doubtful |= {_SPOKEN[one][0] for one in alone} - taken
    if tail.symbol in doubtful:
        tail.lost.append(str(tail.symbol))
        tail.symbol = None
    tail.never_symbols += tuple(doubtful)


def _take_of_cars(tail: Tail, written: set[str]) -> set[str]:
    """Puts the symbols that cars have for the letters behind an index; returns the Latin letters that are settled."""
    meant = {_SPOKEN[one][0]: _OF_CARS[one] for one in written if one in _OF_CARS}
    for place, (one, apart) in enumerate(tail.services):
        car = one.load_index_dual is None and (one.load_index or _BEYOND_CARS) < _BEYOND_CARS
        if car and not apart and one.speed_symbol in meant:
            tail.services[place] = (replace(one, speed_symbol=meant[str(one.speed_symbol)]), apart)
    return {letter for letter, symbol in meant.items() if letter == symbol}


_BEYOND_CARS = 131  # a load index of trucks that go by a car's kind of size


def bias_or_speed(size: Size, written: Written) -> tuple[str, str] | None:
    """The two sizes that a foreign letter before the rim makes: bias-belted, or with the old speed letter V."""
    if size.construction != "B" or written.base.isascii() or not _BIAS.search(written.base, size.start, size.end):
        return None
    head, _, rim = size.text.rpartition("B")
    return size.text, f"{head}V{rim}"


_DIGIT_FOR = str.maketrans("OISBZ\u0417\u0437", "0158233")
_D, _FIVE = r"[0-9OISBZ\u0417\u0437]", "[05OS]"
_MISREAD = Pattern(
    rf"(?<![A-Z0-9])(?:P|LT)?(?P<width>[1-4IZ\u0417\u0437]{_D}[5S])(?P<to_aspect> ?[/ -] ?)(?P<aspect>[2-8ISBZ]{_FIVE})"
    rf"(?P<to_rim> ?Z?R ?)(?P<rim>[12IZ]{_D}(?:[.,][5S])?)(?![A-Z0-9])"
)
_WIDTHS, _ASPECTS, _RIMS = range(125, 500, 10), range(25, 95, 5), range(12, 25)


def with_digits(written: Written) -> Written | None:
    """The text with digits for the letters that print like them inside a size, `2O5/S5R16`; None where there are none.

    Each number keeps a digit of its own or stands beside one that does, and makes a size that tires are made in.
    """
    found = _MISREAD.search(written.text)
    if found is None:
        return None
    numbers = [found[name].translate(_DIGIT_FOR) for name in ("width", "aspect", "rim")]
    width, aspect, rim = int(numbers[0]), int(numbers[1]), int(numbers[2][:2])
    told = any(map(str.isdigit, found["width"])) and any(map(str.isdigit, found["rim"]))
    if not told or width not in _WIDTHS or aspect not in _ASPECTS or rim not in _RIMS:
        return None
    size = numbers[0] + found["to_aspect"] + numbers[1] + found["to_rim"] + numbers[2]
    text = written.text[: found.start("width")] + size + written.text[found.end() :]
    return replace(written, text=text, dirty=True)
