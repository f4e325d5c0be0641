"""The listings that offers tie the report's listings to, by what people call them."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence

import numpy as np

from auditor.across.offer_links import OfferLink, OfferLinks
from auditor.engine.feed_run import FeedRun
from auditor.outputs.audit_result import OfferEnd, OfferEnds
from auditor.outputs.worst_findings import WorstFindings
from auditor.rulebook.book import RuleBook

_MOST = 6  # of one listing; a tire may be offered in place of thousands
_CALLED_BY = ("sku", "part_number", "gtin")
Place = tuple[int, int]  # feed of the run, record


def offer_ends(
    runs: Sequence[FeedRun], worst: WorstFindings, book: RuleBook, links: OfferLinks | None
) -> dict[tuple[str, str | None, int], OfferEnds]:
    """By feed, sheet and record of the worst findings' listings: the listings at the other ends of their offers."""
    if links is None:
        return {}
    numbers = {(run.feed.name, run.feed.sheet): run.number for run in runs}
    rows = worst.table.select(["feed", "sheet", "record"]).to_pylist()
    shown = {(numbers[row["feed"], row["sheet"]], row["record"]): tuple(row.values()) for row in rows}
    ends: dict[Place, list[OfferLink]] = {}
    in_all: Counter[Place] = Counter()
    for link in links.of(shown):
        place = (link.feed, link.record)
        in_all[place] += 1
        if in_all[place] <= _MOST:
            ends.setdefault(place, []).append(link)
    by_number = {run.number: run for run in runs}
    called = _called([link for some in ends.values() for link in some], by_number)
    rules = {rule.check: rule.id for rule in book.rules if rule.kind == "across"}

    def end(link: OfferLink) -> OfferEnd:
        feed, place = by_number[link.other_feed].feed, (link.other_feed, link.other_record)
        return OfferEnd(feed.name, feed.sheet, link.other_record, called[place], rules[link.check], link.is_new)

    def order(link: OfferLink) -> tuple[bool, int, int]:
        return not link.is_new, link.other_feed, link.other_record

    return {
        shown[place]: OfferEnds([end(link) for link in sorted(some, key=order)], in_all[place])
        for place, some in ends.items()
    }


def _called(links: Sequence[OfferLink], runs: Mapping[int, FeedRun]) -> dict[Place, str]:
    """What the listings at the other ends are called; a feed's identifiers alone are read, and only where they lie."""
    found = {(link.other_feed, link.other_record): f"record {link.other_record}" for link in links}
    for number in sorted({feed for feed, _ in found}):
        run = runs[number]
        records = np.array(sorted(record for feed, record in found if feed == number))
        uses = {use.fields[0]: use.position for use in run.plan.uses if use.position >= 0 and use.fields}
        positions = [uses[name] for name in _CALLED_BY if name in uses]
        for unit in run.feed.units() if positions else ():
            last = unit.first_record + unit.records if unit.records is not None else records[-1] + 1
            if not ((records >= unit.first_record) & (records < last)).any():
                continue
            for block in run.feed.blocks(unit, positions):
                for row in np.flatnonzero(np.isin(block.records, records)).tolist():
                    texts = (column[row].as_py() for column in block.columns)
                    name = next((text.strip() for text in texts if text and text.strip()), None)
                    if name:
                        found[number, int(block.records[row])] = name
    return found
