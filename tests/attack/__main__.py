"""`python -m tests.attack --minutes N [--seed S]`: hostile feeds, cells, maps and policies, and what must hold for all.

Batches are checked in a child process, so that one that ends it or never ends is a finding, too.  What is found is kept
in a folder; add the file to `tests/attack/found/` once it is understood, so that it stays mended.
"""

from __future__ import annotations

import argparse
import json
import subprocess
import sys
import tempfile
import time
from collections import Counter
from pathlib import Path

STUCK_SECONDS = 150.0


def main() -> int:
    parser = argparse.ArgumentParser(prog="python -m tests.attack", description=__doc__)
    parser.add_argument("--minutes", type=float, default=2.0)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--first", type=int, default=0, help="number of the first batch")
    parser.add_argument("--keep", type=Path, default=None, help="folder for inputs that break something")
    parser.add_argument("--child", action="store_true", help=argparse.SUPPRESS)
    given = parser.parse_args()
    keep = given.keep or Path(tempfile.mkdtemp(prefix="attack-found-"))
    keep.mkdir(parents=True, exist_ok=True)
    if given.child:
        return _child(given.seed, given.first, given.minutes * 60, keep)
    return _supervise(given.seed, given.first, given.minutes * 60, keep)


def _child(seed: int, first: int, seconds: float, keep: Path) -> int:
    """Checks batches and tells of each on a line."""
    from tests.attack.worker import FailureError, check_batch, warm_up

    warm_up()
    until = time.monotonic() + seconds
    number = first
    while time.monotonic() < until:  # the last batch may take some seconds more
        print(json.dumps({"batch": number}), flush=True)
        try:
            print(json.dumps({"counts": check_batch(seed, number)}), flush=True)
        except FailureError as failure:
            for name, content in failure.inputs.items():
                (keep / f"{seed}_{number}_{name}").write_bytes(content)
            print(json.dumps({"failure": str(failure), "batch": number, "inputs": list(failure.inputs)}), flush=True)
        number += 1
    return 0


def _supervise(seed: int, first: int, seconds: float, keep: Path) -> int:
    counts: Counter[str] = Counter()
    failures: list[str] = []
    until = time.monotonic() + seconds
    number = first
    while (left := until - time.monotonic()) > 0:
        words = ["--child", "--seed", str(seed), "--first", str(number), "--minutes", str(left / 60)]
        command = [sys.executable, "-m", "tests.attack", *words, "--keep", str(keep)]
        with tempfile.TemporaryFile("w+") as log:
            child = subprocess.Popen(command, stdout=log, stderr=subprocess.DEVNULL)
            stuck = _watch(child, log)
            log.seek(0)
            number = _take(log.read().splitlines(), counts, failures, number)
        if child.returncode == 0:
            break
        why = "never ended" if stuck else f"ended the process ({child.returncode})"
        failures.append(f"batch {number} {why}")
        number += 1
    tried = sum(counts[kind] for kind in ("feeds", "listings", "maps", "policies"))
    print(f"{tried:,} inputs tried from seed {seed}, batches {first} to {number}: {dict(sorted(counts.items()))}")
    for failure in failures:
        print(f"FAILED {failure}")
    print(f"{len(failures)} failures" + (f"; inputs are in {keep}" if failures else ""))
    return 1 if failures else 0


def _watch(child: subprocess.Popen[bytes], log: object) -> bool:
    """Waits for the child; kills it, and gives True, where it says nothing for too long."""
    name = log.fileno()  # type: ignore[attr-defined]
    size, since = -1, time.monotonic()
    while child.poll() is None:
        time.sleep(0.5)
        now = Path(f"/proc/self/fd/{name}").stat().st_size
        if now != size:
            size, since = now, time.monotonic()
        elif time.monotonic() - since > STUCK_SECONDS:
            child.kill()
            child.wait()
            return True
    return False


def _take(lines: list[str], counts: Counter[str], failures: list[str], number: int) -> int:
    """Adds up what a child told; the number of the last batch it began."""
    for line in lines:
        told = json.loads(line)
        number = told.get("batch", number)
        counts.update(told.get("counts", {}))
        if "failure" in told:
            failures.append(f"batch {number}: {told['failure']} {told['inputs'][:3]}")
    return number


if __name__ == "__main__":
    sys.exit(main())
