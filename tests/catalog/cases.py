"""A case: listings with one known mistake, and what an audit must say about it."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass

from tests.catalog.tables import KG_PER_LB, KM_PER_MILE, SPEED_KMH, load_kg
from tests.catalog.valid import Listing, Maker


@dataclass(frozen=True, slots=True)
class Expect:
    """One finding that must come: on listing number `at` of the case, one of the fields, by one of the rules.

    `causes` empty means that no particular cause is asked for; `derived` None that no value is.
    """

    rules: frozenset[str]
    fields: frozenset[str]
    grades: frozenset[str]
    causes: frozenset[str] = frozenset()
    derived: float | str | None = None
    at: int = 0


@dataclass(frozen=True, slots=True)
class Case:
    """Listings that belong together, the findings they must yield, and rules whose other findings are no
    stray.
    """

    kind: str
    subject: str
    listings: tuple[Listing, ...]
    expects: tuple[Expect, ...]
    may: frozenset[str] = frozenset()


FaultMaker = Callable[[Maker], tuple[Listing | Iterable[Listing], Expect | Iterable[Expect]]]


@dataclass(frozen=True, slots=True)
class Fault:
    """A kind of mistake and the function that makes a case of it."""

    kind: str
    subject: str
    make: FaultMaker
    may: frozenset[str]

    def case(self, maker: Maker) -> Case:
        """A fresh case of this kind."""
        listings, expects = self.make(maker)
        made = (listings,) if isinstance(listings, Listing) else tuple(listings)
        wanted = (expects,) if isinstance(expects, Expect) else tuple(expects)
        return Case(self.kind, self.subject, made, wanted, self.may)


FAULTS: dict[str, Fault] = {}


def fault(subject: str, kind: str, may: Iterable[str] = ()) -> Callable[[FaultMaker], FaultMaker]:
    """Enter a kind of mistake into FAULTS."""

    def enter(make: FaultMaker) -> FaultMaker:
        assert kind not in FAULTS, kind
        FAULTS[kind] = Fault(kind, subject, make, frozenset(may))
        return make

    return enter


def expect(
    rules: str,
    fields: str,
    grades: str,
    causes: Iterable[str] = (),
    derived: float | str | None = None,
    at: int = 0,
) -> Expect:
    """An Expect from words separated by blanks."""
    return Expect(
        frozenset(rules.split()),
        frozenset(fields.split()),
        frozenset(grades.split()),
        frozenset(causes),
        derived,
        at,
    )


def transposed(text: str) -> list[str]:
    """All texts with two neighboring digits exchanged, without a zero in front."""
    out = []
    for position in range(len(text) - 1):
        pair = text[position : position + 2]
        if pair.isdigit() and pair[0] != pair[1]:
            swapped = text[:position] + pair[::-1] + text[position + 2 :]
            if not swapped.startswith("0"):
                out.append(swapped)
    return out


def without_digit(text: str) -> list[str]:
    """All texts with one digit left out."""
    out = {text[:position] + text[position + 1 :] for position in range(len(text)) if text[position].isdigit()}
    return sorted(word for word in out if word and not word.startswith("0"))


def with_digit(text: str, extra: str) -> list[str]:
    """All texts with the digit put in somewhere."""
    out = {text[:position] + extra + text[position:] for position in range(1, len(text) + 1)}
    return sorted(out - {text})


def leaves_load(right: float, stated: float, us_tables: bool) -> bool:
    """Whether a load is clearly outside the tolerance."""
    limit = 0.023 if us_tables else 0.007
    return abs(stated - right) > max(limit * right, 3.0)


def leaves_speed(right_kmh: float, stated_kmh: float) -> bool:
    """Whether a speed is clearly outside the tolerance of 1.7 km/h."""
    return abs(stated_kmh - right_kmh) > 2.5


def number_causes(right: float, stated: float, twin: float | None = None, others: Iterable[float] = ()) -> set[str]:
    """Every cause that turns the right number into the stated one, for loads and speeds alike."""

    def near(value: float) -> bool:
        return abs(value - stated) <= max(0.006 * abs(stated), 0.6)

    right_text, stated_text = f"{right:.0f}", f"{stated:g}"
    causes = set()
    if any(near(right * ratio) for ratio in (1 / KG_PER_LB, KG_PER_LB, KM_PER_MILE, 1 / KM_PER_MILE)):
        causes.add("unit-swapped")
    if any(near(right * ratio) for ratio in (2.2, 2.25, 0.45, 0.5, 2, 1.6, 0.6, 0.62, 25, 1 / 25)):
        causes.add("converted-badly")
    if twin is not None and near(twin):
        causes.add("single-dual-swapped")
    if stated_text in transposed(right_text):
        causes.add("digits-transposed")
    if stated_text in without_digit(right_text):
        causes.add("digit-missing")
    if right_text in without_digit(stated_text):
        causes.add("digit-added")
    if any(near(right * ratio) for ratio in (10, 100, 1000, 0.1, 0.01, 0.001)):
        causes.add("decimal-slip")
    if near(right * 2) or near(right / 2) or near(right * 4):
        causes.add("per-pair")
    if any(near(value) for value in others):
        causes.add("column-shifted")
    if any(round(right / step) * step == stated for step in (5, 10, 25, 50, 100)):
        causes.add("rounded")
    return causes


def load_causes(right_kg: float, stated_kg: float, index: int, twin: float | None = None) -> set[str]:
    """Causes of a wrong load, with those that need the load index table."""
    causes = number_causes(right_kg, stated_kg, twin)
    if abs(stated_kg - index) < 0.5:
        causes.add("index-not-load")
    for step in (-1, 1):
        if 0 <= index + step <= 279 and abs(load_kg(index + step) - stated_kg) <= 0.003 * stated_kg:
            causes.add("neighboring-row")
    if any(abs(load_kg(row) - stated_kg) <= 0.6 for row in range(280)):
        causes.add("copied-from-another-size")
    return causes


def speed_causes(right_kmh: float, stated_kmh: float) -> set[str]:
    """Causes of a wrong speed, with the next symbol of the table."""
    causes = number_causes(right_kmh, stated_kmh)
    ladder = sorted(SPEED_KMH.values())
    position = ladder.index(int(right_kmh))
    if any(abs(speed - stated_kmh) < 1.8 for speed in ladder[max(position - 1, 0) : position + 2]):
        causes.add("neighboring-row")
    if any(abs(speed - stated_kmh) < 1.8 for speed in ladder):
        causes.add("copied-from-another-size")
    return causes
