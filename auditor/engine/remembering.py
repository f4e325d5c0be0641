"""A run with a ledger: its findings with their states, what decisions let through, and what the summary says of it.

The findings lie in a file of their own until the ledger has seen all of them: whether one is new, and whether its
listing is released by a decision, is known only then.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from contextlib import ExitStack, contextmanager
from dataclasses import dataclass, field
from itertools import islice
from pathlib import Path
from typing import Any

import numpy as np
import pyarrow as pa
import pyarrow.compute as pc

from auditor.across.repeated import RepeatedMistakes
from auditor.engine.across_findings import AcrossFindings
from auditor.engine.feed_run import FeedRun
from auditor.engine.folded_file import FoldedWriter
from auditor.engine.losses import losing
from auditor.engine.merge import Sinks, Tally, merged_findings
from auditor.engine.repeated_groups import repeated_of_feed, with_examples
from auditor.engine.settling import AllFolders
from auditor.engine.shown_to_ledger import (
    delivery_of,
    folded_rows,
    in_groups,
    ledger_rows,
    listing_cells,
    listings_of,
    needed_fields,
)
from auditor.engine.table_files import read_tables
from auditor.engine.totals import holds_whole
from auditor.ledger.asked import DecisionLimits
from auditor.ledger.deliveries import DriftLimits
from auditor.ledger.night import LedgerSettings, Night, NightLimits, NightTold, opened
from auditor.outputs.earlier_workbook import EarlierWorkbook
from auditor.outputs.findings import FINDINGS_SCHEMA, REMEMBERED_SCHEMA, FindingsWriter
from auditor.rulebook.book import RuleBook
from auditor.rulebook.finding import GRADES

_NO_GRADE = len(GRADES)
_AT_ONCE = 100_000


@dataclass(slots=True)
class _Staged:
    """Tables of one feed that lie in a file until they are wanted."""

    path: Path
    writer: pa.RecordBatchFileWriter | None = None

    def add(self, table: pa.Table) -> None:
        if self.writer is None:
            self.writer = pa.ipc.new_file(str(self.path), table.schema)
        self.writer.write_table(table.combine_chunks())

    def tables(self) -> Iterator[pa.Table]:
        if self.writer is not None:
            self.writer.close()
            yield from read_tables(self.path)


@dataclass(slots=True)
class _FoldedTwice:
    """Takes folded findings for their file, and for the ledger, which knows them by the keys that they have alone."""

    file: FoldedWriter
    staged: _Staged

    def append(self, run: FeedRun, findings: pa.Table, column_keys: pa.Array, *, whole_rows: bool) -> None:
        self.file.append(run, findings, column_keys)
        if whole_rows:
            first = pa.array(_worst_of_each(findings))
            findings, column_keys = findings.take(first), column_keys.take(first)
        self.staged.add(findings.append_column("column_key", column_keys.cast(pa.string())))


def _worst_of_each(findings: pa.Table) -> Any:
    """The places of each record's worst finding: the ledger counts what is folded as often as outputs do."""
    ranks = pc.index_in(findings["grade"], value_set=pa.array(list(GRADES))).to_numpy()
    records = findings["record"].to_numpy()
    order = np.lexsort((np.arange(len(records)), ranks, records))
    return order[np.flatnonzero(np.diff(records[order], prepend=-1))]


@dataclass(slots=True)
class RememberedRun:
    """What a run does with its ledger, from beginning to commit."""

    night: Night
    told: NightTold
    book: RuleBook
    _staged: list[_Staged] = field(default_factory=list)
    _repeated: list[dict[str, Any]] = field(default_factory=list)

    def take(
        self,
        audited: tuple[Sequence[FeedRun], AllFolders, AcrossFindings],
        tally: Tally,
        building: Path,
        work: Path,
    ) -> None:
        """Shows all findings to the ledger, in their final order, and lets decisions count."""
        runs, folders, across_findings = audited
        numbers = self._feeds(runs)
        repeated = RepeatedMistakes()
        with FoldedWriter(building) as file:
            for run in runs:
                staged = _Staged(work / f"night-{run.number}.arrow")
                folded = _FoldedTwice(file, _Staged(work / f"night-folded-{run.number}.arrow"))
                folder, across = folders[run.number], across_findings.of(run.number)
                with losing(run.number, run.feed.name):
                    for table in merged_findings(run, across, folder, Sinks(tally, repeated, folded)):
                        staged.add(table.select(FINDINGS_SCHEMA.names).cast(FINDINGS_SCHEMA))
                groups = repeated_of_feed(run, repeated.groups(), folder)
                self._repeated += groups
                self._staged.append(staged)
                for table in staged.tables():
                    single = table.filter(self._single(table))
                    named = in_groups(single, groups)
                    self.night.take_findings(ledger_rows(run.number, numbers[run.number], single, named))
                for table in folded.staged.tables():
                    self.night.take_findings(folded_rows(run.number, numbers[run.number], table), folded=True)
        self.night.settle(self.told)
        by_number = {run.number: run for run in runs}
        self.night.keep_wrong_listings(lambda number, record: listing_cells(by_number[number], record))
        self._let_through(by_number)

    def _single(self, table: pa.Table) -> pa.ChunkedArray:
        """Which findings stand for themselves alone, and not for a whole column."""
        taker = self.book.taker("whole-column")
        return pc.not_equal(table["rule"], taker.id if taker is not None else "")

    def _feeds(self, runs: Sequence[FeedRun]) -> dict[int, int]:
        """Feed of the run -> feed of the ledger."""
        known = self.night.feeds([delivery_of(run, self.book) for run in runs])
        numbers = {number: feed for feed, one in known.items() for number in one.runs}
        for run in runs:
            if run.feed.mapping.changes:
                for listings in listings_of(run):
                    self.night.take_listings(numbers[run.number], listings)
        return numbers

    def _let_through(self, runs: Mapping[int, FeedRun]) -> None:
        """Lets accepted findings no longer hold their listings."""
        held_to = GRADES.index(self.book.hold_from)
        rows = self.night.let_through()
        while some := list(islice(rows, _AT_ONCE)):
            found, starts = np.unique([row[0] for row in some], return_index=True)  # they come by feed
            for number, start, end in zip(found.tolist(), starts, [*starts[1:], len(some)], strict=True):
                run = runs[number]
                if holds_whole(run, self.book):
                    continue
                mine = some[start:end]
                if run.holding is None:
                    run.holding = run.worst.copy()
                records = np.array([row[1] for row in mine]) - 1
                before = run.holding[records]
                run.holding[records] = np.minimum([row[2] for row in mine], _NO_GRADE).astype(np.int8)
                released = (before <= held_to) & (run.holding[records] > held_to)
                run.let_through.update(mine[place][3] for place in np.flatnonzero(released).tolist())

    def write(self, building: Path) -> list[dict[str, Any]]:
        """Writes the findings with `state` and `first_night`; the repeated mistakes among them, worst first.

        A finding about a whole column becomes one for each state of those that it stands for.
        """
        told, columns = self.night.repeated_by_state(), self.night.columns_by_state()
        states = self.night.states()  # asked for last: it reads on for as long as findings are written
        split: list[int] = []  # rows that others are put behind, as often as there are others
        row = 0
        with FindingsWriter(building, REMEMBERED_SCHEMA) as writer:
            for staged in self._staged:
                for table in read_tables(staged.path) if staged.writer is not None else ():
                    single = self._single(table).to_numpy(zero_copy_only=False)
                    parts = []
                    for start, end in _stretches(single):
                        some = table.slice(start, end - start)
                        if single[start]:
                            parts.append(_with_states(some, list(islice(states, some.num_rows))))
                        else:
                            parted = columns.get(some["key"][0].as_py(), [])
                            parts.append(_parted(some, parted))
                            split += [row + start] * (len(parted) - 1)
                    row += table.num_rows
                    writer.append(pa.concat_tables(parts))
        repeated = [{**group, **told.get(group["key"], {})} for group in _moved(self._repeated, split)]
        return with_examples(repeated, building / "findings.parquet")

    def finish(self, summary: dict[str, Any]) -> None:
        """Adds the night to the summary, and the night's figures to the ledger."""
        told = self.told
        summary["night"] = told.night
        summary["night_before"] = told.before or None
        summary["states"] = dict(told.counts)
        summary["delivery_changed"] = told.delivery_changed
        summary["decisions"] = {
            "taken": told.decisions.taken,
            "refused": told.decisions.refused,
            "replaced": told.decisions.replaced,
            "ended": told.ended_decisions,
        }
        for supplier, row in summary["by_supplier"].items():
            row["states"] = {name: told.by_supplier.get(supplier, {}).get(name, 0) for name in told.counts}
            if supplier in told.since:
                row["since"], row["nights_before"] = told.since[supplier]
        totals = summary["totals"]
        figures = {
            "program": summary["program"],
            "rules": self.book.sha256,
            "records": totals["records"],
            "held": totals["held"],
            "critical": totals["listings_with"]["critical"],
        }
        self.night.write(told, figures, summary["by_supplier"])
        summary["trend"] = self.night.trend()


def _stretches(single: Any) -> Iterator[tuple[int, int]]:
    """Rows that stand for themselves in stretches, each other row by itself."""
    others = np.flatnonzero(~single).tolist()
    start = 0
    for place in others:
        if start < place:
            yield start, place
        yield place, place + 1
        start = place + 1
    if start < len(single) or not len(single):
        yield start, len(single)


def _with_states(table: pa.Table, states: Sequence[tuple[str, str]]) -> pa.Table:
    return table.append_column("state", pa.array([state for state, _ in states], pa.string())).append_column(
        "first_night", pa.array([night for _, night in states], pa.string())
    )


def _parted(column: pa.Table, parted: Sequence[tuple[str, int, int, str]]) -> pa.Table:
    """A column's finding once for each state of those that it stands for."""
    whole = pa.concat_tables([column] * len(parted))
    counts = pa.array([count for _, count, _, _ in parted], pa.int64())
    whole = whole.set_column(whole.schema.get_field_index("stands_for"), "stands_for", counts)
    return _with_states(whole, [(state, night) for state, _, _, night in parted])


def _moved(repeated: Sequence[dict[str, Any]], split: Sequence[int]) -> list[dict[str, Any]]:
    """Repeated mistakes whose examples are places in the file that was written, with the rows that were put in."""
    put_in = np.array(split, dtype=np.int64)

    def moved(place: Any) -> Any:
        return place + int(np.searchsorted(put_in, place)) if isinstance(place, int) else place

    return [{**group, "examples": [moved(one) for one in group["examples"]]} for group in repeated]


@contextmanager
def remembered(settings: LedgerSettings | None, book: RuleBook) -> Iterator[OpenLedger | None]:
    """The ledger of a run, or None without one; what is not committed is forgotten."""
    if settings is None:
        yield None
        return
    with ExitStack() as stack:
        yield OpenLedger(settings, book, stack)


@dataclass(slots=True)
class OpenLedger:
    """The ledger of a run; opened when all feeds are audited."""

    settings: LedgerSettings
    book: RuleBook
    stack: ExitStack
    run: RememberedRun | None = None

    def begin(self, earlier: EarlierWorkbook | None = None) -> RememberedRun:
        """Begins the night, anew where an attempt before this one was given up.

        Decisions in an earlier workbook are taken in first.
        """
        self.stack.pop_all().close()
        database = self.stack.enter_context(opened(self.settings.place, make=True))
        night = Night(database, self.settings.night, night_limits(self.book, self.settings.every_days))
        told = night.begin(earlier.asked if earlier is not None else ())
        if earlier is not None and earlier.fault:
            told.decisions.refused.append(earlier.fault)
        self.run = RememberedRun(night, told, self.book)
        return self.run

    def commit(self) -> None:
        """Writes the night for good."""
        if self.run is not None:
            self.run.night.commit()


def night_limits(book: RuleBook, every_days: Mapping[str, float] | None = None) -> NightLimits:
    """The policy's limits of a night."""
    limits = book.night
    return NightLimits(
        DecisionLimits(limits["accept_critical_days"]),
        DriftLimits(
            limits["least_records_share"], limits["most_held_share_rise"], every_days or {}, needed_fields(book)
        ),
        limits["wait_seconds"],
    )
