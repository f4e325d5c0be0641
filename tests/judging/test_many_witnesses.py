"""However many statements a listing makes and however many rules there are, evidence is whole, by every path alike."""

from __future__ import annotations

import random
from collections.abc import Callable
from dataclasses import replace
from functools import partial

import numpy as np
import pyarrow as pa
import pytest

from auditor.columns import value_cache
from auditor.engine.unit_audit import FeedPlan, UnitAuditor
from auditor.feeds.model import Block, ColumnUse
from auditor.judging.block import hits
from auditor.judging.statements import Source, place_of
from auditor.programs.one_listing import audit_one
from auditor.rulebook.book import RuleBook, load_book
from auditor.rulebook.built_in import load_contract
from tests.judging.test_same_verdict import TEXTS, Findings, Listing, _by_record

BOOK = load_book()
MARKINGS = ["225/65R17 102H", "LT245/75R16 120/116S E", "LT265/70R17 121/118S E", "31x10.50R15LT 109S C"]
LOADS = ("900 kg", "850", "1,360/1,250 kg", "1360 kg (2998 lb)", "2998/2756 lb")
TOGETHER = {  # cells that say more than their own field
    **dict.fromkeys(("max_load_kg", "max_load_lb", "max_load_dual_kg", "max_load_dual_lb"), LOADS),
    **dict.fromkeys(("load_index", "load_index_dual", "speed_symbol"), ("102H", "120/116S", "120/116", "102", "S")),
    **dict.fromkeys(("load_range", "ply_rating"), ("E", "E/10", "XL", "SL/4", "10")),
    **dict.fromkeys(("max_speed_kmh", "max_speed_mph"), ("210", "130 mph", "210 km/h (130 mph)")),
}
CLAIMS = [*MARKINGS, "load index 102", "1,360 kg single", "1,250 kg dual", "up to 210 km/h", "130 mph", "load range E"]
RARE = 12  # one listing in so many says more than a value of its own field in a cell


def filled_listings(count: int, seed: int = 3) -> list[Listing]:
    """Listings with every field filled, so that much disagrees; what a column can state, few of its cells do."""
    dice = random.Random(seed)

    def cell(name: str) -> str:
        if name in ("marking", "size"):
            return dice.choice(MARKINGS)
        if name in ("title", "description"):
            return " ".join(dice.choice(CLAIMS) for _ in range(dice.randrange(1, 6)))
        if name in TOGETHER and dice.randrange(RARE) == 0:
            return dice.choice(TOGETHER[name])
        return dice.choice(TEXTS.get(name, ["17"]))

    return [{name: cell(name) for name in load_contract().fields} for _ in range(count)]


def by_blocks(listings: list[Listing], book: RuleBook, turns: list[range]) -> list[Findings]:
    """The findings of the batch engine's kernel, which reads the listings in blocks, turn by turn."""
    fields = sorted(listings[0], key=place_of)
    sources = tuple(Source(position, name, name) for position, name in enumerate(fields))
    uses = tuple(ColumnUse(name, position, (name,)) for position, name in enumerate(fields))
    plan = FeedPlan("made.parquet", None, "", sources, uses, tuple(range(len(fields))))
    auditor = UnitAuditor(book)
    found: list[Findings] = [[] for _ in listings]
    for turn in turns:
        columns = [pa.array([listings[at][name] for at in turn], pa.string()) for name in fields]
        result = auditor.audit(plan, Block(0, columns, np.array(turn) + 1))
        for at, findings in enumerate(_by_record(result.findings, len(listings))):
            found[at] += findings
    return found


def by_call(listings: list[Listing], book: RuleBook) -> list[Findings]:
    """What a call finds, but for offers of other tires, which an audit joins when all its units are judged."""
    found = [audit_one(listing, book).findings for listing in listings]
    return [[one.as_json() for one in each if not one.rule.startswith("substitute-")] for each in found]


def blocks_of(size: int, count: int) -> list[range]:
    return [range(start, min(start + size, count)) for start in range(0, count, size)]


ORDERS: dict[str, Callable[[int], list[range]]] = {
    "all at once": lambda count: [range(count)],
    "from the first": partial(blocks_of, 7),
    "from the last": lambda count: blocks_of(7, count)[::-1],
}


@pytest.mark.parametrize("order", ORDERS)
def test_evidence_is_whole_whatever_was_read_before(order: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """What other records' cells say adds witnesses that are silent here; none may push another one out."""
    asked: list[int] = []
    ask = hits.evidence_of
    monkeypatch.setattr(hits, "evidence_of", lambda st: asked.append(len(found := ask(st))) or found)
    listings = filled_listings(60)
    blocks = by_blocks(listings, BOOK, ORDERS[order](len(listings)))
    assert max(asked) > 64
    if order != "all at once":
        assert len(set(asked)) > 3
    called = by_call(listings, BOOK)
    assert sum(map(len, called)) > 600
    for one, other in zip(blocks, called, strict=True):
        assert one == other


def test_caches_that_start_anew_change_no_evidence(monkeypatch: pytest.MonkeyPatch) -> None:
    listings = filled_listings(60)
    usual = by_blocks(listings, BOOK, [range(60)])
    monkeypatch.setattr(value_cache, "MOST_TEXTS", 5)
    assert by_blocks(listings, BOOK, blocks_of(9, 60)) == usual


@pytest.mark.parametrize("count", [1, 90])
def test_each_of_many_rules_is_named_where_it_found_something(count: int) -> None:
    """Copies of a rule, in turn for one cell and for another: the rule speaks, and evidence names its cell's copies."""
    rule, last = BOOK.rule("load-overstated"), BOOK.rules[-1].order
    fields = ("max_load_kg", "max_load_lb")
    copies = [
        replace(
            rule,
            id=f"own-{number}",
            order=last + 1 + number,
            pairs=tuple(pair for pair in rule.pairs if pair.stated == fields[number % 2]),
        )
        for number in range(count)
    ]
    book = replace(BOOK, rules=(*BOOK.rules, *copies))
    loads = [("1050", "2315"), ("850", "1874"), ("950", "2094")]
    listings = [{"marking": "225/65R17 102H", "max_load_kg": kg, "max_load_lb": lb} for kg, lb in loads]
    blocks = by_blocks(listings, book, [range(3)])
    assert blocks == by_call(listings, book)
    assert blocks[1] == []
    for findings in (blocks[0], blocks[2]):
        assert [(one["rule"], one["field"]) for one in findings] == [(rule.id, field) for field in fields]
        for one, own in zip(findings, (copies[::2], copies[1::2]), strict=True):
            assert _also(one["evidence"]) == [copy.id for copy in own]


def _also(evidence: str) -> list[str]:
    """The other rules that the evidence of a finding names."""
    _, named, listed = evidence.partition("; also on this cell: ")
    return listed.split(";")[0].split(", ") if named else []
