"""`auditor listing --check`: findings with file and line, and the files that other programs read."""

from __future__ import annotations

import argparse
import json
import sys
from pathlib import Path

from auditor.errors import OutputError
from auditor.programs.gate.checking import Checked, check_file
from auditor.programs.gate.junit import junit
from auditor.programs.gate.sarif import sarif
from auditor.programs.stream import Answering
from auditor.rulebook.book import RuleBook
from auditor.shell.verdict_words import one_line


def check(options: argparse.Namespace, book: RuleBook) -> int:
    """Checks the files and says what is wrong; 2 where something could not be read, else 1 where a listing is held."""
    answering = Answering(book)
    checked = [one for name in options.files for one in check_file(name, book, answering)]
    if options.json:
        for one in checked:
            print(json.dumps(_plain(one), ensure_ascii=False))
    else:
        for one in checked:
            for line in _lines(one):
                print(line)
    if options.sarif is not None:
        _write(options.sarif, sarif(checked, book))
    if options.junit is not None:
        _write(options.junit, junit(checked))
    verdicts = {one.verdict for one in checked}
    if not options.json:
        _say_counts(checked, len(options.files))
    return 2 if "unreadable" in verdicts else 1 if "hold" in verdicts else 0


def _lines(one: Checked) -> list[str]:
    place = f"{one.file}:{one.line}: "
    if one.verdict == "unreadable":
        return [f"{place}unreadable: {one_line(one.wrong)}"]
    whose = f" of {one_line(one.name)}" if one.name else ""
    return [
        f"{place}{found['grade']} {found['rule']} in {found['field']}{whose}: {one_line(found['message'])}"
        for found in one.findings
    ]


def _plain(one: Checked) -> dict[str, object]:
    said: dict[str, object] = {"file": one.file, "line": one.line, "name": one.name, "verdict": one.verdict}
    return said | ({"wrong": one.wrong} if one.wrong else {"findings": list(one.findings)})


def _say_counts(checked: list[Checked], files: int) -> None:
    held = sum(one.verdict == "hold" for one in checked)
    unread = sum(one.verdict == "unreadable" for one in checked)
    places = f"; {unread} could not be read" if unread else ""
    print(f"auditor: {files} file{'s' * (files != 1)}, {held} to hold{places}.", file=sys.stderr)


def _write(path: Path, text: str) -> None:
    try:
        path.write_text(text, encoding="utf-8")
    except OSError as error:
        raise OutputError(f"{path} could not be written ({(error.strerror or str(error)).lower()}).") from error
