"""Listings judged together as a block of records, each with the outcome that it would have alone."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

import numpy as np
import numpy.typing as npt

from auditor.engine.unit_audit import UnitAuditor
from auditor.judging.block.hits import BlockCollector
from auditor.programs.listing_finding import ListingFinding
from auditor.programs.offers_of_blocks import offers_of_block, with_offers
from auditor.programs.one_listing import Outcome
from auditor.programs.proof_feeds import as_block
from auditor.rulebook.book import RuleBook
from auditor.rulebook.rule import Rule

Truths = npt.NDArray[np.bool_]

_OF_FINDING = tuple(ListingFinding.__dataclass_fields__)
_COLUMN = _OF_FINDING.index("column")


class BlockOutcomes:
    """Judges listings together; what it has read of markings and cells serves the next ones too."""

    def __init__(self, book: RuleBook) -> None:
        self._auditor = UnitAuditor(book)

    def __call__(self, listings: Sequence[Mapping[str, str]]) -> list[Outcome]:
        """What is found on each listing, in their order."""
        plan, block = as_block(listings)
        st = self._auditor.statements(plan, block)
        out = _KeepsUntold()
        offers = offers_of_block(plan, st)
        table = with_offers(self._auditor.audit_statements(plan, st, block, out=out).findings, offers)
        found: list[list[ListingFinding]] = [[] for _ in listings]
        if table is not None:
            columns = (table[name].to_pylist() for name in _OF_FINDING)
            for record, *values in zip(table["record"].to_pylist(), *columns, strict=True):
                if values[_COLUMN] not in listings[record - 1]:
                    values[_COLUMN] = ""  # a column of its neighbors
                found[record - 1].append(ListingFinding(*values))
        markings = st.markings.word_column("canonical").take(st.governing.codes).to_pylist()
        kept = {**out.untold, **offers.untold}
        untold = _by_record({rule.id: kept[rule.id] for rule in st.book.rules if rule.id in kept}, len(listings))
        return [Outcome(tuple(own), *rest) for own, *rest in zip(found, markings, untold, strict=True)]


class _KeepsUntold(BlockCollector):
    """Keeps for which records a rule cannot tell."""

    def __init__(self) -> None:
        super().__init__()
        self.untold: dict[str, Truths] = {}

    def could_not_tell(self, rule: Rule, where: Any) -> None:
        super().could_not_tell(rule, where)
        if where.any():
            before = self.untold.get(rule.id)
            self.untold[rule.id] = where if before is None else before | where


def _by_record(untold: Mapping[str, Truths], count: int) -> list[tuple[str, ...]]:
    """For each record the rules that could not tell, in the order of the book; records of one pattern share theirs."""
    if not untold:
        return [()] * count
    names = np.array(list(untold))
    packed = np.packbits(np.array(list(untold.values())), axis=0)
    patterns, which = np.unique(packed, axis=1, return_inverse=True)
    rules = [tuple(names[np.unpackbits(bits, count=len(names)).astype(bool)].tolist()) for bits in patterns.T]
    return [rules[number] for number in which.ravel().tolist()]
