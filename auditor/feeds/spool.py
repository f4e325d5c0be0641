"""Compressed and remote files become plain local ones, within stated limits."""

from __future__ import annotations

import atexit
import bz2
import contextlib
import gzip
import os
import shutil
import tempfile
import time
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import IO, cast

from auditor.errors import FeedError
from auditor.feeds.model import Limits
from auditor.feeds.unpacking import unpacked_chunks

try:
    import fcntl
except ImportError:  # Windows: no advisory locks, so nothing of a killed process is tidied up
    fcntl = None  # type: ignore[assignment]

CHUNK = 1 << 20
COMPRESSIONS = {".gz": "gzip", ".bz2": "bzip2", ".zst": "zstd"}
_PREFIX, _MARK = "auditor-spool-", ".in-use"
_MAKING_S = 60.0  # a folder without its mark is given this time
_folder: Path | None = None
_in_use: int | None = None


def spool_folder() -> Path:
    """This process's folder for unpacked copies; removed when the process ends, or by the next one if it was killed."""
    global _folder, _in_use
    if _folder is None or not _folder.is_dir():
        _remove_abandoned(Path(tempfile.gettempdir()))
        _folder = Path(tempfile.mkdtemp(prefix=_PREFIX))
        _in_use = _locked(_folder / _MARK)
        atexit.register(_remove, _folder)
    return _folder


def _locked(mark: Path) -> int | None:
    """A file whose lock goes with this process, however it ends; None where a living process holds it."""
    if fcntl is None:
        return None
    lock = os.open(mark, os.O_CREAT | os.O_RDWR)
    try:
        fcntl.flock(lock, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except OSError:
        os.close(lock)
        return None
    return lock


def _remove_abandoned(place: Path) -> None:
    """Removes the folders of processes that were killed: those with a mark that nobody holds."""
    for folder in place.glob(f"{_PREFIX}*"):
        with contextlib.suppress(OSError):
            if folder.is_symlink() or folder.stat().st_uid != os.getuid():
                continue
            if not (folder / _MARK).exists():  # just made, or its process was killed in making or removing it
                if time.time() - folder.stat().st_mtime > _MAKING_S:
                    shutil.rmtree(folder, ignore_errors=True)
                continue
            lock = _locked(folder / _MARK)
            if lock is not None:
                _remove(folder)
                os.close(lock)


def _remove(folder: Path) -> None:
    """Removes a folder, its mark last: of a process that is killed meanwhile the next one knows it."""
    with contextlib.suppress(OSError):
        for entry in folder.iterdir():
            if entry.is_dir():
                shutil.rmtree(entry, ignore_errors=True)
            elif entry.name != _MARK:
                entry.unlink(missing_ok=True)
    shutil.rmtree(folder, ignore_errors=True)


def remove_spool() -> None:
    """Removes the folder early, where the process ends without its last rites."""
    if _folder is not None:
        _remove(_folder)


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
