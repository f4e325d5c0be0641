"""What a sentence says a value is, or is not, of: a noun behind a copula, a clause that points back, a contrast.

"149 mph is the limit of the summer series", "925 kg: that is what other makers sell", "every tire in XL carries 925 kg,
this one less": who the values are of stands behind them.
"""

from __future__ import annotations

from itertools import pairwise

from auditor.claims.apart import Apart
from auditor.claims.clauses import SEASONS, THIS, VERBS
from auditor.claims.fragments import Fragment
from auditor.claims.items import UNITS, Item

_MINE = THIS | {"each", "of-this"}
_OTHERS = frozenset({"another", "any-tire", "tires", "vehicle", "thing", "person", "line"})
_POINTERS = frozenset({"the", "relative", "this-one"})
_OPENS = frozenset({",", ":", "-", ")", ";", "and"})
_MOST_CONTRAST = 4


class Predicates(Apart):
    """The noun phrases that say of whom a value is."""

    def is_of_predicate(self, fragment: Fragment, place: int) -> bool:
        """ "149 mph is the limit of the summer series": a value, a copula, and another tire behind it."""
        if fragment.this >= 0:
            return False
        led = self.items[fragment.start : place]
        if any(item.roles & (VERBS | _MINE | {"tire"}) or item.kind == "filler" for item in led):
            return False
        for at in range(place + 1, fragment.end):
            item = self.items[at]
            if self._is_copula(item):
                return self._names_others(at + ("the" not in item.roles), fragment.end)
            if not item.roles & (UNITS | self.roles.labels | {"rated", "each", "max"}):
                return False
        return False

    def compared(self, place: int, cue: int) -> bool:
        return any("than" in item.roles for item in self.items[place:cue])

    def told_behind(self, number: int) -> bool:
        """Whether a later fragment says that what stands before it is of another tire."""
        return self._points_back(number) or self._is_contrasted(number)

    def _points_back(self, number: int) -> bool:
        """ "Rated at 149 mph - those are the summer tires": a later clause that points back and names others."""
        for fragment in self.fragments[number + 1 : number + 4]:
            if fragment.opened not in _OPENS or fragment.this >= 0:
                return False
            if fragment.start == fragment.end:
                continue
            start = fragment.start
            if self.roles_at(start) & _POINTERS and not self._is_copula(self.items[start]):
                start += 1
            pointed = start > fragment.start or bool(self.roles_at(start - 1) & _POINTERS) or self._is_short(start)
            if start + 1 < fragment.end and pointed and self._is_copula(self.items[start]):
                return self._names_others(start + 1, fragment.end)
        return False

    def _is_short(self, place: int) -> bool:
        """ "c'est", "son las": a copula that has its pronoun in it, at the head of a clause."""
        return " " in self.text_at(place) or bool(self.roles_at(place + 1) & {"the"})

    @staticmethod
    def _is_copula(item: Item) -> bool:
        roles = item.roles
        return "is" in roles and bool(roles & (VERBS | {"the"}) or " " in item.text) and not roles & {"this", "tire"}

    def _names_others(self, start: int, end: int) -> bool:
        """Whether a noun phrase, or a clause that stands for one, is of other tires than this one."""
        phrase = self.items[start:end]
        if not phrase or any(item.roles & _MINE or item.kind == "own" for item in phrase):
            return False
        if any("this-one" in item.roles and not self.roles_at(start + at + 1) & {"relative"} and at
               for at, item in enumerate(phrase)):  # fmt: skip
            return any("tires" in item.roles and item.roles & SEASONS for item in phrase)
        named = any(item.roles & _OTHERS for item in phrase)
        if "the" in phrase[0].roles:
            told = any(
                item.roles & SEASONS or item.kind == "service" or ("edition" in item.roles and "is" not in item.roles)
                for item in phrase[1:]
            )
            return named or told
        makers = any("the" in item.roles and behind.kind == "filler" for item, behind in pairwise(phrase))
        return named or (phrase[0].kind == "filler" and makers)

    def _is_contrasted(self, number: int) -> bool:
        """ "925 kg in XL, this one less", "on the summer ones, not on these": what is said before is of another."""
        for fragment in self.fragments[number + 1 : number + 3]:
            inside = self.items[fragment.start : fragment.end]
            if not inside or len(inside) > _MOST_CONTRAST or any(item.numbers for item in inside):
                continue
            points = any(item.roles & {"this", "this-one"} and "tire" not in item.roles for item in inside[:3])
            less = inside[-1].kind == "filler" or any("not" in item.roles for item in inside)
            said = any(item.roles & VERBS or item.roles & self.roles.labels for item in inside)
            if points and less and not said and fragment.opened in (",", "-", ";"):
                return True
        return False

    def version_of_this(self, fragment: Fragment) -> int:
        """ "The V-rated version of this pattern", "two sizes of this range": some of a line; -1 for none."""
        for place in range(fragment.start, fragment.end - 2):
            some = self.items[place].roles & {"edition", "also"} or "tires" in self.items[place].roles
            of, this = self.roles_at(place + 1), self.roles_at(place + 2)
            if some and "is" in of and not of & VERBS and this & {"this", "this-one"} and not this & {"tire"}:
                led = self.items[fragment.start : place]
                own = any(item.roles & (THIS | {"this-one", "each"}) for item in led)
                if led and not own and led[0].roles & {"the", "number"}:
                    return place
        return -1

    def names_version(self, fragment: Fragment) -> range:
        """ "Every tire in XL version (92T)": what small words say of which tires it is; empty for none."""
        start = fragment.start
        if fragment.end - start < 3 or not self.roles_at(start) & {"each", "any-tire", "tire"}:
            return range(0)
        if not self.roles_at(start + 1) & {"is", "at", "with"} or self.roles_at(start + 1) & VERBS:
            return range(0)
        last = start + 2
        while last < fragment.end and self.roles_at(last) & {"xl", "sl", "hl", "edition", "version"}:
            last += 1
        return range(start + 2, last)
