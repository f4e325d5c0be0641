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
        self.facts = {position: facts_of(one) for position, one in self.listings.items()}
        self.gtins = {position: gtin_of(one) for position, one in self.listings.items()}

    def supplier(self, position: Place) -> str:
        return known(self.listings[position].get("supplier", "")) or f"feed{position[0]}.csv"

    def text(self, position: Place, field: str) -> str:
        return known(self.listings[position].get(field, ""))

    def keys(self, position: Place) -> dict[str, object]:
        brand, part = self.text(position, "brand"), self.text(position, "part_number")
        return {
            "sku": self.text(position, "sku"),
            "part_number": (brand, part) if brand and part else "",
            "gtin": self.gtins[position],
        }

    def groups(self, field: str) -> Iterator[list[Place]]:
        grouped = defaultdict(list)
        for position in self.listings:
            if self.keys(position)[field]:
                grouped[self.keys(position)[field]].append(position)
        yield from grouped.values()

    def by_supplier(self, positions: list[Place]) -> dict[str, list[Place]]:
        grouped = defaultdict(list)
        for position in positions:
            grouped[self.supplier(position)].append(position)
        return grouped

    def differs(self, positions: list[Place], names: tuple[str, ...]) -> bool:
        return any(len({self.facts[p][name] for p in positions if name in self.facts[p]}) > 1 for name in names)

    def texts_differ(self, positions: list[Place], fields: tuple[str, ...]) -> bool:
        return any(len({self.text(p, field) for p in positions} - {""}) > 1 for field in fields)

    def shared(self, field: str = "gtin") -> set[Place]:
        found = set()
        for group in self.groups(field):
            for own in self.by_supplier(group).values():
                if self.differs(own, FACTS) or self.texts_differ(own, ("brand", "model")):
                    found |= set(own)
        return found

    def duplicated(self) -> dict[Place, tuple[str, Place]]:
        found: dict[Place, tuple[str, Place]] = {}
        shared, of_one_sku = self.shared(), self.shared("sku")
        for field in ("sku", "part_number", "gtin"):
            for group in self.groups(field):
                for own in self.by_supplier(group).values():
                    for position, first in self._repeats(own):
                        if position not in shared and not (field == "sku" and position in of_one_sku):
                            found.setdefault(position, (field, first))
        return found

    def _repeats(self, own: list[Place]) -> Iterator[tuple[Place, Place]]:
        gtins = {self.gtins[p] for p in own} - {""}
        one_tire = not self.differs(own, (*FACTS, "unread")) and not self.texts_differ(own, ("brand", "model"))
        if one_tire and len(gtins) < 2:
            yield from ((position, own[0]) for position in own[1:])
            return
        seen: dict[object, Place] = {}
        for position in own:
            facts = tuple((name, self.facts[position].get(name)) for name in (*FACTS, "unread"))
            same = (facts, self.text(position, "brand"), self.text(position, "model"), self.gtins[position])
            if same in seen:
                yield position, seen[same]
            seen.setdefault(same, position)

    def disputes(self) -> dict[tuple[Place, str], set[str]]:
        found: dict[tuple[Place, str], set[str]] = {}
        for field in ("gtin", "part_number"):
            new = defaultdict(set)
            for group in self.groups(field):
                statements_among = [own for own in self.by_supplier(group).values() if not self.differs(own, FACTS)]
                for name in FACTS:
                    saying = [p for own in statements_among for p in own if name in self.facts[p]]
                    if self.differs(saying, (name,)):
                        for position in saying:
                            new[position, self.cell(position, name)].add(name)
            for cell, names in new.items():
                found.setdefault(cell, names)
        return found

    def cell(self, position: Place, name: str) -> str:
        return str(self.facts[position].get("range from", "marking")) if name == "range" else "marking"

    def odd(self) -> set[Place]:
        grouped = defaultdict(list)
        for position, facts in self.facts.items():
            if "size" in facts and "index" in facts:
                grouped[facts["size"]].append(position)
        return {position for group in grouped.values() for position in group if self._stands_apart(position, group)}

    def _stands_apart(self, position: Place, group: list[Place]) -> bool:
        peers = [p for p in group if p != position]
        if len(peers) < 10 or len({self.text(p, "brand") for p in peers} - {""}) < 2:
            return False
        mode, count = Counter(self.facts[p]["index"] for p in peers).most_common(1)[0]
        if any(self.facts[p]["index"] == self.facts[position]["index"] for p in peers):
            return False
        return count * 5 >= len(peers) * 4 and abs(mode - self.facts[position]["index"]) >= 2
