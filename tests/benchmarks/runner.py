"""Runs a module as a program and writes down its peak of memory, and what it raised.

    python -m tests.benchmarks.runner COST.json MODULE[:FUNCTION] ARGS...

The peak comes from the process itself (VmHWM): the figure that the parent would get from `getrusage` counts
the parent's own memory at the fork as well.  A module that guards on `__main__` is run as that; with a
FUNCTION, it is imported and the function called.
"""

from __future__ import annotations

import importlib
import json
import runpy
import sys
from pathlib import Path


def peak_kb() -> int:
    """The most memory this process has had resident so far, in KiB (Linux)."""
    for line in Path("/proc/self/status").read_text().splitlines():
        if line.startswith("VmHWM:"):
            return int(line.split()[1])
    raise OSError("/proc/self/status has no VmHWM: measure on Linux")


def main() -> None:
    """Runs the module named on the command line and ends as it ends."""
    report, target, *arguments = sys.argv[1:]
    module, _, function = target.partition(":")
    sys.argv = [module, *arguments]
    raised = ""
    try:
        if function:
            sys.exit(getattr(importlib.import_module(module), function)())
        runpy.run_module(module, run_name="__main__", alter_sys=True)
    except Exception as wrong:
        # Exit code 1 alone would not tell: the auditor ends with it where listings are held.
        raised = f"{type(wrong).__name__}: {wrong}"
        raise
    finally:
        spent = {
            "peak_kb": peak_kb(),
            "raised": raised,
        }
        Path(report).write_text(json.dumps(spent))


if __name__ == "__main__":
    main()
