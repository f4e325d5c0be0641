"""Frames of quantities: a label or a verb, a number and a unit, in either order."""

from __future__ import annotations

from itertools import pairwise

from auditor.claims.terms.items import LOAD_UNITS, UNITS, Item
from auditor.claims.terms.own import (
    EITHER,
    LIKELY_EACH,
    LIKELY_FULL,
    LIKELY_LOAD,
    LIKELY_NAMED,
    LIKELY_SPEED,
)
from auditor.claims.terms.symbols import FROM_80_KMH, SYMBOLS
from auditor.claims.terms.words import LOWER, OWN, UPPER
from auditor.claims.values.look import Given, Look, is_bounded_below
from auditor.trade.units import KG_PER_LB, KMH_PER_MPH

KILOGRAMS, KILOMETERS = {"kg": 1.0, "lb": KG_PER_LB}, {"kmh": 1.0, "mph": KMH_PER_MPH}
_MOST_OFFERED = 6  # items of a sentence that only names a figure
_LOWEST = {"kg": 70.0, "lb": 155.0, "tonne": 0.3, "kilonewton": 2.0}  # less is the weight of a tire or a parcel
_NO_TONNES = 100.0  # tonnes; no tire carries so much
_HIGHEST = {"kmh": 240.0, "mph": 149.0}  # above it there are symbols without an end


class Quantities(Look):
    """Reads numbers with units."""

    def in_range(self, place: int) -> bool:
        """ "8 to 10 ply": two numbers with a joining word between them are no value."""
        for first, last in ((place, place + 2), (place - 2, place)):
            paired = "between" in self.roles(first - 1) and "and" in self.roles(first + 1)
            if paired and last < len(self.items) and self.items[first].numbers and self.items[last].numbers:
                return True  # "wheels between 7 and 9 inches wide"
        for step in (1, -1):
            joined = "or" in self.roles(place + step) and self.text(place + step) != ":"
            other = place + 2 * step
            if joined and 0 <= other < len(self.items) and self.items[other].kind == "number":
                return self.items[other].kind == self.items[place].kind
        return False

    def part_of_size(self, place: int, item: Item) -> bool:
        """ "225/40": width and aspect of another size, for the own ones stand as a sign."""
        width, aspect = item.numbers[0], item.numbers[1]
        labeled = self.before(place, frozenset({"index", "service", "load", "single", "dual"})) >= 0
        if "x" in item.text:  # "the 31x10.50"
            return not labeled and 22 <= width <= 44 and 8 <= aspect <= 16 and aspect < width / 2
        return not labeled and width % 5 == 0 and 105 <= width <= 395 and aspect % 5 == 0 and 25 <= aspect <= 85

    def number_and_symbol(self, place: int, item: Item) -> bool:
        """A load index and a speed symbol written apart behind the size: "205/55R16 91 V"."""
        after_size = self.text(place - 1) == OWN or (place > 0 and self.items[place - 1].kind == "size")
        return after_size and len(item.text) in (2, 3) and item.text.isdecimal() and self.text(place + 1) in FROM_80_KMH

    def unit_after(self, place: int) -> int:
        for ahead in (place + 1, place + 2):
            roles = self.roles(ahead)
            if roles & UNITS:
                if roles & UNITS == {"in"} and self.text(ahead) == "in" and not self._inches_there(ahead):
                    return -1
                return ahead
            if self.text(ahead) not in ("(", "+"):
                return -1
        return -1

    def _inches_there(self, place: int) -> bool:
        """Whether the word "in" is the unit: what follows ends the value or is a wheel, not "in Germany"."""
        after = self.roles(place + 1)
        if after & {"position", "single", "dual"}:
            return False  # "148 in front, 145 in twin"
        return (
            place + 1 >= len(self.items)
            or self.items[place + 1].kind == "mark"
            or "." in self.text(place - 1)
            or bool(after & {"rim", "diameter", "width", "tread", "tire", "vehicle", "casing", "or"} or place == 1)
        )

    def unit_in_label(self, place: int, units: frozenset[str] = frozenset({"kg", "lb"})) -> str:
        """The unit of a value whose label holds it: "Max Load Single (lb): 3042", "Single 1060 / dual 1000 (kg)"."""
        for at in (*range(place - 1, max(place - 9, -1), -1), *range(place + 1, min(place + 9, len(self.items)))):
            found = self.roles(at) & units
            if found and (self.text(at - 1) == "(" or (at < place and not self.items[at - 1].numbers)):
                return min(found)
        return ""

    def load(self, place: int, item: Item, unit: str, unit_at: int) -> None:
        if "about" in self.roles(place - 1):
            return
        wanted = frozenset({"load", "single", "dual", "carries", "rated"})
        label = self.label_around(place, wanted)
        if item.numbers[0] < _LOWEST[unit] and not (self._named_load(label) and self.fragment(place).each):
            return
        if label < 0 and not self.title and self.label(place, frozenset({"speed", "symbol", "tread", "width"})) >= 0:
            return
        fragment = self.fragment(place)
        alone = self.alone(place, names=False)
        outspoken = label >= 0 or fragment.each or fragment.this >= 0 or fragment.tire or alone
        outspoken = (
            outspoken
            or "max" in self.roles(place - 1)
            or (len(self.items) <= _MOST_OFFERED and self.cues.offers(place))
        )
        factor, to = LOAD_UNITS[unit]
        factor = 1.0 if unit == "tonne" and item.numbers[0] >= _NO_TONNES else factor  # "1,215 t"
        dual = len(item.numbers) == 1 and self._is_dual(place)
        given = self._given(place, of_speed=False)
        first = label if 0 <= label < place and self.cues.of[label] == self.cues.of[place] else place
        for number, value in enumerate(item.numbers[:2]):
            field = f"max_load_dual_{to}" if dual or number else f"max_load_{to}"
            said = self.say(field, value * factor, place, first, unit_at, half=item.halves * factor)
            said.outspoken, said.given = outspoken, given or said.given or self._headed_by_range(place)
            if said.given is None and (likely := self._likely_load(place, label)):
                either = "" if self.title or dual or number or self._says_single(place) else EITHER
                said.given = Given(likely + either, value * factor * KILOGRAMS[to])
            said.open_ended = is_bounded_below(self.items, place)

    def _headed_by_range(self, place: int) -> Given | None:
        """ "F: 3,860 lb; E: 3,640 lb": the load of a load range."""
        fragment, number = self.fragment(place), self.cues.of[place]
        if self.title or fragment.opened != ":" or not number:
            return None
        head = self.items[self.cues.fragments[number - 1].start : fragment.start - 1]
        code = len(head) == 1 and head[0].kind == "letter" and head[0].text in "BCDEFGHJLMN"
        return Given("load_range", head[0].text) if code else None

    def _at_a_pressure(self, place: int) -> bool:
        """ "At 65 psi it carries 2,623 lb": less than at the pressure of its load index."""
        return any(
            item.numbers and "at" in self.roles(at - 1) and self.roles(at + 1) & {"psi", "kpa", "bar"}
            for at, item in enumerate(self.items[:place])
        )

    def _likely_load(self, place: int, label: int) -> str:
        """How a load is weighed against the marking before it counts."""
        if self._at_a_pressure(place):
            return LIKELY_FULL
        named = self._named_load(label)
        fragment = self.fragment(place)
        told = not self.title and (0 <= fragment.this < place or self.cues.one_tire_does(fragment, place))
        headed = (
            fragment.opened == ":" and self.cues.fragments[self.cues.of[place] - 1].each
        )  # "What each holds: 900 kg"
        if fragment.each or headed or told:
            return LIKELY_NAMED if label >= 0 else LIKELY_EACH
        return LIKELY_NAMED if named else LIKELY_LOAD

    def _says_single(self, place: int) -> bool:
        """Whether a fragment or its neighbors name a mounting."""
        near = self.cues.fragments[max(self.cues.of[place] - 2, 0) : self.cues.of[place] + 2]
        return any(self.roles(at) & {"single", "dual"} for one in near for at in range(one.start, one.end))

    def _named_load(self, label: int) -> bool:
        return label >= 0 and bool(self.roles(label) & {"load", "single", "dual"})

    def _is_dual(self, place: int) -> bool:
        """Whether the nearest of "single" and "dual" says dual: before the value, else behind it."""
        if self.text(place - 1) == "(" and self.values and self.values[-1].kind == "load":
            return "dual" in self.values[-1].field  # "2,778 lb (1,260 kg)"
        if self._told_behind() and (dual := self._dual_behind(place)) is not None:
            return dual
        for back in range(place - 1, max(place - 12, -1), -1):
            item = self.items[back]
            if item.roles & {"single", "dual"}:
                return "dual" in item.roles
            if item.text in ("S", "D") and self.text(back - 1) == "(":
                return item.text == "D"
            if item.numbers:
                break
        return self._dual_behind(place) or False

    def _dual_behind(self, place: int) -> bool | None:
        for ahead in range(place + 1, min(place + 8, len(self.items))):
            item = self.items[ahead]
            if item.roles & {"single", "dual"}:
                return "dual" in item.roles
            if item.text in ",;" or (item.numbers and "each" not in item.roles):
                break
        return None

    def _told_behind(self) -> bool:
        """Whether "single" and "dual" stand behind their loads in this sentence: the first number comes first."""
        for item in self.items:
            if item.roles & {"single", "dual"}:
                return False
            if item.roles & {"kg", "lb"}:
                return True
        return False

    def _given(self, place: int, *, of_speed: bool) -> Given | None:
        """The code that a sentence explains: "load index 106 stands for 950 kg", "W = 270 km/h".

        A letter explains no load: "W" is a word in Polish.
        """
        means = self._means_before(place)
        if means < 0 and self._takes_up_code(place):
            means = self.fragment(place).start - 1
        if means < 0:
            return None
        for back in range(means - 1, max(means - 5, -1), -1):
            item = self.items[back]
            labeled = any(self.text(at) == ":" for at in (back - 1,))
            if item.text == ":" or (item.kind == "letter" and self.text(back - 1) == UPPER):
                return None  # "For a 125: carries 265 kg" is of what stands behind; "the Transit T carries" is a name
            if item.kind == "letter" and item.text in SYMBOLS and not labeled:
                return Given("speed_symbol", item.text) if of_speed else None
            unit = self.roles(back + 1) & UNITS
            if item.kind == "number" and item.numbers and 20 <= item.numbers[0] <= 220 and not labeled and not unit:
                return Given("load_index", item.numbers[0])
            if item.kind == "service" and not labeled:
                return Given("load_index", item.numbers[0])
        return None

    def _takes_up_code(self, place: int) -> bool:
        """ "L'indice V, c'est 240 km/h": a code, taken up by a pronoun behind the comma."""
        fragment = self.fragment(place)
        pronoun = bool(self.roles(fragment.start) & {"it", "is"}) and place - fragment.start < 3
        return pronoun and fragment.opened == "," and self._is_code(fragment.start - 2)

    def _means_before(self, place: int) -> int:
        fragment = self.fragment(place)
        for back in range(place - 1, max(fragment.start, place - 5) - 1, -1):
            if self.text(back) == "=" or self.roles(back) & {"means", "carries"}:
                return back
            heads = self.items[back - 1].kind == "letter" and back - 1 == fragment.start and self.explains(back)
            if heads or ((self.text(back) == LOWER or self.explains(back)) and self._is_code(back - 1)):
                return back  # "load index 95 equals 690 kg", in whatever words
            if self.items[back].numbers:
                return -1
        return -1

    def explains(self, place: int) -> bool:
        """Whether a verb says something of a code in general: "An H symbol is limited to 210 km/h"."""
        if not self.roles(place) & {"verb", "does"} or self.title:
            return False
        led = self.items[self.fragment(place).start : place]
        return not any(item.roles & {"this", "it", "this-one"} for item in led)

    def _is_code(self, place: int) -> bool:
        """Whether an item is a load index or a speed symbol that a label names."""
        item = self.items[place] if place > 0 else None
        code = item is not None and (item.kind == "letter" or (item.kind == "number" and 20 <= item.numbers[0] <= 220))
        return code and bool(self.roles(place - 1) & {"index", "symbol", "service"})

    def speed(self, place: int, item: Item, unit: str, unit_at: int) -> None:
        label = self.label_around(place, frozenset({"speed", "symbol", "runs", "rated", "max", "carries"}))
        before = self.roles(place - 1)
        conditional = "at" in before and not (before | self.roles(place - 2)) & {"rated", "runs"}
        conditional = conditional and "max" not in before and "speed" not in self.roles(place - 2)
        allowed = any("rated" in self.roles(at) for at in range(self.fragment(place).start, place - 1))
        dashed = self.text(place + 2) == "-" and not self.roles(place + 3) & {"this", "it"}  # "210 km/h - so says he"
        if (conditional and not allowed) or dashed or not item.numbers[0]:
            return
        fragment = self.fragment(place)
        refused = self.denied(place) or "never" in fragment.cues
        if "beyond" in before and item.numbers[0] < _HIGHEST[unit] and not refused:
            return  # "stable above 90 mph" limits nothing
        if self.pairs_of_letters() > 2:
            return  # "S 112, T 118, H 130 mph"
        outspoken = label >= 0 or fragment.this >= 0 or fragment.tire or self.alone(place) or "beyond" in before
        outspoken = outspoken or (len(self.items) <= _MOST_OFFERED and self.cues.offers(place))
        outspoken = outspoken and not (label < 0 and self.cues.unknown_heading(self.cues.of[place]))
        said = self.say(f"max_speed_{unit}", item.numbers[0], place, place, unit_at, half=item.halves)
        said.outspoken, said.given = outspoken, self._given(place, of_speed=True) or said.given
        if said.given is None and (label < 0 or not self.roles(label) & {"speed", "symbol", "rated"}):
            said.given = Given(LIKELY_SPEED, item.numbers[0] * KILOMETERS[unit])
        bounded = not refused and is_bounded_below(self.items, place)
        said.open_ended = bounded or self.text(place + 1) == "+"

    def pairs_of_letters(self) -> int:
        if self._pairs < 0:  # the same for each letter of the sentence
            self._pairs = sum(item.kind == "letter" and bool(behind.numbers) for item, behind in pairwise(self.items))
        return self._pairs

    def pressure(self, place: int, item: Item, unit: str, unit_at: int) -> None:
        label = self.label_around(place, frozenset({"pressure"}))
        near = "max" in self.roles(place - 1) or self.after(unit_at, frozenset({"max"}), through=2) >= 0
        if self.text(unit_at + 1) == ",":
            near = near or self.after(unit_at + 1, frozenset({"max", "pressure"}), through=3) >= 0
        fragment = self.fragment(place)
        near = near or ("beyond" in self.roles(place - 1) and bool(fragment.cues.keys() & {"not", "never"}))
        if label < 0 and not near and not (unit != "bar" and self._at_full_load(place, item.numbers[0], unit)):
            return
        self.say(f"max_pressure_{unit}", item.numbers[0], place, place, unit_at, half=item.halves)

    def _at_full_load(self, place: int, value: float, unit: str) -> bool:
        """ "Max load 3,195 lb at 80 psi": of light trucks and trailers, the pressure of the load is the highest."""
        fragment, high = self.fragment(place), value >= (50 if unit == "psi" else 340)
        loads = [said for said in self.values if said.kind == "load" and fragment.start <= said.place < place]
        named = any("max" in self.text(at).lower() for at in range(fragment.start, place))
        return high and named and bool(loads) and "at" in self.roles(place - 1)
