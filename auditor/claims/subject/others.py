"""Who else a clause may be of, where no cue says so: the noun before a relative clause or behind a verb, a heading.

What stands here is asked of a value; what names another tire to a whole fragment is in `auditor.claims.subject.apart`.
"""

from __future__ import annotations

from auditor.claims.subject.clauses import MINE, OTHER, SEASONS, THIS, VERBS, Fragment
from auditor.claims.subject.predicates import Predicates
from auditor.claims.terms.items import UNITS
from auditor.claims.terms.words import LOWER, UPPER

_UNLIKE = frozenset({"vehicle", "thing", "person", "another"})
_MOST_BACK = 4
_COMPARES = frozenset({"than", "beyond", "below"})
_TELLS = frozenset({",", ":", ")"})


class Others(Predicates):
    """Other subjects of the fragments of a sentence."""

    def refers_on(self, fragment: Fragment) -> bool:
        """Whether a fragment sends the reader to another product: "see 235/50R19", "voyez la référence 8812"."""
        if "see" not in self.all_roles:
            return False
        inside = self.items[fragment.start : fragment.end]
        if not fragment.start:  # "See 235/65R17 for 900 kg"
            return "see" in inside[0].roles and any(item.kind in ("size", "service") for item in inside)
        if not any("see" in item.roles for item in inside[:2]):
            return False
        return any(item.kind in ("size", "service", "number") or item.text == UPPER for item in inside[1:])

    def relative_of(self, fragment: Fragment, place: int) -> bool:
        """Whether a value stands in a relative clause of a noun that is no tire: "a saloon that is limited to"."""
        for at in range(place - 1, max(fragment.start - 1, 0) - 1, -1):
            if self.items[at].roles & {"this", "it", "tire", "each"}:
                return False
            if "relative" in self.items[at].roles:
                return self._strange(at - 1 if self.text_at(at - 1) != "," else at - 2)
        return False

    def _strange(self, last: int) -> bool:
        """Whether a noun phrase that ends at an item is of a thing that no lexicon holds, or of no tire."""
        for at in range(last, max(last - _MOST_BACK, -1), -1):
            roles = self.items[at].roles
            if "tires" in roles and at == last and "the" not in self.roles_at(at - 1):
                return True  # "the truck clears tires that stand 35 inches tall"
            if "the" in roles:
                return at < last and self.unknown_noun(self.items[at + 1])
        return last >= 0 and self.items[last].text == LOWER

    def another_follows(self, number: int) -> bool:
        """ "Limited to 168 mph, the coupé cannot", "With its Y rating, the rival": whose an opening phrase is."""
        fragment = self.fragments[number]
        opens = self.roles_at(fragment.start) & {"rated", "with"} and self.finite_verb(fragment.start, fragment.end) < 0
        if not opens or number + 1 >= len(self.fragments):
            return False
        then = self.fragments[number + 1]
        verb = self.finite_verb(then.start, then.end)
        start = then.start + (verb == then.start)  # "fährt der Rivale vorneweg"
        phrases = self.noun_phrases(start, verb if verb > start else then.end)
        if then.opened != "," or not phrases or phrases[0].first != start or then.this == start:
            return False
        if self.text_at(start + 1) == UPPER and not self.grammar.capitals:
            return False  # "the Breeze rolls on"
        head = self.roles_at(start) | self.roles_at(start + 1)
        edition = any("edition" in item.roles for item in self.items[start : phrases[0].last + 1])
        other = edition or self._who(phrases[0], phrases[1:]) == OTHER
        return other and bool(head & {"the", "another"}) and not head & {"indefinite", "ours"}

    def is_free_relative(self, place: int) -> bool:
        """ "What the rivals' tires bear is 850 kg": a sentence that begins with a clause in the place of a noun."""
        if not self.items or "what" not in self.items[0].roles:
            return False
        end = max(place, self.fragments[0].end)
        copula = next((at for at in range(2, end) if self.roles_at(at) >= {"is", "verb"}), end)
        phrases = self.noun_phrases(1, copula)
        of = {self._who(one, phrases[at:]) for at, one in enumerate(phrases, 1)}
        return OTHER in of and MINE not in of and not any("each" in item.roles for item in self.items[1:end])

    def any_tire_is_asked(self, fragment: Fragment) -> int:
        """ "Fit a tire that has the snowflake": an order about any tire; -1 for none."""
        if self.all_roles.isdisjoint({"any-tire", "tires"}):
            return -1
        for place in range(fragment.start, fragment.end - 1):
            if "any-tire" in self.items[place + 1].roles or "tires" in self.items[place + 1].roles:
                asks = self.items[place].roles & {"fits", "ask", "never"}
                order = asks and "prep" not in self.items[place].roles and place == fragment.start
                return place if order else -1
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
        behind, further = self.roles_at(last + 1), self.roles_at(last + 2)
        led = self.items[fragment.start : place]
        fitted = "in" in self.roles_at(last) and last + 2 == fragment.end
        if last + 1 >= fragment.end or (fitted and not any("fits" not in item.roles for item in led)):
            return False  # "Made for 15-inch vans"
        if "ply" in self.roles_at(last) and len(led) == 1 and "the" in led[0].roles and "does" in behind:
            return not led[0].roles & (THIS | {"this-one"})  # "The 8-ply arrives in spring"
        if "vehicle" in behind and "tire" not in further:
            return self.text_at(last + 1)[-1:] == "s"
        if self._comes_from(fragment, place, last) or self._heads_a_thing(fragment, place, last):
            return True
        if "tires" in behind and fragment.this >= 0:
            return any(item.text == LOWER or "does" in item.roles for item in led)
        described = "tire" in behind and bool(led) and bool(led[0].roles & {"with", "at", "not"})
        rest = self.items[last + 2 : fragment.end]
        article = len(led) == 2 and "the" in led[1].roles and fragment.this < 0
        return described and article and fragment.start == 0 and any(item.kind == "filler" for item in rest)

    def _comes_from(self, fragment: Fragment, place: int, last: int) -> bool:
        """ "Its tread comes from a 149-mph touring tire": a value in the name of where something is from."""
        origin = self.roles_at(place - 2)
        if (
            place - 3 < fragment.start
            or "the" not in self.roles_at(place - 1)
            or "at" not in origin
            or "with" in origin
        ):
            return False
        return any("tire" in self.roles_at(at) for at in range(last + 1, min(last + 4, fragment.end)))

    def _heads_a_thing(self, fragment: Fragment, place: int, last: int) -> bool:
        """ "Snowflake hunters: next listing": a heading of a noun that is no label."""
        number = self.of[place]
        headed = number + 1 < len(self.fragments) and self.fragments[number + 1].opened == ":"
        noun = self.items[last + 1]
        strange = noun.kind == "filler" or "group" in noun.roles
        headed = (headed and last + 2 == fragment.end) or self.text_at(last + 2) == ":"
        return headed and strange and place == fragment.start

    def is_past(self) -> int:
        """ "The catalog of 2019 said", "In 2023 they made it": a year, in a sentence with a verb; -1 for none."""
        for at in range(1, len(self.items)):
            item = self.items[at]
            if item.kind != "number":
                continue
            year = item.text.isdecimal() and 1950 <= item.numbers[0] <= 2049
            led = year and self.roles_at(at - 1) & {"is", "at", "the", "prep"}
            if led and (self.has_verb or any(behind.text == LOWER for behind in self.items[at:])):
                return at
        return -1

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
        twice = twice and not any(item.roles & VERBS for item in inside)
        if nots and 0 < nots[0] < 3 and "prep" in inside[nots[0]].roles and "tire" in inside[nots[0] - 1].roles:
            bare = nots[0] == 1 and not inside[0].roles & {"the", "this", "each"}
            twice = twice or (bare and self.finite_verb(place + 1, fragment.end) > 0)  # "Tires without studs slip"
        return twice or any("any-tire" in item.roles for item in self.items[place : fragment.end])

    def only_if_coded(self, place: int) -> bool:
        """ "Carries 3,750 kg if marked 154": a condition behind a value that asks for another code."""
        for at in range(place + 1, min(place + 5, len(self.items) - 1)):
            if "if" in self.items[at].roles:
                return any(self._tells_apart(behind) for behind in range(at + 1, min(at + 4, len(self.items))))
        return False

    def loads_a_thing(self, fragment: Fragment, place: int) -> bool:
        """ "Puede cargar el familiar con 925 kg": a verb, and what it loads with a value."""
        if place - 3 < fragment.start or not self.roles_at(place - 1) & {"with", "at"}:
            return False
        noun, verb = self.items[place - 2], self.items[fragment.start : place - 3]
        named = "the" in self.roles_at(place - 3) and (noun.text == LOWER or "vehicle" in noun.roles)
        return named and any(item.roles & {"carries", "load"} for item in verb)

    def is_condition(self, fragment: Fragment, place: int) -> bool:
        """ "At 925 kg per wheel you need XL": a value that a small word leads, and what it asks for."""
        led = self.items[fragment.start : place]
        behind = next((at for at in range(place + 1, fragment.end) if not self.roles_at(at) & (UNITS | {"rated"})), 0)
        if len(led) == 1 and "the" in led[0].roles and behind and self.roles_at(behind) & {"fits", "is"} == {"fits"}:
            return True  # "A 3,860-lb rating needs load range F"
        verb = self.subject(fragment).verb
        if verb >= 0 and self.roles_at(verb) & {"fits", "is"} == {"fits"} and self._is_amount(fragment.start, verb):
            return True  # "Remember that 950 kg needs load index 106"
        small = (
            len(led) == 1 and bool(led[0].roles & {"is", "at", "with"}) and not led[0].roles & (VERBS | THIS | {"tire"})
        )
        return small and any(
            item.roles & {"if", "ask", "fits"} and "is" not in item.roles
            for item in self.items[place + 1 : fragment.end]
        )

    def _is_amount(self, start: int, verb: int) -> bool:
        """Whether a quantity is all that stands before a verb."""
        led = self.items[start:verb]
        units = any(item.roles & {"kg", "lb", "kmh", "mph"} for item in led)
        return units and all(item.numbers or item.roles & UNITS for item in led)

    def has_subject_behind(self, fragment: Fragment, place: int, last: int) -> bool:
        """ "Die Schneeflocke trägt nur der Ice": a noun behind the verb is who does it."""
        if any(
            item.roles & (VERBS | THIS | {"tire"}) or item.kind == "filler"
            for item in self.items[fragment.start : place]
        ):
            return False
        at = last + 1 + (self.roles_at(last + 1) & (VERBS | {"rated"}) == {"rated"})
        if at + 2 >= fragment.end or not self.roles_at(at) & VERBS:
            return False
        copula = "is" in self.roles_at(at)
        at = behind = at + 1
        while at + 1 < fragment.end and "with" in self.roles_at(at) and "the" not in self.roles_at(at):
            at += 1
        if copula and (at == behind or at + 2 < fragment.end):  # "freigegeben ist nur der Sport", at the end
            return False
        return at + 1 < fragment.end and "the" in self.roles_at(at) and self.items[at + 1].kind == "filler"

    def weighs_a_thing(self, fragment: Fragment, place: int) -> bool:
        """ "925 kg de coffre": a mass of something that no lexicon holds."""
        at = place + 2
        if at + 1 >= fragment.end or not self.items[at - 1].roles & {"kg", "lb"}:
            return False
        return "is" in self.items[at].roles and not self.items[at].roles & VERBS and self.items[at + 1].text == LOWER

    def is_weight_of(self, place: int) -> bool:
        """ "a 1,700 kg caravan": a mass before the thing that has it."""
        at = place + 2
        heavy = self.roles_at(at - 1) & {"kg", "lb"} and self.roles_at(at) & {"vehicle", "thing"}
        return bool(heavy) and not (self.roles_at(at) | self.roles_at(at + 1)) & {"tire", "load"}

    def offers_more(self) -> int:
        """ "Auch verstärkt erhältlich", "available in XL as well": what there is besides; -1 for none."""
        if not self.all_roles >= {"too", "offered"}:
            return -1
        more = next((at for at, item in enumerate(self.items) if "too" in item.roles), -1)
        offered = next((at for at, item in enumerate(self.items) if "offered" in item.roles), -1)
        return min(more, offered) if more >= 0 <= offered else -1

    def is_offered_too(self, fragment: Fragment, kind: str, place: int, cue: int) -> bool:
        """ "Load range C also available": what a fragment begins with is another version, not this tire."""
        led, between = self.items[fragment.start : place], self.items[place + 1 : cue]
        verbs = any(item.roles & (VERBS | THIS | {"relative"}) for item in (*led, *between))
        named = all(item.kind != "filler" for item in between)
        return kind not in ("load", "speed", "pressure") and named and not verbs and cue < fragment.end

    def wheel_is_offered(self) -> bool:
        """ "Aluminum wheel 15x6, load capacity 2,830 lb", "Our 17-inch wheels": what is headed by a wheel."""
        if "rim" not in self.all_roles:
            return False
        head = self.items[: self.fragments[0].end]
        sized = any(item.kind == "pair" and "x" in item.text and item.numbers[0] < 30 for item in head)
        ours = bool(head) and "ours" in head[0].roles
        wheel = any("rim" in item.roles for item in head) and not any(item.roles & (VERBS | {"tire"}) for item in head)
        return wheel and (sized or ours)

    def told_later(self, number: int) -> bool:
        """Whether a later fragment names another tire as the subject: "Rated V, the sport model costs more"."""
        told = [fragment for fragment in self.fragments[number + 1 :] if fragment.end > fragment.start]
        for fragment in told[:2]:
            at, opened = fragment.cues.get("another", -1), fragment.opened
            alone = opened == "-" and fragment.end - fragment.start == 1  # "D - sold out"
            if at < 0 or fragment.this >= 0 or not (opened in _TELLS or alone):
                continue
            at -= 3 * (at == self.told_apart(fragment))  # of "only the summer version with V" the code comes last
            ahead = self.items[fragment.start : at]  # "Rated V: that is the sport model"
            said = opened != "," and not any(i.kind == "filler" or i.roles & _COMPARES for i in ahead)
            verbs = any(self.items[after].roles & VERBS for after in range(at + 1, fragment.end))
            if at - fragment.start < 3 and (verbs or said):
                return True
        return False

    def other_version(self, place: int, fragment: Fragment) -> bool:
        """ "The LT version has", "18 is the 154/149 version": a version told from this one."""
        the = [at for at in range(max(place - 4, fragment.start), place) if "the" in self.items[at].roles]
        return bool(the) and place - the[-1] > 1
