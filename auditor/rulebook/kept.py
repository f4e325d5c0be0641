"""What is kept ready to load: the checked book, beside the rule files of a wheel or in the user's cache.

It is believed only where it fits the exact bytes of its sources, where its own bytes are those that were written, and
where nobody else could have written it: whoever can change a rule could hide an overstated load.
"""

from __future__ import annotations

import contextlib
import hashlib
import json
import os
import stat
from pathlib import Path
from typing import Any

FORMAT = 35  # raised when the compiled form changes
SHIPPED = "compiled.book"  # beside the rule files of an installed wheel
_OTHERS_MAY_WRITE = stat.S_IWGRP | stat.S_IWOTH


def kept_book(path: Path | None, digest: str, *, owner: int | None = None) -> dict[str, Any] | None:
    """What was kept under `path` for sources of that digest; None where it does not fit or is not to be trusted.

    `owner` is who has to own the file: by default the user of this process.
    """
    body = kept_bytes(path, owner=owner)
    if body is None:
        return None
    with contextlib.suppress(ValueError):
        data = json.loads(body)
        if isinstance(data, dict) and data.get("digest") == digest and data.get("format") == FORMAT:
            return data
    return None


def kept_bytes(path: Path | None, *, owner: int | None = None) -> bytes | None:
    """What was kept under `path`; None where nothing was, or where it is not to be trusted."""
    if path is None:
        return None
    with contextlib.suppress(OSError, ValueError):
        content = _trusted_bytes(path, _me() if owner is None else owner)
        if content is not None:
            seal, _, body = content.partition(b"\n")
            if hashlib.sha256(body).hexdigest() == seal.decode("ascii"):
                return body
    return None


def sealed(data: dict[str, Any]) -> bytes:
    """The book as it is kept: a line with the digest of what follows, and the book."""
    return _sealed(json.dumps(data).encode())


def _sealed(body: bytes) -> bytes:
    return hashlib.sha256(body).hexdigest().encode() + b"\n" + body


def cache_file(digest: str) -> Path | None:
    """Where the compiled book is kept for this user; None where the system names no home."""
    return in_cache(f"{FORMAT}-{digest[:24]}.book")


def in_cache(name: str) -> Path | None:
    """Where a file of that name is kept for this user; None where the system names no home."""
    try:
        base = Path(os.environ.get("XDG_CACHE_HOME") or Path.home() / ".cache")
    except RuntimeError:
        return None
    if not base.is_absolute():
        return None
    return base / "tire-listing-auditor" / name


def keep_book(path: Path | None, data: dict[str, Any]) -> None:
    """Writes the cache file whole or not at all; a read-only home is no error."""
    keep_bytes(path, json.dumps(data).encode())


def keep_bytes(path: Path | None, body: bytes) -> None:
    """Writes a file of the cache whole or not at all; a read-only home is no error."""
    if path is None:
        return
    # Start-up: only what was made anew is kept.
    import tempfile

    with contextlib.suppress(OSError):
        path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
        if not _trusted(path.parent.stat(), _me()):  # made by an earlier version, or by a user with an open hand
            path.parent.chmod(0o700)
        handle, name = tempfile.mkstemp(dir=path.parent, suffix=".part")
        with os.fdopen(handle, "wb") as file:
            file.write(_sealed(body))
        Path(name).replace(path)


def _trusted_bytes(path: Path, owner: int) -> bytes | None:
    """The bytes of a plain file that `owner` owns and nobody else may write, in a folder of which the same is true."""
    if not _trusted(os.lstat(path.parent), owner):
        return None
    handle = os.open(path, os.O_RDONLY | getattr(os, "O_NOFOLLOW", 0))
    with os.fdopen(handle, "rb") as file:
        found = os.fstat(handle)  # of the file that is read, whatever its name stands for by now
        if not stat.S_ISREG(found.st_mode) or not _trusted(found, owner):
            return None
        return file.read()


def _trusted(found: os.stat_result, owner: int) -> bool:
    if not hasattr(os, "geteuid"):  # a system without owners of files has its own ways
        return True
    return found.st_uid == owner and not found.st_mode & _OTHERS_MAY_WRITE


def _me() -> int:
    return os.geteuid() if hasattr(os, "geteuid") else 0
