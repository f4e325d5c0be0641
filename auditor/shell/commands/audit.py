"""`auditor audit FEED... --out DIR`: the main job."""

from __future__ import annotations

import argparse
import sys
import threading
from dataclasses import asdict
from pathlib import Path
from typing import TYPE_CHECKING, Any

from auditor.errors import AuditorError, UsageError, printable
from auditor.feeds.urls import folder_or_url
from auditor.shell.book_options import add_book_options, book_from_options, say_loosened
from auditor.shell.cluster_options import add_cluster_options
from auditor.shell.interrupts import Interrupted, end_now, ended_by_signals
from auditor.shell.night_options import add_night_options, ledger_settings
from auditor.shell.run_log import log, log_finished

if TYPE_CHECKING:
    from auditor.engine.run import RunOutcome
    from auditor.feeds.model import Limits
    from auditor.shell.job import Job

EPILOG = """\
FEED is a file, a folder, a glob in quotes, or a URL. The output folder is built
aside and moved into place whole; an earlier audit in it is replaced, anything
else is left alone.

  auditor audit feeds/ --out audit
  auditor audit north.csv south.parquet --out audit --hold-from critical
  auditor audit --job night.toml

Exit code 0: every listing released; 1: at least one held or rejected; 2: wrong
usage, or a bad rule, policy or map file; 3: a feed could not be read (the
others are audited); 4: the output could not be written; 5: audited, but a
column that matters was not read; 130, 143: interrupted."""

_STYLES = {"auto": "auto", "plain": "lines", "json": "json", "none": "none"}


class _Limit(argparse.Action):
    """Gathers limits; `--limit help` lists them, whatever else is asked for."""

    def __call__(
        self, parser: argparse.ArgumentParser, namespace: argparse.Namespace, values: Any, option: str | None = None
    ) -> None:
        if values == "help":
            # Start-up: few ask for the limits.
            from auditor.feeds.model import Limits

            for name, value in asdict(Limits()).items():
                print(f"{name}={value}")
            parser.exit()
        namespace.limit = [*namespace.limit, values]


def arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("feeds", nargs="*", metavar="FEED", help="file, folder, glob or URL")
    parser.add_argument(
        "--out", metavar="DIR", type=folder_or_url, help="folder for the results, or URL of one in a store"
    )
    parser.add_argument("--job", metavar="FILE", type=Path, help="everything from a job file; options beside it win")
    parser.add_argument("--check", action="store_true", help="with --job: say what would run, and check it")
    add_book_options(parser)
    parser.add_argument("--maps", metavar="DIR", type=Path, help="folder of feed maps")
    parser.add_argument("--workers", metavar="N", type=int, help="so many audit at once (default: the machine's cores)")
    add_cluster_options(parser)
    add_night_options(parser)
    parser.add_argument("--apply", metavar="WHAT", help="certain: also write the feeds with certain suggestions put in")
    parser.add_argument(
        "--pairs", metavar="FILE", type=Path, help="CSV with sku and substitute_sku: tires offered in place of others"
    )
    parser.add_argument(
        "--limit", metavar="NAME=N", action=_Limit, default=[], help="what a feed may cost; --limit help lists them"
    )
    parser.add_argument("--log", metavar="STYLE", help="progress: auto, plain, json or none")
    parser.add_argument("--quiet", action="store_true", help="no progress, no table at the end; errors only")


def run(options: argparse.Namespace) -> int:
    job = _job(options)
    options.log = options.log or "auto"
    if options.log not in _STYLES:
        # Start-up: only a slip of the pen needs the nearest name.
        from auditor.rulebook.files import nearest

        raise UsageError(f"--log {options.log} is none of {', '.join(_STYLES)}; {nearest(options.log, list(_STYLES))}")
    if options.workers is not None and options.workers < 1:
        raise UsageError(f"--workers {options.workers} should be 1 or more.")
    if options.night is not None:
        _check_night(options.night)
    if options.apply not in (None, "certain"):
        raise UsageError(f"--apply {options.apply} is not possible; only `--apply certain` is.")
    if options.check:
        return _say_job(options, job)
    try:
        code = _audit(options)
    except AuditorError as error:
        _end_job(options, job, error.exit_code, str(error))
        if options.log != "json":
            raise
        log("failed", message=str(error), exit_code=error.exit_code)
        return error.exit_code
    _end_job(options, job, code)
    return code


def _job(options: argparse.Namespace) -> Job | None:
    """The job file in force, its content filled in where the command line says nothing."""
    if options.job is None:
        missing = [name for name, given in (("FEED", options.feeds), ("--out", options.out)) if not given]
        if missing:
            raise UsageError(f"audit needs {' and '.join(missing)}, or --job FILE; see `auditor audit --help`.")
        if options.check:
            raise UsageError("--check goes with --job FILE: it says what the job would run.")
        return None
    # Start-up: most audits have no job file.
    import datetime

    # Start-up: most audits have no job file.
    from auditor.shell.job import apply_job

    if options.night is not None:
        _check_night(options.night)
    return apply_job(options, options.night or datetime.date.today().isoformat())


def _say_job(options: argparse.Namespace, job: Job | None) -> int:
    """Says what a job would run, and whether its feeds, book, maps and ledger are there."""
    # Start-up: most audits have no job file.
    from auditor.feeds.locate import locate_feeds
    from auditor.ledger.place import place_of
    from auditor.mapping.maps import load_maps
    from auditor.rulebook.book import contract_in_force
    from auditor.shell.job import would_run

    assert job is not None
    book = book_from_options(options)
    if options.maps is not None:
        load_maps(options.maps, contract_in_force(book))
    _limits(options.limit)
    ledger_settings(options)
    found = locate_feeds(options.feeds)
    ledger = place_of(options.ledger).shown if options.ledger else ""
    sys.stdout.write(would_run(options, job, ledger))
    for one in found.located:
        print(f"reads    {printable(one.name)}")
    for name, error in found.missing:
        print(f"auditor: {name}: {error}", file=sys.stderr)
    return 3 if found.missing else 0


def _end_job(options: argparse.Namespace, job: Job | None, code: int, failure: str = "") -> None:
    """Removes what the job no longer keeps, and tells whom it names; that this fails is told and changes no exit code.

    Where there is no summary, since the run failed, the command gets the reason instead.
    """
    if job is None:
        return
    # Start-up: most audits have no job file.
    import json

    # Start-up: most audits have no job file.
    from auditor.shell.job import remove_older, tell

    if failure:
        given = json.dumps({"exit_code": code, "error": failure}).encode()
    else:
        remove_older(job, options.out)
        given = (options.here / "summary.json").read_bytes()
    untold = tell(job, given, code)
    if untold and options.log == "json":
        log("not told", message=untold)
    elif untold:
        print(f"auditor: {untold}", file=sys.stderr)


def _check_night(night: str) -> None:
    # Start-up: few runs name their night.
    import datetime

    try:
        if datetime.date.fromisoformat(night).isoformat() == night:
            return
    except ValueError:
        pass
    raise UsageError(f"--night {night} is no date; write it as 2026-11-28.")


def _audit(options: argparse.Namespace) -> int:
    watched = WatchedProgress(options.out)
    ending = threading.Lock()  # whoever comes first tidies up, speaks and ends the process

    def last_words(exit_code: int) -> None:
        ending.acquire()
        _tidy_up()
        _say_interrupted(watched, exit_code, options.log == "json")

    try:
        with ended_by_signals(last_words):
            return _finished(options, watched)
    except Interrupted as interrupted:
        last_words(interrupted.exit_code)
        end_now(interrupted.exit_code)
        return interrupted.exit_code


def _finished(options: argparse.Namespace, watched: WatchedProgress) -> int:
    book = book_from_options(options)
    ledger = ledger_settings(options)
    if options.quiet:  # else the table at the end says so
        say_loosened(book)
    # Start-up: `auditor audit --help` must not load the array libraries.
    from auditor.engine.process_memory import limit_memory, loading

    limit_memory()
    with loading():
        # Start-up: only now that memory is limited.
        from auditor.engine.progress import progress
        from auditor.engine.run import Settings, run_audit
        from auditor.engine.workers.cluster.settings import cluster_settings
        from auditor.mapping.maps import load_maps
        from auditor.outputs.remote_folder import built_here
        from auditor.rulebook.book import contract_in_force

    maps = load_maps(options.maps, contract_in_force(book)) if options.maps is not None else None
    settings = Settings(
        book=book,
        workers=options.workers or 0,
        maps=maps,
        limits=_limits(options.limit),
        apply=options.apply,
        night=options.night or (ledger.night if ledger is not None else ""),
        pairs=options.pairs,
        ledger=ledger,
        cluster=cluster_settings(options.cluster, options.cluster_folder, options.out),
    )
    with progress("none" if options.quiet else _STYLES[options.log]) as shown:
        watched.shown = shown
        with built_here(options.out, watched.stage) as options.here:
            outcome = run_audit(options.feeds, options.here, settings, watched)
    _say_finished(options, outcome)
    return outcome.exit_code


def _limits(asked: list[str]) -> Limits:
    """The limits in force: the usual ones, with those that were asked for."""
    # Start-up: `auditor audit --help` must not load the array libraries.
    from auditor.feeds.model import limits_of

    limits: dict[str, int] = {}
    for text in asked:
        name, _, number = text.partition("=")
        name, number = name.strip().replace("-", "_"), number.strip()
        limits[name] = int(number) if number.isdecimal() else 0
    return limits_of(limits)


class WatchedProgress:
    """Passes progress on, and remembers what was done for the sentence that ends an interrupted run."""

    def __init__(self, out: str | Path) -> None:
        self.shown: Any = None
        self.doing = "starting"
        self._done: dict[str, int] = {}
        self.out = out
        self._before = _identity(out)

    @property
    def records(self) -> int:
        """Listings done; those of a feed that was begun anew count once."""
        return sum(self._done.values())

    def stage(self, name: str, of: int | None = None, about: bool = False) -> None:
        """A new stage begins."""
        self.doing = name
        self._done[name] = 0
        self.shown.stage(name, of, about)

    def advance(self, records: int, findings: int = 0) -> None:
        """So many more records of the stage are done."""
        self._done[self.doing] = self._done.get(self.doing, 0) + records
        self.shown.advance(records, findings)

    def note(self, event: str, text: str, **values: Any) -> None:
        """Something to be known at once."""
        self.shown.note(event, text, **values)

    def result(self) -> str:
        """What became of the output folder."""
        if self.doing.startswith("copying to "):
            return f"{self.out} may hold parts of the audit, but no summary.json"
        if _identity(self.out) != self._before:
            return f"the finished audit is in {self.out}"
        return f"{self.out} is as it was" if self._before else f"{self.out} was not written"


def _identity(folder: str | Path) -> tuple[int, int] | None:
    try:
        found = Path(folder).stat()
    except OSError:
        return None
    return found.st_dev, found.st_ino


def _tidy_up() -> None:
    """Removes what an interrupted run leaves, even where the main thread is deep in a library and cannot."""
    position, spool = sys.modules.get("auditor.outputs.output_folder"), sys.modules.get("auditor.feeds.spool")
    workers = sys.modules.get("auditor.engine.workers.started")
    if workers is not None:
        workers.end_all()
    if position is not None:
        position.remove_unfinished()
    if spool is not None:
        spool.remove_spool()


def _say_interrupted(watched: WatchedProgress, exit_code: int, as_json: bool) -> None:
    done = f"interrupted while {watched.doing}, after {watched.records:,} listings; {watched.result()}."
    if as_json:
        log("interrupted", message=done, records=watched.records, exit_code=exit_code)
    else:
        print(f"\nauditor: {done}", file=sys.stderr, flush=True)


def _say_finished(options: argparse.Namespace, outcome: RunOutcome) -> None:
    summary = outcome.summary
    if options.log == "json":
        log_finished(summary, outcome.exit_code, options.out, options.quiet)
    elif options.quiet:
        if summary["unread_columns"]:
            # Start-up: few runs are quiet and leave something unread.
            from auditor.outputs.headline import unread_first

            print(f"auditor: {printable(unread_first(summary))}", file=sys.stderr)
        for feed in summary["unreadable_feeds"]:
            print(f"auditor: {feed['feed']}: {feed['reason']}", file=sys.stderr)
        # Start-up: a run that ends in JSON lines says none of this.
        from auditor.outputs.headline import decisions_in_words, deliveries_in_words

        for sentence in (*deliveries_in_words(summary), *decisions_in_words(summary)):
            print(f"auditor: {printable(sentence)}", file=sys.stderr)
    else:
        # Start-up: a run that ends in JSON lines draws no tables.
        from auditor.shell.terminal import end_of_run

        sys.stdout.write(end_of_run(summary, outcome.rules, options.out, color=sys.stdout.isatty()))
