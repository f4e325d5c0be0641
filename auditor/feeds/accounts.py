"""Counts what a file holds by means that do not come out of its reader, so that nothing is lost in silence.

An audit compares each count with the records that were read or rejected before anything is released.
"""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

import numpy as np

from auditor.errors import FeedError

CHUNK = 1 << 17  # fits the processor's cache


def count_lines(path: Path, start: int, stop: int, line_end: bytes) -> int:
    """Lines from byte `start` to `stop`; the last one may lack its line end."""
    lines, at, last, mark = 0, start, line_end[0], line_end[0]
    room = np.empty(CHUNK, np.uint8)
    with path.open("rb", buffering=0) as file:
        file.seek(start)
        while at < stop:
            got = file.readinto(room[: stop - at])  # type: ignore[arg-type]
            if not got:
                raise FeedError(CUT_SHORT)
            lines += int(np.count_nonzero(room[:got] == mark))
            at += got
            last = int(room[got - 1])
    return lines + (last != mark)


@dataclass(frozen=True, slots=True)
class FileState:
    """What tells whether a file is still the one that was opened."""

    device: int
    inode: int
    size: int
    changed_ns: int


def state_of(path: Path) -> FileState:
    """The state of a file now."""
    found = path.stat()
    return FileState(found.st_dev, found.st_ino, found.st_size, found.st_mtime_ns)


def check_unchanged(path: Path, before: FileState) -> None:
    """Raises FeedError where a file is no longer what it was."""
    now = state_of(path)
    if now != before:
        raise FeedError(CUT_SHORT if now.size < before.size else CHANGED)


CUT_SHORT = "The file was cut short while it was read; send it again when it is whole."
CHANGED = "The file was changed while it was read; send it again when it is whole."


def check_count(read: int, counted: int | None) -> None:
    """Raises FeedError where other than the counted number of records was read; None where nothing was counted."""
    if counted is not None and read != counted:
        raise FeedError(
            f"The file holds {counted:,} records, but {read:,} were read, so that nothing of it is released; please "
            "report this with the file, if you may."
        )
