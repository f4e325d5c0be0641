"""What the README shows of a run and of a call is what they say."""

from __future__ import annotations

import os
import re
import subprocess
import sys
from pathlib import Path

from auditor.marking import FAMILIES

CHECKOUT = Path(__file__).parents[1]
README = (CHECKOUT / "README.md").read_text(encoding="utf-8")


def blocks(kind: str) -> list[str]:
    """The README's blocks of one kind."""
    return re.findall(rf"^```{kind}\n(.*?)^```$", README, re.MULTILINE | re.DOTALL)


def test_the_run_over_the_sample_catalogs_says_what_is_shown(tmp_path: Path) -> None:
    environment = {**os.environ, "PYTHONPATH": str(CHECKOUT), "COLUMNS": "80"}
    command = [sys.executable, "-m", "auditor", "audit", str(CHECKOUT / "sample_catalogs"), "--out", "audit_output"]
    done = subprocess.run(command, cwd=tmp_path, env=environment, capture_output=True, text=True, check=False)
    assert done.returncode == 1, done.stderr
    (shown,) = blocks("text")
    assert done.stdout.rstrip() == shown.rstrip(), "put into README.md what the run says"
    named = set(re.findall(r"^\| (`[^|]+`) \|", README, re.MULTILINE))
    written = {path.name for path in (tmp_path / "audit_output").iterdir()}
    missing = [name for name in written if not any(f"`{name}" in cell for cell in named)]
    assert missing == [], "the README's table of outputs lacks them"


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
