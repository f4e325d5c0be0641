"""Reads single records again, for findings that only come up once all feeds are read."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import numpy.typing as npt
import pyarrow as pa

from auditor.engine.feed_run import FeedRun
from auditor.feeds.model import Block, WorkUnit
from auditor.unit_audit import Identity, UnitAuditor

_FIELDS = ("supplier", "sku", "part_number", "gtin", "brand", "model")
_TEXTS = (
    "title",
    "description",
    "marking",
    "size",
    "service_description",
    "load_index",
    "load_index_dual",
    "speed_symbol",
    "load_range",
)


class Fetcher:
    """Fetches texts of records by feed and record number; reads only the units that hold them."""

    def __init__(self, runs: Sequence[FeedRun], auditor: UnitAuditor) -> None:
        self._runs = {run.number: run for run in runs}
        self._auditor = auditor
        self._units: dict[int, list[WorkUnit]] = {}

    def __call__(self, feed: int, records: npt.NDArray[np.int64]) -> dict[str, list[str]]:
        """Texts of identity and marking fields for rising record numbers, with headers under `column:<field>`."""
        run = self._runs[feed]
        units = self._units.setdefault(feed, list(run.feed.units()))
        starts = np.array([unit.first_record for unit in units], dtype=np.int64)
        owner = np.searchsorted(starts, records, side="right") - 1
        found: dict[str, list[str]] = {}
        for place in np.unique(owner):
            wanted = records[owner == place]
            for block in run.feed.blocks(units[int(place)], run.plan.positions):
                self._take(run, block, wanted, found)
        return found

    def _take(self, run: FeedRun, block: Block, wanted: npt.NDArray[np.int64], found: dict[str, list[str]]) -> None:
        rows = np.flatnonzero(np.isin(block.records, wanted))
        if len(rows) == 0:
            return
        take = pa.array(rows)
        part = Block(block.unit, [column.take(take) for column in block.columns], block.records[rows])
        st = self._auditor.statements(run.plan, part)
        identity = Identity(run.plan, st)
        every = np.arange(len(rows))
        read = {source.field: source for source in run.plan.sources}
        for name in _FIELDS:
            found.setdefault(name, []).extend(identity.text(name, every).to_pylist())
        for name in _TEXTS:
            texts = [""] * len(rows) if name not in read else self._raw(run, part, name)
            found.setdefault(name, []).extend(texts)
        for name in (*_FIELDS, *_TEXTS):
            header = read[name].header if name in read else ""
            found.setdefault("column:" + name, []).extend([header] * len(rows))
        canonical = st.markings.word_column("canonical").take(pa.array(st.governing.codes))
        found.setdefault("canonical", []).extend(canonical.to_pylist())

    def _raw(self, run: FeedRun, part: Block, name: str) -> list[str]:
        place = 0
        for source, use in zip(run.plan.sources, run.plan.uses, strict=True):
            if use.position < 0:
                if source.field == name:
                    return [dict(run.plan.constants)[source.place]] * len(part.records)
                continue
            if source.field == name:
                texts: list[str] = part.columns[place].cast(pa.string()).fill_null("").to_pylist()
                return texts
            place += 1
        return [""] * len(part.records)
