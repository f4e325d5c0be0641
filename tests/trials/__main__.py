"""`python -m tests.trials wild --file F`: what the auditor makes of what was written without a look at it."""

from __future__ import annotations

import argparse
import json
from pathlib import Path

from tests.trials import wild


def main() -> None:
    """Prints the figures of the trials asked for."""
    parser = argparse.ArgumentParser(prog="python -m tests.trials", description=__doc__)
    parser.add_argument("kind", choices=["wild"])
    parser.add_argument("--file", type=Path, action="append", required=True, help="trial files of one shape")
    parser.add_argument("--details", action="store_true", help="name every row that was not read right")
    options = parser.parse_args()
    rows = [json.loads(line) for path in options.file for line in path.read_text("utf-8").splitlines() if line.strip()]
    print(wild.report(wild.measure(rows), options.details))


main()
