"""The feeds of a run as it goes on: those that are audited, and those that are lost on the way."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from auditor.engine.feed_run import FeedRun
from auditor.engine.losses import LostFeedsError, reason_of
from auditor.engine.progress import Progress
from auditor.errors import FeedError
from auditor.feeds.accounts import FileState, check_unchanged, state_of
from auditor.feeds.locate import Located
from auditor.feeds.model import Feed, Limits
from auditor.mapping.maps import MapBook
from auditor.mapping.opening import open_feeds
from auditor.outputs.earlier_workbook import EarlierWorkbook
from auditor.rulebook.book import RuleBook, contract_in_force


@dataclass(slots=True)
class KnownFeeds:
    """The feeds of a run: those that are audited, and (name, reason) of those that are lost."""

    progress: Progress
    earlier: EarlierWorkbook | None = None  # in the folder that is written to
    opened: list[Feed] = field(default_factory=list)
    gone: set[int] = field(default_factory=set)  # places in `opened` of those that are lost by now
    unreadable: list[tuple[str, str]] = field(default_factory=list)
    skipped: list[tuple[str, str]] = field(default_factory=list)  # files that are no feeds, and why not
    pairs: dict[str, Any] = field(default_factory=dict)  # what became of a file of pairs, for the summary
    states: dict[Path, FileState] = field(default_factory=dict)  # of the files as sent, before they were opened

    def lose(self, name: str, reason: str) -> None:
        """Notes a feed that cannot be read, and tells of it at once."""
        self.unreadable.append((name, reason))
        self.progress.note("unreadable", f"Not audited: {name}: {reason}", feed=name, reason=reason)

    def lose_opened(self, number: int, reason: str) -> None:
        """Notes that an opened feed is lost."""
        self.gone.add(number)
        self.lose(shown_name(self.opened[number]), reason)

    def check_unchanged(self, feed: Feed) -> None:
        """Raises FeedError where a feed's file is no longer the one that was opened."""
        path = getattr(feed, "source", None)
        if path in self.states:
            check_unchanged(path, self.states[path])

    def why(self, feed: Feed, error: Exception) -> str:
        """Why a feed is lost: that its file was changed, where it was, since nothing else is to be wondered at then."""
        try:
            self.check_unchanged(feed)
        except (FeedError, OSError) as changed:
            error = changed
        return reason_of(feed.name, error)

    def lose_changed(self, runs: Sequence[FeedRun]) -> None:
        """Raises LostFeedsError where files of audited feeds are no longer what they were."""
        lost: dict[int, str] = {}
        for run in runs:
            try:
                self.check_unchanged(run.feed)
            except (FeedError, OSError) as error:
                lost[run.number] = reason_of(run.feed.name, error)
        if lost:
            raise LostFeedsError(lost)

    def without_lost(self) -> None:
        """Leaves out what is lost, which numbers the others anew."""
        self.opened = [feed for number, feed in enumerate(self.opened) if number not in self.gone]
        self.gone = set()


def open_all(
    known: KnownFeeds, located: Sequence[Located], book: RuleBook, maps: MapBook | None, limits: Limits | None
) -> None:
    """Opens what was located; feeds come in the order of their names."""
    contract = contract_in_force(book)
    for position in located:
        known.progress.stage(f"opening {position.name}")
        try:
            if position.path is not None:
                known.states[position.path] = state_of(position.path)
            known.opened.extend(open_feeds(position, maps, limits=limits, contract=contract))
        except Exception as error:
            known.lose(position.name, reason_of(position.name, error))
    order = {feed.name: number for number, feed in reversed(list(enumerate(known.opened)))}
    known.opened.sort(key=lambda feed: (feed.name, order[feed.name]))


def shown_name(feed: Feed) -> str:
    """A feed's name, and the sheet where it is one."""
    return feed.name if feed.sheet is None else f"{feed.name} ({feed.sheet})"
