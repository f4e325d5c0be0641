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
    "auditor/judging/block/*.py",
    "auditor/judging/checks/*.py",
    "auditor/judging/single/*.py",
    "auditor/judging/vocabulary/*.py",
)

LEFT_OUT = ("auditor/judging/keys.py",)  # the hash that names a finding: no number of it judges

# Shares of a random draw: the load index table alone has more numbers than all the code that judges.
SHARES = {"toml": 0.10, "csv": 0.15, "py": 0.75}

_READ = "tests/edges/test_ladders.py::test_every_rung_is_read_as_pinned"
_FEED = "tests/edges/test_ladders.py::test_a_feed_of_every_rung_is_answered_as_pinned"
_CALL = "tests/edges/test_ladders.py::test_the_call_answers_alike_where_an_answer_begins_and_ends"

# Tests that are asked first for a file whose path holds the word; they fail soonest.
FIRST = (
    ("rules/tables", ("tests/reference", "tests/trade")),
    ("auditor/trade", ("tests/trade", f"{_FEED}[markings]")),
    ("auditor/marking", (f"{_READ}[decodes]",)),
    ("auditor/quantities", (f"{_READ}[cells]", "tests/quantities")),
    ("vocabulary", ("tests/judging/vocabulary",)),
    ("single", (_CALL,)),
)
# Then these, in this order; the wider ones only where none of the quick ones noticed anything.
QUICK = ("tests/edges/test_edges.py", _FEED, _READ, _CALL)
WIDER = (
    "tests/rulebook",
    "tests/reference",
    "tests/judging",
    "tests/trade",
    "tests/quantities",
    "tests/columns",
    "tests/marking",
)
COPIED = ("auditor", "rules", "tests", "pyproject.toml", "README.md", "sample_catalogs")
