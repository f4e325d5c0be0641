"""JSON values with the lines on which they begin."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from typing import NamedTuple

from auditor.programs.plain_json import strict_json


class Placed(NamedTuple):
    """A value of a file, or what is wrong with it; `line` is where it begins, from 1."""

    line: int
    value: object
    wrong: str = ""


_SPACE = re.compile(r"[ \t\r\n]*")


def placed_values(text: str) -> Iterator[Placed]:
    """The listings of a JSON text: an object, the members of an array, or one value after the other (JSON lines).

    A line of JSON lines that is no JSON is named, and the next one is read; where an array breaks, its rest is lost.
    """
    lines = _Lines(text)
    at = _skip(text, 0)
    if text.startswith("[", at):
        yield from _members(text, at + 1, lines)
        return
    while at < len(text):
        line = lines.of(at)
        try:
            value, at = strict_json.raw_decode(text, at)
            yield Placed(line, value)
        except RecursionError:
            yield Placed(line, None, "nested too deeply; a listing is a flat object")
            return
        except ValueError as error:
            yield Placed(line, None, _reason(error))
            at = text.find("\n", at)
            if at < 0:
                return
        at = _skip(text, at)


def _members(text: str, at: int, lines: _Lines) -> Iterator[Placed]:
    at = _skip(text, at)
    while at < len(text) and text[at] != "]":
        line = lines.of(at)
        try:
            value, at = strict_json.raw_decode(text, at)
        except (ValueError, RecursionError) as error:
            yield Placed(line, None, _reason(error))
            return
        yield Placed(line, value)
        at = _skip(text, at)
        if text.startswith(",", at):
            at = _skip(text, at + 1)
        elif not text.startswith("]", at):
            yield Placed(lines.of(min(at, len(text) - 1)), None, "the array breaks off here: expected , or ]")
            return
    rest = _skip(text, at + 1)
    if at >= len(text):
        yield Placed(lines.of(len(text) - 1), None, "the array has no end: expected ]")
    elif rest < len(text):
        yield Placed(lines.of(rest), None, "text behind the end of the array")


def _reason(error: Exception) -> str:
    if isinstance(error, json.JSONDecodeError):
        return f"not JSON ({error.msg.rstrip('.')}: column {error.colno})"
    return "not JSON (" + (str(error).rstrip(".") if isinstance(error, ValueError) else "nested too deeply") + ")"


def _skip(text: str, at: int) -> int:
    found = _SPACE.match(text, at)
    assert found is not None
    return found.end()


class _Lines:
    """Line numbers of rising positions, each part of the text counted once."""

    def __init__(self, text: str) -> None:
        self._text, self._at, self._line = text, 0, 1

    def of(self, at: int) -> int:
        self._line += self._text.count("\n", self._at, at)
        self._at = max(at, self._at)
        return self._line
