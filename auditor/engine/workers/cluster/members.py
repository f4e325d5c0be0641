"""The workers of a cluster that can work for a run: those that have the same version and rules, and reach its files."""

from __future__ import annotations

import re
import time
from collections.abc import Callable, Iterable, Sequence
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from typing import Any

from distributed import Client

from auditor.engine.workers.cluster.orders import Standard
from auditor.engine.workers.cluster.tasks import look
from auditor.errors import OutputError, UsageError
from auditor.feeds.model import Feed
from auditor.outputs.headline import counted

_FIRST_S = 15.0  # how long the first worker may take to join
_NOBODY_S = 300.0  # how long a run waits for workers where all are gone
_COUNT_S = 2.0  # between two counts of workers
_ANSWERS_S = 30.0  # how long the scheduler, or a worker that is idle, may take for an answer
_ASKED = 32  # workers at once

_MISSING = re.compile(r"No module named \\?'([\w.]+)")

Tell = Callable[..., None]  # as `Progress.note`


class Members:
    """Who works for a run."""

    def __init__(self, client: Client, address: str, standard: Standard, tell: Tell) -> None:
        """`address` is the scheduler's, as it was given."""
        self._client, self._address, self._standard, self._tell = client, address, standard, tell
        self._left_out: set[str] = set()
        self._unseen: set[Path] = set()
        self._there: dict[str, int] = {}  # threads by worker
        self._counted = self._last_there = 0.0

    @property
    def threads(self) -> int:
        """How many units are audited at once."""
        self._count()
        return sum(threads for worker, threads in self._there.items() if worker not in self._left_out)

    @property
    def scheduler_is_gone(self) -> bool:
        """Whether nothing comes from the cluster any more."""
        status: Any = self._client.status
        return status not in ("running", "connecting")

    def look(self, feeds: Sequence[Feed]) -> None:
        """Asks all workers whether they can work for the run, and which feeds they see.

        Raises UsageError where there are no workers, or none that can.
        """
        try:
            self._client.wait_for_workers(1, timeout=_FIRST_S)
        except TimeoutError as error:
            raise UsageError(
                f"--cluster {self._address}: the scheduler has no workers; start some with "
                f"`dask worker {self._address}`."
            ) from error
        paths = [path for path in map(_path_of, feeds) if path is not None]
        files = [(str(path), path.stat().st_size) for path in paths if path.is_file()]
        answers = self._answers(files)
        for worker, answer in sorted(answers.items()):
            unfit, unseen = (_said(answer), []) if isinstance(answer, BaseException) else answer
            if unfit:
                self.leave_out(worker, unfit, quiet=len(answers) == 1)
            self._unseen |= {Path(files[place][0]) for place in unseen}
        self._count()
        if not self.threads:
            worker, answer = min(answers.items())
            why = _said(answer) if isinstance(answer, BaseException) else answer[0]
            raise UsageError(f"--cluster {self._address}: no worker can take part: {worker} {why}.")
        fit = sorted(set(self._there) - self._left_out)
        threads = self.threads
        self._tell(
            "cluster",
            f"Auditing with {counted(len(fit), 'worker')} and {counted(threads, 'thread')} of {self._address}.",
            workers=len(fit),
            threads=threads,
        )

    def _answers(self, files: list[tuple[str, int]]) -> dict[str, Any]:
        """What each worker says, or the error that came instead: each is asked alone, so that none holds up others."""

        def asked(worker: str) -> Any:
            try:
                (answer,) = self._client.run(
                    look, self._standard, files, workers=[worker], on_error="return", callback_timeout=_ANSWERS_S
                ).values()
            except TimeoutError:
                return f"does not answer within {_ANSWERS_S:.0f} seconds", []
            except Exception as error:
                return error
            return answer

        self._count()
        workers = sorted(self._there)
        with ThreadPoolExecutor(_ASKED) as askers:
            return dict(zip(workers, askers.map(asked, workers), strict=True))

    def leave_out(self, worker: str, why: str, *, quiet: bool = False) -> None:
        """A worker cannot work for the run: the others do without it."""
        if worker not in self._left_out:
            self._left_out.add(worker)
            if not quiet:
                self._tell(
                    "worker left out", f"The worker {worker} takes no part: it {why}.", worker=worker, reason=why
                )

    def see(self, feed: Feed) -> bool:
        """Whether the workers can read a feed where it lies."""
        return _path_of(feed) not in self._unseen

    def others(self, than: Iterable[str]) -> list[str]:
        """The workers that can work for the run, without some."""
        return sorted(set(self._there) - self._left_out - set(than))

    def but(self, avoided: set[str]) -> list[str] | None:
        """To whom a task may be given; None for anyone, where nobody has to be avoided or nobody else is there."""
        if not avoided and not self._left_out:
            return None
        return self.others(avoided) or self.others(()) or None

    def busy(self) -> dict[str, Sequence[str]]:
        """The workers that have tasks, and their tasks."""
        scheduler: Any = self._client.scheduler
        at = self._from_scheduler(
            lambda: self._client.sync(scheduler.processing, workers=None, callback_timeout=_ANSWERS_S)
        )
        return {worker: tasks for worker, tasks in at.items() if tasks}

    def check_there(self) -> None:
        """Raises OutputError where the scheduler is gone, or all workers have been for minutes."""
        if self.scheduler_is_gone:
            raise self._gone("the scheduler is gone")
        self._count()
        if not self.threads and time.monotonic() - self._last_there > _NOBODY_S:
            raise self._gone(f"all workers have been gone for {_NOBODY_S:.0f} seconds")

    def _gone(self, what: str) -> OutputError:
        return OutputError(
            f"--cluster {self._address}: {what}; the parts that are done are kept in {self._standard.place}: "
            "give the same command again when the cluster is back, and it goes on from them."
        )

    def _from_scheduler(self, ask: Callable[[], Any]) -> dict[str, Any]:
        """What the scheduler says of each worker.  Raises OutputError where it does not answer."""
        try:
            return dict(ask())
        except Exception as error:
            raise self._gone("the scheduler is gone") from error

    def _count(self) -> None:
        now = time.monotonic()
        if now - self._counted < _COUNT_S:
            return
        self._counted = now
        self._there = self._from_scheduler(lambda: self._client.nthreads(callback_timeout=_ANSWERS_S))
        if set(self._there) - self._left_out:
            self._last_there = now


def _path_of(feed: Feed) -> Path | None:
    path = getattr(feed, "path", None)
    return None if path is None else path.resolve()


def _said(error: BaseException) -> str:
    missing = _MISSING.search(str(error))  # what comes back may be another exception that tells of it
    if missing:
        return f"lacks the module {missing[1]}; install the same tire-listing-auditor on every worker"
    return f"cannot take part ({' '.join(str(error).split())[:200].rstrip('.') or type(error).__name__})"
