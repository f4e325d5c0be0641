"""`auditor schema NAME`: the JSON Schemas that other programs may lean on."""

from __future__ import annotations

import argparse
import sys

from auditor.errors import UsageError
from auditor.rules_folder import rules_folder

EPILOG = "Schemas follow JSON Schema draft 2020-12. Without a name, the names are listed."


def arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("name", nargs="?", metavar="NAME", help="such as listing, verdict, summary or policy")


def run(options: argparse.Namespace) -> int:
    folder = rules_folder() / "schemas"
    names = sorted(path.stem for path in folder.glob("*.json"))
    if options.name is None:
        print("\n".join(names))
        return 0
    if options.name not in names:
        # Start-up: only a slip of the pen needs the nearest name.
        from auditor.rulebook.files import nearest

        raise UsageError(f"There is no schema {options.name!r}; {nearest(options.name, names)}")
    sys.stdout.write((folder / f"{options.name}.json").read_text(encoding="utf-8"))
    return 0
