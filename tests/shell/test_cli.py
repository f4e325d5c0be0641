"""The command line itself: help, complaints, and what happens when things go wrong below it."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

from auditor import __version__
from auditor.shell.cli import COMMANDS
from tests.shell.running import START, InProcess, environment

HEAVY = ("numpy", "pyarrow", "pandas", "jsonschema", "rich", "jinja2", "xlsxwriter")


def test_help_names_every_command(auditor: InProcess) -> None:
    ended = auditor("--help")
    assert ended.code == 0
    assert all(f"  {name:<10} {summary}" in ended.out.splitlines() for name, summary in COMMANDS.items())
    assert "does not approve a\ntire for a vehicle" in ended.out


def test_without_a_command_help_is_shown_and_the_code_is_2(auditor: InProcess) -> None:
    ended = auditor()
    assert ended.code == 2
    assert ended.out == auditor("--help").out


@pytest.mark.parametrize("name", ["", *COMMANDS])
def test_help_fits_80_columns(auditor: InProcess, name: str) -> None:
    ended = auditor(*([name] if name else []), "--help")
    assert ended.code == 0
    assert ended.out
    assert max(map(len, ended.out.splitlines())) <= 80


def test_version(auditor: InProcess) -> None:
    assert auditor("--version").out == f"auditor {__version__}\n"


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["adit"], "auditor: there is no command 'adit'; did you mean 'audit'?\n"),
        (
            ["listing", "--jsn"],
            "auditor listing: unknown option --jsn; did you mean --json? See `auditor listing --help`.\n",
        ),
        (["show"], "auditor show: the following arguments are required: DIR. See `auditor show --help`.\n"),
        (["schema", "verdikt"], "auditor: There is no schema 'verdikt'; did you mean 'verdict'?\n"),
        (
            ["book", "load-overstatet"],
            "auditor: There is no rule 'load-overstatet' in force; did you mean 'load-overstated'?\n",
        ),
        (["book", "--market", "EUR"], "auditor: --market EUR is none of US, EU, all; did you mean 'EU'?\n"),
        (
            ["listing", "--set", "max_lod_kg=1"],
            "auditor: There is no listing field 'max_lod_kg'; did you mean 'max_load_kg'?\n",
        ),
    ],
)
def test_wrong_usage_is_one_sentence_with_the_nearest_valid_choice(
    auditor: InProcess, words: list[str], said: str
) -> None:
    ended = auditor(*words)
    assert (ended.code, ended.out, ended.err) == (2, "", said)


def test_a_defect_of_ours_is_one_sentence_unless_asked_for(auditor: InProcess, monkeypatch: pytest.MonkeyPatch) -> None:
    def broken(folder: object) -> None:
        raise ZeroDivisionError("made for this test")

    monkeypatch.setattr("auditor.shell.commands.schema.schema_names", broken)
    ended = auditor("schema", "listing")
    assert ended.code == 2
    assert ended.err.startswith("auditor: internal error (TypeError: ")
    assert len(ended.err.splitlines()) == 1
    monkeypatch.setenv("AUDITOR_DEBUG", "1")
    assert "Traceback (most recent call last)" in auditor("schema", "listing").err


def test_a_reader_that_leaves_early_is_no_error(tmp_path: Path) -> None:
    script = f'"{sys.executable}" "$@" book | head -1'
    ended = subprocess.run(
        ["bash", "-c", script, "-", *START], env=environment(), cwd=tmp_path, capture_output=True, text=True, timeout=30
    )
    assert ended.stderr == ""
    assert ended.stdout.startswith("Rule book of ")


def test_text_that_the_terminal_cannot_show_is_escaped(tmp_path: Path) -> None:
    ended = subprocess.run(
        [sys.executable, *START, "decode", "225/65R17 102H"],
        env=environment(PYTHONIOENCODING="ascii"),
        cwd=tmp_path,
        capture_output=True,
        text=True,
        timeout=30,
    )
    assert (ended.returncode, ended.stderr) == (0, "")
    assert "\\u2570" in ended.stdout


@pytest.mark.parametrize(
    "words",
    [
        ["--help"],
        ["audit", "--help"],
        ["listing", "--set", "marking=225/65R17 102H", "--set", "max_load_kg=950", "--set", "title=225/65R17 102H"],
        ["decode", "225/65R17 102H"],
        ["schema", "listing"],
    ],
)
def test_quick_commands_load_no_heavy_library(words: list[str], tmp_path: Path) -> None:
    code = (
        "import sys; from auditor.shell.cli import main; main(sys.argv[1:]); "
        f"print(sorted(set({HEAVY!r}) & set(sys.modules)), file=sys.stderr)"
    )
    runs = [
        subprocess.run(
            [sys.executable, "-c", code, *words],
            env=environment(XDG_CACHE_HOME=str(tmp_path)),
            capture_output=True,
            text=True,
            timeout=30,
        )
        for _ in range(2)  # the first start checks and keeps the rule book, later ones only read it
    ]
    assert runs[1].stderr.strip() == "[]"
