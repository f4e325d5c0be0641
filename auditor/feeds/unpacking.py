"""Unpacks a compressed stream to its very end: what is cut short, or followed by something else, is an error.

The libraries' own readers end in silence where a frame breaks off (zstd) or where no further stream begins (bzip2).
"""

from __future__ import annotations

import bz2
import gzip
from collections.abc import Iterator
from pathlib import Path
from typing import BinaryIO

CHUNK = 1 << 20


PACKED_PIECE = 1 << 12  # zstd gives all that a piece unpacks to at once, which is up to 32,768 times as much


def unpacked_chunks(path: Path, compression: str) -> Iterator[bytes]:
    """The plain bytes, some at a time.  Raises an error of the library's, EOFError or OSError where they break off."""
    with path.open("rb") as file:
        if compression == "gzip":  # its reader looks at the trailer of every member, and at what follows
            with gzip.GzipFile(fileobj=file) as packed:
                while chunk := packed.read(CHUNK):
                    yield chunk
        elif compression == "bzip2":
            yield from _bzip2(file)
        else:
            yield from _zstd(file)


def _bzip2(file: BinaryIO) -> Iterator[bytes]:
    data = file.read(CHUNK)
    while data:
        stream = bz2.BZ2Decompressor()
        while not stream.eof:
            if stream.needs_input and not data:
                raise EOFError("it is cut short")
            if plain := stream.decompress(data, CHUNK):
                yield plain
            data = file.read(CHUNK) if stream.needs_input and not stream.eof else b""
        data = stream.unused_data or file.read(CHUNK)


def _zstd(file: BinaryIO) -> Iterator[bytes]:
    import zstandard

    data = file.read(PACKED_PIECE)
    while data:
        frame = zstandard.ZstdDecompressor().decompressobj()
        while not frame.eof:
            if not data:
                raise EOFError("it is cut short")
            if plain := frame.decompress(data):
                yield plain
            data = b"" if frame.eof else file.read(PACKED_PIECE)
        data = frame.unused_data or file.read(PACKED_PIECE)
