"""Zip archives: their members are feeds of their own."""

from __future__ import annotations

import re
import zipfile
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from functools import partial
from pathlib import Path
from typing import BinaryIO

from auditor.errors import FeedError
from auditor.feeds.model import Limits
from auditor.feeds.spool import copy_within_limits, spool_path
from auditor.feeds.unpacking import CHUNK

_LOCAL_HEADER, _LOCAL_HEADER_BYTES = b"PK\x03\x04", 30  # APPNOTE.TXT, 4.3.7
_ARCHIVES = (".zip", ".7z", ".rar", ".tar", ".tgz", ".tar.gz", ".tar.bz2", ".tar.zst", ".jar")


@dataclass(frozen=True, slots=True)
class Member:
    """One file in an archive.  `fault` says why it cannot be read, `skipped` why it is no feed."""

    name: str
    fault: str | None = None
    skipped: str | None = None


def members_of(path: Path, known: Sequence[str]) -> list[Member] | None:
    """What an archive holds, in name order; None where its directory cannot be read.

    `known` are the suffixes of feeds.  A member without a name stands for data that the directory does not list.
    """
    try:
        with zipfile.ZipFile(path) as archive:
            infos = archive.infolist()
            unlisted = _unlisted(path, archive)
    except (zipfile.BadZipFile, OSError, ValueError, NotImplementedError):
        return None
    counts = Counter(info.filename for info in infos)
    found = [_judged(name, count, known) for name, count in sorted(counts.items()) if not name.endswith("/")]
    return [Member("", "the archive holds a file that its directory does not list"), *found] if unlisted else found


def _judged(name: str, count: int, known: Sequence[str]) -> Member:
    parts = re.split(r"[\\/]", name)
    if any(part.startswith(("__MACOSX", "_", ".")) and part != ".." for part in parts):
        return Member(name, skipped="its name begins as those of hidden files do")
    if name.lower().endswith(_ARCHIVES):
        return Member(name, "it is an archive inside an archive; unpack it first")
    if not name.lower().endswith(tuple(known)):
        return Member(name, skipped="its suffix is that of no feed")
    if count > 1:
        return Member(name, f"the archive holds {count} members of this name; give each a name of its own")
    if ".." in parts or not parts[0] or parts[0].endswith(":"):
        return Member(name, "its name leads out of the archive; pack it again under a plain name")
    return Member(name)


def _unlisted(path: Path, archive: zipfile.ZipFile) -> bool:
    """Whether between the listed members another one begins, as it does where an archive was written behind another."""
    at = 0
    with path.open("rb") as file:
        for offset, packed in sorted((info.header_offset, info.compress_size) for info in archive.infolist()):
            if _begins_within(file, at, offset):
                return True
            file.seek(offset)
            head = file.read(_LOCAL_HEADER_BYTES)
            lengths = int.from_bytes(head[26:28], "little") + int.from_bytes(head[28:30], "little")
            at = max(at, offset + _LOCAL_HEADER_BYTES + lengths + packed)
        return _begins_within(file, at, archive.start_dir)


def _begins_within(file: BinaryIO, start: int, stop: int) -> bool:
    file.seek(start)
    before = b""
    while start < stop:
        chunk = file.read(min(CHUNK, stop - start))
        if not chunk:
            break
        if _LOCAL_HEADER in before + chunk:
            return True
        before, start = chunk[-3:], start + len(chunk)
    return False


def extract(path: Path, member: str, name: str, limits: Limits) -> Path:
    """Unpacks one member into the spool folder.  Raises FeedError where it is damaged, locked or too big."""
    target = spool_path(Path(member).suffix)
    try:
        with zipfile.ZipFile(path) as archive:
            if len(archive.infolist()) > limits.members:
                raise FeedError(
                    f"{name}: the archive has {len(archive.infolist()):,} members, more than the limit of "
                    f"{limits.members:,}; send the feeds in smaller archives."
                )
            info = archive.getinfo(member)
            with archive.open(info) as source:
                chunks = iter(partial(source.read, CHUNK), b"")
                copy_within_limits(chunks, target, name, info.compress_size, limits)
    except FeedError:
        raise
    except Exception as error:  # damaged, locked or of an unknown method: zipfile raises many kinds
        target.unlink(missing_ok=True)
        reason = str(error).strip().rstrip(".") or type(error).__name__
        raise FeedError(f"{name}: cannot be taken out of the archive ({reason}); send it again.") from error
    return target


def check_workbook_size(path: Path, name: str, limits: Limits) -> None:
    """Refuses a zipped workbook whose sheets unpack beyond the limits.  Other workbooks pass."""
    if not zipfile.is_zipfile(path):
        return
    try:
        with zipfile.ZipFile(path) as archive:
            packed = sum(info.compress_size for info in archive.infolist())
            unpacked = sum(info.file_size for info in archive.infolist())
    except (zipfile.BadZipFile, OSError, ValueError, NotImplementedError):
        return  # its reader will say what is wrong
    if unpacked > min(limits.workbook_bytes, max(64 << 20, packed * limits.unpacked_ratio)):
        raise FeedError(
            f"{name}: the workbook unpacks to {unpacked:,} bytes from {packed:,}, which is beyond the limit; "
            "send it as CSV or raise the limit."
        )
