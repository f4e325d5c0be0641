"""What a sentence says a value is, or is not, of: a noun behind a copula, a clause that points back, a contrast.

"149 mph is the limit of the summer series", "925 kg: that is what other makers sell", "every tire in XL carries 925 kg,
this one less": who the values are of stands behind them.
"""

from __future__ import annotations

from itertools import pairwise

from auditor.claims.subject.apart import DESCRIBES, Apart
from auditor.claims.subject.clauses import SEASONS, THIS, VERBS, Fragment

_MINE = THIS | {"each", "of-this"}
_OTHERS = frozenset({"another", "many", "any-tire", "tires"})
_HEADS = frozenset({"vehicle", "thing", "person", "line"})  # of others only where they head the phrase
_POINTERS = frozenset({"the", "relative", "this-one"})
_OPENS = frozenset({",", ":", "-", ")", ";", "and"})
_STRANGE = VERBS | THIS | {"the"}  # what stands in no value
_MOST_CONTRAST = 4


class Predicates(Apart):
    """The noun phrases that say of whom a value is."""

    def is_of_predicate(self, fragment: Fragment) -> bool:
        """ "149 mph is the limit of the summer series": a value, a copula, and another tire behind it."""
        if fragment.of_predicate is None:  # the same for each of its values
            fragment.of_predicate = fragment.this < 0 and self._has_predicate(fragment)
        return fragment.of_predicate

    def _has_predicate(self, fragment: Fragment) -> bool:
        for at in range(fragment.start, fragment.end):
            item = self.items[at]
            if at > fragment.start and "is" in item.roles and self._is_copula(at):
                number = any(led.numbers or led.kind in ("letter", "size") for led in self.items[fragment.start : at])
                return number and self._names_others(at + ("the" not in item.roles), fragment.end)
            strange = item.roles & _STRANGE or item.kind == "filler"
            if strange or (at == fragment.start and item.roles & {"each", "tire"}):
                return False
        return False

    def _is_predicate(self, fragment: Fragment) -> bool:
        """ "Those are the winter tires of the house": a clause that points back, and the line that it names."""
        start = self._copula_of(fragment) + 1
        lined = any("line" in item.roles for item in self.items[start : fragment.end])
        return start > 0 and lined and self._names_others(start, fragment.end)

    def compared(self, place: int, cue: int) -> bool:
        return any("than" in item.roles for item in self.items[place:cue])

    def told_behind(self, number: int) -> bool:
        """Whether a later fragment says that what stands before it is of another tire."""
        fragment = self.fragments[number]
        if self._points_back(number) or self._is_contrasted(number) or self._is_predicate(fragment):
            return True
        behind = self.fragments[number + 1 : number + 3]
        if len(behind) > 1 and not any(item.numbers for item in self.items[behind[0].start : behind[0].end]):
            del behind[1]  # only a value may stand between: "Speed: V, 149 mph, on the sport model"
        return any(self._is_on_another(one) for one in behind)

    def _is_on_another(self, fragment: Fragment) -> bool:
        """ "149 mph, on the sport model": a small word and another tire by itself behind a comma."""
        inside = self.items[fragment.start : fragment.end]
        if not 2 < len(inside) < 8 or fragment.opened != "," or fragment.this >= 0:
            return False
        of_line = "is" in inside[0].roles and "line" in inside[-1].roles  # "says the brochure of the sport line"
        if not of_line and ("at" not in inside[0].roles or len(inside) > 5):
            return False
        spoken = any(item.roles & (_MINE | {"this-one"} | VERBS) for item in inside)
        other = inside[-1].roles & {"edition", "another", "terrain", "line"} or "tires" in inside[-1].roles
        return "the" in inside[1].roles and not spoken and bool(other)

    def means_another(self, fragment: Fragment, cue: int) -> bool:
        """ "It has no snowflake: that was the 2019 version": a pronoun of which a later clause says what it was."""
        later = self.fragments[self.of[cue]] if cue > fragment.this else fragment
        if later is not fragment and self._copula_of(later) >= 0:
            return "it" in self.items[fragment.this].roles
        return super().means_another(fragment, cue)

    def _points_back(self, number: int) -> bool:
        """ "Rated at 149 mph - those are the summer tires": a later clause that points back and names others."""
        for fragment in self.fragments[number + 1 : number + 4]:
            if fragment.opened not in _OPENS or fragment.this >= 0:
                return False
            if fragment.start == fragment.end:
                continue
            if self._is_to_come(fragment):
                return True
            if (copula := self._copula_of(fragment)) >= 0:
                return self._names_others(copula + 1, fragment.end)
        return False

    def _is_to_come(self, fragment: Fragment) -> bool:
        """ "comes in May": a verb and a small word before a name, which is no place that something is made in."""
        verb, small, name = fragment.start, fragment.start + 1, fragment.start + 2
        if fragment.end != name + 1 or fragment.opened != "," or self.grammar.capitals:
            return False
        comes = "verb" in self.roles_at(verb) and not self.roles_at(verb) & {"is", "not"}
        return comes and self.belongs(name) and "in" in self.roles_at(small)

    def _copula_of(self, fragment: Fragment) -> int:
        """The copula of a clause that begins with a word that points back; -1 for none."""
        start = fragment.start
        if self.roles_at(start) & _POINTERS and start < fragment.end and not self._is_copula(start):
            start += 1
        elif self.roles_at(start + 2) & {"what"} and start < fragment.end and self.items[start].kind == "filler":
            start += 1  # "eso es lo que"
        pointed = start > fragment.start or bool(self.roles_at(start - 1) & _POINTERS) or self._is_short(start)
        return start if start + 1 < fragment.end and pointed and self._is_copula(start) else -1

    def of_line(self, place: int) -> bool:
        """ "This tire of the range": a line behind a small word only says to what something belongs."""
        led = bool(self.roles_at(place - 2) & {"this", "tire"}) and "the" not in self.roles_at(place - 3)
        return led and self.belongs(place)

    def points_at_this(self, place: int) -> bool:
        """ "this run-flat tops out", "this is a"; but "of this range" names all that belongs to it."""
        after = self.roles_at(place + 1)
        described = bool(after & DESCRIBES) or after >= {"is", "verb"}
        return described and not ("line" in after and self.belongs(place))

    def belongs(self, place: int) -> bool:
        """Whether a small word such as "of" stands before an item."""
        before = self.roles_at(place - 1)
        return "is" in before and not before & VERBS

    def _is_short(self, place: int) -> bool:
        """ "c'est", "son las": a copula that has its pronoun in it, at the head of a clause."""
        return " " in self.text_at(place) or bool(self.roles_at(place + 1) & {"the"})

    def _is_copula(self, place: int) -> bool:
        """ "is", and what is written as one word with its pronoun: "c'est", "that's", "das sind"."""
        item = self.items[place]
        short = " " in item.text or (item.text == "s" and self.roles_at(place - 1) & _POINTERS)
        said = bool(item.roles & (VERBS | {"the"})) or bool(short)
        return "is" in item.roles and said

    def _names_others(self, start: int, end: int) -> bool:
        """Whether a noun phrase, or a clause that stands for one, is of other tires than this one."""
        phrase = self.items[start:end]
        if not phrase or any(item.roles & _MINE for item in phrase):
            return False
        headed = phrase[0].roles & {"the", "what", "max"}
        named = any(item.roles & _OTHERS for item in (phrase if headed else phrase[:2]))
        named = named or any("the" in item.roles and "tires" in after.roles for item, after in pairwise(phrase))
        named = named or bool("the" in self.roles_at(end - 2) and phrase[-1].roles & SEASONS)  # "los de verano"
        named = named or any(item.roles & _HEADS for item in phrase[: 3 if headed else 2])
        if headed and "what" not in headed:
            return named or any(item.roles & (SEASONS | {"edition"}) or item.kind == "service" for item in phrase[1:])
        if "what" not in phrase[0].roles:
            return named
        led = next((at for at, item in enumerate(phrase) if "the" in item.roles), len(phrase))
        code = any(item.kind in ("letter", "service") or item.roles & DESCRIBES for item in phrase[led + 1 : led + 4])
        if code and any("tire" in item.roles for item in phrase[led + 2 : led + 5]):
            return True  # "what a load range D trailer tire gives you"
        if len(phrase) > 2 and phrase[1].kind == "filler" and (phrase[2].kind == "filler" or phrase[2].roles & VERBS):
            return True  # "what other makers sell you", "what heavy vans want"
        return named or any("the" in item.roles and behind.kind == "filler" for item, behind in pairwise(phrase))

    def _is_contrasted(self, number: int) -> bool:
        """ "925 kg in XL, this one less", "on the summer ones, not on these": what is said before is of another."""
        for fragment in self.fragments[number + 1 : number + 3]:
            inside = self.items[fragment.start : fragment.end]
            if not inside or len(inside) > _MOST_CONTRAST or any(item.numbers for item in inside):
                continue
            points = any(item.roles & {"this", "this-one"} for item in inside[:3])
            denied = any(item.roles & {"not", "no"} for item in inside)
            points = points or (denied and "the" in inside[-1].roles)  # "but not on these"
            less = inside[-1].kind == "filler" or denied
            said = any(item.roles & VERBS for item in inside)
            behind = fragment.opened in (",", "-", ";") or (fragment.opened == "and" and denied)
            if points and less and not said and behind:
                return True
        return False

    def names_version(self, fragment: Fragment) -> range:
        """ "Every tire in XL version (92T)", "of the XL": what small words say of which tires it is; empty for none."""
        start = fragment.start
        if fragment.end - start < 3 or not self.roles_at(start) & {"each", "any-tire", "tire"}:
            return range(0)
        if not self.roles_at(start + 1) & {"is", "at", "with"} or self.roles_at(start + 1) & VERBS:
            return range(0)
        start += "the" in self.roles_at(start + 2)
        last = start + 2
        while last < fragment.end and self.roles_at(last) & {"xl", "sl", "hl", "edition", "version"}:
            last += 1
        return range(start + 2, last)

    def added_behind(self, fragment: Fragment, cue: int, place: int) -> bool:
        """ "Rated up to 270 km/h on track and road": what a small word adds behind a value of a verb or a label."""
        led = any("prep" in self.roles_at(at) for at in range(place + 1, cue + 1))
        said = any(self.roles_at(at) & {"rated", "carries", "fits"} for at in range(fragment.start, place))
        return place < cue and led and said

    def each_of(self, cue: int, place: int) -> bool:
        """ "Axles of 3,500 lb each": each of what has the value."""
        led = "prep" in self.roles_at(place - 1) and cue == place - 2
        return led and any(
            "each" in self.roles_at(at) and "this-one" not in self.roles_at(at) for at in range(place + 1, place + 4)
        )

    def weighed_apart(self, before: Fragment, fragment: Fragment, role: str) -> bool:
        """ "It weighs 9.6 kg, holds 750 kg": this tire's weight is told before what it carries."""
        verb = self.finite_verb(fragment.start, fragment.end)
        told = before.start == before.this < before.cues[role] and "relative" not in self.roles_at(fragment.start - 1)
        return role == "thing" and told and "carries" in self.roles_at(verb) and verb >= 0
