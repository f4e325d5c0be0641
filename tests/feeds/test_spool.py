"""Folders for unpacked copies, and what is left of those of killed processes."""

from __future__ import annotations

import os
import time
from pathlib import Path

from auditor.feeds import spool


def made(place: Path, name: str, *, marked: bool, age_s: float = 0.0) -> Path:
    folder = place / f"auditor-spool-{name}"
    folder.mkdir()
    (folder / "copy.plain").write_text("x")
    if marked:
        (folder / ".in-use").touch()
    os.utime(folder, (time.time() - age_s,) * 2)
    return folder


def test_what_killed_processes_left_is_removed(tmp_path: Path) -> None:
    marked = made(tmp_path, "marked", marked=True)
    half_removed = made(tmp_path, "half-removed", marked=False, age_s=3_600)
    being_made = made(tmp_path, "being-made", marked=False)
    held = made(tmp_path, "held", marked=True)
    lock = spool._locked(held / ".in-use")
    assert lock is not None
    spool._remove_abandoned(tmp_path)
    os.close(lock)
    assert [folder.exists() for folder in (marked, half_removed, being_made, held)] == [False, False, True, True]
