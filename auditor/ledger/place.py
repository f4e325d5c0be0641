"""Where a ledger is: a file, or a PostgreSQL database."""

from __future__ import annotations

import os
import re
from dataclasses import dataclass
from pathlib import Path
from urllib.parse import unquote, urlsplit

from auditor.errors import OutputError, UsageError

_POSTGRESQL = ("postgresql", "postgres", "postgresql+psycopg")


@dataclass(frozen=True, slots=True)
class Place:
    """A ledger's place: either a file, or the URL that a database library takes; `shown` has no password in it."""

    shown: str
    path: Path | None
    url: str = ""


def place_of(text: str) -> Place:
    """Reads what `--ledger` was given.  Raises UsageError for a database that is no PostgreSQL."""
    scheme, mark, rest = text.partition("://")
    if not mark:
        if not text.strip():
            raise UsageError("--ledger needs the name of a file, or the URL of a PostgreSQL database.")
        return Place(text, Path(text))
    if scheme == "sqlite":
        path = unquote(rest.removeprefix("/"))
        if not path:
            raise UsageError(f"--ledger {text} names no file; write sqlite:///folder/file, or the file's name alone.")
        return Place(path, Path(path))
    if scheme not in _POSTGRESQL:
        raise UsageError(
            f"--ledger {scheme}://... is neither a file nor a PostgreSQL database (postgresql://host/name)."
        )
    parts = urlsplit(f"postgresql://{rest}")
    name = f"postgresql://{re.sub('^.*@', '', parts.netloc)}{parts.path}"
    return Place(name, None, f"postgresql://{rest}")


def refuse_unmakeable(place: Place) -> None:
    """Raises OutputError where the file of a ledger that is not there yet could not be made."""
    assert place.path is not None
    folder = next(one for one in place.path.absolute().parents if one.exists())
    if not folder.is_dir() or not os.access(folder, os.W_OK | os.X_OK):
        raise OutputError(f"{place.shown}: the ledger cannot be made in {folder}; check the path.")
