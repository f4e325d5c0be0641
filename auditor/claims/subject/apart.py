"""Codes, sizes and words that tell another tire apart from this one, as no list of words can hold.

A determiner or a word such as "version" beside a code ("the 131/127", "those in V", "a 106 version") names another
tire, and so does what a possessive or "our" gives a name of its own, and a size that no label calls this tire's.
"""

from __future__ import annotations

from collections.abc import Sequence

from auditor.claims.subject.clauses import THIS, VERBS, Fragment
from auditor.claims.subject.phrases import Phrases
from auditor.claims.terms.items import UNITS, Item
from auditor.claims.terms.symbols import SYMBOLS
from auditor.claims.terms.words import LOWER, OWN, UPPER

_GRADES = frozenset({"fuel", "wet", "noise-class", "traction", "temperature"})
_LEAST_INDEX, _MOST_INDEX = 60, 220
_LABELS = frozenset({"index", "symbol", "range", "service", "rated"})
_NAMED = THIS | _LABELS | {"this-one", "tire"}
_SAYS = VERBS | {"is"}
_MOST_BACK = 4
DESCRIBES = frozenset(
    {"xl", "sl", "hl", "runflat", "summer", "winter", "all-season", "range", "ply", "index", "symbol", "terrain"}
)
_JOINS = frozenset({"another", "is", "the", "version", "edition", "tire", "at"})


_RATINGS = frozenset({"load", "index", "symbol", "speed", "range", "pressure"})
_SHORT_WORDS = frozenset({"prep", "genitive", "is", "the", "other-unit", "person", "and"})  # alike in many languages
_SMALL = frozenset({"the", "verb", "is", "with", "yes", "tire", "each"})
_OTHERS = frozenset({"another", "than", "also", "if", "never", "ask", "person", "general", "group", "or", "thing"})


class Apart(Phrases):
    """What names another tire in a fragment."""

    title: bool
    onward: list[dict[str, int]]  # per fragment: cues in force when it begins
    sentence_cues: dict[str, int]
    after_another: bool  # the sentence before spoke of another tire
    opens: bool  # no sentence stands before this one

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
            elif self._is_other_edition(fragment, place) or (
                "position" in self.roles_at(place) and self._labeled_of(place)
            ):
                return place
        return -1

    def _labeled_of(self, place: int) -> bool:
        """ "Velocità massima della W: 270 km/h": a label of a code, and a colon behind it."""
        at = place - ("position" in self.roles_at(place) and "the" in self.roles_at(place - 1))  # "of the rear: 65"
        of, label = self.roles_at(at - 1), self.roles_at(at - 2)
        return self.text_at(place + 1) == ":" and "is" in of and not of & VERBS and bool(label & self.roles.labels)

    def _is_other_edition(self, fragment: Fragment, place: int) -> bool:
        """ "The plain edition lacks", "belongs to the reinforced edition": an edition that is told from this one."""
        if "edition" not in self.items[place].roles or place - 2 < fragment.start:
            return False
        led = self.items[fragment.start : place - 2]
        if "the" not in self.roles_at(place - 2) or any(item.roles & (THIS | {"this-one", "tire"}) for item in led):
            return False
        kind = self.items[place - 1]
        if kind.roles & (DESCRIBES | {"plain", "radial", "bias"}):
            return "ours" not in self.roles_at(place - 2)
        return kind.text == LOWER and place - 2 == fragment.start and bool(self.roles_at(place + 1) & (VERBS | {"not"}))

    def _tells_apart(self, place: int) -> bool:
        """Whether an item is a code of a marking, no quantity: a load index, a pair of them, a letter."""
        item = self.items[place]
        if item.kind == "letter":
            graded = any(self.roles_at(at) & _GRADES for at in range(place + 1, place + 4))
            return item.text in SYMBOLS and not graded  # "an E for rolling resistance"
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
            if self._edition(back, fragment) and not self._points(back - 1):
                return back
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
        if self.all_roles.isdisjoint(_SAYS):
            return False
        named = before = False
        for item in self.items[fragment.start : place]:
            # "this one's a 105": a copula of one letter is no verb of the lexicon
            if not item.roles.isdisjoint(VERBS) or (before and "is" in item.roles):
                return named
            before = not item.roles.isdisjoint(THIS)
            named = named or not item.roles.isdisjoint(_NAMED)
        return False

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
            if named.kind == "filler" and named.text == UPPER:
                return place
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
        return cue >= 0 and bool(between) and all(item.roles & (_JOINS | self.roles.labels) for item in between)

    def means_another(self, fragment: Fragment, cue: int) -> bool:
        """Whether a pronoun stands for another tire named before it: "In size 265/70R17 it holds"."""
        if cue > fragment.this:
            return False
        named_since = any("this" in item.roles for item in self.items[max(cue, 0) : fragment.this])
        return not named_since and not any(item.roles & {"than", "also", "not"} for item in self.items[: fragment.this])

    def unknown_noun(self, item: Item) -> bool:
        return item.kind == "filler" and (item.text == LOWER or self.grammar.capitals)

    def own_size(self, place: int, fragment: Fragment) -> None:
        """The listing's own size names this tire, unless another service description or a cue says otherwise."""
        after = self.items[place + 1] if place + 1 < len(self.items) else None
        before = self.roles_at(place - 1) if place > fragment.start else frozenset()
        told_apart = after is not None and "not" in after.roles and "the" in before  # "the 225/65R17 without studs"
        if after is not None and (after.kind == "service" or told_apart) and not self.title:
            self.sentence_cues.setdefault("another", place)
            return
        for near in self.fragments[max(len(self.onward) - 2, 0) : len(self.onward)]:
            if any(role in near.cues for role in ("another", "than", "also")):
                return
        fragment.this = place

    def other_size(self, place: int, fragment: Fragment) -> None:
        """Another size is another tire, unless a label says that it is this one's."""
        if not self.title and not self.labeled_size(place, fragment):
            self.sentence_cues.setdefault("another", place)
        elif self.title and any(item.text == OWN for item in self.items):
            fragment.cues.setdefault("also", place)

    def labeled_size(self, place: int, fragment: Fragment) -> bool:
        """Whether another size is said to be this tire's: "Size: X", "You get X", or a text that begins with it."""
        if place and "this-one" in self.items[place - 1].roles:
            return True
        if any(role in fragment.cues for role in ("another", "than", "also", "if", "never", "ask", "not")):
            return False
        if self.after_another and place == 0:
            return False  # "Bigger? 235/65R17."
        if any(item.roles & {"another", "ask", "also", "too", "tires"} for item in self.items):
            return False
        if self.text_at(place + 1) == ":":
            rated = any(item.roles & _RATINGS for item in self.items[fragment.start : place])
            if rated or "prep" in self.roles_at(place - 1):
                return False  # "Height of the tyre in 215/60R16: 664 mm", "Load index in size 225/75R16C: 121"
        if any("this" in self.roles_at(at) for at in range(place + 1, min(place + 4, len(self.items)))):
            return True  # "the 225/65R17 you see here"
        led = place > fragment.start and "the" in self.items[place - 1].roles and place - 1 > fragment.start
        axle = "position" in self.roles_at(fragment.start) and self.has_verb  # "In front belongs a 225/40R19"
        if self._measured_in(place, fragment) or axle:
            return False
        if self._goes_with_this(place, fragment):
            return False
        before = self.items[fragment.start : place]
        if any("position" in item.roles for item in before) and not any("tire" in item.roles for item in before):
            return False  # "Arka aks için 225/50R16": of the other axle
        if not led and fragment.opened != "(" and self.offers(place) and self._is_understood(before):
            return True  # an offer: "One new 225/65R17, boxed"
        if place == fragment.start:
            follows = range(place + 1, min(place + 3, fragment.end))
            return any(self.items[at].roles & VERBS for at in follows) and fragment.opened in ("", ":", "-")
        if any(item.roles & THIS for item in before):
            return True
        if all(item.roles & _SMALL for item in before) and any(item.roles & VERBS for item in before):
            return True
        inside = self.items[fragment.start : fragment.end]
        named = before[-1] if "vehicle" in before[0].roles else before[0]  # "Trailer tire", in two words
        if "tire" in named.roles and not any(item.roles & VERBS for item in inside) and len(before) < 4:
            return True  # "A tire in 225/65R17"
        return any("size" in item.roles for item in before[-4:])

    def _goes_with_this(self, place: int, fragment: Fragment) -> bool:
        """Whether a size is that of a tire beside this one: its partner, its axle's other half, a choice.

        Who names this tire's size says "size", or what the word stands with is known: of "Companion size: X" and
        "Párový rozměr X" the word before it tells that another one is meant, whatever it says.  "Rear: X" is told
        of the partner where something was said of this tire before.
        """
        number = len(self.onward) - 1
        headed = fragment.opened == ":" and number > 0
        led = self.items[self.fragments[number - 1].start if headed else fragment.start : place]
        if any(item.roles & {"partner", "test"} for item in led):
            return True  # "Best result in the test of size X"
        if any(item.roles & (THIS | {"this-one"}) for item in led):
            return any("or" in item.roles for item in led)  # "Se vende sola o con 130/90-16"
        for at, item in enumerate(led):
            if "size" not in item.roles:
                continue
            beside = led[max(at - 1, 0) : at + 2]
            if any("position" in one.roles for one in beside):
                return True
            if beside[0].kind == "filler" or beside[-1].text == LOWER:
                return True
        return not self.opens and any("position" in item.roles for item in led)

    def _measured_in(self, place: int, fragment: Fragment) -> bool:
        """Whether something is measured of a size: "975 kg per tire in 255/50R19", "In size 265/70R17 it holds"."""
        led = self.items[fragment.start : place]
        if any(item.roles & UNITS and led[at - 1].numbers for at, item in enumerate(led) if at):
            return True
        within = bool(led) and bool(led[0].roles & {"is", "at", "with"}) and not led[0].roles & (VERBS | THIS)
        if len(led) > 2 and any("each" in item.roles for item in led) and led[-2].roles & {"is", "at", "with"}:
            within = within or "size" in led[-1].roles  # "Every tire in size 235/55R18 carries"
        behind = self.items[place + 1 : fragment.end]
        return within and any(item.roles & VERBS or "it" in item.roles for item in behind)

    def offers(self, place: int) -> bool:
        """Whether a sentence without a verb speaks of nobody else: what it names is this tire's."""
        return not self.has_verb and not self._spoken_of_another(place)

    def _is_understood(self, before: Sequence[Item]) -> bool:
        """Whether any word of a sentence is known, or it opens the text and but names stand before the size.

        Of "Também temos 205/60R16" no verb would be seen, and "Taip pat yra 205/60R16" may begin a text, too.
        """
        return self.knows_words() or (self.opens and all(item.text != LOWER for item in before))

    def knows_words(self) -> bool:
        """Whether any word is known that languages do not share, or all are names."""
        known = any(item.roles - _SHORT_WORDS and not item.numbers for item in self.items)
        return known or all(item.text != LOWER for item in self.items)

    def _for_a_thing(self) -> bool:
        """ "For the hybrid, 225/60R18": a sentence begins with whom it is for."""
        first, second, third = self.items[:3]
        return bool(first.roles & {"is", "at"}) and "the" in second.roles and third.kind == "filler"

    def _spoken_of_another(self, place: int) -> bool:
        """Whether the sentence names several sizes, or speaks of others, of choices or of an order anywhere."""
        sizes = {item.text for item in self.items if item.kind == "size" or item.text == OWN}
        vehicle = any("vehicle" in item.roles for item in self.items[:place])
        axle = any(
            "position" in item.roles and self.items[at + 1].text == ":" for at, item in enumerate(self.items[:-1])
        )
        if self.fragments and place > 3 and self._for_a_thing():
            return True
        return len(sizes) > 1 or vehicle or axle or any(item.roles & _OTHERS for item in self.items)
