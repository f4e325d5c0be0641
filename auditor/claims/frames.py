"""Frames of codes and words: sizes, service descriptions, letters, and words that are values."""

from __future__ import annotations

from auditor.claims.fragments import Fragment
from auditor.claims.items import Item
from auditor.claims.look import LINKS, Given, Value
from auditor.claims.numbers import Numbers
from auditor.claims.subjects import Cues
from auditor.claims.words import OWN, OWN_SERVICE

MOST_VALUES = 24  # a sentence that names more lists them
SEASONS = ("summer", "winter", "all-season")
VERSIONS = ("xl", "sl", "hl")
_RANGE_LETTERS, _SPEED_LETTERS = "BCDEFGHJLMN", "PQRSTUVWY"
_PREDICATES = frozenset({"carries", "runs", "verb", "means", "never"})
_DESCRIBES = frozenset({"version", "strength", "code", "season", "runflat", "construction", "rim", "grade", "tread"})
_GRADES = (
    ("fuel", "fuel_class", "ABCDEFG"), ("wet", "wet_grip_class", "ABCDEFG"), ("noise-class", "noise_class", "ABC"),
    ("traction", "traction", ("AA", "A", "B", "C")), ("temperature", "temperature", "ABC"),
)  # fmt: skip
_RATED = frozenset({"rated", "rating", "Rated", "RATED", "range"})


class Frames(Numbers):
    """Reads all values of one sentence."""

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
            elif item.kind == "rim-code":
                self.say("rim_diameter_in", item.numbers[0], place, place, place).outspoken = self.title
            elif item.kind == "letter":
                self._letter(place, item)
            if item.roles:
                self._word(place, item)
        self._take_descriptions()

    def _take_descriptions(self) -> None:
        """What describes the subject is no claim, but says of which tires the rest is said: "The XL holds 900 kg"."""
        for fragment in self.cues.fragments:
            if fragment.this >= 0 or fragment.each or self.title:
                continue
            verb = self._verb_of(fragment)
            described = [one for one in self.values if self._describes(one, fragment.start, verb)]
            if not described:
                continue
            one = described[0]
            self.given = Given(one.field, one.value)
            self.values = [value for value in self.values if value not in described]
            for value in self.values:
                if value.place > verb:
                    value.given = self.given

    def _describes(self, value: Value, start: int, verb: int) -> bool:
        led = any(self.roles(at) & {"fits", "rated"} for at in range(start, value.place))
        return start <= value.place < verb and value.kind in _DESCRIBES and not value.denied and not led

    def _verb_of(self, fragment: Fragment) -> int:
        """The first verb behind what a fragment begins with; -1 for none."""
        for at in range(fragment.start + 1, fragment.end):
            if self.roles(at) & _PREDICATES and not self.roles(at) & {"tire", "the", "single", "dual", "load"}:
                return at
        return -1

    def _service(self, place: int, item: Item) -> None:
        label = self.before(place, frozenset({"index", "service", "is", "size"}))
        behind = self.after(place, frozenset({"index", "service"}))
        before = self.roles(place - 1)
        own = item.text == OWN_SERVICE
        outspoken = own or self.title or label >= 0 or behind >= 0 or self.alone(place) or self.text(place - 1) == OWN
        if "the" in before and "is" not in before and not own and behind < 0:
            outspoken = False
        if not outspoken:
            self.cues.another(place)
            return
        if outspoken and not self.explained(place):
            self.say("service_description", item.text, place, place, place)

    def _size(self, place: int, item: Item) -> None:
        if item.text == OWN:
            self.say("marking", OWN, place, place, place)
            return
        if self.title or self.cues.labeled_size(place, self.fragment(place)):
            last = self._end_of_marking(place)
            said = self.say("marking", self._written(place, last), place, place, place)
            said.last = last
            self.taken.update(at for at in range(place, last + 1) if self.items[at].kind in ("service", "size"))

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
                item.kind == "letter" and item.text in _RANGE_LETTERS and bool({"L", "S", "x"} & set(self.text(place)))
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

    def _letter(self, place: int, item: Item) -> None:
        letter = item.text.upper()
        before, after = self._code_label(place), self.roles(place + 1)
        if self._listed(place):
            return
        grade = self._grade_behind(place, letter) if before < 0 or self.roles(before) >= {"rated"} else None
        if grade is not None:
            self.say(grade, letter, place, place, place + 1)
        elif before >= 0:
            self._lettered(before, place, letter)
        elif after & {"range", "load"} and letter in _RANGE_LETTERS:
            self.say("load_range", letter, place, place, place + 1)
        elif ("symbol" in after or self._is_symbol(place)) and letter in _SPEED_LETTERS + "HJKLMNPGFEDCB":
            if not self.explained(place + 1):
                self.say("speed_symbol", letter, place, place, place + 1)
        elif "rated" in after and self.text(place + 1).split()[0] in _RATED:
            self._rated(place, letter)
        elif self.text(place + 1) == "/" and place + 2 < len(self.items) and self.items[place + 2].numbers[:1] > (4,):
            if letter in _RANGE_LETTERS:
                self.say("load_range", letter, place, place, place + 2)
        elif self._heads_speed(place) and letter in _SPEED_LETTERS + "HJKLMNGFED":
            self.say("speed_symbol", letter, place, place, place)

    def _grade_behind(self, place: int, letter: str) -> str | None:
        """The class of a letter whose label follows: "class B in wet grip", "A-rated for fuel efficiency"."""
        at = self.after(place, frozenset({"fuel", "wet", "noise-class", "traction", "temperature"}), through=4)
        if at < 0 or not (at == place + 1 or "is" in self.roles(place - 1) or self.roles(place + 1) & LINKS):
            return None
        return next((field for role, field, letters in _GRADES if role in self.roles(at) and letter in letters), None)

    def _code_label(self, place: int) -> int:
        wanted = frozenset(
            {
                "range",
                "symbol",
                "speed",
                "fuel",
                "wet",
                "noise-class",
                "traction",
                "temperature",
                "tire-class",
                "load",
                "rated",
            }
        )
        return self.before(place, wanted, through=4)

    def _lettered(self, at: int, place: int, letter: str) -> None:
        roles = self.roles(at)
        if "range" in roles or ("load" in roles and at == place - 1 and self.text(at).lower() == "load"):
            if letter in _RANGE_LETTERS:
                self.say("load_range", letter, place, at, place)
        elif roles & {"symbol", "speed"} or ("rated" in roles and at == place - 1):
            if "rated" in roles and not roles & {"symbol", "speed"} and letter in "BCDEFG":
                self.say("load_range", letter, place, at, place)
            elif letter in _SPEED_LETTERS + "HJKLMNPGFEDCB" and not self.explained(place):
                self.say("speed_symbol", letter, place, at, place)
        elif "tire-class" in roles and len(letter) == 2:
            self.say("tire_class", letter, place, at, place)
        else:
            for role, field, letters in _GRADES:
                if role in roles and letter in letters:
                    self.say(field, letter, place, at, place)
                    return

    def _rated(self, place: int, letter: str) -> None:
        speed_next = self.after(place + 1, frozenset({"mph", "kmh"}), through=4) >= 0
        if letter in _SPEED_LETTERS or speed_next:
            self.say("speed_symbol", letter, place, place, place + 1)
        elif letter in "BCDEFG":
            self.say("load_range", letter, place, place, place + 1)
        elif letter == "H":
            self.say("speed_symbol", letter, place, place, place + 1).given = Given("load_range", "none")

    def _heads_speed(self, place: int) -> bool:
        """ "Q: 99 mph", "S (112 mph)"."""
        heads = self.text(place + 1) in ("(", ":", ",", "-") and self.fragment(place).start == place
        return heads and any(
            self.roles(at) & {"mph", "kmh"} for at in range(place + 1, min(place + 6, len(self.items)))
        )

    def _is_symbol(self, place: int) -> bool:
        """ "V is its speed rating"."""
        return "is" in self.roles(place + 1) and self.after(place + 1, frozenset({"symbol"}), through=2) >= 0

    def _listed(self, place: int) -> bool:
        """Whether letters are listed: "load range C, D and E" names what there is."""
        for step in (1, -1):
            at = place + step
            joined = self.text(at) == "," or self.roles(at) & {"and", "or"}
            other = at + step
            lettered = joined and 0 <= other < len(self.items) and self.items[other].kind == "letter"
            if lettered and (self.items[other].text != "A" or self.text(place) == "AA" or step < 0):
                return not self.roles(other + 1) & {"rated", "symbol"}
        return False

    def _word(self, place: int, item: Item) -> None:
        roles = item.roles
        for season in SEASONS:
            if season in roles and len(roles & set(SEASONS)) == 1:
                self._season(place, item, season)
        for version in VERSIONS:
            if version in roles and not self._means_near(place):
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
        if not named and self.roles(place - 1) & {"at", "is"} and not self.title:
            return
        near = self.after(place, frozenset({"tire"}), through=2) >= 0 or "tire" in self.roles(place - 1)
        labeled = self.before(place, frozenset({"season"})) >= 0
        if named or near or labeled or self.title or self.alone(place) or "tire" in item.roles:
            self.say("season", season, place, place, place)
