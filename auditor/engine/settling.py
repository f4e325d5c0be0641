"""Findings of all feeds brought into their final order and written, with the repeated mistakes among them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

from auditor.across.repeated import RepeatedMistakes
from auditor.engine.across_findings import AcrossFindings
from auditor.engine.feed_run import FeedRun
from auditor.engine.folded_file import FoldedWriter
from auditor.engine.folding import ColumnFolder, folded_columns
from auditor.engine.late_findings import word_late
from auditor.engine.losses import losing
from auditor.engine.merge import Folders, Sinks, Tally, merged_findings
from auditor.engine.repeated_groups import repeated_of_feed, with_examples
from auditor.engine.shift_groups import ShiftFolder
from auditor.engine.unit_audit import UnitAuditor
from auditor.outputs.findings import FindingsWriter

AllFolders = Mapping[int, Folders | None]


def fold_columns(runs: Sequence[FeedRun], auditor: UnitAuditor) -> AllFolders:
    """By feed the columns that get one finding as a whole; what waited in vain for that is worded."""
    book = auditor.book
    rule = book.taker("whole-column")
    if rule is None:
        return {run.number: None for run in runs}
    folders: dict[int, Folders | None] = {}
    for run in runs:
        folder = ColumnFolder(folded_columns(run, book), book)
        shifts = ShiftFolder(run.habits.shifts, run.worst, rule)
        folders[run.number] = Folders(folder, shifts)
        if run.habits.waiting:
            with losing(run.number, run.feed.name):
                word_late(run, folder, auditor)
    return folders


def settle_findings(
    runs: Sequence[FeedRun],
    folders: AllFolders,
    across_findings: AcrossFindings,
    tally: Tally,
    building: Path,
) -> list[dict[str, Any]]:
    """Writes the findings in their final order; the repeated mistakes among them, worst first.

    What goes wrong while the findings of a feed are made is the loss of that feed.
    """
    repeated = RepeatedMistakes()
    found: list[dict[str, Any]] = []
    with FindingsWriter(building) as writer, FoldedWriter(building) as folded:
        for run in runs:
            folder, across = folders[run.number], across_findings.of(run.number)
            with losing(run.number, run.feed.name):
                for table in merged_findings(run, across, folder, Sinks(tally, repeated, folded)):
                    writer.append(table)
            found += repeated_of_feed(run, repeated.groups(), folder)
    return with_examples(found, building / "findings.parquet")
