"""What the README shows of a run and of a call is what they say."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from auditor.marking import FAMILIES
from auditor.shell.cli import main
from tests.readme import README as README_FILE
from tests.readme import sample_run
from tests.three_nights import three_nights

README = README_FILE.read_text(encoding="utf-8")


def blocks(kind: str) -> list[str]:
    """The README's blocks of one kind."""
    return re.findall(rf"^```{kind}\n(.*?)^```$", README, re.MULTILINE | re.DOTALL)


def test_the_run_over_the_sample_catalogs_says_what_is_shown(tmp_path: Path) -> None:
    said = sample_run(tmp_path)
    (shown,) = blocks("text")
    assert said == shown, "run python -m tests.readme"
    named = set(re.findall(r"^\| (`[^|]+`) \|", README, re.MULTILINE))
    written = {path.name for path in (tmp_path / "audit_output").iterdir()}
    missing = [name for name in written if not any(f"`{name}" in cell for cell in named)]
    assert missing == [], "the README's table of outputs lacks them"


def test_three_nights_of_the_sample_catalogs_say_what_is_shown(tmp_path: Path) -> None:
    (shown,) = blocks("txt")
    assert three_nights(tmp_path) == shown, "run python -m tests.readme"


def test_the_pair_of_markings_is_answered_as_shown(capsys: pytest.CaptureFixture[str]) -> None:
    (shown,) = blocks("console")
    asked, answer = shown.split("\n", 1)
    command = re.fullmatch(r'\$ auditor substitute "(.+)" "(.+)" \| head -(\d+)', asked)
    assert command is not None
    main(["substitute", *command.group(1, 2)])
    assert capsys.readouterr().out.splitlines()[: int(command[3])] == answer.splitlines()


def test_the_call_answers_as_the_comment_says() -> None:
    (code,) = blocks("python")
    *lines, last = code.strip().splitlines()
    call, comment = last.split("  # ")
    names: dict[str, object] = {}
    exec("\n".join(lines), names)
    assert repr(eval(call, names)) == comment


def test_the_families_are_all_named() -> None:
    (sentence,) = (line for line in README.splitlines() if line.startswith("Its `family` is one of"))
    assert set(re.findall(r"`([a-z-]+)`", sentence)) - {"family"} == set(FAMILIES)
