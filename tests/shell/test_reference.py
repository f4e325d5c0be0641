"""The rule reference in `rules/README.md` is what the rule files say."""

from __future__ import annotations

from tests.shell.running import HOUSE, InProcess


def test_the_reference_is_current(auditor: InProcess) -> None:
    ended = auditor("book", "--markdown")
    assert ended.code == 0
    kept = (HOUSE / "rules" / "README.md").read_text(encoding="utf-8")
    assert kept == ended.out, "run `auditor book --markdown > rules/README.md`"
