"""Parts of a row group, of which Arrow knows no other way than from its beginning on.

A thread that reads one part after the other goes on where it was.  A reader is let go with the last part, or when
another row group is begun.
"""

from __future__ import annotations

import os
import threading
from collections.abc import Callable, Hashable, Iterator
from dataclasses import dataclass

import pyarrow as pa


@dataclass(slots=True)
class _UnderWay:
    """Where a thread is in a row group."""

    how: Hashable
    batches: Iterator[pa.RecordBatch]
    at: int = 0  # records before the next batch


class _Mine(threading.local):
    under_way: _UnderWay | None = None


_mine = _Mine()


def part_at(
    how: Hashable, begin: int, records: int, read: Callable[[], Iterator[pa.RecordBatch]]
) -> pa.RecordBatch | None:
    """The batch that begins with record `begin` of a row group of so many `records`, or None where none does.

    `how` tells the row group and all that its batches depend on; `read` reads it from its beginning.
    """
    here, _mine.under_way = _mine.under_way, None  # whatever goes wrong, the next one begins anew
    if here is None or here.how != how or here.at > begin:
        del here
        here = _UnderWay(how, read())
    for batch in here.batches:
        at, here.at = here.at, here.at + batch.num_rows
        if at >= begin:
            if here.at < records:
                _mine.under_way = here
            return batch if at == begin else None
    return None


def _let_go() -> None:
    _mine.under_way = None


if hasattr(os, "register_at_fork"):  # not on every system
    os.register_at_fork(before=_let_go)  # a copy has no use for it, and its memory
