"""Processes that a run starts: fresh interpreters that talk through their standard streams and end with the run."""

from __future__ import annotations

import contextlib
import json
import os
import select
import signal
import subprocess
import sys
from pathlib import Path
from typing import IO, Literal

from auditor.engine.workers.copies import can_be_copied

Entry = Literal["audit_units", "do_errand"]  # functions of the module `child`
_PROGRAM = """
import json, sys
sys.path[:] = json.loads(sys.argv[1])
from auditor.engine.workers import child
getattr(child, sys.argv[2])(*sys.argv[3:])
"""
_END_S = 1.0  # how long the end of a killed process is waited for


class Copy:
    """A process that a started one will make of itself; it ends when its pipes close, as all of them do."""

    def __init__(self, stdin: IO[bytes], stdout: IO[bytes]) -> None:
        self.stdin, self.stdout = stdin, stdout
        self.pid = 0  # as long as it has not told
        self.returncode: int | None = None  # its parent alone would know
        self._handle: int | None = None

    def born(self, pid: int) -> None:
        """Takes in its number, and what stands for it whatever else comes to bear the same number."""
        self.pid = pid
        with contextlib.suppress(OSError):
            self._handle = os.pidfd_open(pid)

    def kill(self) -> None:
        """Ends it at once."""
        if self._handle is None:
            with contextlib.suppress(OSError):
                self.stdin.close()
            return
        with contextlib.suppress(OSError):
            signal.pidfd_send_signal(self._handle, signal.SIGKILL)

    def wait(self) -> None:
        """Returns when it has ended."""
        if self._handle is not None:
            select.select([self._handle], [], [], _END_S)
            os.close(self._handle)
            self._handle = None


Process = subprocess.Popen[bytes] | Copy
_running: set[Process] = set()


def processor_ticks(process: Process) -> int | None:
    """The processor time that a process has taken so far; None where the system does not tell."""
    try:
        figures = Path(f"/proc/{process.pid}/stat").read_text().rsplit(")", 1)[1].split()
    except OSError:
        return None
    return int(figures[11]) + int(figures[12])


def started(entry: Entry) -> subprocess.Popen[bytes]:
    """A new process that finds the modules that this one does."""
    return _started(entry, ())


def started_with_copies(entry: Entry, count: int) -> tuple[subprocess.Popen[bytes], list[Copy]]:
    """A new process, and those that it will make of itself: `count`, or none where that cannot be done."""
    if not can_be_copied():
        return started(entry), []
    pipes = [(os.pipe(), os.pipe()) for _ in range(count)]
    theirs = [(for_it[0], to_us[1]) for for_it, to_us in pipes]
    copies = [Copy(os.fdopen(for_it[1], "wb"), os.fdopen(to_us[0], "rb")) for for_it, to_us in pipes]
    try:
        process = _started(entry, theirs)
    finally:
        for pair in theirs:
            for end in pair:
                os.close(end)
    _running.update(copies)
    return process, copies


def _started(entry: Entry, pipes: list[tuple[int, int]] | tuple[()]) -> subprocess.Popen[bytes]:
    process = subprocess.Popen(
        [sys.executable, "-c", _PROGRAM, json.dumps(sys.path), entry, *(f"{read}:{write}" for read, write in pipes)],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        pass_fds=[end for pair in pipes for end in pair],
        start_new_session=True,  # Ctrl-C is for the run, which ends what it started
    )
    _running.add(process)
    return process


def ended(process: Process) -> None:
    """Ends a process at once."""
    process.kill()
    process.wait()
    _running.discard(process)
    for pipe in (process.stdin, process.stdout):
        with contextlib.suppress(OSError):
            if pipe is not None:
                pipe.close()


def end_all() -> None:
    """Ends all processes that were started, from any thread, in a process that ends right after this."""
    for process in list(_running):
        process.kill()
