"""Listings as JSON lines, answered in order: for callers that cannot pay a start each time.

Every line gets exactly one answer: a verdict, or an error object for a line that is no listing.  A request's `id` is
passed through.  Lines that wait already are judged together, which costs a fraction of one after the other; a line
that comes alone is answered at once.  Nothing but the end of input, a signal, or a reader that went away ends it.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from io import BufferedIOBase
from math import isinf
from typing import Any, NamedTuple, TextIO

from auditor.errors import FieldError, UsageError
from auditor.programs.line_batches import MOST_BYTES, Line, chunks_of, line_batches
from auditor.programs.many import Cells, ManyListings
from auditor.programs.one_listing import audit_one
from auditor.programs.plain_json import compact_json, strict_json
from auditor.programs.request import REQUEST_ID, cells_of
from auditor.programs.verdict import verdict_of
from auditor.rulebook.book import RuleBook

NOT_AN_OBJECT = 'This is JSON but no object; a listing is a JSON object, such as {"marking": "225/65R17 102H"}.'
_ID_KINDS = (str, int, float, bool, type(None))


Answer = dict[str, Any]


def follow(lines: BufferedIOBase, answers: TextIO, book: RuleBook) -> int:
    """Answers every line until the input ends; returns the exit code: 1 where a listing was held or a line was bad."""
    code, answering = 0, Answering(book)
    for batch in line_batches(chunks_of(lines)):
        found = answering.lines(batch)
        answers.write(in_lines(found))
        answers.flush()
        code |= int(any(one.get("verdict") != "release" for one in found))
    return code


def in_lines(answers: Iterable[Answer]) -> str:
    """Answers as JSON lines."""
    return "".join(compact_json(answer) + "\n" for answer in answers)


class BadLine(NamedTuple):
    """Stands for a line that is no JSON, with its answer."""

    answer: Answer


def decoded(line: Line) -> object:
    """What a line holds; BadLine where that is no JSON."""
    if isinstance(line, type):
        return _bad(f"The line is longer than {MOST_BYTES:,} bytes; send one listing per line.")
    try:
        return strict_json.decode(line.decode("utf-8").lstrip("\ufeff"))
    except UnicodeDecodeError:
        return _bad("The line is not UTF-8; send JSON in UTF-8.")
    except RecursionError:
        return _bad("The line is nested too deeply; send one listing as a flat JSON object.")
    except ValueError as error:
        return _bad(f"The line is not JSON ({str(error).rstrip('.')}); send one listing as a JSON object per line.")


def _bad(message: str) -> BadLine:
    return BadLine(error_answer(message))


class _Asked(NamedTuple):
    """A request that is a listing: what is passed through, and its cells."""

    given: Answer
    cells: Cells


class Answering:
    """Answers requests under one rule book; never raises for what a request holds."""

    def __init__(self, book: RuleBook) -> None:
        self.book = book
        self._many = ManyListings(book)
        self._held = book.held_grades()

    def lines(self, lines: Sequence[Line]) -> list[Answer]:
        """The answers to some lines."""
        return self.requests(map(decoded, lines))

    def requests(self, requests: Iterable[object]) -> list[Answer]:
        """The answers to some requests that are decoded already, bad lines among them."""
        return self._answers([self._read(request) for request in requests])

    def _read(self, request: object) -> _Asked | Answer:
        if isinstance(request, BadLine):
            return request.answer
        if not isinstance(request, dict):
            return error_answer(NOT_AN_OBJECT)
        given: Answer = {}
        if REQUEST_ID in request:
            own = request[REQUEST_ID]
            if not isinstance(own, _ID_KINDS) or (isinstance(own, float) and (isinf(own) or own != own)):
                return error_answer("`id` should be a text, a number or null.", REQUEST_ID)
            given = {REQUEST_ID: own}
        try:
            return _Asked(given, cells_of(request, own=self.book.own.fields))
        except FieldError as error:
            return given | error_answer(str(error), error.field)
        except UsageError as error:
            return given | error_answer(str(error))

    def _answers(self, read: Sequence[_Asked | Answer]) -> list[Answer]:
        asked = [one for one in read if isinstance(one, _Asked)]
        try:
            outcomes = self._many([one.cells for one in asked])
        except Exception:  # one of them meets a defect of ours: the others must not suffer
            verdicts = iter([self._alone(one) for one in asked])
        else:
            verdicts = iter(
                [one.given | verdict_of(out, self._held).as_json() for one, out in zip(asked, outcomes, strict=True)]
            )
        return [next(verdicts) if isinstance(one, _Asked) else one for one in read]

    def _alone(self, asked: _Asked) -> Answer:
        try:
            return asked.given | verdict_of(audit_one(asked.cells, self.book), self._held).as_json()
        except Exception as error:  # a defect of ours must not end the stream for everyone behind this line
            what = " ".join(f"{type(error).__name__}: {error}".split())[:200]
            return asked.given | error_answer(f"Internal error ({what}); please report it with the listing.")


def error_answer(message: str, field: str | None = None) -> Answer:
    """An error object in the shape of the `verdict` schema."""
    return {"error": {"message": message, "field": field}}
