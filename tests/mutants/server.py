"""Runs pytest again and again, each time in a fork of one process that has what it can loaded already.

Started as a script, `cold` or `warm`.  A cold one has libraries loaded, and a fork of it reads the auditor and its
tests from its own copy.  A warm one has those loaded, too: a fork puts the functions of the changed file in the place
of the loaded ones, and answers -1000 where what changed is no function's, so that a cold one has to be asked.
Takes one JSON line per run (`root`, `file`, `arguments`, `seconds`, `output`) and answers with pytest's exit code, -1
for none.
"""

from __future__ import annotations

import gc
import importlib
import json
import os
import pkgutil
import signal
import sys
import time
import traceback
from pathlib import Path
from types import CodeType, FunctionType

# Nothing that starts threads, as numpy and pyarrow do: a fork of such a process can wait for ever for a lock.
_LOADED_ONCE = ("pytest", "jsonschema")
# What a warm one has loaded, and never run; with one thread, numpy starts none.
_PACKAGES = ("auditor.trade", "auditor.quantities", "auditor.marking", "auditor.judging")
_TESTS = ("tests.edges.ladders", "tests.edges.registered", "tests.edges.paths")
_NO_ANSWER, _NO_FUNCTION = -1, -1000
_ENDED_COLD = 120  # the exit code of a fork that found no function to change


def main() -> None:
    """Answers every line of standard input."""
    here = Path(__file__).parent
    sys.path = [entry for entry in sys.path if entry and Path(entry) != here]
    for name in _LOADED_ONCE:
        importlib.import_module(name)
    warm = sys.argv[1] == "warm"
    if warm:
        _load_all(sys.argv[2])
    for line in sys.stdin:
        print(_run(json.loads(line), warm), flush=True)


def _load_all(root: str) -> None:
    os.environ["OPENBLAS_NUM_THREADS"] = "1"
    os.chdir(root)
    sys.path.insert(0, root)
    for name in _PACKAGES:
        package = importlib.import_module(name)
        for module in pkgutil.walk_packages(package.__path__, f"{name}."):
            importlib.import_module(module.name)
    for name in _TESTS:
        importlib.import_module(name)


def _run(job: dict[str, object], warm: bool) -> int:
    child = os.fork()
    if child == 0:
        if warm and not _put_in_place(str(job["root"]), str(job["file"])):
            os._exit(_ENDED_COLD)
        _in_fork(str(job["root"]), str(job["output"]), list(job["arguments"]))  # type: ignore[call-overload]
    ends = time.monotonic() + float(job["seconds"])  # type: ignore[arg-type]
    while True:
        ended, status = os.waitpid(child, os.WNOHANG)
        if ended:
            code = os.waitstatus_to_exitcode(status)
            return _NO_FUNCTION if code == _ENDED_COLD else code
        if time.monotonic() > ends:
            os.killpg(child, signal.SIGKILL)
            os.waitpid(child, 0)
            return _NO_ANSWER
        time.sleep(0.02)


def _put_in_place(root: str, file: str) -> bool:
    """Gives the loaded functions of a file the code that stands in it now; whether that changed any of them."""
    path = Path(root, file)
    if path.suffix != ".py":
        return False
    now = {(one.co_qualname, one.co_firstlineno): one for one in _inside(compile(path.read_bytes(), path, "exec"))}
    changed = False
    for one in gc.get_objects():
        if isinstance(one, FunctionType) and one.__code__.co_filename == str(path):
            code = now.get((one.__code__.co_qualname, one.__code__.co_firstlineno))
            if code is not None and code != one.__code__:
                one.__code__ = code
                changed = True
    return changed


def _inside(code: CodeType) -> list[CodeType]:
    inner = [one for one in code.co_consts if isinstance(one, CodeType)]
    return inner + [deeper for one in inner for deeper in _inside(one)]


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
