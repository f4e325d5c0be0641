"""How much each cue tells, and what a figure tells beside the marking's own.

`rules/texts/weights.csv` holds the weights; `auditor.claims.values.weighing` says which cues a value has.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from functools import lru_cache
from itertools import repeat
from math import inf

from auditor.trade.tables import default_tables
from auditor.trade.units import KG_PER_LB, KMH_PER_MPH

ALWAYS = "always"  # a cue of every value
# What the frames make of a value: outspoken, bare, not found; or, with a reason, hindered.  A speed that stands beside
# the own symbol is this tire's whatever they make of it: "its W ends at 240 km/h".
FRAMED, BARE, UNFRAMED, HINDERED, BOUND = "framed", "bare", "unframed", "hindered by ", "bound to the own symbol"
LINKED = "linked to a code"  # what a code of some tires is said to stand for; not weighed
ALONE = "figure alone"  # a size or a service description, where the listing's own marking says none
ABOVE = "figure above"  # more than the marking allows: what could hurt somebody is told sooner
SIDES = ("before", "behind", "earlier", "later", "remote", "with")  # within the clause, next to it, further; not remote
IN_LONG, IN_LONG_OWN = "in a long text", "in a long text, beside the own size"  # of many sentences
ANY = ""  # the weights of all kinds of values
DENIED = "denied"  # the kind of values that a text says this tire does not have
_OWN_KIND = frozenset(
    {"load_index_dual", "max_load_dual_kg", "max_load_dual_lb", "speed_symbol", "service_description"}
)  # fields that are spoken of otherwise than the others of their kind
_RATIOS = (
    (0.2, "a fraction"), (0.5, "under a half"), (0.75, "under three quarters"), (0.93, "less"), (1.07, "about"),
    (1.35, "more"), (1.9, "much more"), (2.1, "double"), (2.6, "over double"), (3.8, "over triple"), (4.2, "fourfold"),
    (inf, "over fourfold"),
)  # fmt: skip
_SAME, _TOTAL = 0.006, 0.02  # parts of a load within which figures are the same, and several tires' together
_TOTALS = (2, 4, 6)


def kind_of(field: str, kinds: Mapping[str, str], *, denied: bool = False) -> str:
    """By which weights a value of a field is judged; what is denied is told by other cues than what is said."""
    return DENIED if denied else field if field in _OWN_KIND else kinds[field]


def in_kg_or_kmh(field: str, value: float) -> float:
    """A load or a speed in kg or km/h, by the unit in the name of its field."""
    if field.endswith("lb"):
        return value * KG_PER_LB
    return value * KMH_PER_MPH if field.endswith("mph") else value


class Weights:
    """The weights of all cues, by kind."""

    def __init__(self, data: Mapping[str, Mapping[str, float]], kinds: Mapping[str, str]) -> None:
        self._data = data
        self._kinds = kinds
        self._bounds: dict[str, tuple[float, float]] = {}
        self.of_kind = lru_cache(maxsize=None)(self._of_kind)

    def _of_kind(self, kind: str) -> dict[str, float]:
        """The weight of every cue for values of a kind: that of all kinds, and its own."""
        found = dict(self._data.get(ANY, {}))
        for cue, weight in self._data.get(kind, {}).items() if kind else ():
            found[cue] = found.get(cue, 0.0) + weight
        return found

    def score(self, field: str, cues: Sequence[str], *, denied: bool) -> float:
        """The sum of the weights of cues; above zero more speaks for a claim than against it."""
        weights = self.of_kind(kind_of(field, self._kinds, denied=denied))
        return weights.get(ALWAYS, 0.0) + sum(map(weights.get, cues, repeat(0.0)))

    def in_long(self, field: str, *, own: bool, denied: bool) -> float:
        """What it tells that a value stands in a long text, in a sentence with the own size or without it."""
        weights = self.of_kind(kind_of(field, self._kinds, denied=denied))
        return weights.get(IN_LONG, 0.0) + (weights.get(IN_LONG_OWN, 0.0) if own else 0.0)

    def of_frames(self, framed: str) -> float:
        """What it tells that the frames found a value, or did not."""
        return self.of_kind(ANY).get(framed, 0.0)

    def told(self, field: str, cues: Sequence[str], *, denied: bool) -> list[tuple[float, str]]:
        """What stands around a value and tells most, wherever it stands, the strongest first."""
        weights, totals = self.of_kind(kind_of(field, self._kinds, denied=denied)), dict[str, float]()
        for cue in cues:
            side, _, name = cue.partition(" ")
            if side in SIDES or cue in ("asked", "denied"):
                totals[name or cue] = totals.get(name or cue, 0.0) + weights.get(cue, 0.0)
        return sorted(((weight, name) for name, weight in totals.items()), key=lambda one: (-abs(one[0]), one[1]))

    def bounds(self, field: str) -> tuple[float, float]:
        """The least and the most that a figure itself may be worth."""
        found = self._bounds.get(field)
        if found is None:
            weights = self.of_kind(kind_of(field, self._kinds))
            groups = [[weights.get(f"figure {one}", 0.0) for one in group] for group in _figures_of(field)]
            found = sum(min(0.0, *group) for group in groups), sum(max(0.0, *group) for group in groups)
            self._bounds[field] = found
        return found

    def worth(self, field: str, value: float | str, index: int | None, dual: int | None, symbol: str | None) -> float:
        """What a figure tells beside the load indices and the speed symbol of the marking."""
        weights = self.of_kind(kind_of(field, self._kinds))
        return sum(weights.get(cue, 0.0) for cue in figure_cues(field, value, index, dual, symbol))


@lru_cache(maxsize=65_536)
def figure_cues(
    field: str, value: float | str, index: int | None, dual: int | None, symbol: str | None
) -> tuple[str, ...]:
    """The cues of a figure beside the marking's own; none for a value that is no load, speed or load index."""
    if isinstance(value, str):
        return ()
    tables = default_tables()
    if field.startswith("max_load"):
        return tuple(_load_cues(field, value, tables.load_of(index), tables.load_of(dual)))
    if field.startswith("max_speed"):
        speed, own = in_kg_or_kmh(field, value), tables.speed_of(symbol)
        rounded = KMH_PER_MPH if field.endswith("mph") else 0.0
        listed = f"figure {'listed' if _is_listed(speed, rounded) else 'unlisted'}"
        if not own:
            return (listed,)
        return (listed, f"figure {_ratio(speed / own)}", *([ABOVE] if speed > (1 + _SAME) * own else []))
    if field in ("load_index", "load_index_dual") and index:
        near = abs(value - index) <= 12
        more = [ABOVE] if value > (dual or index if field == "load_index_dual" else index) else []
        return (f"figure {'near' if near else 'far'}", *(["figure own"] if value in (index, dual) else more))
    return ()


def _load_cues(field: str, value: float, single: float | None, dual: float | None) -> Iterator[str]:
    load = in_kg_or_kmh(field, value)
    own = dual if "dual" in field and dual else single
    if own:
        yield f"figure {_ratio(load / own)}"
        if load > (1 + _SAME) * own:
            yield ABOVE
    for one, name in ((single, "single"), (dual, "dual")):
        if not one:
            continue
        if abs(load - one) <= _SAME * one:
            yield f"figure own {name}"
        for times in _TOTALS:
            if abs(load - times * one) <= _TOTAL * times * one:
                yield f"figure {times} tires"
            if abs(one - times * load) <= _TOTAL * times * load:
                yield "figure a part"
        if field.endswith("lb") and abs(value - one) <= _SAME * one:
            yield "figure of kilograms"


def _figures_of(field: str) -> tuple[tuple[str, ...], ...]:
    """What a figure of a field may be, of each of which it is one at most."""
    ratios = tuple(name for _, name in _RATIOS)
    if field.startswith("max_load"):
        alone = ("above", "own single", "own dual", "a part", "of kilograms")
        totals = tuple(f"{times} tires" for times in _TOTALS)
        return ratios, *((one,) for one in (*alone, *totals))
    if field.startswith("max_speed"):
        return ("listed", "unlisted"), ratios, ("above",)
    if field in ("load_index", "load_index_dual"):
        return ("near", "far"), ("own",), ("above",)
    return (("alone",),) if field in ("marking", "service_description") else ()


def _ratio(ratio: float) -> str:
    return next(name for most, name in _RATIOS if ratio < most)


def _is_listed(speed: float, rounded: float) -> bool:
    """Whether a speed, rounded so, is one of the speed symbols: 60 mph is that of a road, not of a tire."""
    return any(abs(speed - one) <= 0.75 * rounded + 0.01 for one in default_tables().speed_kmh.values())
