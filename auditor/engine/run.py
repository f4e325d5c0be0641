"""The whole run: locate, open, audit, settle, write.  The output folder appears whole or not at all."""

from __future__ import annotations

import datetime
import json
import shutil
import tempfile
from collections.abc import Callable, Sequence
from contextlib import AbstractContextManager, nullcontext
from dataclasses import dataclass
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Any

from auditor.across.block_offers import names_substitutes
from auditor.across.comparison import ListingComparison
from auditor.across.facts import forget_markings
from auditor.across.offer_links import OfferLinks
from auditor.across.pair_file import PairFile
from auditor.engine.across_findings import AcrossFindings
from auditor.engine.audit_stage import AuditStage
from auditor.engine.background import in_background
from auditor.engine.feed_run import FeedRun
from auditor.engine.joined_units import may_join
from auditor.engine.known_feeds import KnownFeeds, open_first, shown_name
from auditor.engine.listing_details import listing_details
from auditor.engine.losses import LostFeedsError, full_disk_said, reason_of
from auditor.engine.merge import Tally, count_in_worst_grades
from auditor.engine.offer_ends import offer_ends
from auditor.engine.process_memory import keep_memory_a_moment, trim_memory
from auditor.engine.progress import Progress
from auditor.engine.record_reader import RecordReader
from auditor.engine.reports import write_corrected_feeds, write_reports
from auditor.engine.settling import AllFolders, fold_columns, settle_findings
from auditor.engine.totals import dispositions, exit_code, summarize
from auditor.engine.unit_audit import UnitAuditor
from auditor.engine.workers.choice import Kind, crew_for, crew_of, usual_workers
from auditor.feeds.locate import locate_feeds
from auditor.feeds.model import Limits
from auditor.feeds.splitting import split_all
from auditor.judging.block.feed_plan import plan_feed
from auditor.mapping.maps import MapBook
from auditor.outputs.audit_result import FinishedAudit, RuleCard
from auditor.outputs.earlier_workbook import earlier_workbook
from auditor.outputs.foreign_files import files_in
from auditor.outputs.output_folder import empty_again, output_folder
from auditor.outputs.rejected import write_rejected
from auditor.outputs.worst_findings import worst_findings
from auditor.rulebook.book import RuleBook
from auditor.rulebook.rule import Rule
from auditor.version import __version__

if TYPE_CHECKING:
    from auditor.engine.remembering import OpenLedger, RememberedRun
    from auditor.engine.workers.cluster.settings import ClusterSettings
    from auditor.ledger.night import LedgerSettings

Errand = Callable[..., Any]  # has a function called, here or by another process


@dataclass(frozen=True, slots=True)
class Settings:
    """How a run is made."""

    book: RuleBook
    workers: int = 0  # 0: the cores of this machine
    maps: MapBook | None = None
    limits: Limits | None = None
    apply: str | None = None  # "certain": write the feeds with certain suggestions put in
    workbook: bool = True
    named: bool = True  # the feeds are files, and no table that a program handed over
    night: str = ""  # ISO date that the outputs bear; "": today
    pairs: Path | None = None  # a file of pairs: which SKU is offered in place of which
    ledger: LedgerSettings | None = None  # what is remembered from night to night
    workers_as: Kind = ""  # threads or processes; "": by the size of the job
    cluster: ClusterSettings | None = None  # machines that audit the units


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
    read, for whatever reason, is named in the summary, the others are still audited, and the exit code is 3.
    """
    started = datetime.datetime.now(datetime.UTC)
    found = locate_feeds(list(feeds))
    with _remembered(settings) as ledger, output_folder(out) as building:
        known = KnownFeeds(progress, earlier_workbook(out), skipped=found.skipped)
        for name, error in found.missing:
            known.lose(name, reason_of(name, error))
        most = None if settings.cluster is None else len(found.located)  # its workers have to reach every file
        open_first(known, found.located, settings.book, settings.maps, settings.limits, most)
        with full_disk_said():
            outcome = _audited(known, building, settings, ledger)
            _write_run(building, started)
            if known.earlier is not None and "kept_workbook" in outcome.summary:
                known.earlier.keep(building, outcome.summary["kept_workbook"])
        if ledger is not None:
            ledger.commit()
    if settings.cluster is not None:
        # Start-up: few runs have a cluster.
        from auditor.engine.workers.cluster.place import open_place

        open_place(settings.cluster.folder).remove("")
    return RunOutcome(outcome.exit_code, outcome.summary, outcome.rules, out)


def _remembered(settings: Settings) -> AbstractContextManager[OpenLedger | None]:
    if settings.ledger is None:
        return nullcontext()
    # Start-up: many audits have no ledger.
    from auditor.engine.remembering import remembered

    return remembered(settings.ledger, settings.book)


def _audited(known: KnownFeeds, building: Path, settings: Settings, ledger: OpenLedger | None) -> RunOutcome:
    """Audits the opened feeds; where one turns out to be unreadable at the very end, all once more without it."""
    while True:
        with tempfile.TemporaryDirectory(prefix=".work-", dir=building) as work:
            try:
                return _audit(known, (building, Path(work)), settings, ledger)
            except LostFeedsError as late:
                for number, reason in sorted(late.reasons.items()):
                    known.lose_opened(number, reason)
                known.without_lost()
        empty_again(building)


def _audit(known: KnownFeeds, places: tuple[Path, Path], settings: Settings, ledger: OpenLedger | None) -> RunOutcome:
    book, progress, (building, work) = settings.book, known.progress, places
    workers = settings.workers or usual_workers()
    with (
        crew_for(known.opened, book, work, workers, settings.workers_as, times_as_large=known.times_as_large())
        if settings.cluster is None
        else crew_of(settings.cluster, known.opened, book, work, progress.note)
    ) as crew:
        names = [shown_name(feed) for feed in known.opened]
        across = _across(crew.shared or work, settings, known, names)
        plan = partial(plan_feed, named=settings.named)
        stage = AuditStage(known, work, across, plan, finer=crew.finer, joins=may_join(book))
        runs = stage.run(crew.perform)
        auditor = crew.auditor()
        names[:] = [shown_name(feed) for feed in known.opened]  # now that all are
        known.give_own_paths(runs)
        if across is not None and crew.buckets is not None:
            progress.stage("comparing listings with each other")
            across.judge(RecordReader(runs, auditor), partial(crew.buckets, runs))
    trim_memory()
    keep_memory_a_moment()
    across_findings = AcrossFindings(work)
    if across is not None:
        _compare_listings(across, runs, auditor, across_findings, progress)
        known.pairs = across.pairs_told()
    folders = _folded(runs, auditor, known)
    links = None if across is None or across.offers is None else across.offers.links
    del auditor, across  # with all that their caches hold
    trim_memory()

    audited = Audited(runs, folders, across_findings, Tally.of(book), links)
    if ledger is not None:
        _remember(audited, ledger, known, places)

    def part() -> None:
        _write_parts(runs, known, building, settings, crew.errand)

    with in_background(part, workers) as parting:
        try:
            summary, rules = _finish_and_report(audited, known, building, settings, crew.errand)
        except Exception as error:
            # Nothing may be written any more when the work begins anew.
            parting.stop(patient=isinstance(error, LostFeedsError))
            known.lose_changed(runs)
            raise
        if parting.busy:
            progress.stage("writing released and held listings")
        parting.wait()
    known.lose_changed(runs)
    return RunOutcome(exit_code(summary), summary, rules, building)


@dataclass(slots=True)
class Audited:
    """What is known when all feeds are read and their listings are compared."""

    runs: Sequence[FeedRun]
    folders: AllFolders
    across_findings: AcrossFindings
    tally: Tally
    links: OfferLinks | None = None
    night: RememberedRun | None = None

    def write_findings(self, building: Path) -> list[dict[str, Any]]:
        """Writes the findings in their final order; the repeated mistakes among them, worst first."""
        if self.night is not None:
            return self.night.write(building)
        return settle_findings(self.runs, self.folders, self.across_findings, self.tally, building)


def _remember(audited: Audited, ledger: OpenLedger, known: KnownFeeds, places: tuple[Path, Path]) -> None:
    """Compares the findings with those of the nights before, and lets decisions count."""
    known.progress.stage("comparing with the nights before")
    audited.night = ledger.begin(known.earlier)
    try:
        audited.night.take((audited.runs, audited.folders, audited.across_findings), audited.tally, *places)
    except Exception:
        known.lose_changed(audited.runs)
        raise


def _finish_and_report(
    audited: Audited, known: KnownFeeds, building: Path, settings: Settings, errand: Errand
) -> tuple[dict[str, Any], dict[str, RuleCard]]:
    """Writes the findings, then everything that tells about them; (summary, rules)."""
    book, progress = settings.book, known.progress
    progress.stage("settling findings")
    runs = audited.runs
    repeated = audited.write_findings(building)
    summary = summarize(runs, book, audited.tally, known, repeated) | known.pairs
    summary["night"] = settings.night or datetime.date.today().isoformat()
    if audited.night is not None:
        audited.night.finish(summary)
    taken_in = audited.night is not None and not summary["decisions"]["refused"]
    if known.earlier is not None and known.earlier.decided and not taken_in:
        summary["kept_workbook"] = known.earlier.kept_name()
    rules = {rule.id: _card(rule, book) for rule in book.rules}
    trim_memory()
    findings = building / "findings.parquet"
    worst = worst_findings(findings)
    details = listing_details(runs, worst, book)
    offers = offer_ends(runs, worst, book, audited.links)
    finished = FinishedAudit(building, findings, summary, rules, details, worst, repeated, offers)
    progress.stage("writing reports")
    workers = settings.workers or usual_workers()
    corrects = settings.apply == "certain"

    def correct() -> None:
        if corrects:
            errand(write_corrected_feeds, [(run.number, run.feed) for run in runs], building)

    with in_background(correct, workers) as correcting:
        errand(write_reports, finished, book.folder, settings.workbook, workers)
        if corrects and correcting.busy:
            progress.stage("writing corrected listings")
        correcting.wait()
    return summary, rules


def _card(rule: Rule, book: RuleBook) -> RuleCard:
    about = (rule.id, rule.grade, rule.subject, rule.title, rule.why, rule.source, rule.order, rule.counted_in)
    return RuleCard(*about, whole_column=rule is book.taker("whole-column"))


def _folded(runs: Sequence[FeedRun], auditor: UnitAuditor, known: KnownFeeds) -> AllFolders:
    """By feed the columns that get one finding as a whole."""
    if any(run.habits.waiting for run in runs):
        known.progress.stage("settling columns")
    return fold_columns(runs, auditor)


def _across(work: Path, settings: Settings, known: KnownFeeds, names: Sequence[str]) -> ListingComparison | None:
    """Spools for rules across listings; None where all of them are switched off."""
    if not any(rule.kind == "across" for rule in settings.book.rules):
        return None
    folder = work / "across"
    shutil.rmtree(folder, ignore_errors=True)  # of a run that broke off
    folder.mkdir(parents=True)
    pairs = None if settings.pairs is None else PairFile(settings.pairs)
    offered = bool(known.waiting) or any(map(names_substitutes, known.opened))  # those that wait may have some
    return ListingComparison(folder, settings.book, names, offered=offered, pairs=pairs)


def _compare_listings(
    across: ListingComparison,
    runs: Sequence[FeedRun],
    auditor: UnitAuditor,
    across_findings: AcrossFindings,
    progress: Progress,
) -> None:
    """Keeps the findings across listings, and lets them count in the worst grades."""
    progress.stage("comparing listings with each other")
    by_number = {run.number: run for run in runs}
    fetch = RecordReader(runs, auditor)
    for number, table in across_findings.take(across.findings(fetch)):
        count_in_worst_grades(by_number[number], table)
    for number, counts in across.offer_counts(fetch).items():
        run = by_number[number]
        run.offers, run.could_not_tell = counts, run.could_not_tell.with_more(counts.untold)
    forget_markings()


def _write_parts(
    runs: Sequence[FeedRun], known: KnownFeeds, building: Path, settings: Settings, errand: Errand
) -> None:
    """The listings themselves: released, held, and those that could not be read as one."""
    for name in ("released", "held"):
        (building / name).mkdir()
    files: dict[str, list[FeedRun]] = {}
    for run in runs:
        files.setdefault(run.feed.output_name, []).append(run)
    failed: list[tuple[list[FeedRun], Exception]] = []
    parted, owners = [], []
    for together in files.values():
        try:
            parted.append(([run.feed for run in together], [dispositions(run, settings.book) for run in together]))
            owners.append(together)
        except Exception as error:
            failed.append((together, error))
    found = errand(split_all, parted, building / "released", building / "held")
    failed += [(owners[place], error) for place, error in found.items()]
    lost = {run.number: known.why(run.feed, error) for together, error in failed for run in together}
    if lost:
        raise LostFeedsError(lost)
    write_rejected(building, (record for run in runs for record in run.rejected_records()))


def _write_run(building: Path, started: datetime.datetime) -> None:
    """The only file with a clock in it."""
    ended = datetime.datetime.now(datetime.UTC)
    data = {
        "started": started.isoformat(timespec="seconds"),
        "ended": ended.isoformat(timespec="seconds"),
        "program": __version__,
        "files": files_in(building),  # what the next run may replace: all else in the folder is somebody else's
    }
    (building / "run.json").write_text(json.dumps(data, indent=1) + "\n", encoding="utf-8")
