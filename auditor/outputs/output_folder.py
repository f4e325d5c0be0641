"""Builds an output folder aside and moves it into place whole, so that no reader ever sees half an audit."""

from __future__ import annotations

import contextlib
import ctypes
import json
import os
import secrets
import shutil
import threading
import time
from collections.abc import Iterator
from pathlib import Path

from auditor.errors import OutputError
from auditor.outputs.foreign_files import keep_foreign_files

try:
    import fcntl
except ImportError:  # Windows: no advisory locks, so nothing of a crashed run is tidied up
    fcntl = None  # type: ignore[assignment]

_LOCK = ".building"
_NEW_S = 60.0  # an empty folder that is younger may be one that a run is about to mark
_HERE, _EXCHANGE = -100, 2  # AT_FDCWD and RENAME_EXCHANGE of Linux's renameat2(2)
_guard = threading.Lock()  # held while a finished folder moves into place, and for good once unfinished ones go
_unfinished: list[Path] = []
_PATIENCE_S = 0.3
_TRIES = 3  # another thread may put a file into a folder that is just being removed


@contextlib.contextmanager
def output_folder(target: Path) -> Iterator[Path]:
    """Yields an empty folder next to `target`; on success it becomes `target`, otherwise nothing changes.

    An existing `target` is replaced only when it is empty or an earlier audit's.  Raises OutputError, before
    any work is done, where it is neither or where the place cannot be written.
    """
    target = Path(os.path.realpath(target))
    check_replaceable(target)
    try:
        target.parent.mkdir(parents=True, exist_ok=True)
        _bring_back(target)
        _remove_abandoned(target)
        building = target.parent / f".{target.name}.building-{secrets.token_hex(4)}"
        building.mkdir()
    except OSError as error:
        raise OutputError(
            f"{target} cannot be written ({_why(error)}); choose another --out or change its permissions."
        ) from error
    _unfinished.append(building)
    lock = _lock(building)
    try:
        _refuse_beside_another(building, target)
        yield building
        if target.exists():
            _keep_foreign(target, building)
        with _guard:
            _move_into_place(building, target)
        (target / _LOCK).unlink(missing_ok=True)
    finally:
        if lock is not None:
            os.close(lock)
        shutil.rmtree(building, ignore_errors=True)
        _unfinished.remove(building)


def empty_again(building: Path) -> None:
    """Removes what was written to a folder that is being built, so that the work can begin anew."""
    for path in building.iterdir():
        if path.is_dir():
            shutil.rmtree(path)
        elif path.name != _LOCK:
            path.unlink()


def remove_unfinished() -> None:
    """Removes the folders that are being built, from any thread, in a process that ends right after this.

    A folder that is moving into place is left to finish; one that has not begun to move never will.
    """
    if _guard.acquire(timeout=_PATIENCE_S):
        for building in list(_unfinished):
            for _ in range(_TRIES):
                shutil.rmtree(building, ignore_errors=True)
                if not building.exists():
                    break


def check_replaceable(target: Path) -> None:
    """Raises OutputError unless `target` is free, an empty folder, or an earlier audit's folder."""
    try:
        if not target.exists():
            return
        if not target.is_dir():
            raise OutputError(f"{target} is a file; --out needs the name of a folder.")
        if not any(target.iterdir()) or is_audit(target):
            return
    except OSError as error:
        raise OutputError(
            f"{target} cannot be looked into ({_why(error)}); choose another --out or change its permissions."
        ) from error
    raise OutputError(
        f"{target} is not empty and not the folder of an earlier audit, so it is left as it is; "
        "choose another --out or empty it."
    )


def is_audit(folder: Path) -> bool:
    """Whether the folder was written by an audit: its `summary.json` carries our schema and program entries."""
    try:
        summary = json.loads((folder / "summary.json").read_text(encoding="utf-8"))
    except (OSError, ValueError):
        return False
    return isinstance(summary, dict) and {"schema", "program", "rules", "totals", "feeds"} <= summary.keys()


def _move_into_place(building: Path, target: Path) -> None:
    """Puts the new folder in the place of the old one, at one stroke where the system can exchange two names."""
    try:
        if not target.exists():
            building.rename(target)
        elif _exchanged(building, target):
            shutil.rmtree(building, ignore_errors=True)  # it is the old one now
        else:
            _move_in_two_steps(building, target)
    except OSError as error:
        raise OutputError(
            f"The finished audit could not be moved to {target} ({_why(error)}); "
            "close programs that hold files in it and run again."
        ) from error


def _exchanged(one: Path, other: Path) -> bool:
    """Whether two folders have changed names; False where the system or the file system cannot do that."""
    try:
        swap = ctypes.CDLL(None, use_errno=True).renameat2
    except (AttributeError, OSError):
        return False
    swap.argtypes = (ctypes.c_int, ctypes.c_char_p, ctypes.c_int, ctypes.c_char_p, ctypes.c_uint)
    return bool(swap(_HERE, os.fsencode(one), _HERE, os.fsencode(other), _EXCHANGE) == 0)


def _move_in_two_steps(building: Path, target: Path) -> None:
    """The old folder aside, the new one in.  If the second fails, the first is undone."""
    aside = target.parent / f".{target.name}.replaced-{secrets.token_hex(4)}"
    target.rename(aside)
    try:
        building.rename(target)
    except BaseException:
        if not target.exists():
            aside.rename(target)
        raise
    shutil.rmtree(aside, ignore_errors=True)


def _keep_foreign(target: Path, building: Path) -> None:
    try:
        keep_foreign_files(target, building)
    except OSError as error:
        raise OutputError(
            f"Files of others in {target} could not be kept ({_why(error)}), so that it is left as it is; "
            "move them elsewhere and run again."
        ) from error


def _bring_back(target: Path) -> None:
    """Undoes the first rename of a run that was killed between the two."""
    for aside in sorted(target.parent.glob(f".{_escaped(target.name)}.replaced-*")):
        if not target.exists():
            aside.rename(target)
        elif is_audit(target):
            shutil.rmtree(aside, ignore_errors=True)


def _lock(building: Path) -> int | None:
    """Marks the folder as being built by a living process; the mark goes with the process, however it ends."""
    if fcntl is None:
        return None
    lock = os.open(building / _LOCK, os.O_CREAT | os.O_RDWR)
    with contextlib.suppress(OSError):  # a file system without locks
        fcntl.flock(lock, fcntl.LOCK_EX | fcntl.LOCK_NB)
    return lock


def _refuse_beside_another(building: Path, target: Path) -> None:
    """Raises OutputError where another run, which began earlier, is building the same folder."""
    mine = _begun(building)
    for other in target.parent.glob(f".{_escaped(target.name)}.building-*"):
        if other != building and _begun(other) < mine and _is_locked(other):
            raise OutputError(
                f"{target} is being written by another audit; wait until that one is done, or choose another --out."
            )


def _begun(building: Path) -> tuple[int, str]:
    """When a run began to build; the name tells apart those of one moment."""
    try:
        return (building / _LOCK).stat().st_mtime_ns, building.name
    except OSError:
        return 1 << 63, building.name


def _is_locked(building: Path) -> bool:
    """Whether a living process builds there."""
    return _is_held(building / _LOCK) is True


def _remove_abandoned(target: Path) -> None:
    """Removes what a killed run left behind, but nothing that another run is still building."""
    if fcntl is None:
        return
    if _let_go(target / _LOCK):
        (target / _LOCK).unlink()
    for left in sorted(target.parent.glob(f".{_escaped(target.name)}.building-*")):
        with contextlib.suppress(OSError):
            # what is built is marked before anything is in it: without a mark it is a replaced audit, or its rest
            if _let_go(left / _LOCK) or (not (left / _LOCK).exists() and any(left.iterdir())):
                shutil.rmtree(left, ignore_errors=True)
            elif not (left / _LOCK).exists() and time.time() - left.stat().st_mtime > _NEW_S:
                left.rmdir()


def _let_go(mark: Path) -> bool:
    """Whether a mark is there that no living process holds."""
    return _is_held(mark) is False


def _is_held(mark: Path) -> bool | None:
    """Whether a living process holds a mark; None where there is none, or where this cannot be told."""
    if fcntl is None:
        return None
    try:
        lock = os.open(mark, os.O_RDWR)
    except OSError:
        return None
    try:
        fcntl.flock(lock, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except OSError:
        return True
    finally:
        os.close(lock)
    return False


def _escaped(name: str) -> str:
    return "".join(f"[{char}]" if char in "*?[" else char for char in name)


def _why(error: OSError) -> str:
    return (error.strerror or str(error)).lower()
