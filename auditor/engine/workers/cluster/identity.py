"""What tells whether parts that lie there are those of this audit: the feed as sent, how it is read, and by what.

The digest is the same in every process for the same things, so that a run which broke off is taken up again.
"""

from __future__ import annotations

import hashlib
import json
import tempfile
from collections.abc import Mapping, Set
from dataclasses import fields, is_dataclass
from importlib.metadata import PackageNotFoundError, version
from pathlib import Path
from typing import Any

from auditor.engine.unit_work import FeedTask
from auditor.feeds.model import Feed, WorkUnit
from auditor.feeds.spool import spool_folder
from auditor.version import __version__

_LIBRARIES = ("numpy", "pyarrow")  # whose arithmetic and readers make the findings


def libraries() -> tuple[tuple[str, str], ...]:
    """The libraries that have to be the same wherever units are audited, with their versions here."""
    return tuple((name, _version(name)) for name in _LIBRARIES)


def _version(name: str) -> str:
    try:
        return version(name)
    except PackageNotFoundError:
        return "none"


def feed_identity(task: FeedTask, rules: str) -> str:
    """The name of a feed's parts: 32 letters that change with whatever may change a finding or a record number."""
    feed = task.feed
    about = [__version__, libraries(), rules, _sent(feed), _plain(feed), _plain(task.plan), _plain(task.compared_by)]
    return hashlib.sha256(json.dumps(about, sort_keys=True).encode()).hexdigest()[:32]


def unit_identity(unit: WorkUnit) -> list[Any]:
    """What tells a unit from another one that might stand in its place."""
    return [unit.first_record, unit.records, unit.start, unit.stop, list(unit.cuts)]


def _sent(feed: Feed) -> list[Any]:
    """The file as sent: by its path, size and time, or by its content where it is a copy of this process."""
    source = getattr(feed, "source", None)
    if source is None or _is_of_this_process(source):
        return [feed.sha256()]
    found = source.stat()
    return [str(source.resolve()), found.st_size, found.st_mtime_ns]


def _is_of_this_process(path: Path) -> bool:
    here = path.resolve()
    return any(here.is_relative_to(one.resolve()) for one in (spool_folder(), Path(tempfile.gettempdir())))


def _plain(one: Any) -> Any:
    """Lists and texts that stand for a value; where a copy of this process lies is left out."""
    if is_dataclass(one) and not isinstance(one, type):
        return [type(one).__name__, *([f.name, _plain(getattr(one, f.name))] for f in fields(one))]
    if isinstance(one, Mapping):
        return sorted(([repr(key), _plain(value)] for key, value in one.items()), key=lambda pair: str(pair[0]))
    if isinstance(one, Set):
        return sorted(map(repr, one))
    if isinstance(one, list | tuple):
        return [_plain(value) for value in one]
    return None if isinstance(one, Path) else repr(one)
