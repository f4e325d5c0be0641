"""Lets units pass side by side, and one that a worker died of before by itself, so that it takes no other along."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from threading import Condition


class Gate:
    """What the threads of one process pass to audit a unit."""

    def __init__(self) -> None:
        self._changed = Condition()
        self._inside = 0
        self._wanting = 0  # to be alone, or being it

    @contextmanager
    def beside_others(self) -> Iterator[None]:
        """Within, others may be inside too."""
        with self._changed:
            self._changed.wait_for(lambda: not self._wanting)
            self._inside += 1
        try:
            yield
        finally:
            self._left()

    @contextmanager
    def alone(self) -> Iterator[None]:
        """Within, nobody else is inside."""
        with self._changed:
            self._wanting += 1
            self._changed.wait_for(lambda: not self._inside)
            self._inside += 1
        try:
            yield
        finally:
            with self._changed:
                self._wanting -= 1
            self._left()

    def _left(self) -> None:
        with self._changed:
            self._inside -= 1
            self._changed.notify_all()
