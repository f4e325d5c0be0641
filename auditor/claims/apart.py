"""Codes and words that tell another tire apart from this one, as no list of words can hold.

A determiner or a word such as "version" beside a code ("the 131/127", "those in V", "a 106 version") names another
tire, and so does what a possessive or "our" gives a name of its own.
"""

from __future__ import annotations

from auditor.claims.clauses import THIS, VERBS
from auditor.claims.fragments import Fragment
from auditor.claims.items import UNITS, Item
from auditor.claims.phrases import Phrases
from auditor.claims.words import LOWER, UPPER

_LETTERS = frozenset("BCDEFGHJKLMNPQRSTUVWY")
_LEAST_INDEX, _MOST_INDEX = 60, 220
_LABELS = frozenset({"index", "symbol", "range", "service", "rated"})
_MOST_BACK = 4
DESCRIBES = frozenset(
    {"xl", "sl", "hl", "runflat", "summer", "winter", "all-season", "range", "ply", "index", "symbol", "terrain"}
)
_JOINS = frozenset({"another", "is", "the", "version", "edition", "tire", "at"})


class Apart(Phrases):
    """What names another tire in a fragment."""

    def told_apart(self, fragment: Fragment) -> int:
        """Where a code names another tire: "the 131/127 version", "a 106er", "modèle 94H"; -1 for none."""
        inside = self.items[fragment.start : fragment.end]
        if not any(item.numbers or item.kind == "letter" or "edition" in item.roles for item in inside):
            return -1
        heads = self.roles_at(fragment.start) >= {"tire"} and not self.roles_at(fragment.start) & {"the", "tires"}
        if heads and self.finite_verb(fragment.start, fragment.end) < 0:
            return -1  # "Anhängerreifen in C-Ausführung, trägt"
        for place in range(fragment.start, fragment.end):
            if self._tells_apart(place) and not self._predicated(fragment, place):
                led, last = self._led(fragment, place), self._last_of(fragment, place)
                ends = led >= 0 and ("edition" in self.items[led].roles or self._closes(last + 1, fragment))
                if ends or self._edition(last + 1, fragment) or self._labeled_of(place):
                    return place
            elif self._is_other_edition(fragment, place):
                return place
        return -1

    def _labeled_of(self, place: int) -> bool:
        """ "Velocità massima della W: 270 km/h": a label of a code, and a colon behind it."""
        of, label = self.roles_at(place - 1), self.roles_at(place - 2)
        return self.text_at(place + 1) == ":" and "is" in of and not of & VERBS and bool(label & self.roles.labels)

    def _is_other_edition(self, fragment: Fragment, place: int) -> bool:
        """ "The plain edition lacks", "belongs to the reinforced edition": an edition that is told from this one."""
        if "edition" not in self.items[place].roles or place - 2 < fragment.start:
            return False
        if "the" not in self.roles_at(place - 2) or self._points(place - 2):
            return False
        led = self.items[fragment.start : place - 2]
        if any(item.roles & (THIS | {"this-one", "tire"}) or item.kind == "own" for item in led):
            return False
        kind = self.items[place - 1]
        if kind.roles & (DESCRIBES | {"plain", "radial", "bias"}):
            return "ours" not in self.roles_at(place - 2)
        acts = bool(self.roles_at(place + 1) & (VERBS | {"not"})) or self.text_at(place + 1) == LOWER
        return kind.text == LOWER and place - 2 == fragment.start and acts

    def _tells_apart(self, place: int) -> bool:
        """Whether an item is a code of a marking, no quantity: a load index, a pair of them, a letter."""
        item = self.items[place]
        if item.kind == "letter":
            return item.text in _LETTERS
        if item.kind == "service":
            return True
        if item.kind not in ("number", "pair") or not item.numbers or self._measures(place):
            return False
        return item.text.replace("/", "").isdecimal() and all(_LEAST_INDEX <= n <= _MOST_INDEX for n in item.numbers)

    def _measures(self, place: int) -> bool:
        """Whether a unit stands behind a number."""
        at = place + 1
        if self.roles_at(at) & UNITS == {"in"} and self.roles_at(at + 1) & UNITS:
            return False  # "of the 105 in kg"
        return bool(self.roles_at(at) & UNITS) or self.text_at(at) in ("(", "%", "x", "-")

    def _led(self, fragment: Fragment, place: int) -> int:
        """What leads a code: a word for a version, through small words and labels, or a determiner, directly; or -1."""
        back = place - 1
        if back >= fragment.start and "the" in self.items[back].roles and not self._points(back):
            return back
        while back >= fragment.start and place - back <= _MOST_BACK:
            roles = self.items[back].roles
            if self._edition(back, fragment) and not self._points(back - 1):
                return back
            if not roles & (_LABELS | {"is", "the", "at", "with"}) or roles & VERBS:
                break
            back -= 1
        return -1

    def _points(self, place: int) -> bool:
        """Whether a word points at this tire: "this 105"."""
        return bool(self.roles_at(place) & {"this-one", "this", "it"})

    def _edition(self, place: int, fragment: Fragment) -> bool:
        return fragment.start <= place < fragment.end and "edition" in self.items[place].roles

    def _last_of(self, fragment: Fragment, place: int) -> int:
        """The last item of a code with the label behind it: "the G-range one", "the 105-index twin"."""
        last = place
        while last + 1 < fragment.end and self.items[last + 1].roles & _LABELS and last - place < 2:
            last += 1
        return last if self._edition(last + 1, fragment) else place

    def _closes(self, place: int, fragment: Fragment) -> bool:
        """Whether a noun phrase ends before an item: nothing is named that the code would only describe."""
        if place >= fragment.end:
            return True
        roles = self.items[place].roles
        return bool(roles & (VERBS | {"is", "at", "with", "not", "max"})) and not roles & {"tire", "the", "each"}

    def _predicated(self, fragment: Fragment, place: int) -> bool:
        """Whether a verb says the code of this tire, or of what its label names: "The speed letter is a T"."""
        led = self.items[fragment.start : place]
        # "this one's a 105": a copula of one letter is no verb of the lexicon
        linked = [at for at in range(1, len(led)) if "is" in led[at].roles and led[at - 1].roles & THIS]
        verb = next((at for at, item in enumerate(led) if item.roles & VERBS or at in linked), -1)
        if verb < 0:
            return False
        return any(item.roles & (THIS | _LABELS | {"this-one", "tire"}) or item.kind == "own" for item in led[:verb])

    def belongs_to_another(self, fragment: Fragment) -> int:
        """ "In its XL guise": what a possessive gives besides to this tire, no label of it; -1 for none."""
        for place in range(fragment.start, fragment.end - 2):
            described = self.roles_at(place + 1) & (DESCRIBES - {"range", "index", "symbol", "ply"})
            if "possessive" in self.items[place].roles and described:
                noun = self.items[place + 2]
                if noun.text == LOWER or noun.roles & {"edition", "another", "version"}:
                    return place
        return -1

    def ours_by_name(self, fragment: Fragment) -> int:
        """ "Our Halder Quattro is an all-season tire": a product of the house that is named; -1 for none."""
        if self.grammar.capitals and not self.has_verb_in(fragment):
            return -1  # "unser Bestseller", and any other noun
        for place in range(fragment.start, fragment.end - 1):
            if "ours" not in self.items[place].roles:
                continue
            named = self.items[place + 1]
            if named.kind == "filler" and (named.text == UPPER or self.grammar.capitals):
                return place
            if named.roles & DESCRIBES and "tires" in self.roles_at(place + 2):
                return place  # "our XL tires"
        return -1

    def owns_a_thing(self, fragment: Fragment, place: int) -> bool:
        """ "Limited to 168 mph by its gearbox": a possessive behind a value, of whoever has the thing."""
        owned = "possessive" in self.roles_at(place) and place + 1 < fragment.end
        owned = owned and not self.roles_at(place - 1) >= {"is", "verb"}  # "6-ply is its rating"
        led = self.items[fragment.start : place]
        named = self.roles_at(place + 1) & (self.roles.labels | {"tire"})
        return owned and not named and any(item.numbers or item.kind == "letter" for item in led)

    def of_another(self, fragment: Fragment, place: int) -> bool:
        """Whether words for this tire only say whose other one is meant: "the XL sister of this tire"."""
        cue = fragment.cues.get("another", -1)
        between = self.items[cue + 1 : place]
        joined = len(between) or "of-this" in self.items[place].roles
        return cue >= 0 and bool(joined) and all(item.roles & (_JOINS | self.roles.labels) for item in between)

    def means_another(self, fragment: Fragment, cue: int) -> bool:
        """Whether a pronoun stands for another tire named before it: "In size 265/70R17 it holds"."""
        if cue > fragment.this or "it" not in self.items[fragment.this].roles:
            return False
        named_since = any("this" in item.roles for item in self.items[max(cue, 0) : fragment.this])
        return not named_since and not any(item.roles & {"than", "also", "not"} for item in self.items[: fragment.this])

    def unknown_noun(self, item: Item) -> bool:
        return item.kind == "filler" and (item.text == LOWER or self.grammar.capitals)
