"""Frames of codes and words: sizes, service descriptions, and words that are values."""

from __future__ import annotations

from auditor.claims.subject.clauses import IMPLIED, MINE, VERBS, Fragment
from auditor.claims.subject.subjects import Cues
from auditor.claims.terms.items import Item
from auditor.claims.terms.own import RANGE_LETTERS
from auditor.claims.terms.words import LOWER, OWN, OWN_SERVICE
from auditor.claims.values.letters import Letters
from auditor.claims.values.look import RIMS, Given, Value
from auditor.claims.values.readings import THOUSANDS

MOST_VALUES = 24  # a sentence that names more lists them
SEASONS = ("summer", "winter", "all-season")
VERSIONS = ("xl", "sl", "hl")
_BEFORE_SERVICE, _BEHIND_SERVICE = frozenset({"index", "service", "is", "size"}), frozenset({"index", "service"})
_PREDICATES = frozenset({"carries", "runs", "verb", "means", "never"})
_DESCRIBES = frozenset({"version", "strength", "code", "season", "runflat", "construction", "rim", "grade", "tread"})
_NOUNS = frozenset({"tire", "edition", "version", "each", "rim"})
_SAID = frozenset(  # of words that are values
    {*SEASONS, *VERSIONS, "radial", "bias", "runflat", "plain", "snowflake", "terrain", "mud-and-snow"}
)
_NAMES_SERVICE = frozenset({"index", "service", "size"})


class Frames(Letters):
    """Reads all values of one sentence."""

    in_season = False

    def __init__(self, items: list[Item], cues: Cues, title: bool) -> None:
        super().__init__(items, cues, title)
        for place, item in enumerate(items):
            if len(self.values) >= MOST_VALUES:
                break
            if place in self.taken:
                continue
            if item.numbers and item.kind in ("number", "word", "pair", "range") and "each" not in item.roles:
                self.number(place, item)
            elif item.kind == "service" or item.text == OWN_SERVICE:
                self._service(place, item)
            elif item.kind == "size" or item.text == OWN:
                self._size(place, item)
            elif item.kind == "rim-code" and item.numbers[0] in RIMS:  # "Trakter R70" is a name
                said = self.say("rim_diameter_in", item.numbers[0], place, place, place)
                said.outspoken = self.title or not cues.has_verb
            elif item.kind == "letter":
                self.letter(place, item)
            if not _SAID.isdisjoint(item.roles):
                self._word(place, item)
        if not title and self.values:
            self._take_descriptions()
            self._take_versions()

    def _take_descriptions(self) -> None:
        """What describes the subject is no claim, but says of which tires the rest is said: "The XL holds 900 kg"."""
        for fragment in self.cues.fragments:
            if version := [one for one in self.values if one.place in self._version_at(fragment)]:
                self._give(version[0], version)
                continue
            if self.cues.subject(fragment).who in (MINE, IMPLIED):
                continue
            any_tire = "any-tire" in self.roles(fragment.start)  # "A tire with load index 98 would do"
            if fragment.each and not any_tire:
                continue
            verb = self._verb_of(fragment)
            # "Load range D is not made in this size"
            behind = 0 <= verb < fragment.this and "it" not in self.roles(fragment.this)
            behind = behind and not self._is_linked(verb, fragment.this)
            if fragment.this >= 0 and not behind:
                continue
            described = [one for one in self.values if self._describes(one, fragment.start, verb)]
            if not described:
                continue
            self._give(described[0], described)

    def _give(self, one: Value, described: list[Value]) -> None:
        """Makes a value what the marking must have for the claims behind it, and no claim of its own."""
        self.given = Given(one.field, one.value)
        self.values = [value for value in self.values if value not in described]
        for value in self.values:
            if value.place > one.place:
                value.given = self.given

    def _is_linked(self, verb: int, this: int) -> bool:
        """ "8 PR è questo pneumatico", "8 PR ist die Bauart dieses Reifens": a copula, and this tire behind it."""
        between = self.items[verb + 1 : this]
        linked = "is" in self.roles(verb) and all(item.roles & {"the"} or item.kind == "filler" for item in between)
        return linked and (not between or "of-this" in self.roles(this))

    def _version_at(self, fragment: Fragment) -> range:
        """Where a fragment names the version of which each tire is meant, with a code in brackets behind it."""
        version = self.cues.names_version(fragment)
        bracketed = version and self.text(version.stop) == "(" and self.text(version.stop + 2) == ")"
        return range(version.start, version.stop + 2) if bracketed else version

    def _take_versions(self) -> None:
        """A load version that is a noun is one that is spoken of: "690 kg with the XL", "Rated 94W in XL"."""
        for one in [value for value in self.values if value.kind == "version"]:
            fragment = self.fragment(one.place)
            if one.denied or fragment.this >= 0 or "than" in fragment.cues or not self._is_noun(one, fragment):
                continue
            self.values.remove(one)
            for value in self.values:
                value.given = Given(one.field, one.value)

    def _is_noun(self, version: Value, fragment: Fragment) -> bool:
        """Whether a load version stands behind a determiner, or behind "in" at the end of what is said, by itself."""
        before, behind = self.roles(version.place - 1), version.place + 1
        ends = behind >= fragment.end or bool(self.roles(behind) & (VERBS | {"is", "at", "with"}))
        if self.roles(behind) & _NOUNS or not (ends or self.items[behind].kind in ("mark", "number")):
            return False
        if "the" in before and not before & {"this-one", "possessive", "ours"}:
            return not self.roles(version.place - 2) & VERBS
        if "is" in before and not before & VERBS and self.text(behind) == ":" and behind < fragment.end:
            return version.place > fragment.start + 1  # "Portata per gomma della XL: 925 kg"
        said = [value.place for value in self.values if fragment.start <= value.place < version.place]
        if not said or behind < fragment.end or (before & VERBS and "is" in before):
            return False
        # "Rated 94W in XL"; "Indeks 105 ma tylko XL": who has it stands behind the verb
        if self.text(version.place - 1) == LOWER and self.roles(fragment.start) & {"at", "with"}:
            return True  # "Con 925 kg por rueda le hará falta XL"
        return "is" in before or any(self.roles(at) & VERBS for at in range(said[0] + 1, version.place))

    def _describes(self, value: Value, start: int, verb: int) -> bool:
        led = any(self.roles(at) & {"fits", "rated"} for at in range(start, value.place))
        labeled = value.first < value.place and value.first <= start + 1 and verb == value.last + 1
        labeled = labeled and value.kind == "code"
        named = value.last > verb or labeled  # "D is the load range", "the index pair 150/147 gives"
        return start <= value.place < verb and value.kind in _DESCRIBES and not (value.denied or led or named)

    def _verb_of(self, fragment: Fragment) -> int:
        """The first verb behind what a fragment begins with; -1 for none."""
        marked = self.roles(fragment.end - 1) >= {"is", "means"}  # "106V marked"
        for at in range(fragment.start + 1, fragment.end - marked):
            if self.roles(at) & _PREDICATES and not self.roles(at) & {"tire", "the", "single", "dual", "load"}:
                return at
        return -1

    def _service(self, place: int, item: Item) -> None:
        if item.text != OWN_SERVICE:
            label = self.before(place, _BEFORE_SERVICE)
            behind = self.after(place, _BEHIND_SERVICE)
            if label >= 0 and not self.title and not self.roles(label) & _NAMES_SERVICE and self._strange_before(label):
                self.cues.another(place)  # "retreads leave at 152/148M"
                return
            if label < 0 and behind < 0 and THOUSANDS.fullmatch(item.text):
                return
            if not self._is_outspoken(place, labeled=label >= 0 or behind >= 0, named=behind >= 0):
                self.cues.another(place)
                return
        if not self.explained(place):
            self.say("service_description", item.text, place, place, place)

    def _is_outspoken(self, place: int, *, labeled: bool, named: bool) -> bool:
        """Whether a service description is said of a tire, `labeled` or `named` behind it; not "the 105H"."""
        before = self.roles(place - 1)
        if "the" in before and "is" not in before and not named:
            return "is" in self.roles(place - 2) and 0 <= self.fragment(place).this < place  # "this one's a 105H"
        said = self.title or labeled or self.alone(place) or self.text(place - 1) == OWN
        return said or self.cues.offers(place)

    def _strange_before(self, place: int) -> bool:
        """Whether a word that no lexicon holds stands right before an item, and nothing names this tire."""
        fragment = self.fragment(place)
        return fragment.this < 0 and not fragment.tire and place > fragment.start and self.text(place - 1) == LOWER

    def _size(self, place: int, item: Item) -> None:
        if item.text == OWN:
            self.say("marking", OWN, place, place, place)
            return
        if self.title or self.cues.labeled_size(place, self.fragment(place)):
            last = self._end_of_marking(place)
            other = self._other_reading(last)
            if other >= 0:  # a size with two service descriptions to choose from has neither
                self.taken.update(range(place, other + 1))
                last = place
            said = self.say("marking", self._written(place, last), place, place, place)
            said.last = last
            self.taken.update(at for at in range(place, last + 1) if self.items[at].kind in ("service", "size"))

    def _other_reading(self, last: int) -> int:
        """Where a second service description stands behind a joining word: "91H or 91V"; -1 for none."""
        if self.items[last].kind != "service" or last + 2 >= len(self.items):
            return -1
        joined, other = self.items[last + 1], self.items[last + 2]
        chosen = joined.kind in ("word", "filler", "letter") and (other.kind == "service" or other.text == OWN_SERVICE)
        return last + 2 if chosen and other.text != self.items[last].text else -1

    def _written(self, place: int, last: int) -> str:
        """A marking as it is written: what belongs to one word joined, a bracketed service description in brackets."""
        text = " ".join(one.text for one in self.items[place : last + 1])
        for apart, joined in ((" PR", "PR"), ("MC", "M/C"), (" / ", "/"), ("( ", "("), (" )", ")")):
            text = text.replace(apart, joined)
        return text if text.count("(") == text.count(")") else text.replace("(", "").replace(")", "")

    def _end_of_marking(self, place: int) -> int:
        """The last item of a marking that is written out: service description, load version, plies, load range."""
        last = place
        for at in range(place + 1, min(place + 6, len(self.items))):
            item = self.items[at]
            letters = (
                item.kind == "letter" and item.text in RANGE_LETTERS and bool({"L", "S", "x"} & set(self.text(place)))
            )
            bracketed = item.text == ")" and last == at - 1
            other_name = item.kind == "size" and "-" in item.text and self.text(at - 1) == "("
            if (
                item.kind == "service"
                or item.roles & {"xl", "hl", "sl"}
                or letters
                or item.text in ("MC", "PR")
                or bracketed
                or other_name
            ):
                last = at
            elif not (item.text in ("(", "/") or (item.kind == "number" and "ply" in self.roles(at + 1))):
                break
        return last

    def _word(self, place: int, item: Item) -> None:
        roles = item.roles
        seasons = [season for season in SEASONS if season in roles]
        if len(seasons) == 1:
            self._season(place, item, seasons[0])
        for version in VERSIONS:
            explained = self._means_near(place) and place not in self._version_at(self.fragment(place))
            if version in roles and not (explained or self.roles(place - 1) & {"beyond", "below"}):
                self.say("load_version", version.upper(), place, place, place)
                break
        for role, value in (("radial", "R"), ("bias", "D")):
            if role in roles:
                self.say("construction", value, place, place, place)
        if "runflat" in roles or "plain" in roles:
            self._flag("run_flat", place, yes="runflat" in roles)
        if "snowflake" in roles:
            self._flag("severe_snow", place)
        if "terrain" in roles:
            self._flag("all_terrain", place)
        if "mud-and-snow" in roles:
            self._flag("mud_and_snow", place)

    def _means_near(self, place: int) -> bool:
        return any(
            "means" in self.roles(at) and not self.roles(at) & {"carries", "is"}
            for at in range(max(place - 3, 0), place + 2)
        )

    def _flag(self, field: str, place: int, yes: bool = True) -> None:
        behind = self.items[place + 1 : place + 4]
        no = any(item.roles & {"no"} for item in behind) and behind[0].text in (":", "(", "=", "?")
        self.say(field, 1.0 if yes and not no else 0.0, place, place, place)

    def _season(self, place: int, item: Item, season: str) -> None:
        named = len(item.text.split()) > 1 or (item.text[-1:] != "s" and len(item.text) > 8)
        small = self.roles(place - 1) & {"at", "is", "the", "with"} and "tire" not in self.roles(place - 1)
        pointed = "near" in self.roles(place - 1) and self.after(place, frozenset({"tire"})) >= 0  # "ta zimowa opona"
        small = small and not pointed
        if not named and small and not self.title and self.before(place, frozenset({"season"})) < 0:
            self.in_season = self.in_season or place < 3  # "In winter, put on winter tires": of the time of year
            return
        if self.in_season or (self.title and self._beside_sale(place)):
            return
        if "all-year" in item.roles and not self.title and self._done_before(place):
            return
        near = self._tire_beside(place)
        labeled = self.before(place, frozenset({"season"})) >= 0
        if named or near or labeled or self.title or self.alone(place) or "tire" in item.roles:
            self.say("season", season, place, place, place)

    def _beside_sale(self, place: int) -> bool:
        """Whether a season names a sale: "Winter Sale", "Winter-Rabatt", "soldes d'hiver", "saldi invernali"."""
        behind = place + 1 + (self.text(place + 1) == "-")
        before = place - 1
        while before > place - 3 and self.roles(before) & {"is", "the"}:
            before -= 1
        sold = "sale" in self.roles(behind) and "tire" not in self.roles(behind + 1)
        return sold or "sale" in self.roles(before)

    def _tire_beside(self, place: int) -> bool:
        """Whether a season describes a tire in its noun phrase: "gomma esclusivamente estiva", "winter van tire"."""
        fragment = self.fragment(place)
        for step, most in ((1, fragment.end), (-1, fragment.start - 1)):
            for at in range(place + step, place + 4 * step, step):
                if at == most:
                    break
                if "tire" in self.roles(at) and "tires" not in self.roles(at):
                    return True
        return False

    def _done_before(self, place: int) -> bool:
        """Whether something is done: "it lasts all year", "das Profil arbeitet das ganze Jahr"."""
        before = self.items[self.fragment(place).start : place]
        return any(item.text == LOWER or "does" in item.roles for item in before)
