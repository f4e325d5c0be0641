"""Runs pytest again and again, each time in a fork of one process that has the libraries loaded already.

Started as a script, so that neither the auditor nor its tests are loaded before a fork reads them from its own copy.
Takes one JSON line per run (`root`, `arguments`, `seconds`, `output`) and answers with pytest's exit code, -1 for none.
"""

from __future__ import annotations

import importlib
import json
import os
import signal
import sys
import time
import traceback
from pathlib import Path

# Nothing that starts threads, as numpy and pyarrow do: a fork of such a process can wait for ever for a lock.
_LOADED_ONCE = ("pytest", "jsonschema")


def main() -> None:
    """Answers every line of standard input."""
    here = Path(__file__).parent
    sys.path = [entry for entry in sys.path if entry and Path(entry) != here]
    for name in _LOADED_ONCE:
        importlib.import_module(name)
    for line in sys.stdin:
        print(_run(json.loads(line)), flush=True)


def _run(job: dict[str, object]) -> int:
    child = os.fork()
    if child == 0:
        _in_fork(str(job["root"]), str(job["output"]), list(job["arguments"]))  # type: ignore[call-overload]
    ends = time.monotonic() + float(job["seconds"])  # type: ignore[arg-type]
    while True:
        ended, status = os.waitpid(child, os.WNOHANG)
        if ended:
            return os.waitstatus_to_exitcode(status)
        if time.monotonic() > ends:
            os.killpg(child, signal.SIGKILL)
            os.waitpid(child, 0)
            return -1
        time.sleep(0.02)


def _in_fork(root: str, output: str, arguments: list[str]) -> None:
    """Runs pytest in a copy of the tree, and ends the process with its exit code."""
    code = 3
    try:
        os.setpgid(0, 0)
        os.chdir(root)
        sys.path.insert(0, root)
        sys.dont_write_bytecode = True
        os.environ["PYTHONPATH"] = root
        written = os.open(output, os.O_WRONLY | os.O_CREAT | os.O_TRUNC)
        os.dup2(written, 1)
        os.dup2(written, 2)
        os.dup2(os.open(os.devnull, os.O_RDONLY), 0)
        code = int(importlib.import_module("pytest").main(arguments))
    except BaseException:
        traceback.print_exc()
    finally:
        sys.stdout.flush()
        sys.stderr.flush()
        os._exit(code)


if __name__ == "__main__":
    main()
