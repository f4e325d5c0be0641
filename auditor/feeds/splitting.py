"""Writes the released and held files of all feeds; the sheets of one workbook go into one file."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np
import numpy.typing as npt

from auditor.feeds.model import Feed
from auditor.feeds.safe_paths import unique_paths
from auditor.feeds.stopping import raise_if_stopped

if TYPE_CHECKING:
    from auditor.feeds.workbook_split import SheetDisposition


def with_own_paths(feeds: Sequence[Feed]) -> list[Feed]:
    """The feeds, each written under a path that no other of the run has, whatever they are called."""
    given = unique_paths([(feed.name, feed.output_name) for feed in feeds])
    return [
        replace(feed, output_name=given[feed.name, feed.output_name])  # type: ignore[type-var]
        for feed in feeds
    ]


def split_all(
    files: Sequence[tuple[Sequence[Feed], Sequence[npt.NDArray[np.uint8]]]], released: Path, held: Path
) -> dict[int, Exception]:
    """Writes the released and held file of every file, given by its feeds and their dispositions.

    What went wrong, by place of the file.
    """
    failed: dict[int, Exception] = {}
    for place, (feeds, dispositions) in enumerate(files):
        try:
            split_feeds(feeds, dispositions, released, held)
        except Exception as error:
            failed[place] = error
    return failed


def split_feeds(
    feeds: Sequence[Feed], dispositions: Sequence[npt.NDArray[np.uint8]], released: Path, held: Path
) -> list[str]:
    """Writes `released/<output_name>` and `held/<output_name>` for every feed; the names, in feed order.

    `dispositions[i][n - 1]` is RELEASED, HELD or REJECTED for data record n of feed i.
    """
    books: dict[str, list[SheetDisposition]] = {}
    paths: dict[str, Path] = {}
    names: list[str] = []
    for feed, disposition in zip(feeds, dispositions, strict=True):
        raise_if_stopped()
        if feed.output_name not in names:
            names.append(feed.output_name)
        if feed.format in {"xlsx", "xls", "ods"}:
            # Start-up: only workbooks need the libraries that read and write them.
            from auditor.feeds.workbook_feed import WorkbookFeed
            from auditor.feeds.workbook_split import SheetDisposition

            assert isinstance(feed, WorkbookFeed)
            books.setdefault(feed.output_name, []).append(SheetDisposition(feed.shape, disposition))
            paths[feed.output_name] = feed.path
        else:
            feed.split(released / feed.output_name, held / feed.output_name, disposition)
    for name, parts in books.items():
        raise_if_stopped()
        # Start-up: only workbooks need the libraries that read and write them.
        from auditor.feeds.workbook_split import write_parts

        write_parts(paths[name], released / name, held / name, parts)
    return names
