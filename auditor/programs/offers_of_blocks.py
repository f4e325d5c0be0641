"""What the listings of a block offer by themselves, each as it would alone: see `auditor.programs.own_offers`."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, fields

import numpy as np
import numpy.typing as npt
import pyarrow as pa

from auditor.across.block_offers import ALL_FIELDS
from auditor.across.facts import BlockFacts, KeysNeeded, block_facts
from auditor.across.scope import in_scope
from auditor.judging.block.feed_plan import FeedPlan
from auditor.judging.block.identity import RecordIdentity
from auditor.judging.block.statements import BlockStatements
from auditor.judging.statements import TEXTS
from auditor.programs.listing_finding import ListingFinding
from auditor.programs.own_offers import Offer, Offering, found_offers
from auditor.rulebook.finding import GRADES
from auditor.substitution.offers import FIELDS, parted

_WANTED = KeysNeeded(gtin=False, part=False, sku=True, peers=False, substitutes=True)
_OF_FINDING = tuple(field.name for field in fields(ListingFinding))
_TYPES = {name: pa.float64() if name == "deviation" else pa.string() for name in _OF_FINDING}


@dataclass(frozen=True, slots=True)
class OffersOfBlock:
    """What became of the offers of a block."""

    findings: pa.Table | None  # `record`, from 1, `order` of the rule, and the columns of ListingFinding
    worst: npt.NDArray[np.int8]  # per record
    untold: Mapping[str, npt.NDArray[np.bool_]]  # rule -> records for which it could not tell


def offers_of_block(plan: FeedPlan, st: BlockStatements) -> OffersOfBlock:
    """What is found on the offers of a block's records."""
    rows: list[dict[str, object]] = []
    worst = np.full(st.count, len(GRADES), np.int8)
    untold: dict[str, npt.NDArray[np.bool_]] = {}
    order = {rule.id: rule.order for rule in st.book.rules}
    for row, offering, facts in _offerings(plan, st):
        found = found_offers(offering, st.book, lambda rule, facts=facts: bool(in_scope(rule, facts)[0]))  # type: ignore[misc]
        for finding in found.findings:
            values = {name: getattr(finding, name) for name in _OF_FINDING}
            rows.append({"record": row + 1, "order": order[finding.rule], **values})
            worst[row] = min(worst[row], GRADES.index(finding.grade))
        for rule in found.untold:
            untold.setdefault(rule, np.zeros(st.count, np.bool_))[row] = True
    return OffersOfBlock(pa.Table.from_pylist(rows, _SCHEMA) if rows else None, worst, untold)


_SCHEMA = pa.schema([("record", pa.int64()), ("order", pa.int16()), *_TYPES.items()])


def with_offers(findings: pa.Table | None, offers: OffersOfBlock) -> pa.Table | None:
    """The findings of a block with those on its offers among them, by record, rule, field."""
    if offers.findings is None or findings is None:
        return findings if offers.findings is None else _in_order(offers.findings)
    return _in_order(pa.concat_tables([findings.select(_SCHEMA.names).cast(_SCHEMA), offers.findings]))


def _in_order(table: pa.Table) -> pa.Table:
    return table.sort_by([(name, "ascending") for name in ("record", "order", "field")])


def _offerings(plan: FeedPlan, st: BlockStatements) -> Iterator[tuple[int, Offering, npt.NDArray[np.void]]]:
    """(place of the record, what it offers, its row of facts) of the records that name tires by their markings."""
    if not (any(source.field in FIELDS for source in st.sources) or any(len(one.rows) for one in st.replaced.values())):
        return
    facts = block_facts(plan, st, np.arange(st.count), _WANTED)
    if facts is None or facts.offers is None:
        return
    offers = _by_row(facts, _texts(st))
    some = np.array(sorted(offers), dtype=np.int64)
    records = facts.rows["record"][some]
    identity = RecordIdentity(plan, st)
    known_as = zip(identity.key_supplier(records).to_pylist(), identity.listing_key(records).to_pylist(), strict=True)
    codes = np.asarray(st.governing.codes)[records]
    markings = st.markings.word_column("canonical").take(pa.array(codes)).to_pylist()
    tires = _tires(facts)
    texts = _texts(st)
    for place, record, known, marking in zip(some.tolist(), records.tolist(), known_as, markings, strict=True):
        cells = {field: (header, column[record].as_py() or "") for field, (header, column) in texts.items()}
        tire = tires.get(int(facts.rows["tire"][place]), "")
        yield record, Offering(tire, marking, known, cells, offers[place]), facts.rows[place : place + 1]


def _texts(st: BlockStatements) -> dict[str, tuple[str, pa.Array]]:
    """The columns that may name tires: field -> header and cells."""
    return {
        source.field: (source.header, (st.raw if source.field in FIELDS else st.whole_texts)[source.position])
        for source in reversed(st.sources)
        if source.field in FIELDS or source.field in TEXTS
    }


def _tires(facts: BlockFacts) -> dict[int, str]:
    assert facts.offers is not None
    return dict(zip(facts.offers.ids.tolist(), facts.offers.texts.to_pylist(), strict=True))


def _by_row(facts: BlockFacts, texts: Mapping[str, tuple[str, pa.Array]]) -> dict[int, list[Offer]]:
    """Place among the rows of facts -> the tires that it names by their markings."""
    assert facts.offers is not None
    markings, records = _tires(facts), facts.rows["record"]
    found: dict[int, list[Offer]] = {}
    for entry in facts.offers.entries.tolist():
        row, _, tire, _, place, number = entry
        marking, field = markings.get(tire, ""), ALL_FIELDS[number]
        if marking:
            said = parted(texts[field][1][int(records[row])].as_py())[place] if field in FIELDS else marking
            found.setdefault(row, []).append(Offer(field, said, marking))
    return found
