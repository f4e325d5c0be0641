"""Frames of numbers: by their unit, or by the label that says what they are of, as no unit does: "Plies: ten"."""

from __future__ import annotations

from auditor.claims.subject.clauses import VERBS
from auditor.claims.terms.items import LOAD_UNITS, UNITS, Item
from auditor.claims.terms.mountings import JOINED
from auditor.claims.terms.words import LOWER
from auditor.claims.values.look import LEAST_DB, PLIES, RIMS, Given
from auditor.claims.values.quantities import Quantities
from auditor.claims.values.readings import LEAST_OF_PAIR, PAIR_APART
from auditor.quantities.flanges import HIGHEST_FLANGE_IN

SPEED_UNITS = frozenset({"kmh", "mph"})
_BARE = frozenset({"index", "service", "rim", "ply", "aspect", "treadwear"})  # labels of numbers without a unit
_FITS, _MEASURED = frozenset({"fits"}), frozenset({"rim", "diameter", "width", "tread"})
_MOST_RIM = 26  # inches; more is the height of a tire
_LOADS = frozenset({"load", "single", "dual"})
_BRACKETED = UNITS - {*LOAD_UNITS, "ply", "other-unit"}
_MOST_OF_PAIR = 180  # the highest load index of one that no label names


class Numbers(Quantities):
    """Reads every number of a sentence."""

    def number(self, place: int, item: Item) -> None:
        unit_at = self.unit_after(place)
        unit_at = unit_at if unit_at >= 0 else self._unit_in_brackets(place)
        unit = min(self.roles(unit_at) & UNITS, default="") if unit_at >= 0 else ""
        if item.kind == "range" or self.in_range(place):
            return
        if not unit and JOINED in item.roles:
            unit, unit_at = self.unit_in_label(place), place
        if "ply" in item.roles:  # "ten-ply" in one word
            unit, unit_at = "ply", place
        if item.kind == "pair" and not unit and not self.title and self.part_of_size(place, item):
            self.cues.another(place)
            return
        if unit in LOAD_UNITS:
            self.load(place, item, unit, unit_at)
        elif unit in ("kmh", "mph"):
            self.speed(place, item, unit, unit_at)
        elif unit in ("psi", "kpa", "bar"):
            self.pressure(place, item, unit, unit_at)
        elif unit == "in":
            self.inches(place, item, unit_at)
        elif unit == "mm":
            self.millimeters(place, item, unit_at)
        elif unit == "32nds":
            with_tread = "with" in self.roles(place - 1) and self.after(unit_at, frozenset({"tread"}), through=3) >= 0
            if item.numbers[0] > 3 and ("at" not in self.roles(place - 1) or with_tread):
                self.say("tread_depth_32nds", item.numbers[0], place, place, unit_at, half=item.halves)
        elif unit == "db" and item.numbers[0] >= LEAST_DB:
            self.say("noise_db", item.numbers[0], place, place, unit_at)
        elif unit == "ply":
            self.ply(place, item, unit_at)
        elif self.number_and_symbol(place, item):
            self.say("service_description", f"{item.text}{self.text(place + 1)}", place, place, place + 1)
        elif unit != "other-unit":
            self.labeled(place, item)

    def _unit_in_brackets(self, place: int) -> int:
        """The unit that the label of a value gives in brackets: "OD (in): 31.4"; -1 for none."""
        back = place - 1
        while back > 1 and self.text(back) in (":", ")", "=") and place - back < 4:
            back -= 1
        bracketed = self.text(back - 1) == "(" and self.text(back + 1) == ")"
        return back if bracketed and self.roles(back) & _BRACKETED else -1

    def ply(self, place: int, item: Item, unit_at: int) -> None:
        value = item.numbers[0]
        if value not in PLIES:
            return
        if (
            self.after(unit_at, frozenset({"casing", "tread"}), through=2) >= 0
            and "PR" not in self.text(unit_at).upper()
        ):
            return
        self.say("ply_rating", value, place, place, unit_at)

    def labeled(self, place: int, item: Item) -> None:
        """A number without a unit behind it: what its label says."""
        value = item.numbers[0]
        if self.text(place + 1) == "s" and value in RIMS and self.label_before(place + 1, _FITS):
            self.say("rim_diameter_in", value, place, place, place)  # "fits 18s"
            return
        at = self.before(place, self.cues.roles.labels_and_masses)
        at = at if at >= 0 else self._label_back(place)
        if at >= 0 and "speed" in self.roles(at):
            unit = min(self.roles(at) & {"kmh", "mph"}, default="") or self.unit_in_label(place, SPEED_UNITS)
            if unit and value >= 60:
                self.speed(place, item, unit, place)
            return
        if at >= 0:
            role = self.role(
                at,
                ("single", "dual", "load", "kg", "lb", "index", "service", "treadwear", "utqg", "ply", "pressure",
                 "rim", "width", "aspect", "noise"),
            )  # fmt: skip
            if role in ("single", "dual", "load", "kg", "lb"):
                unit = self.unit_in_label(place)
                if unit and (self.label_around(place, _LOADS) >= 0 or self.fragment(place).each):
                    self.load(place, item, unit, place)
                return
            self._by_label(role, place, item, at)
            return
        if self.roles(place + 1) & {"single", "dual"} and value >= 100 and (unit := self.unit_in_label(place)):
            self.load(place, item, unit, place)  # "2,680 single / 2,600 dual (lb)"
            return
        ahead = self.after(place, _BARE, through=4)
        if ahead < 0 and item.kind == "pair" and not self.title and self._is_index_pair(item):
            for field, number in zip(("load_index", "load_index_dual"), item.numbers, strict=True):
                self.say(field, number, place, place, place).given = Given("load_index_dual", "any")
        elif ahead >= 0:
            role = self.role(ahead, ("index", "service", "treadwear", "rim", "ply", "aspect"))
            if role == "rim" and (value not in RIMS or (item.kind == "word" and value < 10)):
                return  # "four wheels"
            named = self.roles(place + 1) >= {"is", "verb"} and "the" in self.roles(place + 2) and ahead == place + 3
            if role in ("index", "service", "treadwear", "ply", "aspect") and ahead > place + 2 and not named:
                return  # but "106 is the load index"
            self._by_label(role, place, item, ahead)

    def _is_index_pair(self, item: Item) -> bool:
        """ "Branded 125/122": an index of a single and of a dual tire lie near each other, width and aspect do not."""
        if len(item.numbers) != 2 or "/" not in item.text:
            return False
        single, dual = item.numbers
        return LEAST_OF_PAIR <= dual < single <= _MOST_OF_PAIR and single - dual <= PAIR_APART

    def _label_back(self, place: int) -> int:
        """The label that a bare number may have further back in its fragment, no other value between; -1 for none."""
        if _BARE.isdisjoint(self.all_roles):
            return -1
        for back in range(place - 1, max(self.fragment(place).start, place - 9) - 1, -1):
            item = self.items[back]
            if item.roles & _BARE:
                return back
            if item.numbers or item.kind in ("letter", "service", "size", "own"):
                return -1
        return -1

    def _by_label(self, role: str, place: int, item: Item, at: int) -> None:
        value = item.numbers[0]
        first, last = min(at, place), max(at, place)
        if role in ("index", "service"):
            if self.explained(place):
                return
            if (item.kind == "number" and item.text.startswith("0")) or not 20 <= value <= 279:
                return
            self.say("load_index", value, place, first, last)
            if len(item.numbers) == 2 and item.kind == "pair":
                self.say("load_index_dual", item.numbers[1], place, first, last)
        elif role == "treadwear" or (role == "utqg" and value >= 60):
            self.say("treadwear", value, place, first, last)
            behind = [at for at in range(place + 1, min(place + 5, len(self.items))) if self.text(at) != "/"]
            for field, at in zip(("traction", "temperature"), behind, strict=False):
                if self.text(at) not in ("A", "B", "C", "AA"):
                    break
                self.say(field, self.text(at), at, at, at)
        elif role == "ply":
            if not 0 < at < place or not self.items[at - 1].numbers:  # "20 PR ... 10" says what the 20 is
                self.ply(place, item, at)
        elif role == "pressure" and self.roles(at) & {"psi"} | {"psi"} and "psi" in self.text(at).lower():
            self.say("max_pressure_psi", value, place, first, last)
        elif role == "rim" and value in RIMS and self.text(place + 1) != "x":
            if self._lists_rims(place):
                return
            if item.halves < 0.5 and value < 12:
                return  # "230 mm wide on the 8.0 rim"
            if value < 10 and self.items[place + 1 : place + 2] and self.items[place + 1].kind in ("filler", "letter"):
                return  # the width in "7Jx17"
            if item.kind == "pair" and (
                ("x" in item.text and item.numbers[1] > 12) or self.text(at) in ("Wheel", "wheel")
            ):
                return
            if len(item.numbers) == 2 and "/" in item.text and item.numbers[1] <= HIGHEST_FLANGE_IN:
                return  # "rim 14.00/1.5": the width and the flange height of an earth-mover's rim
            self.say("rim_diameter_in", value, place, first, last)
        elif role == "width" and value >= 100:
            self.say("section_width_mm", value, place, first, last)
        elif role == "aspect" and 20 <= value <= 100 and "the" in self.roles(first - 1) and not self.title:
            self.given = Given("aspect_ratio", value)
            for other in self.values:
                other.given = self.given
        elif role == "aspect" and 20 <= value <= 100:
            self.say("aspect_ratio", value, place, first, last)
        elif role == "noise" and 60 <= value <= 80:
            self.say("noise_db", value, place, first, last)

    def _lists_rims(self, place: int) -> bool:
        """ "Rim diameters 17.5, 19.5 and 22.5": what there is."""
        joined = self.text(place + 1) == "," or self.roles(place + 1) & {"and", "or"}
        then = self.items[place + 2] if joined and place + 2 < len(self.items) else self.items[place]
        return then.kind == "number" and then.numbers != self.items[place].numbers and then.numbers[0] in RIMS

    def explained(self, place: int) -> bool:
        """Whether a code is explained, not claimed: "load index 106 stands for 950 kg"."""
        taken_up = self.text(place + 1) == "," and bool(self.roles(place + 2) & {"it", "is"})
        if self._is_for_others(place) or (taken_up and not self.title and self._amount_behind(place + 2)):
            return True
        for ahead in range(place + 1, min(place + 4, self.fragment(place).end)):
            if self.roles(ahead) & {"this", "it", "tire"}:
                return False
            unknown = (self.text(ahead) == LOWER or self.explains(ahead)) and self._is_code(place)
            is_amount = ("verb" in self.roles(ahead) or unknown) and self._amount_behind(ahead)
            if ahead == place + 1 == self.fragment(place).end - 1 and "is" in self.roles(ahead):
                return False  # "106V marked": nothing behind it explains
            if (
                self.text(ahead) == "="
                or ("means" in self.roles(ahead) and "carries" not in self.roles(ahead))
                or ("carries" in self.roles(ahead) and self._amount_behind(ahead))
                or is_amount
                or ("runs" in self.roles(ahead) and ahead == place + 1)
            ):
                return True
        return False

    def _is_for_others(self, place: int) -> bool:
        """ "Speed symbol V is for tourers": of whom a code is, no claim."""
        copula, small = self.roles(place + 1), self.roles(place + 2)
        if not copula >= {"is", "verb"} or "is" not in small or small & (VERBS | {"the", "max"}):
            return False
        return place + 3 < len(self.items) and self.text(place + 3) == LOWER

    def _amount_behind(self, place: int) -> bool:
        ahead = range(place + 1, min(place + 4, len(self.items)))
        return any(self.items[at].numbers and self.roles(at + 1) & {"kg", "lb", "kmh", "mph"} for at in ahead)

    def inches(self, place: int, item: Item, unit_at: int) -> None:
        value = item.numbers[0]
        if self.text(place - 1) in ("x", "X") and self.roles(place - 2) & {"in"}:
            return  # the width in '14" x 6"'
        label = self._nearest(place, _MEASURED)
        role = self.role(label, ("width", "diameter", "rim", "tread")) if label >= 0 else ""
        if label >= 0 and self.roles(label) >= {"diameter", "rim"}:
            role = "rim" if value in RIMS and value < 25 else "diameter"
        if role == "diameter" and value in RIMS and value < _MOST_RIM and self._rim_beside(place, label, unit_at):
            role = "rim"  # "rims of 15 in diameter", '20" dia. wheel'
        fits = self.label(place, _FITS)
        mounted = fits > unit_at and fits + 1 == self.fragment(place).end and "prep" in self.roles(place - 1)
        if not role and value >= 8 and (self.fragment(place).start <= fits < place or mounted):
            role = "rim"
        if role == "rim" and self._rim_is_subject(place, label):
            return
        if role == "rim" and value in RIMS and not item.text.endswith(".0"):
            self.say("rim_diameter_in", value, place, place, unit_at, half=item.halves)
        elif role == "diameter" and value >= 12:
            self.say("overall_diameter_in", value, place, place, unit_at, half=item.halves)
        elif role == "width" and not self._rim_beside(place, label, unit_at):
            self.say("section_width_in", value, place, place, unit_at, half=item.halves)
        elif (
            not role
            and value in RIMS
            and value >= 12
            and (
                self.roles(place - 1) & {"at", "is"}
                or self.after(unit_at, frozenset({"size", "another"}), through=3) >= 0
                or self.roles(place - 1) & {"size", "another"}
            )
        ):
            self.given = Given("rim_diameter_in", value)
            for other in self.values:  # "Speed index W in 16 inches"
                if other.given is None and other.place >= self.fragment(place).start:
                    other.given = self.given
        elif not role and self.fragment(place).tire and self._one_tire_behind(unit_at):
            field = "rim_diameter_in" if value <= _MOST_RIM else "overall_diameter_in"
            self.say(field, value, place, place, unit_at, half=item.halves)
        elif not role and value in RIMS and 8 <= value <= _MOST_RIM and len(self.items) <= 3 and self.alone(place):
            self.say("rim_diameter_in", value, place, place, unit_at, half=item.halves)

    def _rim_beside(self, place: int, label: int, unit_at: int) -> bool:
        """Whether a rim is named near a diameter."""
        near = range(max(self.fragment(place).start, place - 3), min(max(label, unit_at) + 2, self.fragment(place).end))
        return any("rim" in self.roles(at) and "diameter" not in self.roles(at) for at in near)

    def _rim_is_subject(self, place: int, rim: int) -> bool:
        """ "18-inch wheels came standard": what rims do by themselves says nothing of a tire."""
        fragment = self.fragment(place)
        inside = self.items[fragment.start : fragment.end]
        if fragment.this >= 0 or fragment.tire or any(item.roles & {"fits", "load"} for item in inside):
            return False
        behind = self.items[max(place, rim) + 1 : fragment.end]
        leads = all("the" in item.roles for item in self.items[fragment.start : place])
        acts = leads and len(behind) > 1 and behind[0].text == LOWER  # "18-inch wheels ride harder"
        return acts or any("does" in item.roles for item in behind)

    def _one_tire_behind(self, place: int) -> bool:
        at = self.after(place, frozenset({"tire"}), through=3)
        return at >= 0 and self.text(at)[-1:] != "s"

    def _nearest(self, place: int, wanted: frozenset[str]) -> int:
        fragment = self.fragment(place)
        best, distance = -1, 99.0
        for at in range(fragment.start, fragment.end):
            if self.roles(at) & wanted:
                far = place - at if at < place else at - place - 0.5
                if far < distance:
                    best, distance = at, far
        if best < 0:
            number = self.cues.of[place]
            if fragment.opened in ("(", ":") and number:
                before = self.cues.fragments[number - 1]
                best = next((at for at in range(before.end - 1, before.start - 1, -1) if self.roles(at) & wanted), -1)
                best = best if best >= 0 else self.label_around(place, wanted)
            if best < 0 and fragment.opened == "(":  # "twenty-two (22) inch wheels"
                behind = range(fragment.end + 1, min(fragment.end + 3, len(self.items)))
                best = next((at for at in behind if self.roles(at) & wanted), -1)
        return best

    def millimeters(self, place: int, item: Item, unit_at: int) -> None:
        value = item.numbers[0]
        label = self._nearest(place, frozenset({"width", "diameter", "tread"}))
        role = self.role(label, ("tread", "width", "diameter")) if label >= 0 else ""
        if role == "tread" and 4 < value < 60:
            self.say("tread_depth_mm", value, place, place, unit_at, half=item.halves)
        elif role == "width" and value >= 80:
            self.say("section_width_mm", value, place, place, unit_at, half=item.halves)
        elif role == "diameter" and value >= 250:
            self.say("overall_diameter_mm", value, place, place, unit_at, half=item.halves)
