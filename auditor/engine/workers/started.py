"""Processes that a run starts: fresh interpreters that talk through their standard streams and end with the run."""

from __future__ import annotations

import contextlib
import json
import subprocess
import sys
from typing import Literal

Entry = Literal["audit_units", "do_errand"]  # functions of the module `child`
_PROGRAM = """
import json, sys
sys.path[:] = json.loads(sys.argv[1])
from auditor.engine.workers import child
getattr(child, sys.argv[2])()
"""
_running: set[subprocess.Popen[bytes]] = set()


def started(entry: Entry) -> subprocess.Popen[bytes]:
    """A new process that finds the modules that this one does."""
    process = subprocess.Popen(
        [sys.executable, "-c", _PROGRAM, json.dumps(sys.path), entry],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        start_new_session=True,  # Ctrl-C is for the run, which ends what it started
    )
    _running.add(process)
    return process


def ended(process: subprocess.Popen[bytes]) -> None:
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
