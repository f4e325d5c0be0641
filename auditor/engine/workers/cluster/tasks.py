"""What runs on a worker of a cluster: a look whether it can work for a run at all, and the audit of units.

A worker writes to a folder of its own first, and copies what is finished to the place of parts, the manifest last.
Before it begins with a unit it leaves a mark, and takes it away however the unit ends, unless the worker dies: so
whoever is given the unit next knows how many have died of it.
"""

from __future__ import annotations

import copy
import pickle
import secrets
import tempfile
import threading
import time
from collections import Counter, OrderedDict
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

from distributed import get_worker

from auditor.engine.losses import no_room
from auditor.engine.pieces import BESIDE_OTHERS
from auditor.engine.process_memory import trim_memory
from auditor.engine.unit_parts import part_path
from auditor.engine.unit_work import MOST_DEATHS, Advanced, UnitDone, UnitJob, UnitLost, UnitWork
from auditor.engine.workers.cluster.gate import Gate
from auditor.engine.workers.cluster.identity import libraries, unit_identity
from auditor.engine.workers.cluster.orders import (
    Failed,
    Manifest,
    Order,
    Outcome,
    Standard,
    manifest_name,
)
from auditor.engine.workers.cluster.parts import at_path
from auditor.engine.workers.cluster.place import Place, open_place
from auditor.rulebook.book import RuleBook
from auditor.version import __version__

_MOST_CREWS = 2  # of runs that this process remembers
_crews: OrderedDict[Standard, Crew] = OrderedDict()
_choosing = threading.Lock()


class UnfitError(Exception):
    """This worker cannot work for a run; the text goes on after its address."""


def look(standard: Standard, files: Sequence[tuple[str, int]]) -> tuple[str, list[int]]:
    """Why this worker cannot work for a run, or nothing; and the places of files that it does not see as they are."""
    try:
        _crew_of(standard)
    except UnfitError as error:
        return str(error), []
    return "", [place for place, (path, size) in enumerate(files) if not _is_seen(path, size)]


def audit_units(content: bytes) -> Outcome:
    """Does a pickled order."""
    order: Order = pickle.loads(content)
    worker, begun = str(get_worker().address), time.monotonic()
    try:
        crew = _crew_of(order.standard)
    except UnfitError as error:
        return Outcome(worker, 0.0, unfit=str(error))
    try:
        outcome = crew.perform(order, worker)
    except OSError as error:
        failed = Failed(f"a worker could not write its parts ({error.strerror or error})", no_room(error))
        outcome = Outcome(worker, 0.0, (failed,) * len(order.names))
    trim_memory()
    return replace(outcome, seconds=time.monotonic() - begun)


def _is_seen(path: str, size: int) -> bool:
    try:
        return Path(path).stat().st_size == size
    except OSError:
        return False


def _crew_of(standard: Standard) -> Crew:
    with _choosing:
        crew = _crews.get(standard)
        if crew is None:
            crew = _crews[standard] = Crew(standard)
            while len(_crews) > _MOST_CREWS:
                _crews.popitem(last=False)
        _crews.move_to_end(standard)
        return crew


class Crew:
    """What a process has for one run: the rule book, caches, and a folder of its own."""

    def __init__(self, standard: Standard) -> None:
        """Raises UnfitError where the process lacks something."""
        _check_versions(standard)
        self._standard = standard
        self._place = open_place(standard.place)
        book = _book(standard, self._place)
        # It goes with this object: no run leaves anything on a worker's disk.
        self._folder = tempfile.TemporaryDirectory(prefix="auditor-units-", dir=_local_folder())
        self._work = UnitWork(book, Path(self._folder.name), BESIDE_OTHERS)
        self._gate = Gate()
        self._fetching = threading.Lock()

    def perform(self, order: Order, worker: str) -> Outcome:
        """Audits units; raises OSError where their parts cannot be kept."""
        marks, session = f"{order.names[0]}.begun", self._standard.session
        died = sum(name.startswith(f"{marks}/{session}-") for name in self._place.names(marks))
        died += order.died
        if died and order.job.others:
            return Outcome(worker, 0.0, deaths=died, apart=True)
        if died >= MOST_DEATHS:
            return Outcome(worker, 0.0, deaths=died)
        attempt = secrets.token_hex(4)
        with self._gate.alone() if died else self._gate.beside_others():
            mark = f"{marks}/{session}-{attempt}"
            self._place.put_bytes(mark, worker.encode())
            try:
                units = self._audited(order, attempt)
            finally:
                self._place.remove(mark)
        return Outcome(worker, 0.0, units)

    def _audited(self, order: Order, attempt: str) -> tuple[Manifest | Failed, ...]:
        job = self._with_files_here(order)
        ended: dict[tuple[int, int], UnitDone | UnitLost] = {}
        records: Counter[tuple[int, int]] = Counter()
        findings: Counter[tuple[int, int]] = Counter()
        work = copy.copy(self._work)
        with tempfile.TemporaryDirectory(dir=self._folder.name) as folder:
            work.folder = Path(folder)
            for event in work.perform(job, _is_cancelled):
                if isinstance(event, Advanced):
                    records[event.key] += event.records
                    findings[event.key] += event.findings
                else:
                    ended.update((one.key, one) for one in (event, *event.others))
            self._work.auditor = work.auditor  # a new one where something failed
            units: list[Manifest | Failed] = []
            for name, one in zip(order.names, job.alone(), strict=True):
                end = ended.get(one.key)
                if isinstance(end, UnitDone) and not _is_cancelled():
                    counts = records[one.key], findings[one.key]
                    units.append(self._kept(name, attempt, one, work.folder, end, counts))
                elif not isinstance(end, UnitLost):
                    units.append(Failed("was cancelled"))
                else:
                    units.append(Failed(end.reason, end.ends_run))
        return tuple(units)

    def _kept(
        self, name: str, attempt: str, job: UnitJob, folder: Path, done: UnitDone, counts: tuple[int, int]
    ) -> Manifest:
        """Copies what a unit left, its manifest last."""
        to, sizes = f"{name}-{attempt}", {}
        for kind in sorted(done.kinds):
            if done.within is not None:  # here it has its own, for the others may go elsewhere
                content = done.within.read(folder)
                sizes[kind] = len(content)
                self._place.put_bytes(f"{to}/{kind}", content)
                continue
            path = part_path(folder, kind, *job.key)
            sizes[kind] = path.stat().st_size
            self._place.put(f"{to}/{kind}", path)
        manifest = Manifest(to, unit_identity(job.unit), sizes, *counts)
        self._place.put_bytes(manifest_name(name), manifest.text())
        return manifest

    def _with_files_here(self, order: Order) -> UnitJob:
        """The job with feeds that this process can read."""
        jobs = [
            job if not name else self._reading(job, name)
            for job, name in zip(order.job.alone(), order.fetched, strict=True)
        ]
        return replace(jobs[0], others=tuple(jobs[1:]))

    def _reading(self, job: UnitJob, name: str) -> UnitJob:
        path = self._place.path_of(name)
        if path is None:
            path = Path(self._folder.name) / name.replace("/", "-")
            with self._fetching:
                if not path.exists():
                    new = path.with_suffix(".new")
                    self._place.fetch(name, new)
                    new.replace(path)
        return replace(job, task=replace(job.task, feed=at_path(job.task.feed, path)))


def _check_versions(standard: Standard) -> None:
    here = (("tire-listing-auditor", __version__), *libraries())
    wanted = (("tire-listing-auditor", standard.version), *standard.libraries)
    for (name, mine), (_, needed) in zip(here, wanted, strict=True):
        if mine != needed:
            raise UnfitError(f"has {name} {mine}, and not {needed}; install the same on every worker")


def _book(standard: Standard, place: Place) -> RuleBook:
    try:
        content = place.read(standard.book)
    except OSError as error:
        raise UnfitError(
            f"does not reach {standard.place} ({(error.strerror or str(error)).lower()}); name a folder that all "
            "workers reach under the same path"
        ) from error
    try:
        book: RuleBook = pickle.loads(content)
    except Exception as error:
        raise UnfitError(f"cannot load the rule book ({error}); install the own checks on every worker") from error
    if book.sha256 != standard.rules:
        raise UnfitError("was given another rule book; remove the folder of parts and run again")
    return book


def _local_folder() -> str | None:
    try:
        return str(get_worker().local_directory)
    except ValueError:  # in no worker
        return None


def _is_cancelled() -> bool:
    """Whether nobody waits for what this thread is at: the run was interrupted, or its process is gone."""
    worker = get_worker()
    task = worker.state.tasks.get(worker.get_current_task())
    return task is None or task.state in ("cancelled", "released", "forgotten")
