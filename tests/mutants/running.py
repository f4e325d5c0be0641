"""Runs the tests over one mutant at a time, each worker in its own copy of the tree."""

from __future__ import annotations

import compileall
import json
import os
import py_compile
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Iterable, Iterator, Mapping, Sequence
from concurrent.futures import ThreadPoolExecutor, as_completed
from pathlib import Path
from queue import SimpleQueue
from typing import NamedTuple

from tests.mutants.sites import ROOT, Mutant
from tests.mutants.targets import COPIED, FIRST, QUICK, WIDER

_FAILED = (1, 2, 4)  # of pytest: a test failed, or the tests or what they share could not even be read
_NO_ANSWER = -1
_NO_FUNCTION = -1000  # of a warm server: what changed is no function's, so that a cold one has to be asked
_NO_CACHES = shutil.ignore_patterns("__pycache__", ".hypothesis", ".pytest_cache", "*.egg-info")


class Outcome(NamedTuple):
    """What became of one mutant, and by which test; one that no answer came for is neither killed nor survived."""

    mutant: Mutant
    state: str  # killed | survived | timed out
    by: str


class Copy:
    """A copy of the tree in which one mutant at a time lives."""

    def __init__(self, root: Path, holding: Iterable[str]) -> None:
        self.root = root
        self._failing: list[str] = []  # tests that fail on the unchanged tree, and tell nothing of a mutant
        self._holding = set(holding)  # those that are known to hold there
        root.mkdir()
        for name in COPIED:
            if (ROOT / name).is_dir():
                shutil.copytree(ROOT / name, root / name, ignore=_NO_CACHES)
            else:
                shutil.copy2(ROOT / name, root / name)
        # Compiled files that are believed by the hash of their source: two changes within a second differ.
        mode = py_compile.PycInvalidationMode.CHECKED_HASH
        compileall.compile_dir(root, quiet=2, invalidation_mode=mode)

        environment = {
            **os.environ,
            "PYTHONDONTWRITEBYTECODE": "1",
            "XDG_CACHE_HOME": str(root / "cache"),  # a compiled rule book of one's own
            "CI": "1",  # property tests draw the same examples every time, and have no deadline
        }
        self._cold, self._warm = (
            subprocess.Popen(
                [sys.executable, str(Path(__file__).with_name("server.py")), kind, str(root)],
                env=environment,
                stdin=subprocess.PIPE,
                stdout=subprocess.PIPE,
                text=True,
            )
            for kind in ("cold", "warm")
        )

    def close(self) -> None:
        """Ends the processes that run the tests."""
        self._cold.communicate()
        self._warm.communicate()

    def run(self, tests: Sequence[str], seconds: float, changed: str = "") -> tuple[int, str]:
        """pytest's answer, up to the first failure, and the test that failed, or what it said instead."""
        output = self.root / "pytest.txt"
        quiet = ["-q", "--no-header", "-p", "no:cacheprovider", "--assert=plain"]  # compiled tests, not rewritten ones
        left_out = [f"--deselect={test}" for test in self._failing]
        arguments = ["-x", *quiet, *left_out, *tests]
        job = {
            "root": str(self.root),
            "file": changed,
            "arguments": arguments,
            "seconds": seconds,
            "output": str(output),
        }
        code = _asked(self._warm, job) if changed.endswith(".py") else _NO_FUNCTION
        if code == _NO_FUNCTION:
            code = _asked(self._cold, job)
        if code == _NO_ANSWER:
            return code, f"no answer within {seconds:.0f} seconds"
        if code < 0:
            return 1, f"the process ended with {code}"
        said = output.read_text(encoding="utf-8", errors="replace").splitlines()
        failed = [line for line in said if line.startswith(("FAILED", "ERROR"))]
        return code, failed[0].split(" - ")[0] if failed else " ".join(said[-5:])

    def judge(self, mutant: Mutant, stages: Sequence[Sequence[str]], seconds: float) -> Outcome:
        """Whether any stage of tests notices the mutant; the file is as before afterwards."""
        path = self.root / mutant.file
        before = path.read_bytes()
        waiting = list(stages)
        while waiting:
            mutant.apply(self.root)
            try:
                code, said = self.run(waiting[0], seconds, mutant.file)
            finally:
                path.write_bytes(before)
            if code == _NO_ANSWER:
                return Outcome(mutant, "timed out", said)
            if code in _FAILED and self._tells(said, seconds):
                return Outcome(mutant, "killed", said)
            if code == 0:
                waiting.pop(0)
            elif code not in _FAILED:
                raise RuntimeError(f"{mutant}: pytest ended with {code}: {said}")
        return Outcome(mutant, "survived", "")

    def _tells(self, failed: str, seconds: float) -> bool:
        """Whether what failed holds on the unchanged tree; asked once per test.  One that does not is left out."""
        name = failed.removeprefix("FAILED ").removeprefix("ERROR ")
        if name != failed and name not in self._holding:
            code, _ = self.run([name], seconds)
            if code in (1, 2):  # any other: not found by the name that pytest printed, which a dash may have cut
                if name in self._failing:
                    raise RuntimeError(f"{name} fails on the unchanged tree, and cannot be left out")
                print(f"left out, for it fails on the unchanged tree: {name}", file=sys.stderr)
                self._failing.append(name)
                return False
            self._holding.add(name)
        return True


def _asked(server: subprocess.Popen[str], job: Mapping[str, object]) -> int:
    assert server.stdin is not None and server.stdout is not None
    server.stdin.write(json.dumps(job) + "\n")
    server.stdin.flush()
    return int(server.stdout.readline())


def stages_for(mutant: Mutant, *, quick: bool = False) -> list[list[str]]:
    """The groups of tests to ask, those of the file's own subject first; only the quick ones where `quick`."""
    first, wider = (next((tests for word, tests in by_word if word in mutant.file), ()) for by_word in (FIRST, WIDER))
    stages: list[list[str]] = []
    asked: set[str] = set()
    for group in ((*first, *QUICK), () if quick else wider):
        tests = [test for test in group if test not in asked]
        asked.update(tests)
        if tests:
            stages.append(tests)
    return stages


def run_all(
    mutants: Sequence[Mutant],
    *,
    workers: int = 1,
    seconds: float = 300.0,
    only: Mapping[Mutant, str] | None = None,
    quick: bool = False,
    holding: Iterable[str] = (),
) -> Iterator[Outcome]:
    """The outcome of every mutant as soon as it is there.  `only` names one test for each instead of the usual ones.

    A test that fails on the unchanged tree, too, is named and left out; RuntimeError where there is no other.  Those of
    `holding` are known to hold there.
    """
    asked = [[[only[mutant]]] if only else stages_for(mutant, quick=quick) for mutant in mutants]
    with tempfile.TemporaryDirectory(prefix="mutants-") as folder, ThreadPoolExecutor(workers) as pool:
        copies = [Copy(Path(folder) / str(number), holding) for number in range(workers)]
        free: SimpleQueue[Copy] = SimpleQueue()
        for copy in copies:
            free.put(copy)

        def judge(mutant: Mutant, stages: Sequence[Sequence[str]]) -> Outcome:
            copy = free.get()
            try:
                return copy.judge(mutant, stages, seconds)
            finally:
                free.put(copy)

        try:
            for done in as_completed([pool.submit(judge, *both) for both in zip(mutants, asked, strict=True)]):
                yield done.result()
        finally:
            for copy in copies:
                copy.close()
