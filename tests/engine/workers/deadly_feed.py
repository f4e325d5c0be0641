"""A feed that ends whatever process reads it."""

from __future__ import annotations

import os
import signal
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, fields

from auditor.feeds.csv_feed import CsvFeed
from auditor.feeds.model import Block, WorkUnit


@dataclass(frozen=True, slots=True)
class DeadlyFeed(CsvFeed):
    """A text whose second half cannot be read and survived."""

    def blocks(self, unit: WorkUnit, columns: Sequence[int]) -> Iterator[Block]:
        if unit.first_record > 1:
            os.kill(os.getpid(), signal.SIGKILL)
        yield self.read(unit, columns)


def deadly(feed: CsvFeed) -> DeadlyFeed:
    """The same feed, but deadly."""
    return DeadlyFeed(**{one.name: getattr(feed, one.name) for one in fields(CsvFeed)})


def die_unless(process: int) -> int:
    """Ends whatever process calls it but one."""
    if os.getpid() != process:
        os.kill(os.getpid(), signal.SIGKILL)
    return process
