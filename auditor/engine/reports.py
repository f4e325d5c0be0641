"""Everything that tells about a finished audit, and feeds as it would have them, written from what is known of it."""

from __future__ import annotations

from collections.abc import Sequence
from contextlib import AbstractContextManager
from pathlib import Path

from auditor.engine.background import in_background
from auditor.engine.losses import losing
from auditor.feeds.model import Feed
from auditor.outputs.audit_result import FinishedAudit
from auditor.outputs.repeated import write_repeated
from auditor.outputs.summary import write_summary


def write_reports(finished: FinishedAudit, rules: Path, workbook: bool, workers: int) -> None:
    """Writes summary, letters, report and, where it is asked for, the workbook; `rules` is the folder of the book."""
    # Start-up: the template library is loaded when the audit is done, and not beside it.
    from auditor.outputs.corrections.writer import letter_names, write_corrections
    from auditor.outputs.report.page import write_report

    write_summary(finished.folder, finished.summary)
    write_repeated(finished.folder, finished.repeated)

    def letters() -> None:
        write_corrections(finished, rules)

    with in_background(letters, workers) as writing:
        write_report(finished, letter_names(finished))
        if workbook:
            # Start-up: a call from a program that keeps no folder writes no workbook.
            from auditor.outputs.workbook.writer import write_workbook

            write_workbook(finished)
        writing.wait()


def write_corrected_feeds(feeds: Sequence[tuple[int, Feed]], folder: Path) -> None:
    """Writes feeds with certain suggestions put in; `folder` holds the findings.

    Raises LostFeedsError with the number of a feed that cannot be read any more.
    """
    # Start-up: few runs ask for corrected feeds.
    from auditor.outputs.corrected.writer import write_corrected

    def around(place: int) -> AbstractContextManager[None]:
        number, feed = feeds[place]
        return losing(number, feed.name)

    write_corrected([feed for _, feed in feeds], folder / "findings.parquet", folder, around)
