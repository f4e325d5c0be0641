"""The whole run: locate, open, audit, settle, write.  The output folder appears whole or not at all."""

from __future__ import annotations

import datetime
import json
import shutil
import tempfile
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
import numpy.typing as npt

from auditor.across.comparison import ListingComparison
from auditor.across.facts import forget_markings
from auditor.engine.across_findings import AcrossFindings
from auditor.engine.background import in_background
from auditor.engine.feed_run import FeedRun, FeedTask, audit_feed, spooled_rejected
from auditor.engine.listing_details import listing_details
from auditor.engine.merge import Tally, count_in_worst_grades, merged_findings
from auditor.engine.pool import usual_workers
from auditor.engine.process_memory import trim_memory
from auditor.engine.progress import Progress
from auditor.engine.record_estimate import estimate_records
from auditor.engine.record_reader import RecordReader
from auditor.engine.totals import dispositions, summarize
from auditor.engine.unit_audit import UnitAuditor
from auditor.errors import FeedError, printable
from auditor.feeds.locate import find_feeds
from auditor.feeds.model import Feed, Limits, Rejected
from auditor.feeds.splitting import split_feeds
from auditor.judging.block.feed_plan import plan_feed
from auditor.mapping.maps import MapBook
from auditor.mapping.opening import open_feeds
from auditor.outputs.audit_result import FinishedAudit, RuleCard
from auditor.outputs.findings import FindingsWriter
from auditor.outputs.output_folder import output_folder
from auditor.outputs.rejected import write_rejected
from auditor.outputs.summary import write_summary
from auditor.outputs.worst_findings import worst_findings
from auditor.rulebook.book import RuleBook
from auditor.rulebook.listing_fields import contract_of
from auditor.version import __version__

_LONGEST_REASON = 400


@dataclass(frozen=True, slots=True)
class Settings:
    """How a run is made."""

    book: RuleBook
    workers: int = 0  # 0: the cores of this machine
    maps: MapBook | None = None
    limits: Limits | None = None
    apply: str | None = None  # "certain": write the feeds with certain suggestions put in
    workbook: bool = True


@dataclass(frozen=True, slots=True)
class RunOutcome:
    """How a run ended."""

    exit_code: int
    summary: dict[str, Any]
    rules: dict[str, RuleCard]
    folder: Path


def run_audit(feeds: Sequence[str], out: Path, settings: Settings, progress: Progress) -> RunOutcome:
    """Audits feeds and writes every output to the folder `out`.

    Raises FeedError where no feed can be located, OutputError where `out` cannot be written; a feed that cannot be
    read is named in the summary, the others are still audited, and the exit code is 3.
    """
    started = datetime.datetime.now(datetime.UTC)
    located = find_feeds(list(feeds))
    with output_folder(out) as building, tempfile.TemporaryDirectory(prefix=".work-", dir=building) as work:
        opened, unreadable = _open_all(located, settings, progress)
        outcome = _audit(opened, unreadable, building, Path(work), settings, progress)
        shutil.rmtree(work)
        _write_run(building, started)
        return RunOutcome(outcome.exit_code, outcome.summary, outcome.rules, out)


def _open_all(
    located: Sequence[Any], settings: Settings, progress: Progress
) -> tuple[list[Feed], list[tuple[str, str]]]:
    opened: list[Feed] = []
    unreadable = []
    contract = contract_of(settings.book.contract) if settings.book.own.folder is not None else None
    for position in located:
        progress.stage(f"opening {position.name}")
        try:
            opened.extend(open_feeds(position, settings.maps, limits=settings.limits, contract=contract))
        except FeedError as error:
            unreadable.append((position.name, _reason(position.name, error)))
    order = {feed.name: number for number, feed in reversed(list(enumerate(opened)))}
    return sorted(opened, key=lambda feed: (feed.name, order[feed.name])), sorted(unreadable)


def _audit(
    opened: Sequence[Feed],
    unreadable: list[tuple[str, str]],
    building: Path,
    work: Path,
    settings: Settings,
    progress: Progress,
) -> RunOutcome:
    book = settings.book
    auditor = UnitAuditor(book)
    across = _across(work, book, [_shown(feed) for feed in opened])
    runs: list[FeedRun] = []
    for number, feed in enumerate(opened):
        progress.stage(f"auditing {_shown(feed)}", *estimate_records(feed))
        take = None if across is None else across.take
        workers = settings.workers or usual_workers()
        task = FeedTask(number, feed, plan_feed(feed))
        try:
            runs.append(audit_feed(task, auditor, work, workers, take, progress.advance))
        except FeedError as error:
            unreadable.append((_shown(feed), _reason(feed.name, error)))
            if across is not None:
                across.forget(number)
    trim_memory()
    across_findings = AcrossFindings(work)
    if across is not None:
        _compare_listings(across, runs, auditor, across_findings, progress)
    del auditor, across  # with all that their caches hold
    trim_memory()

    def part() -> None:
        _write_parts(runs, building, work, settings)

    with in_background(part, settings.workers or usual_workers()) as parting:
        summary, rules = _finish_and_report(runs, across_findings, sorted(unreadable), building, settings, progress)
        if parting.busy:
            progress.stage("writing released and held listings")
        parting.wait()
    if settings.apply == "certain":
        # Start-up: few runs ask for corrected feeds.
        from auditor.outputs.corrected.writer import write_corrected

        progress.stage("writing corrected listings")
        write_corrected([run.feed for run in runs], building / "findings.parquet", building)
    totals = summary["totals"]
    code = 3 if unreadable else 1 if totals["held"] or totals["rejected"] else 0
    return RunOutcome(code, summary, rules, building)


def _finish_and_report(
    runs: Sequence[FeedRun],
    across_findings: AcrossFindings,
    unreadable: Sequence[tuple[str, str]],
    building: Path,
    settings: Settings,
    progress: Progress,
) -> tuple[dict[str, Any], dict[str, RuleCard]]:
    """Writes the findings, then everything that tells about them; (summary, rules)."""
    book = settings.book
    tally = Tally.of(book)
    progress.stage("settling findings")
    with FindingsWriter(building) as writer:
        for run in runs:
            for table in merged_findings(run, across_findings.of(run.number), book, tally):
                writer.append(table)
    summary = summarize(runs, book, tally, unreadable)
    rules = {
        rule.id: RuleCard(
            rule.id, rule.grade, rule.subject, rule.title, rule.why, rule.source, rule.order, rule.counted_in
        )
        for rule in book.rules
    }
    trim_memory()
    findings = building / "findings.parquet"
    worst = worst_findings(findings)
    finished = FinishedAudit(building, findings, summary, rules, listing_details(runs, worst, book), worst)
    _write_reports(finished, settings, progress)
    return summary, rules


def _write_reports(finished: FinishedAudit, settings: Settings, progress: Progress) -> None:
    # Start-up: the template library is loaded when the audit is done, and not beside it.
    from auditor.outputs.corrections.writer import write_corrections
    from auditor.outputs.report.page import write_report

    progress.stage("writing reports")
    write_summary(finished.folder, finished.summary)
    letters = write_corrections(finished, settings.book.folder)
    write_report(finished, letters)
    if settings.workbook:
        # Start-up: a call from a program that keeps no folder writes no workbook.
        from auditor.outputs.workbook.writer import write_workbook

        write_workbook(finished)


def _reason(name: str, error: FeedError) -> str:
    """Why a feed is unreadable: the error's text without the name, printable whatever bytes it quotes."""
    text = printable(str(error).removeprefix(f"{name}: "))
    return text if len(text) <= _LONGEST_REASON else text[:_LONGEST_REASON] + "..."


def _shown(feed: Feed) -> str:
    return feed.name if feed.sheet is None else f"{feed.name} ({feed.sheet})"


def _across(work: Path, book: RuleBook, feeds: Sequence[str]) -> Any:
    """Spools for rules across listings; None where all of them are switched off."""
    if not any(rule.kind == "across" for rule in book.rules):
        return None
    folder = work / "across"
    folder.mkdir()
    return ListingComparison(folder, book, feeds)


def _compare_listings(
    across: Any, runs: Sequence[FeedRun], auditor: UnitAuditor, across_findings: AcrossFindings, progress: Progress
) -> None:
    """Keeps the findings across listings, and lets them count in the worst grades."""
    progress.stage("comparing listings with each other")
    by_number = {run.number: run for run in runs}
    for number, table in across_findings.take(across.findings(RecordReader(runs, auditor))):
        count_in_worst_grades(by_number[number], table)
    forget_markings()


def _write_parts(runs: Sequence[FeedRun], building: Path, work: Path, settings: Settings) -> None:
    """The listings themselves: released, held, and those that could not be read as one."""
    disposition: list[npt.NDArray[np.uint8]] = [dispositions(run, settings.book) for run in runs]
    for name in ("released", "held"):
        (building / name).mkdir()
    split_feeds([run.feed for run in runs], disposition, building / "released", building / "held")
    write_rejected(building, _all_rejected(runs, work))


def _all_rejected(runs: Sequence[FeedRun], work: Path) -> Iterator[Rejected]:
    for run in runs:
        yield from spooled_rejected(work, run.number)


def _write_run(building: Path, started: datetime.datetime) -> None:
    """The only file with a clock in it."""
    ended = datetime.datetime.now(datetime.UTC)
    data = {
        "started": started.isoformat(timespec="seconds"),
        "ended": ended.isoformat(timespec="seconds"),
        "program": __version__,
    }
    (building / "run.json").write_text(json.dumps(data, indent=1) + "\n", encoding="utf-8")
