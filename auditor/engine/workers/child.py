"""What a process does that a run has started: it takes work from its standard input and tells what comes of it.

It ends as soon as its input does, whatever it is at: then nobody is left to work for.
"""

from __future__ import annotations

import os
import pickle
import sys
import threading
from queue import SimpleQueue
from typing import IO, Any

_MOST_RECORDS = 1 << 14  # audited at once: there are other processes


def audit_units() -> None:
    """Audits units as they are given."""
    told = _alone()
    # Start-up: only now that memory is limited.
    from auditor.engine.process_memory import trim_memory
    from auditor.engine.unit_work import UnitWork
    from auditor.engine.workers.messages import Hello, Ready, receive, send
    from auditor.version import __version__

    hello: Hello = receive(sys.stdin.buffer)
    if hello.version != __version__:
        return  # another installation: nobody knows what it would find
    work = UnitWork(hello.book, hello.folder, _MOST_RECORDS)
    send(told, Ready(__version__, hello.book.sha256))
    jobs: SimpleQueue[Any] = SimpleQueue()
    threading.Thread(target=_listen, args=(sys.stdin.buffer, jobs), daemon=True).start()
    while True:
        for event in work.perform(jobs.get()):
            send(told, event)
        trim_memory()


def do_errand() -> None:
    """Calls one function and tells what it returns or raises."""
    told = _alone()
    # Start-up: only now that memory is limited.
    from auditor.engine.workers.errands import Outcome
    from auditor.engine.workers.messages import receive, send

    function, arguments = receive(sys.stdin.buffer)
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


def _alone() -> IO[bytes]:
    """Where to tell what is done, in a process that is the auditor's own."""
    # What an own check prints must not end up among the messages.
    told = os.fdopen(os.dup(1), "wb")
    os.dup2(2, 1)
    # Start-up: before the array libraries are loaded.
    from auditor.engine.process_memory import limit_memory

    limit_memory()
    return told


def _listen(pipe: IO[bytes], jobs: SimpleQueue[Any]) -> None:
    # Start-up: before the array libraries are loaded.
    from auditor.engine.workers.messages import receive

    try:
        while True:
            jobs.put(receive(pipe))
    finally:
        os._exit(0)
