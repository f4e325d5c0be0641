"""What `pyproject.toml` declares is what the program imports: no more, no less."""

from __future__ import annotations

import ast
import re
import subprocess
import sys
import tomllib
from functools import cache
from importlib.metadata import metadata, packages_distributions
from pathlib import Path

HOUSE = Path(__file__).parents[1]
PROJECT = tomllib.loads((HOUSE / "pyproject.toml").read_text(encoding="utf-8"))["project"]
EXTRAS = (
    "frames",
    "database",
    "ledger",
    "remote",
    "cluster",
    "service",
)  # of users; the others are for working on the program
LOADED_BY_CALLERS = {"pandas"}  # whoever hands over a frame has loaded its library; the program asks for it by name
AT_BUILD = {"setuptools"}


@cache
def imported(folder: str) -> frozenset[str]:
    """The distributions whose modules are imported anywhere below a folder."""
    names = set()
    for path in (HOUSE / folder).rglob("*.py"):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Import):
                names |= {alias.name.partition(".")[0] for alias in node.names}
            elif isinstance(node, ast.ImportFrom) and node.module:
                names.add(node.module.partition(".")[0])
    found = packages_distributions()
    outside = names - set(sys.stdlib_module_names) - {"auditor", "tests", "rules"}
    return frozenset(_plain(distribution) for name in outside for distribution in found.get(name, [name]))


def _plain(requirement: str) -> str:
    """`python-calamine>=0.3` -> `python-calamine`."""
    return re.split(r"[<>=\[;~! ]", requirement)[0].lower().replace("_", "-")


def declared(*extras: str) -> set[str]:
    """The distributions of some extras; without any, those that every installation has."""
    lists = [PROJECT["optional-dependencies"][name] for name in extras] or [PROJECT["dependencies"]]
    return {_plain(line) for lines in lists for line in lines}


def test_every_library_that_the_program_imports_is_declared() -> None:
    assert imported("auditor") - declared() - declared(*EXTRAS) - AT_BUILD == set()


def test_none_is_declared_that_the_program_does_not_import() -> None:
    assert (declared() | declared(*EXTRAS)) - imported("auditor") - LOADED_BY_CALLERS == set()


def test_what_the_tests_import_comes_with_their_extra() -> None:
    assert imported("tests") - declared() - declared("test") - declared("bench") - AT_BUILD == set()


def test_no_audit_of_arrow_tables_needs_pandas() -> None:
    """As in an installation without it; pyarrow itself asks for pandas and goes on where there is none."""
    code = (
        "import sys\nfrom auditor.engine.process_memory import _NoPandas\nsys.meta_path.insert(0, _NoPandas())\n"
        "import auditor, pyarrow as pa\n"
        "done = auditor.audit(pa.table({'marking': ['225/65R17 102H'], 'max_load_kg': ['950']}))\n"
        "print(done.findings['rule'].to_pylist(), type(done.held).__name__)\n"
        "try:\n    auditor.audit(3)\nexcept auditor.UsageError as error:\n    print(error)\n"
        "print('pandas' in sys.modules)\n"
    )
    ended = subprocess.run([sys.executable, "-c", code], cwd=HOUSE, capture_output=True, text=True, check=True)
    assert ended.stdout.splitlines() == [
        "['load-overstated'] Table",
        "audit() takes a table (pandas, Polars, DuckDB, Arrow) or the paths of feed files, not a int; "
        "for one listing or a few there are audit_listing() and audit_listings().",
        "False",
    ]


def test_the_libraries_are_listed_with_the_licenses_that_they_state() -> None:
    text = (
        (HOUSE / "DEVELOPERS.md").read_text(encoding="utf-8").partition("## What it stands on")[2].partition("\n## ")[0]
    )
    rows = dict(re.findall(r"^\| ([a-z][a-z0-9-]+) \| ([^|]+) \| [^|]+ \|$", text, re.MULTILINE))
    rows.pop("library")
    assert set(rows) == declared() | declared(*EXTRAS)
    for library, license in rows.items():
        stated = metadata(library)
        classifiers = [line for line in stated.get_all("Classifier") or [] if line.startswith("License ::")]
        said = " ".join([stated.get("License-Expression") or "", (stated.get("License") or "")[:60], *classifiers])
        assert license.partition("-")[0] in said, (library, said)
