"""Opens workbooks in a child process first, with limits of memory and time, before this process opens them.

The library that reads workbooks makes room for every cell up to the last one: a stray cell in the last corner of a
sheet asks for 400 GB, which ends the process.  Here that ends the child, and costs one feed.
"""

from __future__ import annotations

import atexit
import contextlib
import json
import subprocess
import sys
import threading
from pathlib import Path

from auditor.errors import FeedError
from auditor.feeds.model import Limits

_CHILD = """
import json, sys
try:
    import resource
    for kind, most in ((resource.RLIMIT_AS, int(sys.argv[1])), (resource.RLIMIT_CORE, 0)):
        resource.setrlimit(kind, (most, most))
except (ImportError, ValueError, OSError):
    pass
from python_calamine import CalamineWorkbook
for line in sys.stdin:
    try:
        with CalamineWorkbook.from_path(json.loads(line)) as book:
            for name in book.sheet_names:
                try:
                    book.get_sheet_by_name(name)
                except MemoryError:
                    raise
                except BaseException:
                    pass
    except MemoryError:
        sys.exit(1)
    except BaseException:
        pass
    print("opened", flush=True)
"""


class _Child:
    """A process that opens one workbook after the other, for as long as that goes well."""

    def __init__(self, memory_bytes: int) -> None:
        self.memory_bytes = memory_bytes
        self._process = subprocess.Popen(
            [sys.executable, "-P", "-c", _CHILD, str(memory_bytes)],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            stderr=subprocess.DEVNULL,
        )

    def opens(self, path: Path, seconds: float) -> bool:
        """Whether the workbook can be opened within the limits; sound or not, it is no danger then."""
        assert self._process.stdin is not None and self._process.stdout is not None
        timer = threading.Timer(seconds, self._process.kill)
        timer.start()
        try:
            self._process.stdin.write(json.dumps(str(path.resolve())).encode() + b"\n")
            self._process.stdin.flush()
            return self._process.stdout.readline() == b"opened\n"
        except OSError:
            return False
        finally:
            timer.cancel()

    def end(self) -> None:
        """Ends the process."""
        self._process.kill()
        with contextlib.suppress(OSError):
            self._process.communicate()


_child: _Child | None = None
_lock = threading.Lock()


def check_opens(path: Path, name: str, limits: Limits) -> None:
    """Raises FeedError where a workbook needs more memory or time than the limits give it."""
    global _child
    with _lock:
        if _child is not None and _child.memory_bytes != limits.workbook_memory_bytes:
            end_child()
        if _child is None:
            _child = _Child(limits.workbook_memory_bytes)
            atexit.register(end_child)
        if _child.opens(path, limits.workbook_seconds):
            return
        end_child()
    raise FeedError(
        f"{name}: opening the workbook takes more than {limits.workbook_memory_bytes:,} bytes of memory or "
        f"{limits.workbook_seconds} seconds; look for a stray cell far from the table, save it again, or send CSV."
    )


def end_child() -> None:
    """Ends the child, where there is one."""
    global _child
    if _child is not None:
        _child.end()
        _child = None
