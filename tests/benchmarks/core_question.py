"""The auditor held to its rivals' question: seven comparisons, one tolerance each, nothing else.

python -m tests.benchmarks.core_question FEED OUT.parquet [--threads N]
"""

from __future__ import annotations

import importlib.util
from pathlib import Path

from tests.benchmarks.rivals.common import task

POLICY = Path(__file__).with_name("core_question.toml")
RULES = (
    *("load-overstated", "load-understated", "speed-overstated", "speed-understated"),
    *("rim-mismatch", "width-mismatch", "aspect-mismatch"),
)


def run_auditor(feed: Path, out: Path, threads: int) -> None:
    """Runs the engine with only `RULES` on, under `POLICY`, and writes its raw hits as an answer.

    An answer holds `row` (0-based), `field`, `stated` (as written) and `expected` (double), sorted by row.
    """
    needs_engine()
    raise RuntimeError(f"the driver for {feed}, {out}, {threads} threads is not written for this engine yet")


def needs_engine() -> None:
    """Says in one sentence that there is nothing to measure, instead of failing somewhere deep."""
    if importlib.util.find_spec("auditor.engine") is None:
        raise RuntimeError("auditor.engine does not exist in this checkout: there is no auditor to measure")


if __name__ == "__main__":
    given = task()
    run_auditor(Path(given.feed), Path(given.out), given.threads)
