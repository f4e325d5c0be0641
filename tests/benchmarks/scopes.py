"""The auditor without its outputs, with more and more of its rules on.

python -m tests.benchmarks.scopes SCOPE FEED [--threads N]
"""

from __future__ import annotations

import argparse
from pathlib import Path

from tests.benchmarks.core_question import needs_engine

# What each scope adds to the one before, and the most it may cost.
SCOPES: dict[str, str] = {
    "within": "every rule that looks at one listing, texts left aside",
    "claims": "the same, with the claims in titles and descriptions",
    "cross": "the same, with the rules across listings",
}


def run_scope(scope: str, feed: Path, threads: int) -> int:
    """Audits a feed with the rules of a scope and returns the number of findings; writes nothing."""
    needs_engine()
    raise RuntimeError(f"the driver for {scope} on {feed}, {threads} threads is not written for this engine yet")


def main() -> None:
    """Audits one feed and prints the number of findings."""
    parser = argparse.ArgumentParser(prog="python -m tests.benchmarks.scopes", description=main.__doc__)
    parser.add_argument("scope", choices=tuple(SCOPES))
    parser.add_argument("feed", type=Path)
    parser.add_argument("--threads", type=int, default=2)
    given = parser.parse_args()
    print(run_scope(given.scope, given.feed, given.threads))


if __name__ == "__main__":
    main()
