"""Runs commands for tests: in process where output counts, in a process of its own where the process counts."""

from __future__ import annotations

import io
import os
import subprocess
import sys
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

import pytest

from auditor.shell.cli import main

HOUSE = Path(__file__).resolve().parents[2]
START = ("-c", "import sys; from auditor.shell.cli import main; sys.exit(main())")  # what the installed script does


@dataclass(frozen=True, slots=True)
class Ended:
    """How a command ended."""

    code: int
    out: str
    err: str


class InProcess:
    """Runs a command in this process, with standard input given as bytes."""

    def __init__(self, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> None:
        self._capsys = capsys
        self._monkeypatch = monkeypatch

    def __call__(self, *words: str, stdin: bytes | str = b"") -> Ended:
        data = stdin.encode() if isinstance(stdin, str) else stdin
        self._monkeypatch.setattr(sys, "stdin", io.TextIOWrapper(io.BytesIO(data), encoding="utf-8"))
        code = main(list(words))
        seen = self._capsys.readouterr()
        return Ended(code, seen.out, seen.err)


def start(words: Sequence[str], **options: object) -> subprocess.Popen[bytes]:
    """Starts a command in a process of its own."""
    settings = {"stdin": subprocess.PIPE, "stdout": subprocess.PIPE, "stderr": subprocess.PIPE, **options}
    return subprocess.Popen([sys.executable, *START, *words], env=environment(), **settings)  # type: ignore[call-overload, no-any-return]


def environment(**more: str) -> dict[str, str]:
    """The environment of this process with the checkout on Python's path."""
    return {**os.environ, "PYTHONPATH": str(HOUSE), **more}


def shell(script: str, cwd: Path, **more: str) -> Ended:
    """Runs a shell script in which the command `auditor` and `python` are those under test."""
    tools = cwd / "tools"
    tools.mkdir(exist_ok=True)
    for name, words in (("auditor", START), ("python", ()), ("python3", ())):
        tool = tools / name
        quoted = " ".join(f"'{word}'" for word in words)
        tool.write_text(f'#!/bin/sh\nexec "{sys.executable}" {quoted} "$@"\n', encoding="utf-8")
        tool.chmod(0o755)
    env = environment(PATH=f"{tools}{os.pathsep}{os.environ['PATH']}", **more)
    ended = subprocess.run(["bash", "-c", script], cwd=cwd, env=env, capture_output=True, text=True, timeout=60)
    return Ended(ended.returncode, ended.stdout, ended.stderr)
