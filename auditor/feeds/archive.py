"""Zip archives: their members are feeds of their own."""

from __future__ import annotations

import zipfile
from collections.abc import Sequence
from pathlib import Path
from typing import BinaryIO, cast

from auditor.errors import FeedError
from auditor.feeds.model import Limits
from auditor.feeds.spool import copy_within_limits, spool_path


def member_names(path: Path, known: Sequence[str]) -> list[str] | None:
    """Members with a known suffix, in name order; None where the archive's directory cannot be read."""
    try:
        with zipfile.ZipFile(path) as archive:
            names = [info.filename for info in archive.infolist() if not info.is_dir()]
    except (zipfile.BadZipFile, OSError, ValueError, NotImplementedError):
        return None
    return sorted(name for name in names if not _hidden(name) and _suffix_known(name, known))


def _hidden(name: str) -> bool:
    return any(part.startswith(("__MACOSX", "_", ".")) and part != ".." for part in name.split("/"))


def _suffix_known(name: str, known: Sequence[str]) -> bool:
    return name.lower().endswith(tuple(known))


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
                copy_within_limits(cast(BinaryIO, source), target, name, info.compress_size, limits)
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
