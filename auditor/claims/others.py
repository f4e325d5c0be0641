"""Signs of another subject that no list of words can hold: a code that tells a tire apart, a thing no lexicon knows.

A determiner or a word such as "version" beside a code ("the 131/127", "those in V") names another tire; a relative
clause speaks of the noun before it; a noun behind a verb and its value is who does it.
"""

from __future__ import annotations

from auditor.claims.clauses import SEASONS, THIS, VERBS, Clauses
from auditor.claims.fragments import Fragment
from auditor.claims.items import UNITS, Item
from auditor.claims.words import LOWER, UPPER

_LETTERS = frozenset("BCDEFGHJKLMNPQRSTUVWY")
_LEAST_INDEX, _MOST_INDEX = 60, 220
_LABELS = frozenset({"index", "symbol", "range", "service", "rated"})
_UNLIKE = frozenset({"vehicle", "thing", "person", "another"})
_MOST_BACK = 4
DESCRIBES = frozenset(
    {"xl", "sl", "hl", "runflat", "summer", "winter", "all-season", "range", "ply", "index", "symbol", "terrain"}
)
_JOINS = frozenset({"another", "is", "the", "version", "edition", "tire", "at"})


class Others(Clauses):
    """Who else a fragment may speak of."""

    def told_apart(self, fragment: Fragment) -> int:
        """Where a code names another tire: "the 131/127 version", "a 106er", "modèle 94H"; -1 for none."""
        for place in range(fragment.start, fragment.end):
            if self._tells_apart(place) and not self._predicated(fragment, place):
                led, last = self._led(fragment, place), self._last_of(fragment, place)
                if led >= 0 and ("edition" in self.items[led].roles or self._closes(last + 1, fragment)):
                    return led
                if self._edition(last + 1, fragment):
                    return place if led < 0 else led
        return -1

    def of_another(self, fragment: Fragment, place: int) -> bool:
        """Whether words for this tire only say whose other one is meant: "the XL sister of this tire"."""
        cue = fragment.cues.get("another", -1)
        between = self.items[cue + 1 : place]
        joined = len(between) or "of-this" in self.items[place].roles
        return cue >= 0 and bool(joined) and all(item.roles & _JOINS for item in between)

    def means_another(self, fragment: Fragment, cue: int) -> bool:
        """Whether a pronoun stands for another tire named before it: "In size 265/70R17 it holds"."""
        if cue > fragment.this or "it" not in self.items[fragment.this].roles:
            return False
        named_since = any("this" in item.roles for item in self.items[max(cue, 0) : fragment.this])
        return not named_since and not any(item.roles & {"than", "also", "not"} for item in self.items[: fragment.this])

    def measured_in(self, place: int, fragment: Fragment) -> bool:
        """Whether something is measured of a size: "975 kg per tire in 255/50R19", "In size 265/70R17 it holds"."""
        led = self.items[fragment.start : place]
        if any(item.roles & UNITS and led[at - 1].numbers for at, item in enumerate(led) if at):
            return True
        within = bool(led) and bool(led[0].roles & {"is", "at", "with"}) and not led[0].roles & (VERBS | THIS)
        behind = self.items[place + 1 : fragment.end]
        return within and any(item.roles & VERBS or "it" in item.roles for item in behind)

    def refers_on(self, fragment: Fragment) -> bool:
        """Whether a fragment sends the reader to another product: "see 235/50R19", "voyez la référence 8812"."""
        inside = self.items[fragment.start : fragment.end]
        if not any("see" in item.roles for item in inside[:2]) or any(item.roles & THIS for item in inside):
            return False
        return any(item.kind in ("size", "service", "number") or item.text == UPPER for item in inside[1:])

    def version_leads(self) -> int:
        """ "In XL-uitvoering draagt hij": a sentence that begins with another version; -1 for none."""
        head = self.items[:4]
        if len(self.items) < 5 or not head[0].roles & {"is", "at", "with"} or head[0].roles & (VERBS | THIS):
            return -1
        code = next((at for at, item in enumerate(head) if item.roles & {"xl", "sl", "hl"}), -1)
        beside = any("edition" in self._roles_at(at) for at in (code - 1, code + 1))
        return code if code > 0 and beside else -1

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
        return bool(self._roles_at(at) & UNITS) or self._text(at) in ("(", "%", "x", "-")

    def _text(self, place: int) -> str:
        return self.items[place].text if 0 <= place < len(self.items) else ""

    def _roles_at(self, place: int) -> frozenset[str]:
        return self.items[place].roles if 0 <= place < len(self.items) else frozenset()

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
        return bool(self._roles_at(place) & {"this-one", "this", "it"})

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
        linked = [at for at in range(1, len(led)) if "is" in led[at].roles and led[at - 1].roles & THIS]  # "this one's a"
        verb = next((at for at, item in enumerate(led) if item.roles & VERBS or at in linked), -1)
        if verb < 0:
            return False
        return any(item.roles & (THIS | _LABELS | {"this-one", "tire"}) or item.kind == "own" for item in led[:verb])

    def belongs_to_another(self, fragment: Fragment) -> int:
        """ "In its XL guise": what a possessive gives besides to this tire, no label of it; -1 for none."""
        for place in range(fragment.start, fragment.end - 2):
            described = self._roles_at(place + 1) & (DESCRIBES - {"range", "index", "symbol", "ply"})
            if "possessive" in self.items[place].roles and described:
                noun = self.items[place + 2]
                if noun.text == LOWER or noun.roles & {"edition", "another", "version"}:
                    return place
        return -1

    def relative_of(self, fragment: Fragment, place: int) -> bool:
        """Whether a value stands in a relative clause of a noun that is no tire: "a saloon that is limited to"."""
        opener = fragment.start - 1
        if "relative" in self._roles_at(fragment.start) and fragment.opened == ",":
            opener = fragment.start
        for at in range(place - 1, max(opener, 0) - 1, -1):
            if self.items[at].roles & {"this", "it", "tire", "each"}:
                return False
            if "relative" in self.items[at].roles and (at > fragment.start or at == opener):
                return self._strange(at - 1 if self._text(at - 1) != "," else at - 2)
        return False

    def _strange(self, last: int) -> bool:
        """Whether a noun phrase that ends at an item is of a thing that no lexicon holds, or of no tire."""
        for at in range(last, max(last - _MOST_BACK, -1), -1):
            roles = self.items[at].roles
            if "tires" in roles and at == last and "the" not in self._roles_at(at - 1):
                return True  # "the truck clears tires that stand 35 inches tall"
            if roles & {"tire", "this", "it"} or roles & self.roles.labels or self.items[at].kind == "mark":
                return False
            if roles & _UNLIKE:
                return True
            if "the" in roles:
                return at < last and self._unknown_noun(self.items[at + 1])
        return last >= 0 and self.items[last].text == LOWER

    def _unknown_noun(self, item: Item) -> bool:
        return item.kind == "filler" and (item.text == LOWER or self.capitals)

    def named_behind(self, fragment: Fragment, place: int) -> bool:
        """Whether who does it stands behind the verb and its value: "Aguanta 545 kg el maletero"."""
        led = self.items[fragment.start : place]
        if not led or not led[0].roles & {"carries", "runs"} or any(item.kind == "filler" for item in led):
            return False
        at = place + 2
        if at + 1 >= fragment.end or "the" not in self.items[at].roles or self._points(at):
            return False
        return self._unknown_noun(self.items[at + 1]) or bool(self.items[at + 1].roles & {"vehicle", "thing"})

    def another_is_limited(self, number: int) -> bool:
        """ "Limited to 168 mph by its gearbox, the coupé cannot outrun it": of whom a fragment without subject is."""
        fragment = self.fragments[number]
        if number + 1 >= len(self.fragments) or "rated" not in self._roles_at(fragment.start):
            return False
        then = self.fragments[number + 1]
        if then.opened != "," or not 0 <= then.start < len(self.items) or "the" not in self.items[then.start].roles:
            return False
        at = max(then.cues.get("vehicle", -1), self.stranger_at(then))
        return then.start < at < then.start + 3 and then.this != then.start

    def ours_by_name(self, fragment: Fragment) -> int:
        """ "Our Halder Quattro is an all-season tire": a product of the house that is named; -1 for none."""
        for place in range(fragment.start, fragment.end - 1):
            if "ours" not in self.items[place].roles:
                continue
            named = self.items[place + 1]
            if named.kind == "filler" and (named.text == UPPER or self.capitals):
                return place
            if named.roles & DESCRIBES and "tires" in self._roles_at(place + 2):
                return place  # "our XL tires"
        return -1

    def kind_of_tires_heads(self, fragment: Fragment, place: int) -> bool:
        """ "Load range E trailer tires: 80 psi": a line about tires of a kind."""
        for at in range(fragment.start + 1, fragment.end - 1):
            if "tires" in self.items[at].roles and self._text(at + 1) == ":":
                led = self.items[fragment.start : at]
                described = any(item.numbers or item.kind == "letter" for item in led)
                own = any(item.roles & (THIS | {"the", "each"}) or item.kind == "own" for item in led)
                return described and at != place and not own
        return False

    def any_tire_is_asked(self, fragment: Fragment) -> int:
        """ "Fit a tire that has the snowflake": an order about any tire; -1 for none."""
        for place in range(fragment.start, fragment.end - 1):
            if "any-tire" in self.items[place + 1].roles or "tires" in self.items[place + 1].roles:
                led = self.items[fragment.start : place + 1]
                order = self.items[place].roles & {"fits", "ask", "never"} and place == fragment.start
                return place if order and not any(item.roles & THIS for item in led) else -1
        return -1

    def one_tire_does(self, fragment: Fragment, place: int) -> bool:
        """ "The front tire carries": one tire is the subject of a verb before a value."""
        one = False
        for at in range(fragment.start, place):
            roles = self.items[at].roles
            if one and roles & VERBS:
                return True
            one = one or ("tire" in roles and "tires" not in roles)
        return False

    def describes_others(self, fragment: Fragment, place: int, last: int) -> bool:
        """Whether a value only describes what stands behind it: "Load range D trucks", "It outlasts 8-ply tires"."""
        behind, further = self._roles_at(last + 1), self._roles_at(last + 2)
        if last + 1 >= fragment.end:
            return False
        if "vehicle" in behind and "tire" not in further and self.items[last + 1].kind == "word":
            return self._text(last + 1)[-1:] == "s" or bool(further & VERBS)
        led = self.items[fragment.start : place]
        if "tires" in behind and fragment.this >= 0 and "it" in self.items[fragment.this].roles:
            return any(item.text == LOWER or "does" in item.roles for item in led)
        described = "tire" in behind and bool(led) and bool(led[0].roles & {"with", "at", "not"})
        rest = self.items[last + 2 : fragment.end]
        article = len(led) == 2 and "the" in led[1].roles and fragment.this < 0
        return described and article and fragment.start == 0 and any(item.kind == "filler" for item in rest)

    def unknown_heading(self, number: int) -> bool:
        """ "Tom's verdict: 140 mph": a heading that no lexicon holds says what a bare figure is of."""
        if not number or self.fragments[number].opened != ":":
            return False
        heading = self.fragments[number - 1]
        inside = self.items[heading.start : heading.end]
        return bool(inside) and inside[-1].text == LOWER and not any(item.roles & (THIS | {"tire"}) for item in inside)

    def denies_of_all(self, fragment: Fragment, place: int) -> bool:
        """ "Without the snowflake a tire is", "Ohne Schneeflocke kein Winterreifen": what is denied of any tire."""
        inside = self.items[fragment.start : fragment.end]
        nots = [at for at, item in enumerate(inside) if "not" in item.roles]
        between = inside[nots[0] : nots[-1]] if len(nots) > 1 else []
        twice = any(item.roles & (self.roles.labels | SEASONS) for item in between)
        return twice or any("any-tire" in item.roles for item in self.items[place : fragment.end])

    def weighs_a_thing(self, fragment: Fragment, place: int) -> bool:
        """ "925 kg de coffre": a mass of something that no lexicon holds."""
        at = place + 2
        if at + 1 >= fragment.end or not self.items[at - 1].roles & {"kg", "lb"}:
            return False
        return "is" in self.items[at].roles and not self.items[at].roles & VERBS and self.items[at + 1].text == LOWER

    def is_offered_too(self, fragment: Fragment, kind: str, place: int, cue: int) -> bool:
        """ "Load range C also available": what a fragment begins with is another version, not this tire."""
        led, between = self.items[fragment.start : place], self.items[place + 1 : cue]
        verbs = any(item.roles & (VERBS | THIS | {"relative"}) for item in (*led, *between))
        named = all(item.kind != "filler" for item in between)
        return kind not in ("load", "speed", "pressure") and named and not verbs and cue < fragment.end

    def lists_others(self, fragment: Fragment) -> bool:
        """ "Also listed: the 14-ply G": a heading that announces what else there is."""
        inside = self.items[fragment.start : fragment.end]
        said = any(item.numbers or item.roles & (THIS | self.roles.labels) or item.kind == "letter" for item in inside)
        return fragment.start == 0 and len(inside) > 1 and not said and any("too" in item.roles for item in inside)

    def wheel_is_offered(self) -> bool:
        """ "Aluminum wheel 15x6, load capacity 2,830 lb": a sentence that is headed by a wheel and its size."""
        head = self.items[: self.fragments[0].end]
        sized = any(item.kind == "pair" and "x" in item.text and item.numbers[0] < 30 for item in head)
        return sized and any("rim" in item.roles for item in head) and not any(item.roles & VERBS for item in head)
