"""What is mutated, and which tests ought to notice: the one place to change when files move."""

from __future__ import annotations

# Every pattern has to match something, so that a moved module is not left out in silence.
RULES = ("rules/*.toml", "rules/tables/*.csv")
CODE = (
    "auditor/compare.py",
    "auditor/rule_terms.py",
    "auditor/unit_rules.py",
    "auditor/odd_unit.py",
    "auditor/culprit.py",
    "auditor/causes.py",
    "auditor/statements.py",
    "auditor/derive.py",
    "auditor/facts.py",
    "auditor/field_units.py",
    "auditor/tables.py",
    "auditor/checks/*.py",
    "auditor/quantities/*.py",
    "auditor/marking/*.py",
    "auditor/marking/families/*.py",
)

# Shares of a random draw: the load index table alone has more numbers than all the code that judges.
SHARES = {"toml": 0.10, "csv": 0.15, "py": 0.75}

# Tests that are asked first for a file whose path holds the word; they fail soonest.
FIRST = (
    ("marking", ("tests/reference/test_markings.py", "tests/marking")),
    ("quantities", ("tests/test_quantities.py", "tests/edges")),
    ("derive", ("tests/test_derive.py", "tests/reference")),
    ("tables", ("tests/reference", "tests/test_tables.py")),
)
# Then these, in this order, each group only where the one before it noticed nothing.
QUICK = ("tests/edges", "tests/test_rule_examples.py")
WIDER = (
    "tests/reference",
    "tests/checks",
    "tests/vocabulary",
    "tests/test_derive.py",
    "tests/test_quantities.py",
    "tests/test_tables.py",
    "tests/test_field_units.py",
    "tests/test_policy.py",
    "tests/test_explain.py",
    "tests/test_rule_files.py",
    "tests/test_same_verdict.py",
    "tests/test_marking_rows.py",
    "tests/marking",
)
COPIED = ("auditor", "rules", "tests", "pyproject.toml", "README.md", "sample_catalogs")
