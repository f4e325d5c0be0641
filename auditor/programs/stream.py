"""Listings as JSON lines, answered one by one: for callers that cannot pay a start each time.

Every line gets exactly one answer, in order: a verdict, or an error object for a line that is no listing.  A request's
`id` is passed through.  Nothing but the end of input, a signal, or a reader that went away ends the stream.
"""

from __future__ import annotations

import json
from typing import Any, BinaryIO, TextIO

from auditor.errors import FieldError, UsageError
from auditor.programs.one_listing import audit_one
from auditor.programs.request import REQUEST_ID, cells_of
from auditor.programs.verdict import verdict_of
from auditor.rulebook.book import RuleBook

MOST_BYTES = 4_000_000  # of one line; a longer one is answered with an error and read past

NOT_AN_OBJECT = 'This is JSON but no object; a listing is a JSON object, such as {"marking": "225/65R17 102H"}.'

_encode = json.JSONEncoder(ensure_ascii=False, separators=(",", ":")).encode
_decode = json.JSONDecoder().decode
_ID_KINDS = (str, int, float, bool, type(None))


def follow(lines: BinaryIO, answers: TextIO, book: RuleBook) -> int:
    """Answers every line until the input ends; returns the exit code: 1 where a listing was held or a line was bad."""
    code = 0
    while line := lines.readline(MOST_BYTES + 1):
        if len(line) > MOST_BYTES and not line.endswith(b"\n"):
            while (rest := lines.readline(MOST_BYTES)) and not rest.endswith(b"\n"):
                pass
            answer = error_answer(f"The line is longer than {MOST_BYTES:,} bytes; send one listing per line.")
        elif not line.strip():
            continue
        else:
            answer = answer_line(line, book)
        answers.write(_encode(answer) + "\n")
        answers.flush()
        if answer.get("verdict") != "release":
            code = 1
    return code


def answer_line(line: bytes | str, book: RuleBook) -> dict[str, Any]:
    """The answer to one line; never raises for what the line holds."""
    try:
        text = line if isinstance(line, str) else line.decode("utf-8")
        request = _decode(text.lstrip("\ufeff"))
    except UnicodeDecodeError:
        return error_answer("The line is not UTF-8; send JSON in UTF-8.")
    except RecursionError:
        return error_answer("The line is nested too deeply; send one listing as a flat JSON object.")
    except ValueError as error:
        return error_answer(
            f"The line is not JSON ({str(error).rstrip('.')}); send one listing as a JSON object per line."
        )
    return answer_request(request, book)


def answer_request(request: object, book: RuleBook) -> dict[str, Any]:
    """The answer to one request: a verdict or an error object, with the request's `id` where it has one."""
    if not isinstance(request, dict):
        return error_answer(NOT_AN_OBJECT)
    given: dict[str, Any] = {}
    if REQUEST_ID in request:
        if not isinstance(request[REQUEST_ID], _ID_KINDS):
            return error_answer("`id` should be a text, a number or null.", REQUEST_ID)
        given = {REQUEST_ID: request[REQUEST_ID]}
    try:
        verdict = verdict_of(audit_one(cells_of(request, own=book.own.fields), book), book.held_grades())
    except FieldError as error:
        return given | error_answer(str(error), error.field)
    except UsageError as error:
        return given | error_answer(str(error))
    except Exception as error:  # a defect of ours must not end the stream for everyone behind this line
        what = " ".join(f"{type(error).__name__}: {error}".split())[:200]
        return given | error_answer(f"Internal error ({what}); please report it with the listing.")
    return given | verdict.as_json()


def error_answer(message: str, field: str | None = None) -> dict[str, Any]:
    """An error object in the shape of the `verdict` schema."""
    return {"error": {"message": message, "field": field}}
