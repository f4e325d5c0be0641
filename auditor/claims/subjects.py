"""Of whom a sentence speaks, and in which mood: what keeps its values from being claims about this tire.

A sentence is cut into fragments at commas, brackets, dashes and joining words.  A cue reaches over its fragment, over
what follows it, or over the whole sentence and silences some kinds of claims (`rules/texts/roles.toml`).  A word that
names this tire ends what reaches over from before it.
"""

from __future__ import annotations

from auditor.claims.clauses import THIS, VERBS
from auditor.claims.fragments import Fragment, fragments_of, named, quoted
from auditor.claims.items import Item
from auditor.claims.lexicon import Roles
from auditor.claims.others import Others
from auditor.claims.words import OWN

_MOVES = frozenset({"load", "speed", "pressure"})
_SMALL = frozenset({"the", "verb", "is", "with", "yes", "tire", "each"})
_OTHERS = frozenset({"another", "than", "also", "if", "never", "ask", "person", "general", "group", "or", "thing"})
_POINTS = frozenset({"this", "it", "this-one", "not"})
_COMPARES = frozenset({"than", "beyond", "below"})
_TELLS = frozenset({",", ":", ")"})
_PER_TIRE = ("group", "vehicle")


class Cues(Others):
    """What silences the values of one sentence, asked place by place."""

    def __init__(
        self, items: list[Item], roles: Roles, *, asked: bool, carried: str, title: bool, capitals: bool
    ) -> None:
        """`capitals`: nouns are capitalized, so that a capital makes no name."""
        self.items = items
        self.roles = roles
        self.title = title
        self.capitals = capitals
        self.fragments = fragments_of(items, roles.labels)
        self.of: list[int] = []  # fragment of every item
        self._onward: list[dict[str, int]] = []  # per fragment: cues in force when it begins
        self._sentence: dict[str, int] = {}
        self.has_verb = any(item.roles & VERBS and item.kind == "word" for item in items)
        self._quoted = quoted(items)
        if asked:
            self._sentence["asked"] = 0
        if not title and (name := named(items)) >= 0:
            self._sentence["another"] = name
        self._look(carried)

    def _look(self, carried: str) -> None:
        onward: dict[str, int] = {}
        before: Fragment | None = None
        for number, fragment in enumerate(self.fragments):
            while len(self.of) < fragment.end:
                self.of.append(number)
            self._onward.append(dict(onward))
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
            if before is not None and "group" in before.cues and not fragment.each and fragment.this < 0:
                fragment.cues.setdefault("group", -1)
            if before is not None and not has_subject:
                for role in self.roles.fragment:
                    if role in before.cues and (role != "rim" or self.heads(before)):
                        fragment.cues.setdefault(role, -1)
            elif before is not None and self._still_another(before, fragment):
                fragment.cues.setdefault("another", -1)
            if fragment.cues.get("group") == fragment.start and fragment.opened in (")", ",") and number:
                for earlier in self.fragments[max(number - 2, 0) : number]:  # "4,410 lb (2,000 kg) per axle"
                    earlier.cues.setdefault("group", -1)
            for role in self.roles.onward:
                if role in fragment.cues:
                    onward[role] = fragment.cues[role]
            if fragment.this >= 0 or fragment.each:
                for role in [role for role in onward if onward[role] < max(fragment.this, fragment.start)]:
                    del onward[role]
            follows = self.fragments[number + 1].opened if number + 1 < len(self.fragments) else ""
            if follows == ":" or (follows == "," and fragment.end - fragment.start == 1):  # "Note, no run-flat"
                onward.pop("never", None)
                onward.pop("ask", None)
            if follows != "and" or self.has_verb_in(self.fragments[number + 1]):
                onward.pop("than", None)
            before = fragment
            if number and self.refers_on(fragment):
                self._sentence.setdefault("another", fragment.start)
        self.of += [len(self.fragments) - 1] * (len(self.items) - len(self.of))

    @staticmethod
    def _several(number: Item, tire: Item) -> bool:
        """ "six tires", but not "a 10-ply tire"."""
        plural = tire.text[-1:].lower() != "e" and number.kind != "service"
        return plural and bool(number.numbers) and number.numbers[0] > 1

    @staticmethod
    def _still_another(before: Fragment, fragment: Fragment) -> bool:
        goes_on = "another" in before.cues and fragment.this < 0 and not fragment.each
        return goes_on and fragment.opened in (",", "and") and before.this <= before.cues["another"]

    def _own_cues(self, fragment: Fragment) -> None:
        items = self.items
        if not self.title:
            self._others_named(fragment)
        for place in range(fragment.start, fragment.end):
            item = items[place]
            roles = item.roles
            if item.text == OWN:
                self._own_size(place, fragment)
            elif item.kind == "size" and place and "this-one" in items[place - 1].roles:
                fragment.this = place
            elif item.kind == "size":
                self._other_size(place, fragment)
            elif "this" in roles or ("it" in roles and not {"another", "also", "person"} & fragment.cues.keys()):
                if not self.of_another(fragment, place):
                    fragment.this = place
            if "tire" in roles and place > fragment.start and self._several(items[place - 1], item):
                fragment.cues.setdefault("group", place)
            if not roles:
                continue
            if "each" in roles:
                fragment.each = True
            if "tire" in roles:
                fragment.tire = True
            if "version" in roles and not self.title and fragment.this < 0 and self._other_version(place, fragment):
                fragment.cues.setdefault("another", place)
            for role in roles:
                if (
                    role in self.roles.silences
                    and not self._excused(role, place, fragment)
                    and not (self.title and role in self.roles.prose)
                ):
                    if role in self.roles.sentence:
                        self._sentence.setdefault(role, place)
                    elif role not in fragment.cues:
                        fragment.cues[role] = place

    def _others_named(self, fragment: Fragment) -> None:
        """What names another tire without a word of a list: it comes before any pronoun, which then means it."""
        apart = max(self.told_apart(fragment), self.ours_by_name(fragment))
        if apart >= 0:
            fragment.cues["another"] = apart
        if (any_tire := self.any_tire_is_asked(fragment)) >= 0:
            fragment.cues["if"] = any_tire

    def _excused(self, role: str, place: int, fragment: Fragment) -> bool:
        """Whether a cue word is part of something else: "trailer tire", "pneumatico da rimorchio"."""
        items = self.items
        roles = items[place].roles
        if role in ("vehicle", "rim", "another", "place", "general") and place + 1 < fragment.end:
            after = items[place + 1].roles
            if "tire" in after and role in ("vehicle", "rim"):
                return True
        if role == "vehicle":
            back = place - 1
            while back >= fragment.start and items[back].roles & {"is", "the", "at"} and place - back < 3:
                back -= 1
            return back >= fragment.start and "tire" in items[back].roles and back < place - 1
        if role == "rim":
            behind = items[place + 1].roles if place + 1 < fragment.end else roles  # "ruota gemellata"
            return bool((roles | behind) & {"each", "single", "dual"})
        if role == "group":
            return "dual" in roles
        if role == "another":
            return place > fragment.start and ("than" in items[place - 1].roles or self._said_of_this(place, fragment))
        return False

    def _said_of_this(self, place: int, fragment: Fragment) -> bool:
        """ "It is not the XL version": what this tire is said to be, or not to be, is no other one."""
        back = place - 1
        while back > fragment.start and self.items[back].roles & {"not", "the"}:
            back -= 1
        led = self.items[fragment.start : back]
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

    def another(self, place: int) -> None:
        """The sentence speaks of another tire from what its values say."""
        self._sentence.setdefault("another", place)

    def reason(self, kind: str, place: int, *, denied: bool = False) -> str:
        """Why a value of a kind at a place is no claim; "" where it is one."""
        number = self.of[place]
        fragment = self.fragments[number]
        if self._quoted and self._quoted[0] < place < self._quoted[1]:
            return "quoted"
        if denied and any("any-tire" in item.roles for item in self.items[place : fragment.end]):
            return "general"  # "Without the snowflake a tire is no winter tire"
        for role, at in self._sentence.items():
            told = 0 <= fragment.this < place and (
                role == "law" or (role == "another" and not self.means_another(fragment, at))
            )
            told = told or (role == "test" and self.told_here(fragment, at, place))
            ahead = role == "law" and kind not in _MOVES and at > place
            if self._silences(role, kind) and not told and not ahead:
                return role
        for role, at in self._onward[number].items():
            told = 0 <= fragment.this < place or (fragment.each and role not in ("never", "ask"))
            if self._silences(role, kind) and not told and not self._turned(role, kind, at, place):
                return role
        if not self.title and (
            self.relative_of(fragment, place)
            or (fragment.this < 0 and self.named_behind(fragment, place))
            or self.kind_of_tires_heads(fragment, place)
        ):
            return "stranger"
        if fragment.this < 0 and not fragment.each and not self.title:
            if self.another_is_limited(number):
                return "vehicle"
            if self.advises(number):
                return "ask"
            if self._told_later(number):
                return "another"
            if not self.tires_own(fragment) and self.unknown_subject(fragment, place):
                return "stranger"
            if self.others_are_subject(fragment, place):
                return "general"
        for role, at in fragment.cues.items():
            if role == "vehicle" and kind in ("rim", "size") and self.has_vehicle(fragment, at, place):
                return role
            if role == "not" or not self._silences(role, kind):
                continue
            if role in ("vehicle", "thing") and kind == "load" and self._is_borne(fragment, at, place):
                continue
            if (
                role in _PER_TIRE
                and fragment.each
                and not (role == "vehicle" and self.has_vehicle(fragment, at, place))
            ):
                continue
            if role in self.roles.onward:
                if role in ("than", "also") and (at > place or 0 <= at <= fragment.this < place):
                    continue
                if role == "ask" and 0 <= at <= fragment.this <= place:
                    continue  # "order this 225/65R17"
                if (role != "ask" and at > place) or self._turned(role, kind, at, place):
                    continue
            elif (0 <= fragment.this < place and at <= fragment.this and role != "rim") or (
                at > place and role == "another" and self._compared(place, at)
            ):
                continue
            return role
        return ""

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

    def _own_size(self, place: int, fragment: Fragment) -> None:
        """The listing's own size names this tire, unless another service description or a cue says otherwise."""
        after = self.items[place + 1] if place + 1 < len(self.items) else None
        before = self.roles_of(place - 1) if place > fragment.start else frozenset()
        told_apart = after is not None and "not" in after.roles and "the" in before  # "the 225/65R17 without studs"
        if after is not None and (after.kind == "service" or told_apart) and not self.title:
            self._sentence.setdefault("another", place)
            return
        for near in self.fragments[max(len(self._onward) - 2, 0) : len(self._onward)]:
            if any(role in near.cues for role in ("another", "than", "also")):
                return
        fragment.this = place

    def _other_size(self, place: int, fragment: Fragment) -> None:
        """Another size is another tire, unless a label says that it is this one's."""
        if not self.title and not self.labeled_size(place, fragment):
            self._sentence.setdefault("another", place)
        elif self.title and any(item.text == OWN for item in self.items):
            fragment.cues.setdefault("also", place)

    def labeled_size(self, place: int, fragment: Fragment) -> bool:
        """Whether another size is said to be this tire's: "Size: X", "You get X", or a text that begins with it."""
        if place and "this-one" in self.items[place - 1].roles:
            return True
        if any(role in fragment.cues for role in ("another", "than", "also", "if", "never", "ask", "not")):
            return False
        if any(item.roles & {"another", "ask", "also", "too", "tires"} for item in self.items):
            return False
        if any("this" in self.roles_of(at) for at in range(place + 1, min(place + 4, len(self.items)))):
            return True  # "the 225/65R17 you see here"
        led = place > fragment.start and "the" in self.items[place - 1].roles and place - 1 > fragment.start
        if self.measured_in(place, fragment):
            return False
        if not led and fragment.opened != "(" and self.offers(place):
            return True  # an offer: "One new 225/65R17, boxed"
        if place == fragment.start:
            follows = range(place + 1, min(place + 3, fragment.end))
            return any(self.items[at].roles & VERBS for at in follows) and fragment.opened in ("", ":", "-")
        before = self.items[fragment.start : place]
        if any(item.roles & THIS for item in before):
            return True
        if all(item.roles & _SMALL for item in before) and any(item.roles & VERBS for item in before):
            return True
        inside = self.items[fragment.start : fragment.end]
        named = "tire" in before[0].roles or all(item.roles & _SMALL for item in before)
        tires = any(item.roles & {"tire", "each"} for item in self.items[fragment.start : place + 2])
        if named and tires and not any(item.roles & VERBS for item in inside) and len(before) < 4:
            return True  # "A tire in 225/65R17", "A 225/65R17 tire"
        return not ("the" in before[-1].roles and not before[-1].roles & {"is", "each"}) and any(
            "size" in item.roles for item in before[-4:]
        )

    def offers(self, place: int) -> bool:
        """Whether a sentence without a verb speaks of nobody else: what it names is this tire's."""
        return not self.has_verb and not self._spoken_of_another(place)

    def _spoken_of_another(self, place: int) -> bool:
        """Whether the sentence names several sizes, or speaks of others, of choices or of an order anywhere."""
        sizes = {item.text for item in self.items if item.kind == "size" or item.text == OWN}
        vehicle = any("vehicle" in item.roles for item in self.items[:place])
        denied = any("not" in item.roles for item in self.items[:place])  # "without a rim" may follow
        axle = any(
            "position" in item.roles and self.items[at + 1].text == ":" for at, item in enumerate(self.items[:-1])
        )
        return len(sizes) > 1 or vehicle or denied or axle or any(item.roles & _OTHERS for item in self.items)

    def _other_version(self, place: int, fragment: Fragment) -> bool:
        """ "The LT version has", "18 is the 154/149 version": a version told from this one."""
        the = [at for at in range(max(place - 4, fragment.start), place) if "the" in self.items[at].roles]
        return bool(the) and place - the[-1] > 1

    def _told_later(self, number: int) -> bool:
        """Whether a later fragment names another tire as the subject: "Rated V, the sport model costs more"."""
        for fragment in self.fragments[number + 1 : number + 3]:
            at = fragment.cues.get("another", -1)
            alone = fragment.opened == "-" and fragment.end - fragment.start == 1  # "D - sold out"
            if at < 0 or fragment.this >= 0 or not (fragment.opened in _TELLS or alone):
                continue
            ahead = self.items[fragment.start : at]  # "Rated V: that is the sport model"
            said = fragment.opened != "," and not any(i.kind == "filler" or i.roles & _COMPARES for i in ahead)
            verbs = any(self.items[after].roles & VERBS for after in range(at + 1, fragment.end))
            if at - fragment.start < 3 and (verbs or said):
                return True
        return False

    def _turned(self, role: str, kind: str, cue: int, place: int) -> bool:
        """ "Do not exceed 106 mph" says what is allowed."""
        between = self.items[max(cue - 1, 0) : place + 1]
        return (
            role == "never"
            and kind in ("speed", "pressure")
            and any(item.roles & {"beyond", "below"} for item in between)
        )

    def _compared(self, place: int, cue: int) -> bool:
        return any("than" in item.roles for item in self.items[place:cue])

    def ends_with_another(self) -> bool:
        """Whether the last fragment that names anybody names another tire."""
        if "another" in self._sentence:
            return True
        for fragment in reversed(self.fragments):
            if "another" in fragment.cues:
                return fragment.this < fragment.cues["another"]
            if fragment.this >= 0 or fragment.each:
                return False
        return False
