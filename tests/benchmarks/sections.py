"""The parts of the report that measure whole runs: the core question, rules by scope, the full audit."""

from __future__ import annotations

import importlib.util
import json
import shutil
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path
from tempfile import TemporaryDirectory

from tests.benchmarks.compare import difference
from tests.benchmarks.generator import FeedPlan
from tests.benchmarks.measure import Cost, Job, measure
from tests.benchmarks.report import Section, cost_table
from tests.benchmarks.rivals import NEEDS, RIVALS, SLOW
from tests.benchmarks.scopes import SCOPES
from tests.benchmarks.settings import Settings
from tests.benchmarks.small_files import SMALL_RECORDS
from tests.benchmarks.tables import COLUMNS

WIDE_COLUMNS, WIDE_RECORDS = 300, 300_000
BARE, AUDITOR = "bare read", "auditor"
# Columns that rules on one listing look at: all of the generated contract but the texts and the carried ones.
_TEXTS = ("title", "description")
_CARRIED = ("brand", "model", "season")


def core(settings: Settings) -> list[Section]:
    """The auditor held to seven comparisons, against its rivals and the bare read of the same columns."""
    return [_core_on(settings, records, form) for records in settings.records for form in settings.formats]


def _core_on(settings: Settings, records: int, form: str) -> Section:
    plan = replace(settings.plan, records=records)
    feed, truth = settings.feed(plan, form), settings.answer(plan)
    section = Section(f"Core question: {records:,} records, {form}")
    chosen = [name for name in settings.rivals if name not in SLOW or records <= settings.slow_up_to]
    missing = [name for name in chosen if importlib.util.find_spec(NEEDS[name]) is None]
    section.problems += [f"{RIVALS[name]}: {NEEDS[name]} is not installed" for name in missing]
    with TemporaryDirectory(prefix="auditor-answers-") as folder:

        def job(name: str, module: str) -> Job:
            out = Path(folder) / f"{module}.parquet"
            return Job(name, module, (str(feed), str(out), "--threads", str(settings.threads)), out)

        read = (str(feed), "--columns", ",".join(COLUMNS), "--threads", str(settings.threads))
        jobs = [Job(BARE, "tests.benchmarks.bare_read", read), job(AUDITOR, "tests.benchmarks.core_question")]
        jobs += [job(RIVALS[name], f"tests.benchmarks.rivals.{name}") for name in chosen if name not in missing]
        costs = measure(jobs, settings.runs, settings.say)
        answers = {one.name: _verdict(one, truth, costs[one.name]) for one in jobs}
    section.lines += cost_table(costs, BARE, AUDITOR, answers)
    section.problems += [f"{name}: {cost.problem}" for name, cost in costs.items() if cost.problem]
    wrong = {name: text for name, text in answers.items() if text not in ("", "same")}
    section.problems += [f"{name}: {text}" for name, text in wrong.items()]
    return section


def _verdict(job: Job, truth: Path, cost: Cost) -> str:
    """Whether a job's answer is the planted one; a time counts only with the right answer."""
    if job.answer is None or cost.problem:
        return ""
    found = difference(job.answer, truth)
    if found:
        cost.seconds.clear()
        cost.problem = "another answer"
    return found or "same"


def within(settings: Settings) -> list[Section]:
    """Every rule that looks at one listing, on the columns these rules read."""
    return _scope(settings, "within", [*_TEXTS, *_CARRIED])


def claims(settings: Settings) -> list[Section]:
    """The same with the claims in titles and descriptions."""
    return _scope(settings, "claims", _CARRIED)


def cross(settings: Settings) -> list[Section]:
    """The same with the rules across listings, against the scope without them."""
    return _scope(settings, "cross", ())


def _scope(settings: Settings, scope: str, unread: Sequence[str]) -> list[Section]:
    sections = []
    for records in settings.records:
        for form in settings.formats:
            plan = replace(settings.plan, records=records)
            feed, threads = settings.feed(plan, form), ("--threads", str(settings.threads))
            columns = ",".join(name for name in plan.header if name not in unread)
            jobs = [
                Job(BARE, "tests.benchmarks.bare_read", (str(feed), "--columns", columns, *threads)),
                Job(AUDITOR, "tests.benchmarks.scopes", (scope, str(feed), *threads)),
            ]
            if scope == "cross":
                jobs.append(Job("without them", "tests.benchmarks.scopes", ("claims", str(feed), *threads)))
            title = f"{SCOPES[scope][0].upper()}{SCOPES[scope][1:]}: {records:,} records, {form}"
            sections.append(_measured(title, jobs, settings))
    return sections


def full(settings: Settings) -> list[Section]:
    """`auditor audit` with every rule and output, against the bare read of all columns."""
    return _full(settings, settings.plan, "Full audit with all outputs")


def mixed(settings: Settings) -> list[Section]:
    """The same on texts that combine freely, so that no cache of sentences helps."""
    return _full(settings, replace(settings.plan, free_texts=True), "Full audit of texts that combine freely")


def habit(settings: Settings) -> list[Section]:
    """The same where every listing has the same mistake beside its own."""
    plan = replace(settings.plan, free_texts=True, habit=True)
    return _full(settings, plan, "Full audit of freely combined texts, one habit in every row")


def clean(settings: Settings) -> list[Section]:
    """The same where no listing has a mistake."""
    plan = replace(settings.plan, free_texts=True, findings_percent=0)
    return _full(settings, plan, "Full audit of freely combined texts, nothing wrong")


def wide(settings: Settings) -> list[Section]:
    """The same with 300 columns, most of which no rule reads; fewer records, since they are wide."""
    plan = replace(settings.plan, free_texts=True, columns=WIDE_COLUMNS)
    few = replace(settings, records=tuple(sorted({min(records, WIDE_RECORDS) for records in settings.records})))
    return _full(few, plan, f"Full audit of freely combined texts, {WIDE_COLUMNS} columns")


def small(settings: Settings) -> list[Section]:
    """Many files of few listings each, in several layouts, and a tenth of them: what one more file costs."""
    sections = []
    for files in (settings.files, max(1, settings.files // 10)):
        folder = settings.small_files(files)
        with TemporaryDirectory(prefix="auditor-full-", dir=settings.folder) as out:
            jobs = full_jobs(folder, files * SMALL_RECORDS, Path(out), settings.threads)
            title = f"Full audit of freely combined texts in {files:,} CSV files of {SMALL_RECORDS} listings"
            section = _measured(title, jobs, settings)
        sections.append(section)
    return sections


def _full(settings: Settings, base: FeedPlan, name: str) -> list[Section]:
    sections = []
    for records in settings.records:
        for form in settings.formats:
            feed = settings.feed(replace(base, records=records), form)
            with TemporaryDirectory(prefix="auditor-full-", dir=settings.folder) as folder:
                jobs = full_jobs(feed, records, Path(folder), settings.threads)
                title = f"{name}: {records:,} records, {form}"
                sections.append(_measured(title, jobs, settings))
    return sections


def full_jobs(feed: Path, records: int, folder: Path, threads: int) -> list[Job]:
    """The bare read of all columns, and the whole command; it ends with 1 where listings are held."""
    out = folder / "out"
    audit = ("audit", str(feed), "--out", str(out), "--workers", str(threads))

    def audited() -> str:
        """Every record must be accounted for; the output is removed, so that each run writes afresh."""
        read = json.loads((out / "summary.json").read_text())["totals"]["records"]
        shutil.rmtree(out)
        return "" if read == records else f"accounts for {read:,} of {records:,} records"

    return [
        Job(BARE, "tests.benchmarks.bare_read", (str(feed), "--threads", str(threads))),
        Job(AUDITOR, "auditor.shell.cli:main", audit, good_codes=(0, 1), check=audited),
    ]


def _measured(title: str, jobs: Sequence[Job], settings: Settings) -> Section:
    costs = measure(jobs, settings.runs, settings.say)
    section = Section(title, cost_table(costs, BARE, AUDITOR, {}))
    section.problems += [f"{name}: {cost.problem}" for name, cost in costs.items() if cost.problem]
    return section
