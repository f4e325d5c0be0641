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

_LADDERS = "tests/edges/test_ladders.py"
_READ = f"{_LADDERS}::test_every_rung_is_read_as_pinned"
_FEED = f"{_LADDERS}::test_a_feed_of_every_rung_is_answered_as_pinned"
_CALL = f"{_LADDERS}::test_the_call_answers_alike_where_an_answer_begins_and_ends"
_WITNESSES = f"{_READ}[witnesses]"


def _in_feeds(*rooms: str) -> tuple[str, ...]:
    return tuple(f"{_FEED}[{room}]" for room in rooms)


_SHORT_READ = tuple(f"{_READ}[{room}]" for room in ("short_way", "services", "found", "refused"))
_MARKINGS = (*_SHORT_READ, f"{_READ}[decodes]")

# Tests that are asked first for a file whose path holds the word; they fail soonest.
FIRST: tuple[tuple[str, tuple[str, ...]], ...] = (
    ("rules/tables", ("tests/reference", "tests/trade")),
    ("rules/pressure", (_WITNESSES, *_in_feeds("pressures"), "tests/trade")),
    ("rules/texts", (_WITNESSES, *_in_feeds("loads"))),
    ("rules/", (_WITNESSES, *_in_feeds("labels", "codes"))),
    ("auditor/trade", ("tests/trade", f"{_READ}[short_way]", f"{_READ}[decodes]")),
    ("auditor/marking", _MARKINGS),
    ("auditor/quantities", (f"{_READ}[cells]", "tests/quantities")),
    ("vocabulary", ("tests/judging/vocabulary", _WITNESSES)),
    ("demands", ("tests/judging/test_own_rules.py",)),
    ("single/hits", ("tests/judging/test_own_rules.py", _WITNESSES)),
    ("single/", (_WITNESSES, *(f"{_CALL}[{room}]" for room in ("rim_widths", "codes", "labels", "governs", "votes")))),
    ("block/", ("tests/judging/block", *_in_feeds("labels", "codes", "governs", "votes"))),
    ("checks/labels", _in_feeds("labels")),
    ("checks/seasons", _in_feeds("labels")),
    ("checks/gradings", _in_feeds("codes", "labels")),
    ("checks/sizes", (_WITNESSES, *_in_feeds("rim_widths", "sizes"))),
    ("checks/loads", (_WITNESSES, *_in_feeds("codes", "loads"))),
    ("votes", _in_feeds("votes", "governs")),
    ("governing", _in_feeds("governs", "votes")),
    ("auditor/judging", (_WITNESSES, *_in_feeds("rim_widths", "labels", "codes"))),
)
# Then these, in this order: the quick ones of every file, the quickest of them first.
QUICK = (
    _WITNESSES,
    *_in_feeds("rim_widths", "labels", "codes", "governs", "votes", "speeds", "units"),
    "tests/edges/test_edges.py",
    *_in_feeds("sizes", "loads", "pressures"),
    *_SHORT_READ,
    f"{_READ}[cells]",
    *_in_feeds("markings"),
    f"{_READ}[decodes]",
    _CALL,
)
# The wider ones, only where none of the quick ones noticed anything: those that have to do with the file.
WIDER: tuple[tuple[str, tuple[str, ...]], ...] = (
    ("rules/", ("tests/rulebook", "tests/reference", "tests/trade", "tests/judging", "tests/quantities")),
    ("auditor/trade", ("tests/trade", "tests/reference", "tests/substitution", "tests/marking", "tests/rulebook")),
    ("auditor/quantities", ("tests/quantities", "tests/columns", "tests/rulebook")),
    ("auditor/marking", ("tests/marking", "tests/rulebook")),
    ("auditor/judging", ("tests/rulebook", "tests/judging")),
)
COPIED = ("auditor", "rules", "tests", "pyproject.toml", "README.md", "sample_catalogs")
