"""Where parts lie until a run is done: a folder or object store that the run and all workers reach under one name.

Every file appears whole, under a name that nobody else writes, so that a reader never sees half of one.  Parts that are
cut short by a fault are never looked at: only a manifest names them, and it knows their sizes.
"""

from __future__ import annotations

import contextlib
import os
import secrets
import shutil
from collections.abc import Iterator
from pathlib import Path, PurePosixPath
from typing import Protocol

from auditor.feeds.urls import is_url

_UNFINISHED = ".new-"  # begins the names of files that are being written
_TRIES = 3  # to remove a folder


class Place(Protocol):
    """Files by name; names are relative, with forward slashes.  Errors are OSErrors."""

    address: str

    def make(self) -> None:
        """Makes the place itself; what is put there later does not, so that nothing comes back once it is removed."""

    def put(self, name: str, source: Path) -> None:
        """Keeps a copy of a file."""

    def put_bytes(self, name: str, content: bytes) -> None:
        """Keeps some bytes as a file."""

    def fetch(self, name: str, target: Path) -> int:
        """Makes a file of this machine of a kept one; its bytes."""

    def read(self, name: str) -> bytes:
        """The content of a file.  Raises FileNotFoundError where there is none."""

    def names(self, under: str) -> list[str]:
        """The names of all files in a folder and below, in order; none where there is no such folder."""

    def remove(self, under: str) -> None:
        """Removes a file, or a folder with all that is in it; nothing where there is none."""

    def path_of(self, name: str) -> Path | None:
        """Where a file can be read in place; None where it has to be fetched."""


class SharedFolder:
    """A folder on a disk that all reach."""

    def __init__(self, root: Path) -> None:
        self._root = root
        self.address = str(root)

    def make(self) -> None:
        self._root.mkdir(parents=True, exist_ok=True)

    def put(self, name: str, source: Path) -> None:
        with self._appearing(name) as new:
            try:
                os.link(source, new)
            except OSError:  # of another disk, or one without links
                shutil.copyfile(source, new)

    def put_bytes(self, name: str, content: bytes) -> None:
        with self._appearing(name) as new:
            new.write_bytes(content)

    def fetch(self, name: str, target: Path) -> int:
        target.unlink(missing_ok=True)
        try:
            os.link(self._root / name, target)
        except FileNotFoundError:
            raise
        except OSError:
            shutil.copyfile(self._root / name, target)
        return target.stat().st_size

    def read(self, name: str) -> bytes:
        return (self._root / name).read_bytes()

    def names(self, under: str) -> list[str]:
        found = []
        for where, _, files in os.walk(self._root / under):
            head = PurePosixPath(Path(where).relative_to(self._root).as_posix())
            found += [str(head / name) for name in files if not name.startswith(_UNFINISHED)]
        return sorted(found)

    def remove(self, under: str) -> None:
        path = self._root / under
        if path.is_dir():
            for _ in range(_TRIES):  # a worker that wakes up just now may put something into a folder being emptied
                shutil.rmtree(path, ignore_errors=True)
                if not path.exists():
                    break
            with contextlib.suppress(OSError):  # others' parts may lie in it
                self._root.rmdir()
        else:
            path.unlink(missing_ok=True)

    def path_of(self, name: str) -> Path | None:
        return self._root / name

    @contextlib.contextmanager
    def _appearing(self, name: str) -> Iterator[Path]:
        """Where to write a file that then appears under its name, or not at all."""
        target = self._root / name
        for folder in reversed(target.relative_to(self._root).parents[:-1]):
            (self._root / folder).mkdir(exist_ok=True)
        new = target.with_name(f"{_UNFINISHED}{secrets.token_hex(4)}-{target.name}")
        try:
            yield new
            new.replace(target)
        except BaseException:
            new.unlink(missing_ok=True)
            raise


def open_place(address: str) -> Place:
    """The place of an address: a folder, or the URL of an object store."""
    if not is_url(address):
        return SharedFolder(Path(address))
    # Start-up: few runs have their parts in a store.
    from auditor.feeds.object_store import ObjectStore

    return ObjectStore(address)
