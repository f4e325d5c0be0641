"""Feeds that are lost: whatever goes wrong in one, expected or not, loses that one, and every other is audited.

What the machine itself is short of (room on a disk) is no fault of a feed: that ends the run.
"""

from __future__ import annotations

import contextlib
import errno
import os
import traceback
from collections.abc import Iterator

import pyarrow as pa

from auditor.errors import AuditorError, OutputError, printable

LONGEST_REASON = 400
_NO_ROOM = frozenset({errno.ENOSPC, errno.EDQUOT, errno.EFBIG})


class LostFeedsError(Exception):
    """Feeds that turned out to be unreadable when others were already settled; `reasons` by number of the feed."""

    def __init__(self, reasons: dict[int, str]) -> None:
        super().__init__(reasons)
        self.reasons = reasons


def reason_of(name: str, error: Exception) -> str:
    """Why a feed is lost, in one printable sentence without its name.

    Raises OutputError instead where there is no room on the disk.
    """
    if no_room(error):
        raise OutputError(f"There is no room left to work on {name} ({_first_line(error)}); make room and run again.")
    if isinstance(error, AuditorError):
        text = str(error).removeprefix(f"{name}: ")
    elif isinstance(error, MemoryError):
        text = "needs more memory than there is; send it in smaller parts."
    elif isinstance(error, FileNotFoundError):
        text = "is no longer there; it was taken away while it was read."
    elif isinstance(error, (pa.ArrowInvalid, UnicodeDecodeError)):  # texts of a damaged file need be no UTF-8
        text = f"is damaged ({_first_line(error)}); ask for it again."
    elif isinstance(error, OSError):
        text = f"cannot be read ({_first_line(error)}); check the file and the access to it."
    else:
        if os.environ.get("AUDITOR_DEBUG"):
            traceback.print_exception(error)
        text = f"cannot be audited, for a reason that nobody foresaw ({type(error).__name__}: {_first_line(error)})."
    text = " ".join(printable(text).split())
    return text if len(text) <= LONGEST_REASON else text[:LONGEST_REASON] + "..."


def no_room(error: BaseException) -> bool:
    """Whether an error, or one that it came of, says that a disk is full."""
    seen: BaseException | None = error
    for _ in range(8):
        if seen is None:
            return False
        if isinstance(seen, OSError) and seen.errno in _NO_ROOM:
            return True
        seen = seen.__cause__ or seen.__context__
    return False


@contextlib.contextmanager
def losing(number: int, name: str) -> Iterator[None]:
    """Within, whatever goes wrong is the loss of feed `number`."""
    try:
        yield
    except (LostFeedsError, OutputError):
        raise
    except Exception as error:
        raise LostFeedsError({number: reason_of(name, error)}) from error


@contextlib.contextmanager
def full_disk_said() -> Iterator[None]:
    """Within, results that cannot be written raise OutputError, whatever library was writing them."""
    try:
        yield
    except AuditorError:
        raise
    except Exception as error:
        if isinstance(error, OSError) or no_room(error):
            raise OutputError(
                f"The results could not be written ({_first_line(error)}); make room, or choose another --out, and "
                "run again."
            ) from error
        raise


def _first_line(error: Exception) -> str:
    text = str(getattr(error, "strerror", None) or error)
    return (text.strip().splitlines() or [type(error).__name__])[0][:200].rstrip(".")
