"""`auditor schema NAME`: the JSON Schemas that other programs may lean on."""

from __future__ import annotations

import argparse
import json

from auditor.errors import UsageError
from auditor.rulebook.built_in import published_schema, schema_names
from auditor.rulebook.files import nearest

EPILOG = "Schemas follow JSON Schema draft 2020-12. Without a name, the names are listed."


def arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("name", nargs="?", metavar="NAME", help="such as listing, verdict, summary or policy")


def run(options: argparse.Namespace) -> int:
    names = schema_names()
    if options.name is None:
        print("\n".join(names))
        return 0
    if options.name not in names:
        raise UsageError(f"There is no schema {options.name!r}; {nearest(options.name, names)}")
    print(json.dumps(published_schema(options.name), ensure_ascii=False, indent=1))
    return 0
