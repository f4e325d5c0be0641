"""What a frame sees of a sentence: the items around a value, its label, its fragment; and the values found so far."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import NamedTuple

from auditor.claims.subject.clauses import Fragment
from auditor.claims.subject.subjects import Cues
from auditor.claims.terms.items import NOTHING, UNITS, Item
from auditor.claims.terms.words import LOWER, UPPER
from auditor.trade.tables import default_tables

LINKS = frozenset({"is", "the", "max", "at", "rated"})


class Numbers(frozenset[float]):
    """Some numbers, by which one that notes what it is asked (`auditor.claims.batch.noting`) is asked as a whole."""

    def __contains__(self, value: object) -> bool:
        """Whether a number is one of them."""
        if type(value) is float:
            return frozenset.__contains__(self, value)
        asked = getattr(value, "is_one_of", None)
        return frozenset.__contains__(self, value) if asked is None else asked(self)


RIMS = Numbers(code for code in default_tables().rim_diameter_mm if code >= 8)  # smaller ones are bolt circles
_LIMITING = frozenset({"not", "no", "never", "law"})
_REACHING = frozenset({"carries", "runs", "load", "speed", "rated"})  # what leads a figure that is reached
_SAYING = frozenset({"verb", "does", "it", "this", "this-one"})  # what tells something of what is beyond
_OF_ONE = frozenset({"each", "single", "dual"})
LEAST_DB = 40.0  # no tire is so quiet
_A_LITTLE = 0.01  # of a load: "a shade under 390 kg" is 387; common practice, no source
ASPECTS = Numbers(map(float, range(20, 100, 5)))
PLIES = Numbers((4.0, 6.0, 8.0, 10.0, 12.0, 14.0, 16.0, 18.0, 20.0, 22.0, 24.0))
THROUGH = frozenset({"is", "the", "with", "at", "verb", "does", "it", "this", "tire", "carries", "and", "fits", "max"})
_LIMITS = frozenset({"speed", "pressure"})  # "do not exceed 106 mph" says what is allowed


class Given(NamedTuple):
    """The claim holds only where the marking has this value."""

    field: str
    value: float | str


@dataclass(slots=True)
class Value:
    """A value found in a sentence; `place` is its item, `first` and `last` those of all its words."""

    field: str
    value: float | str
    place: int
    first: int
    last: int
    kind: str  # what is silenced together
    outspoken: bool = True
    denied: bool = False
    half_step: float = 0.0
    open_ended: bool = False
    given: Given | None = None

    def beside(self, given: Given | None) -> Value:
        """The same value that counts only where the marking has what is given."""
        if given is self.given:
            return self
        return Value(
            self.field, self.value, self.place, self.first, self.last, self.kind, self.outspoken, self.denied,
            self.half_step, self.open_ended, given,
        )  # fmt: skip


def is_bounded_below(items: Sequence[Item], place: int) -> bool:
    """Whether a figure is the least of what is said: "carries over 600 kg", "ben oltre i 650 kg per ruota".

    Beyond a limit something else is told: "Mehr als 615 kg trägt er nicht", "Past 99 mph you are on your own".
    """
    at = place - 1
    if at > 0 and "the" in items[at].roles:
        at -= 1
    if at < 0 or "beyond" not in items[at].roles:
        return False
    end = next((n for n in range(place + 1, len(items)) if _ends_clause(items[n])), len(items))
    roles = frozenset[str]().union(*(item.roles for item in items[:end]))
    if not roles.isdisjoint(_LIMITING):
        return False
    if at:
        return not items[at - 1].roles.isdisjoint(_REACHING)
    behind = frozenset[str]().union(*(item.roles for item in items[place + 1 : min(place + 4, end)]))
    return not behind.isdisjoint(_OF_ONE) and roles.isdisjoint(_SAYING)


def _ends_clause(item: Item) -> bool:
    return item.text in (",", ";", "-", "(") or "and" in item.roles


def a_little_below(value: float | str, half: float) -> tuple[float | str, float]:
    """A load of which a text says that it is under a figure, and half of its last digit."""
    if isinstance(value, str):
        return value, half
    return value * (1.0 - _A_LITTLE), max(half, value * _A_LITTLE)


class Look:
    """A sentence as the frames see it."""

    def __init__(self, items: list[Item], cues: Cues, title: bool) -> None:
        self.items = items
        self.cues = cues
        self.title = title
        self.values: list[Value] = []
        self.given: Given | None = None  # the whole sentence speaks of tires with this value
        self.taken: set[int] = set()
        self.all_roles = cues.all_roles
        self._count = len(items)
        self._pairs = -1  # letters right before a number, once asked for

    def roles(self, place: int) -> frozenset[str]:
        return self.items[place].roles if 0 <= place < self._count else NOTHING

    def text(self, place: int) -> str:
        return self.items[place].text if 0 <= place < self._count else ""

    def before(self, place: int, wanted: frozenset[str], *, through: int = 5) -> int:
        """The nearest item before a value that has a wanted role, through links and marks only; -1 for none."""
        if wanted.isdisjoint(self.all_roles):
            return -1
        back = place - 1
        while back >= 0 and place - back <= through:
            item = self.items[back]
            if item.roles & wanted:
                return back
            if item.text == ")" and (opens := self._bracket_before(back)) >= 0:
                back = opens - 1  # "LI (single/twin): 115"
            elif (item.kind == "mark" and item.text in ':=(")-') or (
                item.roles & LINKS and not item.roles & UNITS - {"in"}
            ):
                back -= 1
            else:
                return -1
        return -1

    def _bracket_before(self, closes: int) -> int:
        """Where a bracket without a value begins that ends at a place; -1 for none."""
        for at in range(closes - 1, max(closes - 6, -1), -1):
            if self.text(at) == "(":
                return at
            if self.items[at].numbers:
                return -1
        return -1

    def after(self, place: int, wanted: frozenset[str], *, through: int = 1) -> int:
        """The nearest item behind a value that has a wanted role, at most some items away."""
        if wanted.isdisjoint(self.all_roles):
            return -1
        for ahead in range(place + 1, min(place + 1 + through, len(self.items))):
            item = self.items[ahead]
            if item.roles & wanted:
                return ahead
            if item.kind == "mark" and item.text not in '"':
                return -1
        return -1

    def role(self, place: int, roles: tuple[str, ...]) -> str:
        return next((role for role in roles if role in self.roles(place)), "")

    def fragment(self, place: int) -> Fragment:
        return self.cues.fragments[self.cues.of[place]]

    def label(self, place: int, wanted: frozenset[str]) -> int:
        """The nearest label of a value in its fragment, before it or behind it; -1 for none."""
        if wanted.isdisjoint(self.all_roles):
            return -1
        fragment = self.fragment(place)
        for back in range(place - 1, fragment.start - 1, -1):
            if self.roles(back) & wanted:
                return back
        for ahead in range(place + 1, fragment.end):
            if self.roles(ahead) & wanted:
                return ahead
            if self.items[ahead].kind == "number" and self.items[ahead].numbers:
                break
        return -1

    def label_before(self, place: int, wanted: frozenset[str]) -> bool:
        """Whether a word of a wanted role stands before a value in its fragment."""
        if wanted.isdisjoint(self.all_roles):
            return False
        return any(self.roles(at) & wanted for at in range(self.fragment(place).start, place - 1))

    def ahead(self, place: int, wanted: frozenset[str], through: frozenset[str], most: int = 5) -> int:
        """The nearest label behind a value in its fragment, through words of some roles only; -1 for none."""
        for ahead in range(place + 1, min(place + 1 + most, self.fragment(place).end)):
            item = self.items[ahead]
            if item.roles & wanted:
                return ahead
            if not item.roles & through or item.numbers:
                return -1
        return -1

    def label_around(self, place: int, wanted: frozenset[str]) -> int:
        """As `label`; a fragment without one takes it from the fragment before, through brackets and colons."""
        if wanted.isdisjoint(self.all_roles):
            return -1
        found = self.label(place, wanted)
        number = self.cues.of[place]
        back = number
        while found < 0 and back > 0 and number - back < 3:
            fragment = self.cues.fragments[back - 1]
            for at in range(fragment.end - 1, fragment.start - 1, -1):
                if self.roles(at) & wanted:
                    return at
            back -= 1
        return found

    def alone(self, place: int, *, names: bool = True) -> bool:
        """Whether the fragment of a value holds nothing else that means anything: a line of a specification.

        `names` lets capitalized filler pass, which is a brand or a model.
        """
        fragment = self.fragment(place)
        if fragment.filler is None:
            inside = self.items[fragment.start : fragment.end]
            fragment.filler = {
                LOWER if "does" in item.roles else item.text
                for item in inside
                if item.kind == "filler" or "does" in item.roles
            }
        return fragment.filler <= ({UPPER} if names else set())

    def say(self, field: str, value: float | str, place: int, first: int, last: int, *, half: float = 0.0) -> Value:
        """Takes a value as said, or as denied."""
        if first > last:
            first, last = last, first
        kind = self.cues.roles.kinds[field]
        if kind == "load" and "below" in self.roles(place - 1):
            value, half = a_little_below(value, half)
        said = Value(field, value, place, first, last, kind, half_step=half, given=self.given)
        said.denied = self.denied(place, field)
        if last == place:
            self.taken.add(place)
        else:
            self.taken.update(range(place, last + 1) if last - place < 3 else (place,))
        if said.denied and said.kind in _LIMITS:
            said.denied = False
            if not any(self.roles(at) & {"beyond", "below"} for at in range(max(place - 3, 0), place)):
                return said
        self.values.append(said)
        return said

    def _asserts(self, fragment: Fragment) -> bool:
        return any(self.roles(at) & {"verb", "is", "it"} for at in range(fragment.start, fragment.end))

    def _denied_behind(self, fragment: Fragment, place: int, at: int) -> bool:
        """ "Load Range D it is not": a pronoun behind a value, and what ends the fragment denies."""
        it = at == place + 2 and "it" in self.roles(place + 1)
        return it and at + 1 == fragment.end

    def denied(self, place: int, field: str = "") -> bool:
        """Whether a word that denies stands before a value in its fragment; a rim may be denied behind it."""
        fragment = self.fragment(place)
        at = fragment.cues.get("not", 99999)
        if at == 99999 and fragment.opened == "(" and fragment.this < 0 and not self._asserts(fragment):
            before = self.cues.fragments[self.cues.of[place] - 1]
            return "not" in before.cues  # "not severe snow rated (3PMSF)"
        if place < at == fragment.end - 1 and "it" in self.roles(at - 1):
            return True  # "A run-flat it is not"
        if field == "rim_diameter_in" and at < 99999:  # "sin cámara para llanta 18" is without one thing alone
            return "prep" not in self.roles(at) or not any("prep" in self.roles(one) for one in range(at + 2, place))
        if at > place and self._denied_behind(fragment, place, at):
            return True
        return at < place and not any(self.text(between) == ":" for between in range(at, place))
