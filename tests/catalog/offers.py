"""What a few right listings of a sample feed offer in place of each other, and which of these offers are mistakes."""

from __future__ import annotations

import dataclasses
import random
from collections import defaultdict

from tests.catalog.cases import Expect, expect
from tests.catalog.layout import Answer, Laid
from tests.catalog.valid import Listing

UNKNOWN = "ZZ-40417"  # of a catalog that nobody sent
_RIGHT, _SLOW, _WEAK, _RIM = 12, 3, 2, 2
Pair = tuple[int, int]  # records of the slower or weaker tire and of the other


def with_offers(laid: Laid, field: str, rng: random.Random) -> Laid:
    """The feed with `field` (substitutes or replaces) filled in some right listings.

    Right offers are faster tires of the same size; wrong ones are slower, of a lower load index, or for another rim.
    """
    right = {at: made for at, made in enumerate(laid.listings, 1) if at not in laid.kinds and made.tire.symbol}
    pairs = _pairs(right)
    rng.shuffle(pairs)
    free = set(right)
    kinds, answers = dict(laid.kinds), list(laid.answers)
    places = field == "substitutes"

    def offer(at: int, text: str) -> None:
        laid.listings[at - 1].cells[field] = text
        free.discard(at)

    def mistake(at: int, kind: str, wanted: Expect) -> None:
        kinds[at] = kind
        answers.append(Answer(laid.name, at, kind, wanted))

    for number, (slow, fast) in enumerate(pairs[: _SLOW + _RIGHT]):
        wrong = number < _SLOW
        at, other = (slow, fast) if places != wrong else (fast, slow)
        if at in free:
            offer(at, laid.listings[other - 1].cells["sku"] + (f"; {UNKNOWN}" if number == _SLOW else ""))
            if wrong:
                mistake(at, "slower tire in place of another", expect("substitute-speed-lower", field, "major"))
    plain = [at for at in sorted(free) if _is_plain(right[at])]
    for number, at in enumerate(rng.sample(plain, _WEAK + _RIM)):
        tire = right[at].tire
        if number < _WEAK:
            index = tire.index + (-2 if places else 2)
            offer(at, f"{tire.size} {index}{tire.symbol}")
            wanted = expect("substitute-load-lower", field, "critical")
            mistake(at, "weaker tire in place of another", wanted)
        else:
            size = f"{tire.width_mm:g}/{tire.aspect}R{tire.rim_in + 1:g}"
            offer(at, f"{size} {tire.service}")
            mistake(at, "tire for another rim in place of another", expect("substitute-rim-differs", field, "critical"))
    return dataclasses.replace(laid, kinds=kinds, answers=tuple(answers))


def _pairs(right: dict[int, Listing]) -> list[Pair]:
    """Records of the same size and strength of which the second one's tire is faster, each record once."""
    by_size = defaultdict(list)
    for at, made in right.items():
        tire = made.tire
        if not tire.open_ended and tire.second is None and made.cells.get("marking", "").endswith(tire.service):
            by_size[tire.size, tire.index, tire.index_dual].append((tire.kmh, at))
    found = []
    for same in by_size.values():
        same.sort()
        while len(same) > 1 and same[0][0] < same[-1][0]:
            found.append((same.pop(0)[1], same.pop()[1]))
    return found


def _is_plain(made: Listing) -> bool:
    tire = made.tire
    whole = made.cells.get("marking") == f"{tire.size} {tire.service}"
    return whole and tire.variant == "metric" and tire.construction == "R" and not tire.open_ended
