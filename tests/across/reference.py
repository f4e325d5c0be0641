"""The rules across listings once more, written with dictionaries and loops, to hold the fast ones to."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterator

from stdnum import ean

from auditor.marking import Unreadable, decode

Listing = dict[str, str]
Place = tuple[int, int]  # feed, record
SIZE_FACTS = ("width", "aspect", "rim", "diameter")
BLANK = ("", "-", "n/a", "unknown", "0")


def known(text: str) -> str:
    text = text.strip().lower()
    return "" if text in BLANK else text


def gtin_of(listing: Listing) -> str:
    digits = listing.get("gtin", "").strip().replace("-", "").replace(" ", "")
    if not digits.isdecimal() or len(digits) > 14 or int(digits) < 100_000:
        return ""
    whole = digits.zfill(14)
    return whole if ean.calc_check_digit(whole[:-1]) == whole[-1] else ""


def facts_of(listing: Listing) -> dict[str, object]:
    """What is known of the tire; a missing fact is absent."""
    found: dict[str, object] = {}
    marking = decode(listing.get("marking", ""))
    if isinstance(marking, Unreadable):
        text = known(listing.get("marking", ""))
        return {"unread": text} if text else {}
    width = marking.section_width_mm or (marking.section_width_in and marking.section_width_in * 25.4)
    found |= {"width": width, "aspect": marking.aspect_ratio, "rim": marking.rim_diameter_in}
    found["diameter"] = marking.overall_diameter_in
    if not marking.additional:
        service = marking.service
        found |= {"index": service.load_index, "dual": service.load_index_dual}
        if service.speed_symbol:
            found["symbol"] = (service.speed_symbol, service.speed_open)
    found["range"] = marking.load_range
    stated = listing.get("load_range", "").strip()
    if not found["range"]:
        found["range"] = stated or None
        found["range from"] = "load_range"
    found["size"] = (marking.size_text.replace("ZR", "R"), marking.load_version or "SL", found["range"])
    return {name: value for name, value in found.items() if value is not None}


FACTS = (*SIZE_FACTS, "index", "dual", "symbol", "range")


class Catalog:
    def __init__(self, feeds: list[list[Listing]]) -> None:
        self.listings = {(f, r): one for f, feed in enumerate(feeds) for r, one in enumerate(feed, start=1)}
        self.facts = {place: facts_of(one) for place, one in self.listings.items()}
        self.gtins = {place: gtin_of(one) for place, one in self.listings.items()}

    def supplier(self, place: Place) -> str:
        return known(self.listings[place].get("supplier", "")) or f"feed{place[0]}.csv"

    def text(self, place: Place, field: str) -> str:
        return known(self.listings[place].get(field, ""))

    def keys(self, place: Place) -> dict[str, object]:
        brand, part = self.text(place, "brand"), self.text(place, "part_number")
        return {
            "sku": self.text(place, "sku"),
            "part_number": (brand, part) if brand and part else "",
            "gtin": self.gtins[place],
        }

    def groups(self, field: str) -> Iterator[list[Place]]:
        grouped = defaultdict(list)
        for place in self.listings:
            if self.keys(place)[field]:
                grouped[self.keys(place)[field]].append(place)
        yield from grouped.values()

    def by_supplier(self, places: list[Place]) -> dict[str, list[Place]]:
        grouped = defaultdict(list)
        for place in places:
            grouped[self.supplier(place)].append(place)
        return grouped

    def differs(self, places: list[Place], names: tuple[str, ...]) -> bool:
        return any(len({self.facts[p][name] for p in places if name in self.facts[p]}) > 1 for name in names)

    def texts_differ(self, places: list[Place], fields: tuple[str, ...]) -> bool:
        return any(len({self.text(p, field) for p in places} - {""}) > 1 for field in fields)

    def shared(self) -> set[Place]:
        found = set()
        for group in self.groups("gtin"):
            for own in self.by_supplier(group).values():
                if self.differs(own, FACTS) or self.texts_differ(own, ("brand", "model")):
                    found |= set(own)
        return found

    def duplicated(self) -> dict[Place, tuple[str, Place]]:
        found: dict[Place, tuple[str, Place]] = {}
        shared = self.shared()
        for field in ("sku", "part_number", "gtin"):
            for group in self.groups(field):
                for own in self.by_supplier(group).values():
                    for place, first in self._repeats(own):
                        if place not in shared:
                            found.setdefault(place, (field, first))
        return found

    def _repeats(self, own: list[Place]) -> Iterator[tuple[Place, Place]]:
        gtins = {self.gtins[p] for p in own} - {""}
        one_tire = not self.differs(own, (*FACTS, "unread")) and not self.texts_differ(own, ("brand", "model"))
        if one_tire and len(gtins) < 2:
            yield from ((place, own[0]) for place in own[1:])
            return
        seen: dict[object, Place] = {}
        for place in own:
            facts = tuple((name, self.facts[place].get(name)) for name in (*FACTS, "unread"))
            same = (facts, self.text(place, "brand"), self.text(place, "model"), self.gtins[place])
            if same in seen:
                yield place, seen[same]
            seen.setdefault(same, place)

    def disputes(self) -> dict[tuple[Place, str], set[str]]:
        found: dict[tuple[Place, str], set[str]] = {}
        for field in ("gtin", "part_number"):
            new = defaultdict(set)
            for group in self.groups(field):
                heard = [own for own in self.by_supplier(group).values() if not self.differs(own, FACTS)]
                for name in FACTS:
                    saying = [p for own in heard for p in own if name in self.facts[p]]
                    if self.differs(saying, (name,)):
                        for place in saying:
                            new[place, self.cell(place, name)].add(name)
            for cell, names in new.items():
                found.setdefault(cell, names)
        return found

    def cell(self, place: Place, name: str) -> str:
        return str(self.facts[place].get("range from", "marking")) if name == "range" else "marking"

    def odd(self) -> set[Place]:
        grouped = defaultdict(list)
        for place, facts in self.facts.items():
            if "size" in facts and "index" in facts:
                grouped[facts["size"]].append(place)
        return {place for group in grouped.values() for place in group if self._stands_apart(place, group)}

    def _stands_apart(self, place: Place, group: list[Place]) -> bool:
        peers = [p for p in group if p != place]
        if len(peers) < 10 or len({self.text(p, "brand") for p in peers} - {""}) < 2:
            return False
        mode, count = Counter(self.facts[p]["index"] for p in peers).most_common(1)[0]
        return count * 5 >= len(peers) * 4 and abs(mode - self.facts[place]["index"]) >= 2
