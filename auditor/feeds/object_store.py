"""A folder in an object store, through Arrow's file systems: an object is there whole or not at all."""

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

    def make(self) -> None:
        """Nothing: folders of a store are there with their first object."""

    def put(self, name: str, source: Path) -> None:
        """Keeps a copy of a file."""
        with source.open("rb") as file, self._fs.open_output_stream(self._path(name), compression=None) as out:
            shutil.copyfileobj(file, out, _CHUNK_BYTES)

    def put_bytes(self, name: str, content: bytes) -> None:
        """Keeps some bytes as an object."""
        with self._fs.open_output_stream(self._path(name), compression=None) as out:
            out.write(content)

    def fetch(self, name: str, target: Path) -> int:
        """Makes a file of this machine of an object; its bytes."""
        with self._fs.open_input_stream(self._path(name), compression=None) as stream, target.open("wb") as out:
            shutil.copyfileobj(stream, out, _CHUNK_BYTES)
        return target.stat().st_size

    def read(self, name: str) -> bytes:
        """The content of an object.  Raises FileNotFoundError where there is none."""
        with self._fs.open_input_stream(self._path(name), compression=None) as stream:
            content: bytes = stream.read()
        return content

    def names(self, under: str) -> list[str]:
        """The names of all objects in a folder and below, in order; none where there is no such folder."""
        found = self._fs.get_file_info(fs.FileSelector(self._path(under), recursive=True, allow_not_found=True))
        return sorted(one.path[len(self._root) + 1 :] for one in found if one.type == fs.FileType.File)

    def move(self, name: str, to: str) -> None:
        """Gives an object another name."""
        self._fs.move(self._path(name), self._path(to))

    def remove(self, under: str) -> None:
        """Removes an object, or a folder with all that is in it; nothing where there is none."""
        path = self._path(under)
        kind = self._fs.get_file_info(path).type
        if kind == fs.FileType.Directory:
            self._fs.delete_dir(path)
        elif kind == fs.FileType.File:
            self._fs.delete_file(path)

    def path_of(self, name: str) -> Path | None:
        """Where an object can be read in place: nowhere."""
        return None

    def _path(self, name: str) -> str:
        return f"{self._root}/{name}" if name else self._root
