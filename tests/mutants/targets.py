"""What is mutated, and which tests ought to notice: the one place to change when files move."""

from __future__ import annotations

# Every pattern has to match something, so that a moved module is not left out in silence.
RULES = ("rules/*.toml", "rules/tables/*.csv")
CODE = (
    "auditor/trade/*.py",
    "auditor/quantities/*.py",
    "auditor/marking/*.py",
    "auditor/marking/families/*.py",
    "auditor/judging/*.py",
    "auditor/judging/checks/*.py",
    "auditor/judging/vocabulary/*.py",
)

LEFT_OUT = ("auditor/judging/keys.py",)  # the hash that names a finding: no number of it judges

# Shares of a random draw: the load index table alone has more numbers than all the code that judges.
SHARES = {"toml": 0.10, "csv": 0.15, "py": 0.75}

# Tests that are asked first for a file whose path holds the word; they fail soonest.
FIRST = (
    ("rules/tables", ("tests/reference", "tests/trade")),
    ("auditor/trade", ("tests/trade", "tests/reference")),
    ("auditor/marking", ("tests/edges/test_ladders.py::test_every_marking_is_read_as_pinned", "tests/marking")),
    ("auditor/quantities", ("tests/quantities",)),
    ("vocabulary", ("tests/judging/vocabulary",)),
)
# Then these, in this order, each group only where the one before it noticed nothing.
QUICK = ("tests/edges", "tests/rulebook/test_rule_examples.py")
WIDER = (
    "tests/reference",
    "tests/judging",
    "tests/trade",
    "tests/quantities",
    "tests/rulebook",
    "tests/columns/test_marking_rows.py",
    "tests/marking",
)
COPIED = ("auditor", "rules", "tests", "pyproject.toml", "README.md", "sample_catalogs")
