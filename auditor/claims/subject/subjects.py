"""Of whom a sentence speaks, and in which mood: what keeps its values from being claims about this tire.

A sentence is cut into fragments at commas, brackets, dashes and joining words.  A cue reaches over its fragment, over
what follows it, or over the whole sentence and silences some kinds of claims (`rules/texts/roles.toml`).  A word that
names this tire ends what reaches over from before it.
"""

from __future__ import annotations

from auditor.claims.subject.clauses import IMPLIED, MINE, OTHER, PART, VERBS, Fragment, fragments_of, quoted
from auditor.claims.subject.others import Others
from auditor.claims.terms.items import Item
from auditor.claims.terms.lexicon import Grammar, Roles
from auditor.claims.terms.words import LOWER, OWN, UPPER

_MOVES = frozenset({"load", "speed", "pressure"})
_NAME_THIS = frozenset({"this", "it", "this-one"})
_DESCRIBING = frozenset({"speed", "code", "strength", "version", "season", "snow", "runflat", "construction", "rim"})
_BESIDE = frozenset({"vehicle", "thing", "law", "test", "general", "person"})
_DESCRIBED = frozenset({"season", "version", "runflat", "strength", "construction", "terrain", "snow"})
_IN_PASSING = _BESIDE | {"another", "place", "group", "rim", "also", "ask", "never", "if"}
_BEHIND = ("place", "thing", "person")
_PER_TIRE = ("group", "vehicle")


class Cues(Others):
    """What silences the values of one sentence, asked place by place."""

    def __init__(
        self, items: list[Item], roles: Roles, grammar: Grammar, *, asked: bool, carried: str, opens: bool, title: bool
    ) -> None:
        self.items = items
        self.roles = roles
        self.title = title
        self.grammar = grammar
        self.fragments = fragments_of(items, roles.labels)
        self.of = []
        self.all_roles: frozenset[str] = frozenset().union(*[item.roles for item in items])
        self.onward: list[dict[str, int]] = []  # per fragment: cues in force when it begins
        self.sentence_cues: dict[str, int] = {}
        self.has_verb = bool(self.all_roles & VERBS) and any(one.roles & VERBS and one.kind == "word" for one in items)
        self._quoted = quoted(items)
        if asked:
            self.sentence_cues["asked"] = 0
        if not title and self.wheel_is_offered():
            self.sentence_cues["thing"] = 0
        if not title and (year := self.is_past()) >= 0:
            self.sentence_cues["another"] = year
        if not title and self.has_verb and (version := self.version_leads()) >= 0:
            self.sentence_cues["another"] = version
        if not title and (more := self.offers_more()) >= 0:
            self.sentence_cues["also"] = more
        self.after_another, self.opens = carried == "another", opens
        self._look(carried)

    def _look(self, carried: str) -> None:
        onward: dict[str, int] = {}
        before: Fragment | None = None
        for number, fragment in enumerate(self.fragments):
            while len(self.of) < fragment.end:
                self.of.append(number)
            self.onward.append(dict(onward))
            self._own_cues(fragment)
            stranger = self.stranger_at(fragment)
            if stranger >= 0 and fragment.this < 0:
                fragment.cues.setdefault("vehicle", stranger)
            if number == 0 and carried == "answer" and fragment.this < 0:
                fragment.cues.setdefault("another", -1)
            if number == 0 and carried and fragment.this == 0 and "it" in self.items[0].roles:
                fragment.this = -1
                fragment.cues.setdefault("another", -1)
            has_subject = self._has_subject(fragment)
            if before is not None and not has_subject:
                for role in self.roles.fragment if before.cues else ():
                    if role in before.cues and role != "rim" and not self.weighed_apart(before, fragment, role):
                        fragment.cues.setdefault(role, -1)
            elif before is not None and self._still_another(before, fragment):
                fragment.cues.setdefault("another", -1)
            for role in self.roles.onward if fragment.cues else ():
                if role in fragment.cues:
                    onward[role] = fragment.cues[role]
            follows = self.fragments[number + 1].opened if number + 1 < len(self.fragments) else ""
            denies = "not" in fragment.cues or ("never" in fragment.cues and "what" in self.roles_at(fragment.start))
            if follows == ":" and not self.title and denies and not self.says_value(fragment):
                onward["also"] = fragment.start  # "What you do not get: HL, 186 mph"
            if fragment.this >= 0 or fragment.each:
                for role in [role for role in onward if onward[role] < max(fragment.this, fragment.start)]:
                    del onward[role]
            if follows == ":" or (follows == "," and fragment.end - fragment.start == 1):  # "Note, no run-flat"
                onward.pop("never", None)
                onward.pop("ask", None)
            if "than" in onward and self._compared_no_more(fragment, number, follows):
                del onward["than"]
            before = fragment
            if fragment.end > fragment.start and self.refers_on(fragment):
                self.sentence_cues.setdefault("another", fragment.start)
        self.of += [len(self.fragments) - 1] * (len(self.items) - len(self.of))

    def _compared_no_more(self, fragment: Fragment, number: int, follows: str) -> bool:
        """Whether what stands behind a fragment is no longer said of what it compares with."""
        behind = self.roles_at(fragment.end + 1) if follows == "," else frozenset()
        told_more = bool(behind & {"rated", "relative"})  # "than the old one, limited to", ", which carries"
        told_more = told_more or (fragment.start == fragment.end and "relative" in self.roles_at(fragment.end))
        return not told_more and (follows != "and" or self.has_verb_in(self.fragments[number + 1]))

    def _own_cues(self, fragment: Fragment) -> None:
        items = self.items
        if not self.title:
            self._others_named(fragment)
        passing: range | None = range(0) if self.title else None  # once asked for
        for place in range(fragment.start, fragment.end):
            item = items[place]
            roles = item.roles
            if not roles and item.kind == "filler" and (self.title or item.text == LOWER):
                continue
            if item.text == OWN:
                self.own_size(place, fragment)
            elif item.kind == "size" and place and "this-one" in items[place - 1].roles:
                fragment.this = place
            elif item.kind == "size":
                self.other_size(place, fragment)
            elif self._names_this(place, fragment) and not self.of_another(fragment, place):
                fragment.this = place
            if item.text == UPPER and not self.title and not self.grammar.capitals and self._several_named(place):
                fragment.cues.setdefault("group", place)
            if not roles:
                continue
            if "each" in roles:
                fragment.each = True
            if "tire" in roles:
                fragment.tire = True
            if "version" in roles and not self.title and fragment.this < 0 and self.other_version(place, fragment):
                fragment.cues.setdefault("another", place)
            for role in self.roles.silencing(roles):
                if role in _IN_PASSING:
                    passing = self.in_passing(fragment) if passing is None else passing
                    if place in passing:
                        continue
                if self._excused(role, place, fragment) or (self.title and role in self.roles.prose):
                    continue
                if role in self.roles.sentence:
                    self.sentence_cues.setdefault(role, place)
                elif role not in fragment.cues:
                    fragment.cues[role] = place

    def _names_this(self, place: int, fragment: Fragment) -> bool:
        roles = self.items[place].roles
        if not roles & _NAME_THIS:
            return False
        if "this-one" in roles and place + 1 < fragment.end:
            return self.points_at_this(place)
        if self.owns_a_thing(fragment, place):
            return False
        return "this" in roles or ("it" in roles and not {"another", "also", "person"} & fragment.cues.keys())

    def _several_named(self, place: int) -> bool:
        """ "With four Breeze you are at 3.8 t": a number before a name."""
        count = self.items[place - 1] if place else self.items[0]
        return count.kind == "word" and bool(count.numbers) and 1 < count.numbers[0] < 13

    def _others_named(self, fragment: Fragment) -> None:
        """What names another tire without a word of a list: it comes before any pronoun, which then means it."""
        apart = max(self.told_apart(fragment), self.ours_by_name(fragment))
        apart = max(apart, self.belongs_to_another(fragment))
        if apart >= 0:
            fragment.cues["another"] = apart
        if (any_tire := self.any_tire_is_asked(fragment)) >= 0:
            fragment.cues["if"] = any_tire

    def _excused(self, role: str, place: int, fragment: Fragment) -> bool:
        """Whether a cue word is part of something else: "trailer tire", "pneumatico da rimorchio"."""
        items = self.items
        roles = items[place].roles
        if role in ("vehicle", "rim", "another", "place", "general") and place + 1 < fragment.end:
            after = self.roles_at(place + 1 + (self.text_at(place + 1) == "s"))
            if "tire" in after and role in ("vehicle", "rim"):
                return True
        if role == "vehicle":
            back = place - 1
            while back >= fragment.start and (items[back].roles & {"is", "the", "at"} or items[back].kind == "filler"):
                back -= 1
            return back >= fragment.start and "tire" in items[back].roles and back < place - 1
        if role == "rim":
            behind = items[place + 1].roles if place + 1 < fragment.end else roles  # "ruota gemellata"
            before = items[place - 1].roles if place > fragment.start else roles  # "chaque roue"
            return bool((roles | behind) & {"each", "single", "dual"}) or "each" in before
        if role in ("group", "also"):
            return "dual" in roles or self.of_line(place)
        if role == "if":  # "if fitted singly" asks for no more than a mounting
            return any(self.roles_at(at) & {"single", "dual"} for at in range(place + 1, place + 4))
        if role == "never":  # "they do not sing" is no order
            return place > fragment.start and items[place - 1].kind == "filler" and not self.grammar.dropped
        if role == "another":
            return place > fragment.start and ("than" in items[place - 1].roles or self._said_of_this(place, fragment))
        return False

    def another(self, place: int) -> None:
        """The sentence speaks of another tire from what its values say."""
        self.sentence_cues.setdefault("another", place)

    def reason(self, kind: str, place: int, last: int = -1, *, denied: bool = False) -> str:
        """Why a value of a kind between two places is no claim; "" where it is one."""
        fragment = self.fragments[self.of[place]]
        if self._quoted and self._quoted[0] < place < self._quoted[1]:
            return "quoted"
        if denied and self.denies_of_all(fragment, place):
            return "general"
        if not self.title and kind in _DESCRIBING:
            if self.describes_others(fragment, place, max(place, last)):
                return "general"
            if self.has_subject_behind(fragment, place, max(place, last)) or self.is_yours(fragment, place):
                return "stranger"
        reason = self._of_sentence(kind, place, fragment)
        if not reason and not self.title:
            reason = self._of_subject(kind, place, fragment)
        return reason or self._of_fragment(kind, place, fragment)

    def who(self, fragment: Fragment, place: int) -> str:
        subject = self.subject(fragment)
        return subject.who if place > subject.verb else ""

    def _of_sentence(self, kind: str, place: int, fragment: Fragment) -> str:
        """A cue of the whole sentence, or one that reaches on to a fragment."""
        who = "" if self.title else self.who(fragment, place)
        for role, at in self.sentence_cues.items():
            if who in (MINE, IMPLIED) and role in _BESIDE:
                continue
            told = role == "law" and fragment.each and at > fragment.end  # "One tire bears 900 kg, the law allows less"
            told = told or (
                0 <= fragment.this < place
                and (role == "law" or (role == "another" and not self.means_another(fragment, at)))
            )
            told = told or (role == "test" and self.told_here(fragment, at, place))
            told = told or (role in _BEHIND and self.added_behind(fragment, at, place))
            ahead = role == "law" and kind not in _MOVES and at > place
            if self._silences(role, kind) and not told and not ahead:
                return role
        for role, at in self.onward[self.of[place]].items():
            told = 0 <= fragment.this < place or (fragment.each and role not in ("never", "ask"))
            if self._silences(role, kind) and not told and not self._turned(role, kind, at, place):
                return role
        return ""

    def _of_subject(self, kind: str, place: int, fragment: Fragment) -> str:
        """Another subject than this tire that no cue names."""
        number = self.of[place]
        subject = self.subject(fragment)
        if subject.who == OTHER and kind != "size":
            described = subject.first <= place < subject.verb and (kind in _DESCRIBED or place > subject.last)
            whole = {"tire", "indefinite"} if kind in _DESCRIBED else {"tire"}  # "Un pneu été durcit"
            tire = any(item.roles & whole for item in self.items[subject.first : subject.last + 1])
            copula = "is" in self.roles_at(subject.verb)
            if place > subject.verb or (described and tire and not copula):
                return "subject"
        elif subject.who in (MINE, PART) and place > subject.verb:
            return ""
        if self.another_follows(number) or self.is_free_relative(place):
            return "another"
        if self.relative_of(fragment, place):
            return "stranger"
        if fragment.this > place and not fragment.each and self.kind_of_tires(fragment):
            return "general"  # "Standard load tires must not replace it"
        if fragment.this >= 0:
            return ""
        if self.is_of_predicate(fragment):
            return "stranger"
        if self.told_behind(number):
            return "another"
        if fragment.each:
            return "if" if self.is_condition(fragment, place) else ""
        if self.told_later(number):
            return "another"
        if self.loads_a_thing(fragment, place) or self.weighs_a_thing(fragment, place):
            return "thing"
        if kind == "load" and self.is_weight_of(place):
            return "thing"
        if self.only_if_coded(place) or self.is_condition(fragment, place):
            return "if"
        if not self.tires_own(fragment) and self.unknown_subject(fragment, place):
            return "stranger"
        return "general" if self.others_are_subject(fragment, place) else ""

    def _of_fragment(self, kind: str, place: int, fragment: Fragment) -> str:
        """A cue of the fragment itself."""
        own = not self.title and self.who(fragment, place) in (MINE, IMPLIED)
        for role, at in fragment.cues.items():
            if own and role in _BESIDE:
                continue
            if role == "not" or not self._silences(role, kind):
                continue
            if role in ("vehicle", "thing") and self._bears(fragment, kind, at, place):
                continue
            if role in _BEHIND and self.added_behind(fragment, at, place):
                continue
            if role in _PER_TIRE and fragment.each and not self.each_of(at, place):
                continue
            if role in self.roles.onward:
                if role == "also" and at > place and self.is_offered_too(fragment, kind, place, at):
                    return role
                if role in ("than", "also") and (at > place or 0 <= at <= fragment.this < place):
                    continue
                if role == "ask" and 0 <= at <= fragment.this <= place:
                    continue  # "order this 225/65R17"
                if (role != "ask" and at > place) or self._turned(role, kind, at, place):
                    continue
            elif (0 <= fragment.this < place and at <= fragment.this and role != "rim") or (
                at > place and role == "another" and self.compared(place, at)
            ):
                continue
            return role
        return ""

    def _bears(self, fragment: Fragment, kind: str, cue: int, place: int) -> bool:
        """Whether a vehicle or a thing is only what this tire is for, or bears."""
        if 0 <= fragment.this < place < cue and kind in _MOVES:
            return True  # "We rate it for 87 mph towing"
        if kind == "speed" and 0 <= fragment.this < cue and self.roles_at(fragment.this - 1) & {"with", "at"}:
            return fragment.this - 1 == fragment.start  # "With this tire the bike may run"
        return kind == "load" and self._is_borne(fragment, cue, place)

    def _is_borne(self, fragment: Fragment, cue: int, place: int) -> bool:
        """ "It carries a weight of 900 kg", "takes 900 kg under your van": what a tire bears, or bears it for."""
        verb = next((at for at in range(fragment.start, place) if self.items[at].roles & {"carries", "rated"}), -1)
        number = self.of[place]
        before = self.fragments[number - 1] if number else None
        goes_on = before is not None and fragment.this < 0 and not fragment.each and "vehicle" in before.cues
        return 0 <= verb < cue and not goes_on

    def _silences(self, role: str, kind: str) -> bool:
        kinds = ("any",) if role == "asked" else self.roles.silences.get(role, ())
        return "any" in kinds or kind in kinds

    def _turned(self, role: str, kind: str, cue: int, place: int) -> bool:
        """ "Do not exceed 106 mph" says what is allowed."""
        between = self.items[max(cue - 1, 0) : place + 1]
        return (
            role == "never"
            and kind in ("speed", "pressure")
            and any(item.roles & {"beyond", "below"} for item in between)
        )

    def ends_with_another(self) -> bool:
        """Whether the last fragment that names anybody names another tire."""
        for fragment in reversed(self.fragments):
            if "another" in fragment.cues:
                return fragment.this < fragment.cues["another"]
            if fragment.this >= 0 or fragment.each:
                return False
        return False
