"""Whose a size is that a sentence names: this tire's, by a label or as what is offered, or another one's."""

from __future__ import annotations

from auditor.claims.clauses import THIS, VERBS
from auditor.claims.fragments import Fragment
from auditor.claims.items import UNITS
from auditor.claims.others import Others
from auditor.claims.words import OWN

_SMALL = frozenset({"the", "verb", "is", "with", "yes", "tire", "each"})
_OTHERS = frozenset({"another", "than", "also", "if", "never", "ask", "person", "general", "group", "or", "thing"})


class Sizes(Others):
    """The sizes of a sentence."""

    title: bool
    onward: list[dict[str, int]]  # per fragment: cues in force when it begins
    sentence_cues: dict[str, int]
    after_another: bool  # the sentence before spoke of another tire

    def own_size(self, place: int, fragment: Fragment) -> None:
        """The listing's own size names this tire, unless another service description or a cue says otherwise."""
        after = self.items[place + 1] if place + 1 < len(self.items) else None
        before = self.roles_at(place - 1) if place > fragment.start else frozenset()
        told_apart = after is not None and "not" in after.roles and "the" in before  # "the 225/65R17 without studs"
        if after is not None and (after.kind == "service" or told_apart) and not self.title:
            self.sentence_cues.setdefault("another", place)
            return
        for near in self.fragments[max(len(self.onward) - 2, 0) : len(self.onward)]:
            if any(role in near.cues for role in ("another", "than", "also")):
                return
        fragment.this = place

    def other_size(self, place: int, fragment: Fragment) -> None:
        """Another size is another tire, unless a label says that it is this one's."""
        if not self.title and not self.labeled_size(place, fragment):
            self.sentence_cues.setdefault("another", place)
        elif self.title and any(item.text == OWN for item in self.items):
            fragment.cues.setdefault("also", place)

    def labeled_size(self, place: int, fragment: Fragment) -> bool:
        """Whether another size is said to be this tire's: "Size: X", "You get X", or a text that begins with it."""
        if place and "this-one" in self.items[place - 1].roles:
            return True
        if any(role in fragment.cues for role in ("another", "than", "also", "if", "never", "ask", "not")):
            return False
        if self.after_another and place == 0:
            return False  # "Bigger? 235/65R17."
        if any(item.roles & {"another", "ask", "also", "too", "tires"} for item in self.items):
            return False
        if self.text_at(place + 1) == ":" and "prep" in self.roles_at(place - 1) and place > fragment.start + 1:
            return False  # "Height of the tyre in 215/60R16: 664 mm"
        if any("this" in self.roles_at(at) for at in range(place + 1, min(place + 4, len(self.items)))):
            return True  # "the 225/65R17 you see here"
        led = place > fragment.start and "the" in self.items[place - 1].roles and place - 1 > fragment.start
        if self.roles_at(place + 1) & {"person", "test", "vehicle"} and place == fragment.start:
            return False  # "225/60R17 drivers"
        axle = "position" in self.roles_at(fragment.start) and self.has_verb  # "In front belongs a 225/40R19"
        if self._measured_in(place, fragment) or axle:
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

    def _measured_in(self, place: int, fragment: Fragment) -> bool:
        """Whether something is measured of a size: "975 kg per tire in 255/50R19", "In size 265/70R17 it holds"."""
        led = self.items[fragment.start : place]
        if any(item.roles & UNITS and led[at - 1].numbers for at, item in enumerate(led) if at):
            return True
        within = bool(led) and bool(led[0].roles & {"is", "at", "with"}) and not led[0].roles & (VERBS | THIS)
        if len(led) > 2 and any("each" in item.roles for item in led) and led[-2].roles & {"is", "at", "with"}:
            within = within or "size" in led[-1].roles  # "Every tire in size 235/55R18 carries"
        behind = self.items[place + 1 : fragment.end]
        return within and any(item.roles & VERBS or "it" in item.roles for item in behind)

    def offers(self, place: int) -> bool:
        """Whether a sentence without a verb speaks of nobody else: what it names is this tire's."""
        return not self.has_verb and not self._spoken_of_another(place)

    def _for_a_thing(self) -> bool:
        """ "For the hybrid, 225/60R18": a sentence begins with whom it is for."""
        first, second, third = self.items[:3]
        return bool(first.roles & {"is", "at"}) and "the" in second.roles and third.kind == "filler"

    def _spoken_of_another(self, place: int) -> bool:
        """Whether the sentence names several sizes, or speaks of others, of choices or of an order anywhere."""
        sizes = {item.text for item in self.items if item.kind == "size" or item.text == OWN}
        vehicle = any("vehicle" in item.roles for item in self.items[:place])
        denied = any("not" in item.roles for item in self.items[:place])  # "without a rim" may follow
        axle = any(
            "position" in item.roles and self.items[at + 1].text == ":" for at, item in enumerate(self.items[:-1])
        )
        if self.fragments and place > 3 and self._for_a_thing():
            return True
        return len(sizes) > 1 or vehicle or denied or axle or any(item.roles & _OTHERS for item in self.items)
