"""Frames of single letters: a speed symbol, a load range or a class, by the label that governs the letter."""

from __future__ import annotations

from auditor.claims.terms.items import UNITS, Item
from auditor.claims.terms.own import RANGE_LETTERS
from auditor.claims.terms.symbols import FROM_150_KMH, NO_LABEL_CLASSES, OF_CARS, SLOW_RANGES, SYMBOLS
from auditor.claims.values.look import PLIES, THROUGH, Given
from auditor.claims.values.numbers import Numbers

_GRADES = (
    ("fuel", "fuel_class", "ABCDEFG"), ("wet", "wet_grip_class", "ABCDEFG"), ("noise-class", "noise_class", "ABC"),
    ("traction", "traction", ("AA", "A", "B", "C")), ("temperature", "temperature", "ABC"),
)  # fmt: skip
CODES = frozenset(
    {"range", "symbol", "speed", "fuel", "wet", "noise-class", "traction", "temperature", "tire-class", "load",
     "rated", "index", "service"}
)  # fmt: skip
_RATED = frozenset({"rated", "rating", "Rated", "RATED", "range"})
_SMALL_WORDS = frozenset("aeiouy")  # in one language or another, where they are no capitals
_MOST_BACK = 9


class Letters(Numbers):
    """Reads every single letter of a sentence."""

    def letter(self, place: int, item: Item) -> None:
        letter = item.text.upper()
        if self._listed(place) or self.pairs_of_letters() > 2:
            return
        if item.text in _SMALL_WORDS and not self.roles(place - 1) & CODES and self.text(place - 1) != ":":
            return  # "e velocidade de até 190 km/h": and
        before, behind = (self.text(place - 2) + self.text(place - 1), self.text(place + 1) + self.text(place + 2))
        if "S/D" in (before + letter, letter + behind):
            return  # "LI (S/D): 121/118": single and dual
        after = self.roles(place + 1)
        if "rated" in after and self.text(place + 1).split()[0] in _RATED and self.before(place, CODES) < 0:
            if not self._grade(place, letter, self._ahead(place)):
                self._rated(place, letter)
            return
        for at in self._governing(place):
            if self._lettered(at, place, letter):
                return
        if self.text(place + 1) == "/" and place + 2 < len(self.items) and self.items[place + 2].numbers:
            if letter in RANGE_LETTERS and self.items[place + 2].numbers[0] in PLIES:
                self.say("load_range", letter, place, place, place + 2)
        elif letter in OF_CARS and "tire" in self.roles(place + 1) and self.cues.offers(place):
            if self.fragment(place).start == place:
                self.say("speed_symbol", letter, place, place, place)  # "T-Reifen"
        elif letter in OF_CARS and not self.title and (index := self._beside_index(place)):
            self.say("speed_symbol", letter, place, place, place).given = Given("load_index", index)
        elif self._heads_speed(place) and letter in NO_LABEL_CLASSES:
            self.say("speed_symbol", letter, place, place, place)

    def _beside_index(self, place: int) -> float:
        """The one number beside the one letter of a fragment: "the letter Q behind the 102"; 0.0 for none."""
        inside = range(self.fragment(place).start, self.fragment(place).end)
        numbers = [at for at in inside if self.items[at].numbers or self.items[at].kind in ("size", "service", "own")]
        letters = sum(self.items[at].kind == "letter" for at in inside)
        if len(numbers) != 1 or letters != 1 or self.items[numbers[0]].kind != "number":
            return 0.0
        bare = not self.roles(numbers[0] + 1) & UNITS and self.items[numbers[0]].text.isdecimal()
        return self.items[numbers[0]].numbers[0] if bare else 0.0

    def _governing(self, place: int) -> list[int]:
        """The labels that may govern a letter, the nearest first: those that stand against it, then before, behind."""
        before, behind = self._back(place), self._ahead(place)
        further = [at for at in range(before - 1, self.fragment(place).start - 1, -1) if self.roles(at) & CODES]
        if before >= 0 and self.roles(before) & CODES == {"rated"}:
            told = [at for at in further if self.roles(at) & CODES - {"rated", "load"}]  # "wet grip rated B"
            before, further = (told[0], [before]) if told else (before, further)
        against = behind == place + 1 and before != place - 1 and self.text(before + 1) != ":"
        return [at for at in ((behind, before) if against else (before, behind)) if at >= 0] + further

    def _back(self, place: int) -> int:
        """The nearest label before a letter in its fragment, no other value between; -1 for none."""
        near = self.before(place, CODES, through=5)
        if near >= 0:
            return near
        fragment = self.fragment(place)
        for back in range(place - 1, max(fragment.start, place - _MOST_BACK) - 1, -1):
            item = self.items[back]
            if item.roles & CODES - {"rated", "load"}:
                return back
            if item.numbers or item.kind in ("letter", "service", "size", "own"):
                return -1
        return -1

    def _ahead(self, place: int) -> int:
        """The label behind a letter: "V for its speed"; -1 for none."""
        return self.ahead(place, CODES, THROUGH)

    def _lettered(self, at: int, place: int, letter: str) -> bool:
        """Takes a letter by its label; whether it was one of its letters."""
        roles = self.roles(at)
        if self._grade(place, letter, at):
            return True
        if "tire-class" in roles:
            return len(letter) == 2 and self._say(place, at, "tire_class", letter)
        by_load = "load" in roles and abs(at - place) == 1 and self.text(at).lower() in ("load", "load rating")
        if "range" in roles or by_load:
            return letter in RANGE_LETTERS and self._say(place, at, "load_range", letter)
        if "rated" in roles and not roles & {"symbol", "speed"}:
            if at != place - 1 or self.explained(place):
                return False
            field = "load_range" if letter in SLOW_RANGES else "speed_symbol"
            return letter in SYMBOLS and self._say(place, at, field, letter)
        if roles & {"symbol", "speed"} or (roles & {"index", "service"} and letter in OF_CARS):
            if letter not in SYMBOLS or self.explained(max(place, at) if at == place + 1 else place):
                return False
            return self._say(place, at, "speed_symbol", letter)
        return False

    def _say(self, place: int, at: int, field: str, letter: str) -> bool:
        self.say(field, letter, place, at if at < place - 5 else min(at, place), max(at, place))
        return True

    def _grade(self, place: int, letter: str, at: int) -> bool:
        """Takes the class of a letter: "class B in wet grip", "A-rated for fuel efficiency"."""
        for role, field, letters in _GRADES:
            if at >= 0 and role in self.roles(at) and letter in letters:
                return self._say(place, at, field, letter)
        return False

    def _rated(self, place: int, letter: str) -> None:
        speed_next = self.after(place + 1, frozenset({"mph", "kmh"}), through=4) >= 0
        if letter in FROM_150_KMH or speed_next or "symbol" in self.roles(place + 1):
            self.say("speed_symbol", letter, place, place, place + 1)
        elif letter in SLOW_RANGES:
            self.say("load_range", letter, place, place, place + 1)
        elif letter == "H":
            self.say("speed_symbol", letter, place, place, place + 1).given = Given("load_range", "none")

    def _heads_speed(self, place: int) -> bool:
        """ "Q: 99 mph", "S (112 mph)"."""
        heads = self.text(place + 1) in ("(", ":", ",", "-") and self.fragment(place).start == place
        return heads and any(
            self.roles(at) & {"mph", "kmh"} for at in range(place + 1, min(place + 6, len(self.items)))
        )

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
