"""Runs of rows that are shifted by one cell: one finding for the run, and none of its cells by itself."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from typing import Any

import numpy as np
import pyarrow as pa
import pyarrow.compute as pc

from auditor.engine.folding import LEAST_REPEATED
from auditor.engine.shifted_rows import Shift
from auditor.judging.keys import hash_text
from auditor.rulebook.finding import GRADES
from auditor.rulebook.rule import Rule

_GAP = 10  # records between two rows of one run: some in it may look right


@dataclass(slots=True)
class ShiftGroup:
    """The rows of a feed that are shifted in one way."""

    direction: int
    column: str
    records: list[int]
    run: int  # among those of the feed
    worst: int = len(GRADES) - 1
    supplier: str = ""
    examples: list[dict[str, Any]] = field(default_factory=list)

    @property
    def key(self) -> str:
        """The same tomorrow for the same mistake."""
        return hash_text(
            "\x1f".join((self.supplier.strip(), self.column, str(self.direction), "column-shifted", str(self.run)))
        )

    @property
    def way(self) -> str:
        """Where the cells went."""
        return "right" if self.direction > 0 else "left"

    @property
    def says(self) -> str:
        """What happened, in one sentence."""
        first, last = self.records[0], self.records[-1]
        return (
            f"{len(self.records):,} rows between records {first:,} and {last:,} are shifted by one cell to the "
            f'{self.way}, from the column "{self.column}" on: ask for them again; no cell of them is corrected by '
            "itself."
        )


def _runs(shifts: Sequence[Shift]) -> list[list[Shift]]:
    """Shifted rows that stand together and are shifted the same way, in the order of the feed."""
    runs: list[list[Shift]] = []
    for direction in (1, -1):
        last = -_GAP
        for shift in sorted(shift for shift in shifts if shift.direction == direction):
            if shift.record - last > _GAP:
                runs.append([])
            runs[-1].append(shift)
            last = shift.record
    return sorted(run for run in runs if len(run) >= LEAST_REPEATED)


def _group(place: int, run: Sequence[Shift]) -> ShiftGroup:
    column = _usual([shift.column for shift in run])
    return ShiftGroup(run[0].direction, column, [shift.record for shift in run], place)


def _usual(columns: Sequence[str]) -> str:
    """The one named most often, the first of them by name."""
    return min(Counter(columns).items(), key=lambda item: (-item[1], item[0]))[0]


class ShiftFolder:
    """Takes the findings of shifted rows out of a feed's stream and puts one finding for all of them in their place."""

    def __init__(self, shifts: Sequence[Shift], worst: Any, rule: Rule) -> None:
        """`worst` holds the place in GRADES of each record's worst finding."""
        self.rule = rule
        self.groups = [
            ShiftGroup(
                run[0].direction, _usual([shift.column for shift in run]), [shift.record for shift in run], place
            )
            for place, run in enumerate(_runs(shifts))
        ]
        for group in self.groups:
            group.worst = int(min(worst[np.array(group.records) - 1].min(), len(GRADES) - 1))
        self._records = pa.array([record for group in self.groups for record in group.records], pa.int64())
        self._owner = np.repeat(np.arange(len(self.groups)), [len(group.records) for group in self.groups])

    @property
    def keys(self) -> list[str]:
        """The keys of the groups, once the first of their findings were seen."""
        return [group.key for group in self.groups]

    def places(self, table: pa.Table) -> Any:
        """For each finding the place of its group, -1 for those of rows that are not shifted."""
        if not self.groups:
            return np.full(table.num_rows, -1, dtype=np.int64)
        found = pc.index_in(table["record"], value_set=self._records).to_numpy()
        known = found == found
        return np.where(known, self._owner[np.where(known, found, 0).astype(np.int64)], -1)

    def findings(self, worded: pa.Table) -> Iterator[pa.Table]:
        """The findings of the runs that begin in these findings of shifted rows, which come by record."""
        places = self.places(worded)
        for place in np.unique(places[places >= 0]).tolist():
            group = self.groups[place]
            rows = np.flatnonzero(places == place)
            if not group.examples:
                group.supplier = worded["supplier"][int(rows[0])].as_py()
                yield self._finding(worded.slice(int(rows[0]), 1), group)
            _, firsts = np.unique(worded["record"].to_numpy()[rows], return_index=True)
            group.examples += worded.take(pa.array(rows[firsts[: 3 - len(group.examples)]])).to_pylist()
            del group.examples[3:]

    def _finding(self, row: pa.Table, group: ShiftGroup) -> pa.Table:
        values: dict[str, Any] = {
            **dict.fromkeys(("sku", "part_number", "gtin", "column", "derived", "suggestion", "reason"), ""),
            "key": group.key,
            "rule": self.rule.id,
            "grade": GRADES[group.worst],
            "field": "marking",
            "deviation": None,
            "likely_cause": "column-shifted",
            "evidence": f"{len(group.records)} rows fit their columns when their cells are moved back",
            "message": group.says,
            "order": self.rule.order,
            "source": -1,
            "direction": 0,
        }
        for name, value in values.items():
            row = row.set_column(row.schema.get_field_index(name), name, pa.array([value], row.schema.field(name).type))
        return row.append_column("stands_for", pa.array([len(group.records)], pa.int64()))
