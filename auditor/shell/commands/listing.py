"""`auditor listing`: one listing or a few, as JSON or as --set field=value; verdict and findings as text or JSON."""

from __future__ import annotations

import argparse
import json
import sys
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from io import BufferedIOBase
from itertools import chain
from pathlib import Path
from typing import Any, cast

from auditor.errors import UsageError
from auditor.programs.line_batches import chunks_of, line_batches
from auditor.programs.stream import Answering, decoded, follow, in_lines
from auditor.shell.book_options import add_book_options, book_from_options, say_loosened

EPILOG = """\
Input is one JSON object, an array of them, or one object per line. With --json,
an object gets an object, an array an array, and lines get lines. Exit code 0:
every listing released; 1: at least one held; 2: the input is wrong.

  auditor listing --set "marking=225/65R17 102H" --set max_load_kg=950
  auditor listing --json listing.json
  make_lines | auditor listing --follow
  auditor listing --check listings/*.json --sarif findings.sarif

`auditor schema listing` and `auditor schema verdict` print the two schemas."""


def arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("files", nargs="*", metavar="FILE", help="JSON; without it, standard input is read")
    parser.add_argument(
        "--set", action="append", default=[], metavar="FIELD=VALUE", help="state one field of a single listing"
    )
    parser.add_argument("--json", action="store_true", help="print JSON")
    parser.add_argument(
        "--follow", action="store_true", help="keep running: answer each line of JSON with a line of JSON"
    )
    parser.add_argument("--check", action="store_true", help="a gate: findings of files (JSON or any feed) by line")
    parser.add_argument("--sarif", metavar="OUT", type=Path, help="with --check: also write SARIF 2.1.0")
    parser.add_argument("--junit", metavar="OUT", type=Path, help="with --check: also write JUnit XML")
    parser.add_argument("--workers", metavar="N", type=int, help="with --follow: so many processes (default: 1)")
    add_book_options(parser)


def run(options: argparse.Namespace) -> int:
    _check_options(options)
    if options.check:
        # Start-up: a verdict needs nothing of a gate.
        from auditor.shell.gate_words import check

        book = book_from_options(options)
        say_loosened(book)
        return check(options, book)
    options.file = options.files[0] if options.files else None
    if options.follow:
        return _follow(options)
    book = book_from_options(options)
    say_loosened(book)
    answering = Answering(book)
    if options.set:
        return _say(options, "object", answering, [_from_pairs(options.set)])
    with _opened(options.file) as stream:
        head = _next_line(stream).lstrip(b"\r\n")
        first = _parsed(head)
        second = _next_line(stream) if isinstance(first, dict | list) else b""
        if isinstance(first, dict) and second:
            chunks = chain([head.removeprefix(b"\xef\xbb\xbf"), second], chunks_of(stream))
            return _answer_lines(options, answering, chunks)
        if isinstance(first, dict | list) and not second:
            form, requests = _whole(first)
        else:
            form, requests = read_requests(_text(head + second + stream.read(), options.file))
    return _say(options, form, answering, requests)


def _check_options(options: argparse.Namespace) -> None:
    if options.set and (options.files or options.follow):
        raise UsageError("--set states a whole listing; leave out FILE and --follow.")
    if options.workers is not None and (not options.follow or options.workers < 1):
        raise UsageError("--workers N takes 1 or more, and goes with --follow.")
    if options.check and (options.follow or options.set or not options.files):
        raise UsageError("--check takes one FILE or more, and neither --set nor --follow.")
    if (options.sarif or options.junit) and not options.check:
        raise UsageError("--sarif and --junit go with --check.")
    if len(options.files) > 1 and not options.check:
        raise UsageError(f"one FILE at a time, not {len(options.files)}; --check takes several.")


def _say(options: argparse.Namespace, form: str, answering: Answering, requests: Sequence[object]) -> int:
    answers = answering.requests(requests)
    if options.json:
        print_json(form, answers)
    else:
        _print_words(requests, answers)
    return exit_code(answers)


def _next_line(stream: BufferedIOBase) -> bytes:
    """The next line that holds anything, behind the blank ones before it; empty where none does."""
    read = b""
    while line := stream.readline():
        read += line
        if line.strip():
            return read
    return b""


def _parsed(line: bytes) -> object:
    """What a line holds by itself; None where that is no JSON."""
    try:
        return json.loads(line.decode("utf-8-sig"))
    except (ValueError, RecursionError):
        return None


def _answer_lines(options: argparse.Namespace, answering: Answering, chunks: Iterator[bytes]) -> int:
    """Answers line by line, as many at a time as are there: any number of them costs little memory."""
    code, said = 0, 0
    for batch in line_batches(chunks):
        requests = [decoded(line) for line in batch]
        answers = answering.requests(requests)
        if options.json:
            sys.stdout.write(in_lines(answers))
            sys.stdout.flush()
        else:
            _print_words(requests, answers, said)
        said += len(batch)
        code = max(code, exit_code(answers))
    return code


def _follow(options: argparse.Namespace) -> int:
    # Start-up: only a stream of listings is interrupted by signals.
    from auditor.shell.interrupts import Interrupted, raised_by_signals

    book = book_from_options(options)
    say_loosened(book)
    try:
        with raised_by_signals(), _opened(options.file) as lines:
            if options.workers in (None, 1):
                return follow(lines, sys.stdout, book)
            # Start-up: only many workers need processes.
            from auditor.programs.stream_workers import follow_with_workers

            return follow_with_workers(lines, sys.stdout, book, options.workers)
    except Interrupted as interrupted:
        sys.stdout.flush()
        return interrupted.exit_code


@contextmanager
def _opened(name: str | None) -> Iterator[BufferedIOBase]:
    """The input as bytes: standard input, or a file, which is closed behind it."""
    if name in (None, "-"):
        yield cast(BufferedIOBase, sys.stdin.buffer)
        return
    try:
        stream = Path(str(name)).open("rb")  # noqa: SIM115 - closed below; only the opening may fail
    except OSError as error:
        raise UsageError(f"{name} cannot be read ({(error.strerror or str(error)).lower()}).") from error
    with stream:
        yield cast(BufferedIOBase, stream)


def _print_words(requests: Sequence[object], answers: Sequence[dict[str, Any]], said: int = 0) -> None:
    """Verdicts on the output stream, requests that could not be audited on the error stream; `said` were before."""
    # Start-up: an answer in JSON needs no words.
    from auditor.shell.verdict_words import in_words

    texts = [in_words(request, found) for request, found in zip(requests, answers, strict=True) if "error" not in found]
    if texts:
        print(("\n" if said else "") + "\n\n".join(texts), flush=True)
    for number, found in enumerate(answers, start=said + 1):
        if "error" in found:
            which = f"listing {number}: " if said or len(answers) > 1 else ""
            print(f"auditor: {which}{found['error']['message']}", file=sys.stderr)


def exit_code(answers: Sequence[dict[str, Any]]) -> int:
    """2 where a request was wrong, else 1 where a listing is held, else 0."""
    if any("error" in found for found in answers):
        return 2
    return 1 if any(found["verdict"] == "hold" for found in answers) else 0


def print_json(form: str, answers: list[dict[str, Any]]) -> None:
    """Answers in the form the question had."""
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
    return _whole(whole)


def _whole(value: object) -> tuple[str, list[object]]:
    return ("array", value) if isinstance(value, list) else ("object", [value])


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


def _text(data: bytes, name: str | None) -> str:
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
