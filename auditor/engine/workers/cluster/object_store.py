"""The place of parts in an object store, through Arrow's file systems: an object is there whole or not at all.

Parts that are cut short by a fault are never looked at: only a manifest names them, and it knows their sizes.
"""

from __future__ import annotations

import shutil
from pathlib import Path
from typing import Any

from pyarrow import fs

_CHUNK_BYTES = 1 << 20


class ObjectStore:
    """Objects below the address of a store, such as s3://bucket/folder."""

    def __init__(self, address: str) -> None:
        """Raises OSError or ValueError for an address that Arrow's file systems do not open."""
        self.address = address.rstrip("/")
        self._fs: Any
        self._fs, self._root = fs.FileSystem.from_uri(self.address)
        self._file, self._selector, self._directory = fs.FileType.File, fs.FileSelector, fs.FileType.Directory

    def put(self, name: str, source: Path) -> None:
        with source.open("rb") as file, self._fs.open_output_stream(self._path(name), compression=None) as out:
            shutil.copyfileobj(file, out, _CHUNK_BYTES)

    def put_bytes(self, name: str, content: bytes) -> None:
        with self._fs.open_output_stream(self._path(name), compression=None) as out:
            out.write(content)

    def fetch(self, name: str, target: Path) -> int:
        with self._fs.open_input_stream(self._path(name), compression=None) as stream, target.open("wb") as out:
            shutil.copyfileobj(stream, out, _CHUNK_BYTES)
        return target.stat().st_size

    def read(self, name: str) -> bytes:
        with self._fs.open_input_stream(self._path(name), compression=None) as stream:
            content: bytes = stream.read()
        return content

    def names(self, under: str) -> list[str]:
        found = self._fs.get_file_info(self._selector(self._path(under), recursive=True, allow_not_found=True))
        return sorted(one.path[len(self._root) + 1 :] for one in found if one.type == self._file)

    def remove(self, under: str) -> None:
        path = self._path(under)
        kind = self._fs.get_file_info(path).type
        if kind == self._directory:
            self._fs.delete_dir(path)
        elif kind == self._file:
            self._fs.delete_file(path)

    def path_of(self, name: str) -> Path | None:
        return None

    def _path(self, name: str) -> str:
        return f"{self._root}/{name}" if name else self._root
