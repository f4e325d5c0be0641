"""Files that somebody else put into the folder of an earlier audit: they stay where they are."""

from __future__ import annotations

import contextlib
import json
import os
import shutil
from collections.abc import Iterator
from pathlib import Path

# What audits before this list was kept could write; all that lies in their folders was theirs.
_FORMER = frozenset(
    {"findings.parquet", "findings.csv", "summary.json", "report.html", "report.xlsx", "rejected.csv", "run.json"}
    | {"changes.csv", "repeated.csv", "folded.parquet"}
)
_FORMER_FOLDERS = frozenset({"released", "held", "corrections", "corrected"})


def files_in(folder: Path) -> list[str]:
    """Every file in a folder, by its path in it; what a run hides while it works is none."""
    names = (path.relative_to(folder).as_posix() for path in _walk(folder))
    return sorted(name for name in names if not name.startswith("."))


def keep_foreign_files(earlier: Path, building: Path) -> None:
    """Puts the files that an earlier audit did not write into the folder that will take its place.

    They are linked or copied, so that the earlier folder is whole until it is replaced.  A file whose name the new
    audit needs gets another one.
    """
    own = _own_files(earlier)
    for path in list(_walk(earlier)):
        name = path.relative_to(earlier).as_posix()
        if name in own or (own == _FORMER and name.split("/")[0] in _FORMER_FOLDERS):
            continue
        target = _free(building / name)
        target.parent.mkdir(parents=True, exist_ok=True)
        if path.is_symlink():
            target.symlink_to(path.readlink())
            continue
        try:
            os.link(path, target)
        except OSError:  # another file system, or one without links
            shutil.copy2(path, target)


def _own_files(folder: Path) -> frozenset[str]:
    with contextlib.suppress(OSError, ValueError, TypeError, KeyError, AttributeError):
        listed = json.loads((folder / "run.json").read_text(encoding="utf-8"))["files"]
        return frozenset(map(str, listed)) | {"run.json"}
    return _FORMER


def _walk(folder: Path) -> Iterator[Path]:
    for where, folders, names in os.walk(folder):
        folders.sort()
        for name in sorted(names):
            yield Path(where) / name
        for name in [name for name in folders if (Path(where) / name).is_symlink()]:
            folders.remove(name)
            yield Path(where) / name


def _free(target: Path) -> Path:
    """The path itself, or one beside it with a number, where an output has its name or stands in its way."""
    number, path = 2, target
    while path.exists() or path.is_symlink() or any(parent.is_file() for parent in path.parents):
        stem = target.with_name(f"{target.stem} ({number}){target.suffix}")
        path = stem if not any(parent.is_file() for parent in stem.parents) else _outside(stem)
        number += 1
    return path


def _outside(path: Path) -> Path:
    """Beside the file that stands where the path's folder should be."""
    while any(parent.is_file() for parent in path.parents):
        path = path.parent.with_name(path.name)
    return path
