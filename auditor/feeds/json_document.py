"""Turns one JSON document into one object per line, keeping each object's own text."""

from __future__ import annotations

import codecs
import json
import re
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from auditor.errors import FeedError
from auditor.feeds.spool import spool_path

_CHUNK = 1 << 20
_BLANK = re.compile(r"[ \t\r\n]*")
_LINE_BREAK = re.compile(r"[\r\n]+")
_OUTER_LIMIT = 16 << 20  # how much may stand before the list of objects, and behind it
_TAIL_SHOWN = 8000
_OBJECT_LIST = re.compile(r"\[\s*\{")
_NEXT_OBJECT = re.compile(r"\}\s*,?\s*(?=\{)")
_NEXT_LINE = re.compile(r"[ \t]*\r?\n\s*\{")
_MOST_TRIES = 200  # places at which reading may go on behind a damaged object
_SURE = 64  # characters behind a fault that show that it is none of the window's end


@dataclass(frozen=True, slots=True)
class Lines:
    """The spooled objects, how many they are, and what stood around their list.

    Where `fault` says that something else stands in the file, the last of them holds it, and is no object.
    """

    path: Path
    objects: int
    before: str
    after: str
    fault: str | None


def is_document(head: bytes) -> bool:
    """Whether a JSON text is one document (a list, or an object around a list), not one object per line."""
    text = head.decode("utf-8-sig", "replace").lstrip()
    if text.startswith("["):
        return True
    if not text.startswith("{"):
        return False
    try:
        _, end = json.JSONDecoder().raw_decode(text)
    except (ValueError, RecursionError):
        first = text.split("\n", 1)[0].strip()
        return not first.endswith("}")
    return not _NEXT_LINE.match(text, end) and re.search(r":\s*\[\s*\{", text[:end]) is not None


def spool_objects(path: Path, name: str, record_bytes: int) -> Lines:
    """Writes every object of the document's list as one line, a damaged one too, which will be rejected.

    A document that breaks off gives the objects before the break and one last line with the rest; so does one behind
    whose list stands what belongs to no document.  Raises FeedError where there is no list of objects.
    """
    target = spool_path(".jsonl")
    reader = _Window(path)
    before = _up_to_list(reader, name)
    fault: str | None = None
    after, objects = "", 0
    with target.open("w", encoding="utf-8", newline="\n", errors="surrogateescape") as out:
        try:
            for text in _objects(reader, record_bytes):
                out.write(_LINE_BREAK.sub(" ", text) + "\n")
                objects += 1
            after = reader.rest(_OUTER_LIMIT)
            fault = _tail_fault(before, after)
            left = after
        except ValueError as error:
            fault = f"The JSON document breaks off or is damaged here ({str(error).rstrip('.')})."
            left = reader.text[reader.at : reader.at + record_bytes]
        if fault:
            # Behind the bracket, no text is an object by itself.
            out.write("]" + _LINE_BREAK.sub(" ", left.strip()).removeprefix("]")[:_TAIL_SHOWN] + "\n")
            objects += 1
            after = "]}" if before.count("{") > before.count("}") else "]"
    reader.close()
    return Lines(target, objects, before, after, fault)


def _tail_fault(before: str, after: str) -> str | None:
    """What is wrong with the text behind the list, which starts with the list's bracket; None where nothing is."""
    if len(after) > _OUTER_LIMIT:
        return f"More than {_OUTER_LIMIT:,} bytes stand behind the list of objects."
    whole = before + after
    try:
        _, end = json.JSONDecoder().raw_decode(whole, len(whole) - len(whole.lstrip()))
    except RecursionError:
        return "What stands behind the list of objects is nested too deeply."
    except ValueError as error:
        return f"What stands behind the list of objects is not valid JSON ({str(error).rstrip('.')})."
    if whole[end:].strip():
        return "Text stands behind the end of the JSON document."
    if _OBJECT_LIST.search(after):
        return "A second list of objects stands in the JSON document."
    return None


class _Window:
    """A sliding view of the document's text."""

    def __init__(self, path: Path) -> None:
        self._file = path.open("rb")
        self._decode = codecs.getincrementaldecoder("utf-8-sig")("surrogateescape").decode
        self.text, self.at, self.ended = "", 0, False

    def more(self) -> bool:
        chunk = self._file.read(_CHUNK)
        self.ended = not chunk
        self.text = self.text[self.at :] + self._decode(chunk, final=not chunk)
        self.at = 0
        if self.ended:
            self._file.close()
        return not self.ended

    def skip_blank(self) -> str:
        """Skips white space; the next character, "" at the end."""
        while True:
            match = _BLANK.match(self.text, self.at)
            self.at = match.end() if match else self.at
            if self.at < len(self.text):
                return self.text[self.at]
            if self.ended or not self.more():
                return ""

    def rest(self, most: int) -> str:
        """What is left; of more than `most` characters only so many that it shows."""
        while not self.ended and len(self.text) - self.at <= most and self.more():
            pass
        return self.text[self.at :]

    def close(self) -> None:
        self._file.close()


def _up_to_list(reader: _Window, name: str) -> str:
    """Moves to just after the "[" of the list of objects; the text up to there."""
    first = reader.skip_blank()
    if first == "[":
        reader.at += 1
        return "[\n"
    filled = re.compile(r'"(?:[^"\\]|\\.)*"\s*:\s*\[(?=\s*\{)')
    blank = re.compile(r'"(?:[^"\\]|\\.)*"\s*:\s*\[(?=\s*\])')
    while True:
        match = filled.search(reader.text, reader.at)
        if match is None and reader.ended:
            match = blank.search(reader.text, reader.at)
        if match and match.end() < len(reader.text) - 1:
            before = reader.text[reader.at : match.end()]
            reader.at = match.end()
            return before + "\n"
        if reader.ended or len(reader.text) > _OUTER_LIMIT or not reader.more():
            raise FeedError(f"{name}: the JSON holds no list of objects; expected one object per listing.")


def _objects(reader: _Window, record_bytes: int) -> Iterator[str]:
    """The text of every object; of a damaged one all up to the next object that is sound.

    Raises ValueError where the list is not closed, or no sound object follows a damaged one.
    """
    while True:
        char = reader.skip_blank()
        if char == ",":
            reader.at += 1
            continue
        if char in ("]", ""):
            if not char:
                raise ValueError("the list is not closed")
            return
        end = _end_of_object(reader, record_bytes)
        yield reader.text[reader.at : end]
        reader.at = end


def _end_of_object(reader: _Window, record_bytes: int) -> int:
    decoder = json.JSONDecoder()
    while True:
        try:
            _, end = decoder.raw_decode(reader.text, reader.at)
            if end < len(reader.text) or reader.ended:
                return end
        except RecursionError:
            return _end_of_damaged(reader, decoder, record_bytes, "it is nested too deeply")
        except json.JSONDecodeError as error:
            cut = error.pos > len(reader.text) - _SURE or error.msg.startswith("Unterminated string")
            if reader.ended or not cut or len(reader.text) - reader.at > record_bytes:
                return _end_of_damaged(reader, decoder, record_bytes, str(error))
        reader.more()


def _end_of_damaged(reader: _Window, decoder: json.JSONDecoder, record_bytes: int, why: str) -> int:
    """Where a damaged object ends: before the next sound one.  Raises ValueError where none follows."""
    at = reader.at
    for _ in range(_MOST_TRIES):
        match = _NEXT_OBJECT.search(reader.text, at)
        while match is None and not reader.ended and len(reader.text) - reader.at <= record_bytes:
            at -= reader.at
            reader.more()
            match = _NEXT_OBJECT.search(reader.text, at)
        if match is None:
            break
        try:
            decoder.raw_decode(reader.text, match.end())
        except (ValueError, RecursionError):
            at = match.start() + 1
            continue
        return match.start() + 1
    raise ValueError(why)
