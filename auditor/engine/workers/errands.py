"""Work of a run that needs no more than its arguments, done in a process of its own beside this one."""

from __future__ import annotations

import threading
from collections.abc import Callable
from dataclasses import dataclass
from queue import Empty, SimpleQueue
from typing import Any

from auditor.engine.workers.messages import receive, send
from auditor.engine.workers.started import ended, started
from auditor.feeds.stopping import raise_if_stopped

_LOOK_S = 0.1  # how often a thread that waits looks whether it should stop


@dataclass(frozen=True, slots=True)
class Outcome:
    """What came of an errand."""

    result: Any = None
    error: Exception | None = None


def done_here(function: Callable[..., Any], *arguments: Any) -> Any:
    """Calls a function."""
    return function(*arguments)


def done_elsewhere(function: Callable[..., Any], *arguments: Any) -> Any:
    """Calls a function of some module in a process of its own; here, where that process dies or cannot be told.

    What it returns or raises comes back; what it changes in its arguments does not.
    """
    process = started("do_errand")
    told: SimpleQueue[Outcome | None] = SimpleQueue()

    def listen() -> None:
        assert process.stdin is not None and process.stdout is not None
        try:
            send(process.stdin, (function, arguments))
            told.put(receive(process.stdout))
        except Exception:  # gone, or no errand for another process: who waits must hear of it
            told.put(None)

    threading.Thread(target=listen, daemon=True, name="errand").start()
    try:
        while True:
            raise_if_stopped()
            try:
                outcome = told.get(timeout=_LOOK_S)
                break
            except Empty:
                continue
    finally:
        ended(process)
    if outcome is None:
        return function(*arguments)
    if outcome.error is not None:
        raise outcome.error
    return outcome.result
