"""Who the subject of a clause is: the first noun phrase before its verb that no small word leads.

A noun phrase begins with a determiner, a noun or a pronoun and ends before a small word, a verb or the next determiner.
What names this tire, a part or a rating of it, or nobody, speaks of this tire; any other head is somebody else.
"""

from __future__ import annotations

from itertools import takewhile
from typing import NamedTuple

from auditor.claims.subject.clauses import (
    IMPLIED,
    MINE,
    NOBODY,
    NOT_KNOWN,
    OTHER,
    PART,
    SEASONS,
    THIS,
    VERBS,
    Clauses,
    Fragment,
    Subject,
)
from auditor.claims.terms.items import Item
from auditor.claims.terms.words import LOWER, UPPER

_OPENS = frozenset({"the", "this", "this-one", "it", "each", "person", "possessive", "ours"})
_DESCRIBED = frozenset({"xl", "sl", "hl", "runflat", "range", "ply", "index", "symbol", "terrain", "edition", *SEASONS})


_VALUES = frozenset({"xl", "sl", "hl", "runflat", "snowflake", "tire", "tires", "mud-and-snow", *SEASONS})
_SMALL = frozenset({"with", "at", "is", "not", "also", "too", "about", "max", "rated", "yes"})  # no nouns
_PARTS = frozenset({"tire", "tread", "casing"})
_RATED = frozenset({"load", "speed", "symbol", "index", "range", "service", "pressure", "size", "tread", "casing"})
_END = Item("mark", -1, -1, "")


class NounPhrase(NamedTuple):
    """A noun phrase of a clause."""

    first: int
    last: int
    led: bool  # behind a small word: no subject
    of: bool  # says whose the noun before it is


def _is_coded(item: Item) -> bool:
    return bool(item.numbers) or item.kind in ("letter", "service", "size", "own")


class Phrases(Clauses):
    """The noun phrases of a sentence."""

    def noun_phrases(self, start: int, end: int) -> list[NounPhrase]:
        """The noun phrases between two places."""
        found: list[NounPhrase] = []
        first, led, of = -1, False, False
        for at in range(start, end + 1):
            item = self.items[at] if at < end else _END
            of_noun = item.roles & {"genitive", "the"} == {"genitive"} and at > start
            small = "prep" in item.roles or of_noun
            opens = bool(item.roles & _OPENS) and not small
            if first >= 0 and (small or item.kind == "mark" or (opens and self._has_content(first, at))):
                found.append(NounPhrase(first, at - 1, led, of))
                first, led, of = -1, False, opens and item.roles >= {"genitive", "the"}
                led = of
            if item.kind == "mark":
                led = of = False
            elif small:
                led, of = True, "genitive" in item.roles
                if (" " in item.text and item.roles != {"prep"}) or "the" in item.roles:
                    first = at
            elif first < 0 and (opens or item.kind != "word" or not item.roles <= _SMALL):
                first = at
        return found

    def _has_content(self, start: int, end: int) -> bool:
        """Whether more than a determiner stands between two places."""
        return any("the" not in item.roles or item.roles & THIS for item in self.items[start:end])

    def subject(self, fragment: Fragment) -> Subject:
        """Of whom a fragment is, and where its verb stands."""
        if fragment.subject is None:
            fragment.subject = self._interrupted(fragment) or self._subject(fragment.start, fragment.end)
        return fragment.subject

    def _interrupted(self, fragment: Fragment) -> Subject | None:
        """ "The rival's model, which won a test, is good for": the subject before a relative clause between commas."""
        number = self.of[fragment.start] if fragment.start < len(self.of) else 0
        if number < 2 or fragment.opened != "," or self.finite_verb(fragment.start, fragment.end) != fragment.start:
            return None
        before = self.fragments[number - 1]
        relative = any("relative" in self.roles_at(at) for at in range(before.start - 1, before.start + 2))
        head = next((one for one in reversed(self.fragments[: number - 1]) if one.end > one.start), before)
        phrases = self.noun_phrases(head.start, head.end) if relative and head is not before else []
        if not phrases or phrases[0].led or self.has_verb_in(head):
            return None
        return Subject(self._who(phrases[0], phrases[1:]), phrases[0].first, phrases[0].last, fragment.start)

    def _subject(self, start: int, end: int) -> Subject:
        verb = self.finite_verb(start, end)
        if verb < 0:
            return self._of_owned(start, end)
        unknown = Subject(NOBODY, -1, -1, verb)
        if not self.grammar.capitals and any("relative" in self.roles_at(at) for at in range(start + 1, verb)):
            return unknown
        phrases = self.noun_phrases(start, verb)
        behind = [list(takewhile(lambda later: later.led, phrases[at + 1 :])) for at in range(len(phrases))]
        named = [self._who(phrase, led) for phrase, led in zip(phrases, behind, strict=True)]
        if any(phrase.led and not phrase.of and who == MINE for phrase, who in zip(phrases, named, strict=True)):
            return unknown  # "Con este neumático la moto puede rodar"
        for number, (phrase, who) in enumerate(zip(phrases, named, strict=True)):
            if not phrase.led:
                later = [one for one in phrases[number + 1 :] if not one.led]
                if later and "the" in self.roles_at(later[0].first):
                    return unknown  # "The load index the car needs is"
                return Subject(who, phrase.first, phrase.last, verb)
            whose = behind[number][0] if behind[number] and behind[number][0].of else None
            if whose and "indefinite" not in self.roles_at(phrase.first) and self._who(whose, []) == who == OTHER:
                return Subject(OTHER, phrase.first, phrase.last, verb)  # "sul fianco del vecchio modello"
        return unknown._replace(who=IMPLIED) if self.grammar.dropped else unknown  # "En autopista aguanta"

    def in_passing(self, fragment: Fragment) -> range:
        """Where a fragment that says nothing only adds to what it begins with: "comfortable on most roads"."""
        inside = self.items[fragment.start : fragment.end]
        copula = any("is" in item.roles and " " in item.text and "prep" not in item.roles for item in inside)
        if copula or any(map(_is_coded, inside)) or self.finite_verb(fragment.start, fragment.end) >= 0:
            return range(0)
        behind = self.roles_at(fragment.end) | self.roles_at(fragment.end + 1)
        if behind & {"relative", "means"}:
            then = next((one for one in self.fragments if one.start > fragment.end), None)
            if then is not None and self.says_value(then):
                return range(0)  # "with the old one in mind, which is a 94"
        led = (at for at in range(fragment.start + 1, fragment.end) if "prep" in self.items[at].roles)
        start = next(led, fragment.end)
        if self.roles_at(fragment.start) >= {"fits", "rated"}:
            start = fragment.start + 1  # "made for drivers"
        tire = any("tire" in self.items[at].roles for at in range(start, fragment.end))
        return (
            range(0) if tire or any(item.roles & _VALUES - {"tire"} for item in inside) else range(start, fragment.end)
        )

    def is_yours(self, fragment: Fragment, place: int) -> bool:
        """ "Store your summer tire": what is to be done with another tire of the reader."""
        near = range(place, max(place - 5, fragment.start), -1)
        yours = next((at for at in near if "yours" in self.roles_at(at)), -1)
        if yours < 0 or fragment.this >= 0 or "prep" in self.roles_at(yours - 1):
            return False
        return self.finite_verb(fragment.start, fragment.end) < 0

    def says_value(self, fragment: Fragment) -> bool:
        """Whether anything in a fragment may be a value of a tire, or a tire."""
        return any(_is_coded(item) or item.roles & _VALUES for item in self.items[fragment.start : fragment.end])

    def _of_owned(self, start: int, end: int) -> Subject:
        """ "Its makers cast a 94": a possessive, words that no lexicon holds, and what is done behind them."""
        phrases = self.noun_phrases(start, end)[:2]
        if phrases and "many" in self.roles_at(phrases[0].first) and not phrases[0].led:
            return Subject(OTHER, start, start, start)  # "some radial"
        if len(phrases) < 2 or any(one.led for one in phrases) or "the" not in self.roles_at(phrases[1].first):
            return NOT_KNOWN
        inside = self.items[phrases[0].first + 1 : phrases[0].last + 1]
        strange = any(item.text == LOWER for item in inside)
        known = any(item.roles & (self.roles.labels | {"tire", "casing"}) or item.numbers for item in inside)
        if strange and not known and "possessive" in self.roles_at(phrases[0].first):
            return Subject(OTHER, phrases[0].first, phrases[0].last, phrases[0].last)
        return NOT_KNOWN

    def _who(self, phrase: NounPhrase, behind: list[NounPhrase]) -> str:
        """Whom a noun phrase names, with those behind it that a small word leads."""
        inside = self.items[phrase.first : phrase.last + 1]
        roles: frozenset[str] = frozenset().union(*(item.roles for item in inside))
        head = inside[0].roles
        told = [self._who(one, []) for one in behind]
        of = [who for one, who in zip(behind, told, strict=True) if one.of]
        if any(item.kind == "own" for item in inside):
            return MINE
        foreign = bool(roles & {"vehicle", "thing", "person"}) and "tire" not in roles
        if "near" in head and len(inside) > 1 and not foreign and not roles & _RATED:
            return MINE if inside[-1].kind == "filler" or roles & {"tire", "this"} else NOBODY  # "this all-rounder"
        if "this" in roles and not (len(inside) > 1 and foreign):
            return OTHER if OTHER in told and "near" not in head else MINE  # "the tire on the other axle"
        if roles & {"another", "person", "many"} or (head >= {"tires"} and not head & _OPENS and behind):
            return OTHER  # "tires by the market leader"
        if "it" in head and "possessive" not in head and len(inside) == 1:
            return OTHER if " " in inside[0].text and OTHER in of else MINE  # "die Flanke des Vorgängers"
        if "edition" in roles and (MINE in of or (behind and len(inside) == 1 + ("the" in head))):
            return OTHER  # "the commercial version of this tire", "the one for vans"
        if foreign or roles & {"vehicle", "thing"}:
            return OTHER if foreign or "indefinite" in head else NOBODY
        if "the" in head and any(item.kind == "size" for item in inside):
            return OTHER
        if "each" in head and not phrase.led:
            coded = OTHER in told or any(self._is_coded(one) for one in (phrase, *behind))
            coded = coded or ("indefinite" in head and (len(inside) > 1 or bool(of)))  # "un neumático comercial"
            return OTHER if coded else NOBODY  # "any tire with index 106"
        if "indefinite" in head:
            return OTHER
        return self._part(phrase, inside, roles, of)

    def _is_coded(self, phrase: NounPhrase) -> bool:
        inside = self.items[phrase.first : phrase.last + 1]
        return any(item.numbers or item.kind in ("letter", "service") for item in inside)

    def _part(self, phrase: NounPhrase, inside: list[Item], roles: frozenset[str], of: list[str]) -> str:
        """Whose a part or a rating is, or a noun that no lexicon holds."""
        head = inside[0].roles
        if part := roles & (self.roles.labels | _PARTS):
            if found := next((who for who in of if who != NOBODY), ""):
                return found
            plain = all(item.kind == "word" and item.roles & {"the", *part} for item in inside)
            return PART if plain and not of and head & {"the", "possessive"} else NOBODY
        last = inside[-1]
        if last.text == UPPER and self.grammar.capitals and phrase.of:
            return OTHER  # "die Flanke des Kombis"
        return OTHER if last.text == LOWER and head & {"the", "possessive", "ours"} else NOBODY

    def version_leads(self) -> int:
        """ "In XL-uitvoering draagt hij", "Als 94W kostet er": a sentence that begins with a version; -1 for none."""
        head = self.items[:4]
        small = bool(head) and bool(head[0].roles & {"prep", "is", "at", "with"})
        if len(self.items) < 5 or not small or head[0].roles & (VERBS | THIS):
            return -1
        if head[1].kind == "service" and head[2].roles & VERBS:
            return 1
        code = next((at for at, item in enumerate(head) if item.roles & {"xl", "sl", "hl"}), -1)
        beside = any("edition" in self.roles_at(at) for at in (code - 1, code + 1))
        return code if code > 0 and beside else -1
