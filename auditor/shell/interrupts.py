"""Ends a run within a second of Ctrl-C or SIGTERM, however long a library call below it would take.

The first signal raises `Interrupted` in the main thread, so that the run tidies up after itself.  A watching thread
gives that a moment; then it says the last sentence itself and ends the process.  Nothing finished is touched by either
way: output is built aside and moved into place whole.
"""

from __future__ import annotations

import contextlib
import os
import signal
import sys
import threading
from collections.abc import Callable, Iterator
from types import FrameType

GRACE_S = 0.7  # for the run to tidy up by itself; the promise is a second in all
_SIGNALS = (signal.SIGINT, signal.SIGTERM)


class Interrupted(BaseException):
    """A signal asked the program to end; `exit_code` is what a shell expects then (130 or 143)."""

    def __init__(self, number: int) -> None:
        super().__init__(number)
        self.exit_code = 128 + number


@contextlib.contextmanager
def ended_by_signals(last_words: Callable[[int], None]) -> Iterator[None]:
    """Within, SIGINT and SIGTERM raise Interrupted; `last_words(exit_code)` is called where that takes too long.

    Does nothing outside the main thread, where Python lets nobody handle signals.
    """
    if threading.current_thread() is not threading.main_thread():
        yield
        return
    reader, writer = os.pipe()
    os.set_blocking(writer, False)
    over = threading.Event()
    watcher = threading.Thread(target=_watch, args=(reader, over, last_words), daemon=True)
    before = {number: signal.signal(number, _raise_once) for number in _SIGNALS}
    old_writer = signal.set_wakeup_fd(writer, warn_on_full_buffer=False)
    watcher.start()
    try:
        yield
    finally:
        over.set()
        signal.set_wakeup_fd(old_writer)
        for number, handler in before.items():
            signal.signal(number, handler)
        os.close(writer)
        watcher.join()


@contextlib.contextmanager
def raised_by_signals() -> Iterator[None]:
    """Within, SIGINT and SIGTERM raise Interrupted: for loops that are never long away from Python."""
    if threading.current_thread() is not threading.main_thread():
        yield
        return
    before = {number: signal.signal(number, _raise_once) for number in _SIGNALS}
    try:
        yield
    finally:
        for number, handler in before.items():
            signal.signal(number, handler)


def end_now(exit_code: int) -> None:
    """Ends the process at once; worker threads that are still busy are not waited for."""
    for stream in (sys.stdout, sys.stderr):
        with contextlib.suppress(OSError, ValueError):
            stream.flush()
    os._exit(exit_code)


def _raise_once(number: int, _: FrameType | None) -> None:
    for each in _SIGNALS:  # a second signal must not break the tidying up; the watcher ends the process anyway
        signal.signal(each, _do_nothing)
    raise Interrupted(number)


def _do_nothing(_: int, __: FrameType | None) -> None:
    """Takes a signal and goes on."""


def _watch(reader: int, over: threading.Event, last_words: Callable[[int], None]) -> None:
    """Reads the number of the first signal, which arrives even while the main thread is deep in a library."""
    try:
        told = os.read(reader, 1)
    finally:
        os.close(reader)
    if told and not over.wait(GRACE_S):
        last_words(128 + told[0])
        end_now(128 + told[0])
