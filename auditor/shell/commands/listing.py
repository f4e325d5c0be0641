"""`auditor listing`: one listing or a few, as JSON or as --set field=value; verdict and findings as text or JSON."""

from __future__ import annotations

import argparse
import json
import sys
from pathlib import Path
from typing import Any, BinaryIO

from auditor.errors import UsageError
from auditor.programs.stream import answer_request, follow
from auditor.rulebook.book import RuleBook
from auditor.shell.book_options import add_book_options, book_from_options, say_loosened

EPILOG = """\
Input is one JSON object, an array of them, or one object per line. With --json,
an object gets an object, an array an array, and lines get lines. Exit code 0:
every listing released; 1: at least one held; 2: the input is wrong.

  auditor listing --set "marking=225/65R17 102H" --set max_load_kg=950
  auditor listing --json listing.json
  make_lines | auditor listing --follow

`auditor schema listing` and `auditor schema verdict` print the two schemas."""


def arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("file", nargs="?", metavar="FILE", help="JSON; without it, standard input is read")
    parser.add_argument(
        "--set", action="append", default=[], metavar="FIELD=VALUE", help="state one field of a single listing"
    )
    parser.add_argument("--json", action="store_true", help="print JSON")
    parser.add_argument(
        "--follow", action="store_true", help="keep running: answer each line of JSON with a line of JSON"
    )
    add_book_options(parser)


def run(options: argparse.Namespace) -> int:
    if options.set and (options.file or options.follow):
        raise UsageError("--set states a whole listing; leave out FILE and --follow.")
    if options.follow:
        return _follow(options)
    form, requests = (
        read_requests(_read(options.file)) if not options.set else ("object", list[object]([_from_pairs(options.set)]))
    )
    book = book_from_options(options)
    say_loosened(book)
    answers = [answer_request(request, book) for request in requests]
    if options.json:
        print_json(form, answers)
    else:
        _print_words(requests, answers)
    return exit_code(answers)


def _follow(options: argparse.Namespace) -> int:
    # Start-up: only a stream of listings is interrupted by signals.
    from auditor.shell.interrupts import Interrupted, raised_by_signals

    book = book_from_options(options)
    say_loosened(book)
    try:
        with raised_by_signals():
            return _follow_lines(options.file, book)
    except Interrupted as interrupted:
        sys.stdout.flush()
        return interrupted.exit_code


def _follow_lines(name: str | None, book: RuleBook) -> int:
    if name is None:
        return follow(sys.stdin.buffer, sys.stdout, book)
    try:
        lines: BinaryIO = Path(name).open("rb")  # noqa: SIM115 - closed below; only the opening may fail
    except OSError as error:
        raise UsageError(f"{name} cannot be read ({(error.strerror or str(error)).lower()}).") from error
    with lines:
        return follow(lines, sys.stdout, book)


def _print_words(requests: list[object], answers: list[dict[str, Any]]) -> None:
    """Verdicts on the output stream, requests that could not be audited on the error stream."""
    # Start-up: an answer in JSON needs no words.
    from auditor.shell.verdict_words import in_words

    texts = [in_words(request, found) for request, found in zip(requests, answers, strict=True) if "error" not in found]
    if texts:
        print("\n\n".join(texts), flush=True)
    for number, found in enumerate(answers, start=1):
        if "error" in found:
            which = f"listing {number}: " if len(answers) > 1 else ""
            print(f"auditor: {which}{found['error']['message']}", file=sys.stderr)


def exit_code(answers: list[dict[str, Any]]) -> int:
    """2 where a request was wrong, else 1 where a listing is held, else 0."""
    if any("error" in found for found in answers):
        return 2
    return 1 if any(found["verdict"] == "hold" for found in answers) else 0


def print_json(form: str, answers: list[dict[str, Any]]) -> None:
    """Answers in the form the question had."""
    if form == "lines":
        for found in answers:
            print(json.dumps(found, ensure_ascii=False))
    else:
        print(json.dumps(answers[0] if form == "object" else answers, ensure_ascii=False, indent=1))


def read_requests(text: str) -> tuple[str, list[object]]:
    """The form of the input (object, array or lines) and its requests.  Raises UsageError where it is no JSON."""
    if not text.strip():
        raise UsageError("There is no listing: standard input or the file is empty; expected a JSON object.")
    try:
        whole = json.loads(text)
    except RecursionError:
        raise UsageError("The JSON is nested too deeply; a listing is a flat object.") from None
    except ValueError as error:
        return "lines", _lines(text, error)
    return ("array", whole) if isinstance(whole, list) else ("object", [whole])


def _lines(text: str, first: ValueError) -> list[object]:
    requests: list[object] = []
    for number, line in enumerate(text.split("\n"), start=1):
        if not line.strip():
            continue
        try:
            requests.append(json.loads(line))
        except ValueError as error:
            if number == 1 or not requests:
                raise UsageError(f"The input is not JSON ({first}); expected a listing as a JSON object.") from None
            raise UsageError(f"Line {number} is not JSON ({error}); expected one JSON object per line.") from None
    return requests


def _read(name: str | None) -> str:
    try:
        data = sys.stdin.buffer.read() if name in (None, "-") else Path(str(name)).read_bytes()
    except OSError as error:
        raise UsageError(f"{name} cannot be read ({(error.strerror or str(error)).lower()}).") from error
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise UsageError(
            f"{name or 'Standard input'} is not UTF-8 (byte {error.start + 1}); give JSON in UTF-8."
        ) from error


def _from_pairs(pairs: list[str]) -> dict[str, str]:
    listing: dict[str, str] = {}
    for pair in pairs:
        name, equals, value = pair.partition("=")
        name = name.strip()
        if not equals:
            raise UsageError(f"--set {pair!r} should be FIELD=VALUE, such as max_load_kg=850.")
        if name in listing:
            raise UsageError(f"--set {name} stands twice; state a field once.")
        listing[name] = value
    return listing
