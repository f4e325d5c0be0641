"""`auditor show DIR`: looks into a finished audit without opening anything else."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path

from auditor.errors import UsageError

EPILOG = """\
Repeated mistakes lead, findings follow, worst first. Case does not count;
--supplier may be part of the name."""


def arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("folder", metavar="DIR", type=Path, help="the folder given to `auditor audit --out`")
    parser.add_argument("--supplier", metavar="NAME", help="only this supplier's listings")
    parser.add_argument("--rule", metavar="RULE", help="only findings of this rule")
    parser.add_argument("--grade", metavar="GRADE", help="critical, major or minor")
    parser.add_argument("--sku", metavar="SKU", help="only this listing")
    parser.add_argument("--json", action="store_true", help="one JSON object, for programs")
    parser.add_argument(
        "--limit", metavar="N", type=int, default=20, help="at most N repeated mistakes and N findings (20)"
    )


def run(options: argparse.Namespace) -> int:
    # Start-up: `auditor show --help` must not load the array libraries.
    from auditor.shell.show import FindingsAsked, show, show_json

    if options.limit < 0:
        raise UsageError(f"--limit {options.limit} should be 0 or more.")
    asked = FindingsAsked(options.supplier, options.rule, options.grade, options.sku, options.limit)
    if options.json:
        sys.stdout.write(show_json(options.folder, asked))
        return 0
    sys.stdout.write(show(options.folder, asked, color=sys.stdout.isatty()))
    return 0
