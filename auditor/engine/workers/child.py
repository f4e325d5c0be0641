"""What a worker process does: takes jobs from its standard input, performs them, and tells how far they are.

It ends as soon as its input does, whatever it is at: then nobody is left to work for.
"""

from __future__ import annotations

import os
import sys
import threading
from queue import SimpleQueue
from typing import IO, Any


def main() -> None:
    """Works until there is nobody to work for."""
    # What an own check prints must not end up among the messages.
    told = os.fdopen(os.dup(1), "wb")
    os.dup2(2, 1)
    # Start-up: before the array libraries are loaded.
    from auditor.engine.process_memory import limit_memory

    limit_memory()
    # Start-up: only now that memory is limited.
    from auditor.engine.unit_work import UnitWork
    from auditor.engine.workers.messages import Hello, Ready, receive, send
    from auditor.version import __version__

    hello: Hello = receive(sys.stdin.buffer)
    if hello.version != __version__:
        return  # another installation: nobody knows what it would find
    work = UnitWork(hello.book, hello.folder)
    send(told, Ready(__version__, hello.book.sha256))
    jobs: SimpleQueue[Any] = SimpleQueue()
    threading.Thread(target=_listen, args=(sys.stdin.buffer, jobs), daemon=True).start()
    while True:
        for event in work.perform(jobs.get()):
            send(told, event)


def _listen(pipe: IO[bytes], jobs: SimpleQueue[Any]) -> None:
    # Start-up: before the array libraries are loaded.
    from auditor.engine.workers.messages import receive

    try:
        while True:
            jobs.put(receive(pipe))
    finally:
        os._exit(0)
