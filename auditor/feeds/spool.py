"""Compressed and remote files become plain local ones, within stated limits."""

from __future__ import annotations

import atexit
import bz2
import gzip
import shutil
import tempfile
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import IO, cast

from auditor.errors import FeedError
from auditor.feeds.model import Limits
from auditor.feeds.unpacking import unpacked_chunks

CHUNK = 1 << 20
COMPRESSIONS = {".gz": "gzip", ".bz2": "bzip2", ".zst": "zstd"}
_folder: Path | None = None


def spool_folder() -> Path:
    """This process's folder for unpacked copies; removed when the process ends."""
    global _folder
    if _folder is None or not _folder.is_dir():
        _folder = Path(tempfile.mkdtemp(prefix="auditor-"))
        atexit.register(shutil.rmtree, _folder, ignore_errors=True)
    return _folder


def remove_spool() -> None:
    """Removes the folder early, where the process ends without its last rites."""
    if _folder is not None:
        shutil.rmtree(_folder, ignore_errors=True)


def spool_path(suffix: str) -> Path:
    """A fresh, unused path in the spool folder."""
    handle = tempfile.NamedTemporaryFile(dir=spool_folder(), suffix=suffix, delete=False)  # noqa: SIM115
    handle.close()
    return Path(handle.name)


def compression_of(name: str) -> str | None:
    """gzip, bzip2, zstd or None, by the last suffix."""
    return COMPRESSIONS.get(Path(name).suffix.lower())


@contextmanager
def create_packed(path: Path, compression: str | None) -> Iterator[IO[bytes]]:
    """Creates a file whose written bytes are compressed; no time stamp or name goes in, so equal input, equal bytes."""
    path.parent.mkdir(parents=True, exist_ok=True)
    with path.open("wb", buffering=CHUNK) as raw:
        if compression == "gzip":
            with gzip.GzipFile(filename="", mode="wb", fileobj=raw, mtime=0, compresslevel=6) as file:
                yield cast(IO[bytes], file)
        elif compression == "bzip2":
            with bz2.BZ2File(raw, "wb") as bz_file:
                yield cast(IO[bytes], bz_file)
        elif compression == "zstd":
            import zstandard

            with zstandard.ZstdCompressor(level=3).stream_writer(raw, closefd=False) as zst:
                yield cast(IO[bytes], zst)
        else:
            yield raw


def copy_within_limits(source: Iterable[bytes], target: Path, name: str, packed_bytes: int, limits: Limits) -> int:
    """Copies unpacked bytes to `target`; how many.  Raises FeedError where the limits on unpacking are passed."""
    total = 0
    with target.open("wb") as out:
        for chunk in source:
            total += len(chunk)
            ratio_cap = max(64 << 20, packed_bytes * limits.unpacked_ratio)
            if total > min(limits.unpacked_bytes, ratio_cap):
                out.close()
                target.unlink(missing_ok=True)
                raise FeedError(
                    f"{name}: unpacks to more than {total - len(chunk):,} bytes from {packed_bytes:,}, "
                    "which is beyond the limit for compressed feeds; send it unpacked or raise the limit."
                )
            out.write(chunk)
    return total


def unpack(path: Path, name: str, compression: str, limits: Limits) -> Path:
    """Unpacks a compressed file into the spool folder and returns the plain copy's path."""
    target = spool_path(".plain")
    try:
        copy_within_limits(unpacked_chunks(path, compression), target, name, path.stat().st_size, limits)
    except FeedError:
        raise
    except Exception as error:
        target.unlink(missing_ok=True)
        reason = str(error).strip().rstrip(".") or type(error).__name__
        raise FeedError(
            f"{name}: cannot be unpacked as {compression} ({reason}); send it again or unpack it first."
        ) from error
    return target
