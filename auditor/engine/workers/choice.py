"""How many audit at once, and whether as threads, as processes or on a cluster: nothing else depends on it."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Any, Literal

from auditor.engine.pieces import BESIDE_ONE, BESIDE_OTHERS
from auditor.engine.record_estimate import estimate_records
from auditor.engine.unit_audit import UnitAuditor
from auditor.engine.unit_work import Event, UnitJob, UnitWork
from auditor.engine.workers.errands import done_elsewhere, done_here
from auditor.engine.workers.threads import in_this_thread, in_threads
from auditor.errors import UsageError
from auditor.feeds.model import Feed
from auditor.rulebook.book import RuleBook

if TYPE_CHECKING:
    from auditor.across.bucket_judge import Judged
    from auditor.engine.workers.cluster.settings import ClusterSettings

PROCESSES_FROM = 200_000  # records; of fewer, what one process has to learn first is most of the work
# Records up to which two workers take larger pieces.  What copies share with the process that they come of they come to
# hold each by itself, the longer the more of it: with larger pieces two would go beyond 700 MiB after some millions.
LARGER_UP_TO = 1_500_000
AS = "AUDITOR_WORKERS"  # in the environment: threads or processes, whatever the size of the job
Kind = Literal["threads", "processes", ""]
Tell = Callable[..., None]  # as `Progress.note`


@dataclass(frozen=True, slots=True)
class Crew:
    """Those who audit units."""

    perform: Callable[[Iterable[UnitJob]], Iterator[Event]]
    finer: int  # into some so many records each they want units parted; 0: into none
    auditor: Callable[[], UnitAuditor]  # for what is left to do in this process
    errand: Callable[..., Any] = done_here  # has a function called, perhaps by another process
    shared: Path | None = None  # a folder that all of them reach
    buckets: Callable[..., Iterator[Judged | None]] | None = None  # has listings compared, where it is not done here


@contextmanager
def crew_for(
    feeds: Sequence[Feed],
    book: RuleBook,
    folder: Path,
    workers: int,
    kind: Kind = "",
    *,
    times_as_large: float = 1.0,
) -> Iterator[Crew]:
    """Workers for some feeds; `kind` says what they have to be, "" that it goes by the size of the job.

    The job is `times_as_large` as these feeds, where not all of them are opened yet.
    """
    kind = kind or os.environ.get(AS, "")  # type: ignore[assignment]
    may = kind == "processes" or (not kind and workers > 1)
    about = _records_about(feeds, times_as_large, LARGER_UP_TO if workers <= 2 else PROCESSES_FROM) if may else 0.0
    if may and (kind or about >= PROCESSES_FROM):
        # Start-up: small jobs start no processes.
        from auditor.engine.workers.processes import Processes

        records = BESIDE_ONE if workers <= 2 and about < LARGER_UP_TO else BESIDE_OTHERS
        with Processes(book, folder, workers, records) as processes:
            yield Crew(processes.perform, records, partial(UnitAuditor, book), done_elsewhere)
        return
    work = UnitWork(book, folder)
    perform = partial(in_threads, work=work, workers=workers) if workers > 1 else partial(in_this_thread, work=work)
    yield Crew(perform, 0, lambda: work.auditor)


@contextmanager
def crew_of(
    cluster: ClusterSettings, feeds: Sequence[Feed], book: RuleBook, folder: Path, tell: Tell
) -> Iterator[Crew]:
    """The workers of a cluster.  Raises UsageError where it cannot be reached or has none that fit."""
    try:
        # Start-up: few runs have a cluster.
        from auditor.engine.workers.cluster.run import cluster_crew
    except ModuleNotFoundError as error:
        if str(error.name).startswith("auditor"):
            raise
        raise UsageError(
            f"--cluster needs {error.name}, which is not installed: pip install 'tire-listing-auditor[cluster]'."
        ) from error
    with cluster_crew(cluster, feeds, book, folder, tell) as members:
        shared, buckets = members.shared, members.judged
        own = partial(UnitAuditor, book)
        yield Crew(members.perform, BESIDE_OTHERS, own, done_elsewhere, shared, None if shared is None else buckets)


def _records_about(feeds: Sequence[Feed], times: float, enough: int) -> float:
    """How many records a job has that is so many `times` as large as some feeds, counted until they are `enough`."""
    records = 0
    for feed in feeds:
        try:
            records += estimate_records(feed)[0] or 0
        except Exception:  # it will be lost when it is read
            continue
        if records * times >= enough:
            break
    return records * times


def usual_workers() -> int:
    """The cores this process may use."""
    try:
        return max(1, len(os.sched_getaffinity(0)))
    except AttributeError:  # not on every system
        return max(1, os.cpu_count() or 1)
