"""Whether a reading is a claim about this tire: what stands around it, weighed.

Every word with a role, every mark and what is not known is a cue, by where it stands: before or behind the value,
within its clause or outside.  How much each cue tells is not set by hand: `rules/texts/weights.csv` holds weights
fitted to the judged sentences of `tests/reference/texts` (`python -m tests.trials weigh`), a logistic regression, so
that the sum is the logarithm of the odds that a value is claimed of this tire.  What the frames and the cues of
`auditor.claims.subject.subjects` make of the value is one more cue, whose weight is fitted to sentences that were
written before anyone mended those by them.

What a figure is beside the marking's own is weighed last (`Own.worth`), for a sentence is read once for all its tires.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache
from itertools import chain
from math import inf
from typing import NamedTuple

from auditor.claims.subject.clauses import Fragment
from auditor.claims.subject.subjects import Cues
from auditor.claims.terms.items import Item
from auditor.claims.terms.lexicon import Lexicon
from auditor.claims.terms.mountings import JOINED
from auditor.claims.terms.own import LIKELY, LIKELY_CLOSE, LIKELY_EACH, LIKELY_LOAD, SURELY
from auditor.claims.terms.symbols import SLOW_RANGES
from auditor.claims.terms.weights import BARE, BOUND, FRAMED, HINDERED, LINKED, SIDES, UNFRAMED
from auditor.claims.terms.words import LOWER, UPPER
from auditor.claims.values.elsewhere import of_this_tire
from auditor.claims.values.letters import CODES
from auditor.claims.values.lines import heads_with_size, is_figure_of_title, is_line_of_data
from auditor.claims.values.look import Given, Value
from auditor.claims.values.readings import (
    DENIABLE,
    DENIES,
    bound_to_symbols,
    is_bound,
    is_the_rims,
    likely,
    linked_to_codes,
    readings_of,
    without_bare_loads,
)
from auditor.rulebook.texts import WORD

MOST_READINGS = 60  # of a sentence; one with more lists sizes or values
_FAR = 30  # items: what stands further off tells nothing
_OF_OTHERS = frozenset({"another", "than", "also", "too", "if", "not", "ask", "group", "vehicle", "position", "see"})
_OF_OTHERS_IN_LINES = _OF_OTHERS - {"vehicle", "position"}  # frames know what these are of
_OF_INDEX = frozenset({"index", "service", "load"})
_NAMED_BY = {  # the labels of bare figures
    "load_index": _OF_INDEX, "load_index_dual": _OF_INDEX, "ply_rating": frozenset({"ply", "range"}),
    "rim_diameter_in": frozenset({"rim"}), "treadwear": frozenset({"treadwear", "utqg"}),
    "aspect_ratio": frozenset({"aspect", "size"}), "section_width_mm": frozenset({"width", "size"}),
    "noise_db": frozenset({"noise", "noise-class"}),
}  # fmt: skip
_LISTED, _OF_ANOTHER = f"{HINDERED}listed", f"{HINDERED}another"
_TOLD_OF_OTHERS = frozenset({"code", "load", "speed", "version"})  # kinds of values
_OF_A_TIRE = frozenset(
    {"load", "single", "dual", "speed", "symbol", "index", "service", "range", "carries", "runs", "rated", "max",
     "size", "version", "this", "it", "tire", "each"}
)  # fmt: skip
_UNSAID = frozenset({"not", "no", "if", "would", "than"})  # beside these nothing is said of a code for certain
_SURE, _MANY, _LATE = -5.0, 6, 4  # log-odds; readings of a sentence and clauses of it: more are not told apart


class Mood(NamedTuple):
    """What the end of a sentence and the sentence before it say."""

    asked: bool
    carried: str
    in_part: bool  # it is in a language that is not read whole, so that little of it is known


class Reading(NamedTuple):
    """A value that a sentence may claim, and how much speaks for it."""

    value: Value
    framed: str  # what the frames make of it, a cue
    cues: tuple[str, ...]
    needs: float  # what the figure itself has to be worth, that it counts
    best: bool  # it may count, and is the best of all readings of the same figure


def weighed(
    found: Sequence[tuple[Value, str]], items: list[Item], cues: Cues, state: Mood, lexicon: Lexicon
) -> list[Reading]:
    """The readings that may count beside some marking, and all values of the frames.

    `found` are the values of the frames with their reasons, `lexicon` has the weights.
    """
    framed = {_said(value): _framed(value, reason, cues.title) for value, reason in found}
    values, weights = _every_value(found, items, cues, lexicon), lexicon.weights
    if not values:
        return []
    called = [_called(item.roles, item.kind, _told_by_text(item), bool(item.numbers)) for item in items]
    told = _state(called, cues, state, len(values))
    around: dict[int, tuple[str, ...]] = {}
    names = not cues.title and ("see" in cues.all_roles or _are_names(items))
    readings = []
    plain = not cues.title and not state.asked and not cues.has_verb
    heading = heads_with_size(items) if plain else -1
    of_line = plain and cues.all_roles.isdisjoint(_OF_OTHERS_IN_LINES) and is_line_of_data(items)
    for one in values[:MOST_READINGS]:
        value, place, number = one, one.place, cues.of[one.place]
        if place not in around:
            clause = cues.fragments[number]
            here = _clause_cues(number, clause.opened)
            nearby = cues.fragments[max(number - 1, 0) : number + 2]
            around[place] = (*told, *called[place].itself, *here, *_around(called, clause, nearby, place))
        by_frames = framed.get(_said(value), UNFRAMED)
        if by_frames == UNFRAMED and (_is_load_range(value, items) or (names and value.field.startswith("load_index"))):
            continue
        if value.kind in ("load", "pressure") and "rim" in cues.all_roles and is_the_rims(items, place):
            continue
        if value.field == "marking" and by_frames == (_LISTED if cues.title else _OF_ANOTHER):
            continue  # of two sizes neither is the tire's; a second marking in a sales text is another tire's
        if state.in_part and (by_frames.startswith(HINDERED) or _is_called_strangely(value, items, cues)):
            continue
        if by_frames != FRAMED:
            if is_bound(value):
                by_frames = BOUND  # whomever the rest of the sentence speaks of
            elif value.given is None or value.given.field in LIKELY:
                value = value.beside(_likely_of(value, each=_is_of_each(cues, number)))
        every = around[place] + _own(value)
        score = weights.score(value.field, every, denied=value.denied)
        needs = round(-score - weights.of_frames(by_frames), 3)
        if by_frames == FRAMED and cues.all_roles.isdisjoint(_OF_OTHERS):
            by_it = state.in_part and not items[place].text.islower()  # "e velocidade" is "and speed"
            needs = min(needs, _least_needed(title=cues.title, in_part=by_it))
        sure = by_frames == FRAMED and JOINED in items[place].roles and not state.asked
        sure |= of_line and _is_of_line(by_frames, items, cues.fragments[number])
        sure |= cues.title and by_frames == FRAMED and is_figure_of_title(items, cues.fragments[number])
        if sure or (place == heading and value.field == "service_description"):
            by_frames, needs = FRAMED, _SURE
        reaches = weights.bounds(value.field)[1] >= needs
        if reaches or by_frames != UNFRAMED:
            readings.append(Reading(value, by_frames, every, needs, reaches))
    if not cues.title and not state.asked and cues.all_roles.isdisjoint(_UNSAID):
        linked = list(linked_to_codes(values, items))
        readings = [one for one in readings if not any(_is_same(one.value, other) for other in linked)]
        readings += [Reading(one, LINKED, (), -inf, True) for one in linked]
    return _with_best(readings, items)


def _is_of_line(by_frames: str, items: Sequence[Item], clause: Fragment) -> bool:
    """Whether a value of a line of data is told by its frame, and by nothing that is not known."""
    return by_frames in (FRAMED, BARE) and all(item.text != LOWER for item in items[clause.start : clause.end])


def _every_value(found: Sequence[tuple[Value, str]], items: list[Item], cues: Cues, lexicon: Lexicon) -> list[Value]:
    """The values of the frames, the other readings that may be claims, and speeds once more beside a symbol."""
    known = {(*_said(value), value.place) for value, _ in found}
    others = readings_of(items, lexicon.roles.kinds)
    if cues.title:
        said = {value.field for value, reason in found if not reason}  # a bare figure beside "16PR" is no other rating
        labels = lexicon.roles.labels
        others = (
            one
            for one in others
            if _is_plain(one, items) or (one.field not in said and _is_labeled(one, items, cues, labels))
        )
    elif not cues.knows_words():  # a bare figure may be anything in a language that nobody reads
        others = (one for one in others if _is_plain(one, items))
    values = [value for value, _ in found]
    values += [one for one in others if (*_said(one), one.place) not in known and _in_its_sense(one, cues)]
    values = of_this_tire(without_bare_loads(values) if cues.title else values, items)
    return [*values, *bound_to_symbols(values, items, cues.of)]


def _least_needed(*, title: bool, in_part: bool) -> float:
    """What a value of the frames needs at most, where a sentence names nobody else.

    Only its figure speaks against what a title says.  Weights are fitted to languages that are read whole; in others
    the frames alone tell.
    """
    return -inf if in_part else 0.0 if title else inf


def _is_called_strangely(value: Value, items: Sequence[Item], cues: Cues) -> bool:
    """Whether unknown words of a sales text may say of whom a value is, and no known one says that it is of this tire.

    "Na přání i v rozměru 235/40 R18" is another tire's size, of "Jarrutustesti 25 km/h vauhdista" nobody's top speed.
    """
    if cues.title:
        return False
    clause = cues.fragments[cues.of[value.place]]
    if value.field == "marking":
        before = items[clause.start : value.place]
        return any(item.text == LOWER or "position" in item.roles for item in before)  # "Zadní 225/50 R16"
    if value.kind not in _TOLD_OF_OTHERS:
        return False
    inside = items[clause.start : clause.end]
    return any(item.text == LOWER for item in inside) and not any(item.roles & _OF_A_TIRE for item in inside)


def _is_load_range(value: Value, items: Sequence[Item]) -> bool:
    """Whether a speed symbol is the load range behind a service description, which has a symbol of its own."""
    at = value.place
    return value.field == "speed_symbol" and value.value in SLOW_RANGES and at > 0 and items[at - 1].kind == "service"


def _are_names(items: Sequence[Item]) -> bool:
    """Whether a sentence is but names and figures, none of which need be a load index: "LM-101", "Norvane 104"."""
    return all(
        item.text == UPPER or item.kind in ("mark", "letter") or (item.kind == "number" and not item.roles)
        for item in items
    )


def _is_plain(value: Value, items: Sequence[Item]) -> bool:
    """Whether a value says what it is without a label, by its unit or its word; "Norvane R", "100 pieces" do not."""
    return value.first < value.last or items[value.place].kind in ("word", "filler")


def _in_its_sense(value: Value, cues: Cues) -> bool:
    """Whether a mark is denied where a word of its clause denies, and else is not."""
    if value.field not in DENIABLE:
        return True
    clause = cues.fragments[cues.of[value.place]]
    inside = cues.items[clause.start : clause.end]
    return value.denied == any(item.roles & DENIES for item in inside)


def _is_labeled(value: Value, items: Sequence[Item], cues: Cues, labels: frozenset[str]) -> bool:
    """Whether a title names what a bare figure or a letter is of; "L-Regio 18PR" and "WinterGrip 8" are names."""
    of_kind = CODES if items[value.place].kind == "letter" else _NAMED_BY.get(value.field, labels)
    return not cues.all_roles.isdisjoint(of_kind & labels)


def _likely_of(value: Value, *, each: bool) -> Given | None:
    """Beside which markings a value counts that is not claimed by the frames: those of whatever mounting apart.

    What is said of `each` tire is no total of several.
    """
    if value.given is not None and value.given.field.startswith(LIKELY_CLOSE):
        return value.given
    found = likely(value.field, value.value)
    if each and found is not None and found.field == LIKELY_LOAD + SURELY:
        return found._replace(field=LIKELY_EACH + SURELY)
    return found


def _is_of_each(cues: Cues, number: int) -> bool:
    """Whether a clause, or what it goes on with, speaks of each tire: "One tire, 4,079 lb"."""
    return any(fragment.each for fragment in cues.fragments[max(number - 1, 0) : number + 1])


def _said(value: Value) -> tuple[str, float | str, bool]:
    return value.field, value.value, value.denied


def _is_same(value: Value, other: Value) -> bool:
    """Whether two values of one figure count beside the same markings."""
    return value.place == other.place and value.field == other.field and value.given == other.given


def _framed(value: Value, reason: str, title: bool) -> str:
    return HINDERED + reason if reason else FRAMED if value.outspoken or title else BARE


def _with_best(readings: list[Reading], items: list[Item]) -> list[Reading]:
    """Of each figure, of two numbers of each, one reading is the best: that of the frames before others."""

    best: dict[tuple[int, bool, str], tuple[bool, float, int]] = {}
    for at, one in enumerate(readings):
        if one.best:
            second = items[one.value.place].numbers[1:] == (one.value.value,)
            apart = one.value.field if one.framed == LINKED else BOUND if is_bound(one.value) else ""
            figure = one.value.place, second, apart
            order = one.framed not in (FRAMED, LINKED), one.needs, at
            best[figure] = min(order, best.get(figure, order))
    chosen = {at for *_, at in best.values()}
    return [one._replace(best=False) if one.best and at not in chosen else one for at, one in enumerate(readings)]


class _Called(NamedTuple):
    """The cues of an item: as the first or the last one, as a value itself, and by where it stands of a value.

    `earlier` and `later` are clauses next to that of the value, `remote` are further ones.
    """

    name: str
    itself: tuple[str, ...]
    before: tuple[str, ...]
    behind: tuple[str, ...]
    earlier: tuple[str, ...]
    later: tuple[str, ...]
    remote: tuple[str, ...]


@lru_cache(maxsize=16_384)
def _called(all_roles: frozenset[str], kind: str, text: str, numbered: bool) -> _Called:
    """What an item is called among the cues."""
    roles = sorted(role for role in all_roles if role[0] != WORD)
    words = sorted(role for role in all_roles if role[0] == WORD)  # that tell by themselves
    names = [*roles, "#"] if numbered else roles or [f"'{text}'" if text else f"a {kind}"]
    *sides, remote, anywhere = SIDES
    everywhere = [f"{anywhere} {name}" for name in (*names, *words)]
    by_side = [(*(f"{side} {name}" for name in (*names, *words)), *everywhere) for side in sides]
    by_side.append(tuple(f"{remote} {name}" for name in names))
    return _Called("+".join(names), (*(f"is {role}" for role in roles), f"a {kind}"), *by_side)


def _told_by_text(item: Item) -> str:
    return item.text if item.kind in ("filler", "mark", "own") else ""


def _state(called: Sequence[_Called], cues: Cues, mood: Mood, readings: int) -> tuple[str, ...]:
    """The cues of a sentence, the same for all its values."""
    after = "question" if mood.carried.startswith(":") else mood.carried
    return (
        f"first {called[0].name}", f"last {called[-1].name}", "title" if cues.title else "prose",
        "asked" if mood.asked else "said", f"after {after}", "verb" if cues.has_verb else "no verb",
        f"readings {min(readings, _MANY)}", f"clauses {min(len(cues.fragments), _MANY)}",
    )  # fmt: skip


def _around(called: Sequence[_Called], clause: Fragment, nearby: Sequence[Fragment], place: int) -> dict[str, None]:
    """The cues of what stands around a place, of each name once; `nearby` are its clause and those next to it.

    Further clauses say little of a value: what they are of has its say by the frames.
    """
    first, last = max(0, place - _FAR), min(len(called), place + _FAR + 1)
    start, end = min(max(first, clause.start), place), max(min(last, clause.end), place + 1)
    since, until = min(max(first, nearby[0].start), start), max(min(last, nearby[-1].end), end)
    found = [one.remote for one in called[first:since]]
    found += [one.earlier for one in called[since:start]]
    found += [one.before for one in called[start:place]]
    found += [one.behind for one in called[place + 1 : end]]
    found += [one.later for one in called[end:until]]
    found += [one.remote for one in called[until:last]]
    return dict.fromkeys(chain.from_iterable(found))


def _own(value: Value) -> tuple[str, ...]:
    """The cues of a value itself."""
    unit = value.first if value.first != value.place else value.last
    return _own_cues(unit - value.place, value.field, value.denied)


@lru_cache(maxsize=4_096)
def _own_cues(unit_at: int, field: str, denied: bool) -> tuple[str, ...]:
    return f"unit {unit_at:+d}", f"field {field}", "denied" if denied else "affirmed"


@lru_cache(maxsize=256)
def _clause_cues(number: int, opened: str) -> tuple[str, ...]:
    return f"clause {min(number, _LATE)}", f"opened {opened}"
