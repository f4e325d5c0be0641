"""Reads single records again, for findings that only come up once all feeds are read."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Protocol

import numpy as np
import numpy.typing as npt
import pyarrow as pa

from auditor.across.facts import CELLS
from auditor.engine.losses import losing
from auditor.engine.unit_audit import UnitAuditor
from auditor.feeds.model import Block, Feed, WorkUnit
from auditor.judging.block.feed_plan import FeedPlan, planned_blocks
from auditor.judging.block.identity import RecordIdentity

_FIELDS = ("supplier", "sku", "part_number", "gtin", "brand", "model")
_TEXTS = (*CELLS[1:], "load_index_dual")  # the first cell is none


class Readable(Protocol):
    """A feed of a run."""

    @property
    def number(self) -> int: ...
    @property
    def feed(self) -> Feed: ...
    @property
    def plan(self) -> FeedPlan: ...


class RecordReader:
    """Fetches texts of records by feed and record number; reads only the units that hold them."""

    def __init__(self, runs: Sequence[Readable], auditor: UnitAuditor) -> None:
        self._runs = {run.number: run for run in runs}
        self._auditor = auditor
        self._units: dict[int, list[WorkUnit]] = {}

    def __call__(self, feed: int, records: npt.NDArray[np.int64], fields: frozenset[str]) -> dict[str, pa.Array]:
        """Texts of records in rising order, with headers under `column:<field>` and the marking under `canonical`.

        Identity always, and those of the other fields that are asked for.
        """
        run = self._runs[feed]
        with losing(feed, run.feed.name):
            return self._fetch(run, records, fields)

    def _fetch(self, run: Readable, records: npt.NDArray[np.int64], fields: frozenset[str]) -> dict[str, pa.Array]:
        units = self._units.setdefault(run.number, list(run.feed.units()))
        starts = np.array([unit.first_record for unit in units], dtype=np.int64)
        owner = np.searchsorted(starts, records, side="right") - 1
        found: dict[str, list[pa.Array]] = {}
        for position in np.unique(owner):
            wanted = records[owner == position]
            for block in planned_blocks(run.feed, units[int(position)], run.plan):
                for name, texts in self._texts(run, block, wanted, fields).items():
                    found.setdefault(name, []).append(texts)
        return {name: pa.concat_arrays(parts) for name, parts in found.items()}

    def _texts(
        self, run: Readable, block: Block, wanted: npt.NDArray[np.int64], fields: frozenset[str]
    ) -> dict[str, pa.Array]:
        rows = np.flatnonzero(np.isin(block.records, wanted))
        if len(rows) == 0:
            return {}
        take = pa.array(rows)
        part = Block(block.unit, [column.take(take) for column in block.columns], block.records[rows])
        st = self._auditor.statements(run.plan, part)
        identity = RecordIdentity(run.plan, st)
        every = np.arange(len(rows))
        read = {source.field: source for source in run.plan.sources}
        found = {name: identity.text(name, every) for name in _FIELDS}
        found["key_supplier"] = identity.key_supplier(every)
        for name in fields.intersection(_TEXTS):
            found[name] = self._raw(run, part, name) if name in read else pa.repeat("", len(every))
        for name in fields.intersection((*_FIELDS, *_TEXTS)):
            found["column:" + name] = pa.repeat(read[name].header if name in read else "", len(every))
        canonical = st.markings.word_column("canonical").take(pa.array(st.governing.codes))
        found["canonical"] = canonical.cast(pa.string())
        return found

    def _raw(self, run: Readable, part: Block, name: str) -> pa.Array:
        position = 0
        for source, use in zip(run.plan.sources, run.plan.uses, strict=True):
            if use.position < 0:
                if source.field == name:
                    return pa.repeat(dict(run.plan.constants)[source.position], len(part.records))
                continue
            if source.field == name:
                return part.columns[position].cast(pa.string()).fill_null("")
            position += 1
        return pa.repeat("", len(part.records))
