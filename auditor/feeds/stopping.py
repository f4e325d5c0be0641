"""Lets a thread that works beside the main one be asked to end between two pieces of its work."""

from __future__ import annotations

import threading

_mine = threading.local()


class Stopped(BaseException):
    """The thread was asked to end; what it wrote so far is thrown away."""


def watch_for_stop(stop: threading.Event) -> None:
    """From now on `raise_if_stopped` in this thread looks at `stop`."""
    _mine.stop = stop


def raise_if_stopped() -> None:
    """To be called between pieces of work; raises Stopped where this thread has been asked to end."""
    stop: threading.Event | None = getattr(_mine, "stop", None)
    if stop is not None and stop.is_set():
        raise Stopped
