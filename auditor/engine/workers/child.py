"""What a process does that a run has started: it takes work from its standard input and tells what comes of it.

It ends as soon as its input does, whatever it is at: then nobody is left to work for.
"""

from __future__ import annotations

import gc
import os
import pickle
import sys
import threading
from collections.abc import Iterator, Sequence
from queue import SimpleQueue
from typing import IO, TYPE_CHECKING, Any

if TYPE_CHECKING:
    from auditor.engine.unit_work import UnitWork
    from auditor.engine.workers.messages import Hello

_KEPT_MS = 50  # how long free memory is kept: so few records at once leave little of it
_TAUGHT = 1 << 12  # records that teach most of what there is to learn
_TAUGHT_WITHIN = 1 << 16  # which are not waited for to be a whole unit, though a copy has no use for what that holds
_broken_off: list[Iterator[Any]] = []  # in a copy: its parent goes on with it, and nobody here may close its files


def audit_units(*copies: str) -> None:
    """Audits units as they are given.  `copies` are the pipes of processes to make of this one: see `copied`."""
    told, source = _alone(_KEPT_MS), sys.stdin.buffer
    try:
        _audit_units(source, told, copies)
    except (EOFError, BrokenPipeError):
        os._exit(0)


def _audit_units(source: IO[bytes], told: IO[bytes], copies: Sequence[str]) -> None:
    # Start-up: only now that memory is limited.
    from auditor.engine.unit_work import UnitWork
    from auditor.engine.workers.messages import receive, send
    from auditor.version import __version__

    hello: Hello = receive(source)
    if hello.version != __version__:
        return  # another installation: nobody knows what it would find
    work = UnitWork(hello.book, hello.folder, hello.records)
    _tell_ready(told, hello)
    if copies:
        source, told = _learned(work, hello, (source, told), copies)
    jobs: SimpleQueue[Any] = SimpleQueue()
    threading.Thread(target=_listen, args=(source, jobs), daemon=True).start()
    while True:
        for event in work.perform(jobs.get()):
            send(told, event)


def _tell_ready(told: IO[bytes], hello: Hello) -> None:
    # Start-up: only now that memory is limited.
    from auditor.engine.workers.messages import Ready, send

    send(told, Ready(hello.version, hello.book.sha256, os.getpid()))


def _learned(
    work: UnitWork, hello: Hello, pipes: tuple[IO[bytes], IO[bytes]], copies: Sequence[str]
) -> tuple[IO[bytes], IO[bytes]]:
    """Audits the first records, in this thread alone, and makes copies of this process; where each goes on from."""
    # Start-up: only now that memory is limited.
    from auditor.engine.process_memory import trim_memory
    from auditor.engine.unit_work import Advanced
    from auditor.engine.workers.copies import copied
    from auditor.engine.workers.messages import receive, send

    source, told = pipes
    records, taught = 0, False
    while not taught:
        events = work.perform(receive(source))
        for event in events:
            within = isinstance(event, Advanced)
            records += event.records if isinstance(event, Advanced) else 0
            if not taught and records >= (_TAUGHT_WITHIN if within else _TAUGHT):
                taught = True
                trim_memory()
                gc.freeze()  # what is learned stays: to look through it for garbage would write to what copies share
                own = copied(copies, [source.fileno(), told.fileno()])
                if own is not None:
                    _tell_ready(own[1], hello)
                    _broken_off.append(events)
                    return own
            send(told, event)
    return source, told


def do_errand() -> None:
    """Calls one function and tells what it returns or raises."""
    told = _alone()
    # Start-up: only now that memory is limited.
    from auditor.engine.process_memory import keep_memory_a_moment
    from auditor.engine.workers.errands import Outcome
    from auditor.engine.workers.messages import receive, send

    function, arguments = receive(sys.stdin.buffer)
    keep_memory_a_moment()
    threading.Thread(target=_listen, args=(sys.stdin.buffer, SimpleQueue()), daemon=True).start()
    try:
        outcome = Outcome(function(*arguments))
    except Exception as error:
        outcome = Outcome(error=_travels(error))
    send(told, outcome)


def _travels(error: Exception) -> Exception:
    """An error that can be told to another process."""
    try:
        pickle.loads(pickle.dumps(error))
    except Exception:
        return RuntimeError(f"{type(error).__name__}: {error}")
    return error


def _alone(kept_ms: int = 0) -> IO[bytes]:
    """Where to tell what is done, in a process that is the auditor's own."""
    # What an own check prints must not end up among the messages.
    told = os.fdopen(os.dup(1), "wb")
    os.dup2(2, 1)
    # Start-up: before the array libraries are loaded.
    from auditor.engine.process_memory import limit_memory

    limit_memory(kept_ms)
    return told


def _listen(pipe: IO[bytes], jobs: SimpleQueue[Any]) -> None:
    # Start-up: before the array libraries are loaded.
    from auditor.engine.workers.messages import receive

    try:
        while True:
            jobs.put(receive(pipe))
    finally:
        os._exit(0)
