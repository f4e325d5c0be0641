"""A sentence cut into fragments at commas, brackets, dashes and joining words; who the subject of each is."""

from __future__ import annotations

from typing import NamedTuple

from auditor.claims.terms.items import NOTHING, UNITS, Item
from auditor.claims.terms.lexicon import Grammar, Roles
from auditor.claims.terms.words import LOWER, UPPER

VERBS = frozenset({"carries", "runs", "verb", "does", "means", "thing"})
THIS = frozenset({"this", "it"})
SEASONS = frozenset({"summer", "winter", "all-season"})
_AFTER_NOUN = frozenset(
    {"is", "at", "with", "max", "load", "speed", "pressure", "symbol", "index", "range", "rated", "or", "the"}
)
_CODES = frozenset({"symbol", "index", "range", "service", "season", "version", "tire-class"})  # of tires alone
_NAMED = frozenset(
    {"the", "each", "load", "speed", "pressure", "symbol", "index", "range", "service", "rim", "tread", "size", "max"}
)  # before "tires": not tires in general

_FINITE = (VERBS - {"thing"}) | {"fits"}
_NO_VERB = frozenset({"max", "tire", "the", "single", "dual", "load", "infinitive"})
_POINTS = frozenset({"this", "it", "this-one", "not"})
_NAMED_ALIKE = frozenset({"tire", "the", "single", "dual", "load"})  # words that are verbs in another language


MINE, PART, IMPLIED, OTHER, NOBODY = "own", "part", "implied", "other", ""


class Subject(NamedTuple):
    """Of whom a clause is."""

    who: str
    first: int
    last: int
    verb: int


NOT_KNOWN = Subject(NOBODY, -1, -1, -1)


class Fragment:
    """A part of a sentence with its cues: role -> place of the first item that has it."""

    __slots__ = ("cues", "each", "end", "filler", "of_predicate", "opened", "start", "subject", "this", "tire", "verb")

    def __init__(self, start: int, opened: str) -> None:
        self.start = start
        self.end = start
        self.opened = opened  # the mark or word before it
        self.cues: dict[str, int] = {}
        self.this = -1
        self.each = False
        self.tire = False
        self.subject: Subject | None = None  # once asked for
        self.filler: set[str] | None = None  # kinds of filler in it, once asked for
        self.of_predicate: bool | None = None  # whether what stands behind its value says whose it is, once asked for
        self.verb: int | None = None  # the first verb behind its first word, once asked for


def fragments_of(items: list[Item], labels: frozenset[str]) -> list[Fragment]:
    """Cuts a sentence into fragments."""
    found = [Fragment(0, "")]
    labeled = False
    for place, item in enumerate(items):
        text = item.text
        cut = item.kind == "mark" and (text in ",()-" or (text == ":" and (not labeled or _starts_over(items, place))))
        if cut or "and" in item.roles:
            found[-1].end = place
            found.append(Fragment(place + 1, text if cut else "and"))
            labeled = False
        elif not labeled:
            labeled = not labels.isdisjoint(item.roles)
    found[-1].end = len(items)
    return found


def _starts_over(items: list[Item], place: int) -> bool:
    """Whether a clause begins behind a colon: "four-ply: it is an eight-ply", "850 kg: see item 4470"."""
    measured = place > 1 and bool(items[place - 1].roles & UNITS and items[place - 2].numbers)
    return measured or (place + 1 < len(items) and bool(items[place + 1].roles & {"this", "it", "this-one", "see"}))


def quoted(items: list[Item]) -> tuple[int, int] | None:
    """The first stretch of at least four items between two quotation marks."""
    marks = [place for place, item in enumerate(items) if item.text == '"']
    if not marks:
        return None
    if len(marks) > 1 and max(marks[1] - marks[0], marks[-1] - marks[-2]) > 4:
        return marks[0], marks[-1]
    return (marks[0], len(items)) if len(marks) == 1 and len(items) - marks[0] > 5 else None


class Clauses:
    """The fragments of a sentence as clauses."""

    items: list[Item]
    fragments: list[Fragment]
    of: list[int]  # fragment of every item
    all_roles: frozenset[str]  # of the items
    has_verb: bool
    roles: Roles
    grammar: Grammar

    def roles_at(self, place: int) -> frozenset[str]:
        return self.items[place].roles if 0 <= place < len(self.items) else NOTHING

    def text_at(self, place: int) -> str:
        return self.items[place].text if 0 <= place < len(self.items) else ""

    def stranger_at(self, fragment: Fragment) -> int:
        """Where a noun that no lexicon holds is the subject: a determiner, filler, a verb; -1 for none."""
        items = self.items
        if "the" not in self.all_roles:
            return -1
        for place in range(fragment.start, min(fragment.start + 6, fragment.end - 2)):
            if "the" not in items[place].roles or items[place].roles & THIS:
                continue
            at = place + 1
            if items[at].text == UPPER and items[at + 1].text == LOWER and at + 2 < fragment.end:
                at += 1  # "the German maker allows"
            noun = items[at]
            if noun.kind != "filler" or (noun.text == UPPER and not self.grammar.capitals):
                continue
            verb = items[at + 1].roles
            if verb & (VERBS | {"rated", "max"}) and not verb & {"tire", "size"}:
                return place + 1
        return -1

    def unknown_subject(self, fragment: Fragment, place: int) -> bool:
        """Whether words that no lexicon holds stand before a verb: the subject is nobody that is known."""
        if "rated" in self.items[fragment.start].roles and fragment.start < place:
            return False  # "Rated for sustained speeds up to": a participle has the subject of what stands before
        verb = self.finite_verb(fragment.start + 1, fragment.end)
        led = self.items[fragment.start : min(verb, place)]
        filler = next((at for at, item in enumerate(led) if item.kind == "filler"), -1)
        if filler == 1 and self.is_named(fragment):
            return False
        acts = verb >= 0 and bool(self.items[verb].roles & VERBS) and "relative" not in self.roles_at(verb - 1)
        return acts and filler >= 0 and not any(item.roles & _CODES for item in led[:filler])

    def is_named(self, fragment: Fragment) -> bool:
        """ "The Breeze carries 850 kg": a name, of this tire where no word for this tire stands beside it."""
        the, name = self.items[fragment.start : fragment.start + 2]
        named = "the" in the.roles and name.text == UPPER and not self.grammar.capitals
        named = named and self.text_at(fragment.start + 2) != LOWER  # "The German maker allows"
        return named and not any(item.roles & {"this", "this-one"} or item.kind == "own" for item in self.items)

    def _verb_at(self, fragment: Fragment) -> int:
        """The first verb behind the first word of a fragment; its end where there is none."""
        if fragment.verb is None:  # the same for each of its values
            fragment.verb = fragment.end
            for at in range(fragment.start + 1, fragment.end):
                roles = self.items[at].roles
                if roles & VERBS and not roles & _NAMED_ALIKE:
                    fragment.verb = at
                    break
        return fragment.verb

    def tires_own(self, fragment: Fragment) -> bool:
        """Whether a fragment speaks of a tire: before its verb, or of one."""
        verb = self._verb_at(fragment)
        items = self.items[fragment.start : fragment.end]
        return fragment.tire and any(
            "tire" in item.roles and (fragment.start + at < verb or "tires" not in item.roles)
            for at, item in enumerate(items)
        )

    def others_are_subject(self, fragment: Fragment, place: int) -> bool:
        """Whether a vehicle or another thing, or tires in general, do what a verb says."""
        verb = self._verb_at(fragment)
        if self.kind_of_tires(fragment):
            return True
        if verb == fragment.end:
            return False
        before = self.items[fragment.start : verb]
        tires = next((at for at, item in enumerate(before) if "tires" in item.roles), -1)
        if tires >= 0 and (before[tires].roles & SEASONS or "tire" not in before[tires].roles):
            # "Le gomme invernali portano": of all such tires, whatever the article
            return not any(item.roles & {"this-one", "ours", "possessive"} for item in before)
        if tires >= 0:  # but "the load of the tires"
            return not any(item.roles & _NAMED for item in before[:tires])
        return any(fragment.start <= fragment.cues.get(role, -1) < verb for role in ("vehicle", "thing", "person"))

    def kind_of_tires(self, fragment: Fragment) -> bool:
        """ "8-ply tires flex more", "225/60R17 tires sit lower": several tires of a kind, and what they do."""
        for at in range(fragment.start, min(fragment.start + 5, fragment.end - 1)):
            if "tires" in self.items[at].roles:
                follows = self.items[at + 1]
                acts = bool(follows.roles) and follows.kind == "word" and not follows.roles & _AFTER_NOUN
                return follows.text == LOWER or bool(follows.roles & VERBS) or acts
            described = "tires" in self.items[at + 1].roles and "means" in self.items[at].roles  # "snowflake-marked"
            if self.items[at].roles & (_NAMED | {"is", "this", "it"}) - {"range", "index"} and not described:
                return False
        return False

    def has_verb_in(self, fragment: Fragment) -> bool:
        return any(item.roles & VERBS for item in self.items[fragment.start : fragment.end])

    def told_here(self, fragment: Fragment, cue: int, place: int) -> bool:
        """Whether a value is said of this tire in a fragment without the cue: "Tested, and each tire takes 900 kg"."""
        return any("rated" in item.roles for item in self.items[fragment.start : place])

    @staticmethod
    def _still_another(before: Fragment, fragment: Fragment) -> bool:
        goes_on = "another" in before.cues and fragment.this < 0 and not fragment.each
        return goes_on and fragment.opened in (",", "and") and before.this <= before.cues["another"]

    def _said_of_this(self, place: int, fragment: Fragment) -> bool:
        """ "It is not the XL version": what this tire is said to be, or not to be, is no other one."""
        back = place - 1
        while back > fragment.start and self.items[back].roles & {"not", "the"}:
            back -= 1
        led = self.items[fragment.start : back]
        if self.grammar.dropped and back == 0 and self.items[0].roles >= {"is", "verb"}:
            return True  # "È la versione a carico standard"
        return "is" in self.items[back].roles and bool(led) and all(item.roles & _POINTS for item in led)

    def _has_subject(self, fragment: Fragment) -> bool:
        if fragment.this >= 0 or fragment.each or fragment.tire:
            return True
        if fragment.opened == "," and any(
            self.items[place].roles & {"load", "symbol", "index", "range", "pressure"}
            for place in range(fragment.start, fragment.end)
        ):
            return True
        return any(role in fragment.cues for role in self.roles.fragment)

    def finite_verb(self, start: int, end: int) -> int:
        """The first verb of a clause that is nobody's name; -1 for none."""
        for at in range(start, end):
            roles = self.items[at].roles
            if roles.isdisjoint(_FINITE) or not roles.isdisjoint(_NO_VERB):
                continue
            if "infinitive" not in self.roles_at(at - 1) and not roles >= {"fits", "rated"}:
                return at  # and neither "made to carry" nor "made for"
        return -1
