"""Work units of texts, planned once per file and process however often they are asked for.

An audit goes through the units of a feed when it reads, when it fetches single records again, and when it copies
records to the released and held files.
"""

from __future__ import annotations

import threading
from collections.abc import Callable, Hashable, Iterator
from pathlib import Path

from auditor.feeds.model import WorkUnit

_MOST = 1000  # plans kept; one for a gigabyte takes some 20 KiB


class _Plan:
    """Units found so far, and the search for more, which goes on when someone asks beyond them."""

    def __init__(self, search: Iterator[WorkUnit]) -> None:
        self.failure: BaseException | None = None
        self._search = search
        self._found: list[WorkUnit] = []
        self._whole = False
        self._lock = threading.Lock()

    def __iter__(self) -> Iterator[WorkUnit]:
        position = 0
        while position < len(self._found) or self._reaches(position):
            yield self._found[position]
            position += 1

    def _reaches(self, position: int) -> bool:
        with self._lock:
            if self.failure is not None:
                raise self.failure
            try:
                while len(self._found) <= position and not self._whole:
                    self._found.append(next(self._search))
            except StopIteration:
                self._whole = True
            except BaseException as failure:
                self.failure = failure
                raise
            return position < len(self._found)


_plans: dict[Hashable, _Plan] = {}
_lock = threading.Lock()


def planned_once(path: Path, how: Hashable, search: Callable[[], Iterator[WorkUnit]]) -> Iterator[WorkUnit]:
    """The units that `search` finds in a file, which is looked through only once while it stays as it is.

    `how` tells searches of one file apart.  Iterators may run in several threads, and may be left unfinished.
    """
    state = path.stat()
    key = (path, state.st_dev, state.st_ino, state.st_size, state.st_mtime_ns, how)
    with _lock:
        plan = _plans.pop(key, None)
        if plan is None or plan.failure is not None:
            plan = _Plan(search())
        _plans[key] = plan  # last, as the newest
        if len(_plans) > _MOST:
            del _plans[next(iter(_plans))]
    return iter(plan)
