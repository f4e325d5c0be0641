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
_OUTER_LIMIT = 16 << 20  # how much may stand before the list of objects


@dataclass(frozen=True, slots=True)
class Lines:
    """The spooled objects and what stood around their list; `cut_short` says why reading ended early."""

    path: Path
    before: str
    after: str
    cut_short: str | None


def is_document(head: bytes) -> bool:
    """Whether a JSON text is one document (a list, or an object around a list), not one object per line."""
    text = head.decode("utf-8-sig", "replace").lstrip()
    if text.startswith("["):
        return True
    if not text.startswith("{"):
        return False
    try:
        _, end = json.JSONDecoder().raw_decode(text)
    except ValueError:
        first = text.split("\n", 1)[0].strip()
        return not first.endswith("}")
    rest = text[end:].strip()
    return not rest and re.search(r":\s*\[\s*\{", text) is not None


def spool_objects(path: Path, name: str, record_bytes: int) -> Lines:
    """Writes every object of the document's list as one line.

    Raises FeedError where there is no list of objects.  A document that breaks off gives the objects before the
    break and one last line with the rest, which will be rejected.
    """
    target = spool_path(".jsonl")
    reader = _Window(path)
    before = _up_to_list(reader, name)
    cut_short: str | None = None
    with target.open("w", encoding="utf-8", newline="\n", errors="surrogateescape") as out:
        try:
            for text in _objects(reader, record_bytes):
                out.write(_LINE_BREAK.sub(" ", text) + "\n")
        except ValueError as error:
            cut_short = f"The JSON document breaks off or is damaged here ({str(error).rstrip('.')})."
            out.write(_LINE_BREAK.sub(" ", reader.text[reader.at : reader.at + record_bytes]).strip() or "?")
            out.write("\n")
    after = "]" if cut_short else reader.rest()
    if cut_short and before.count("{") > before.count("}"):
        after = "]}"
    return Lines(target, before, after, cut_short)


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

    def rest(self) -> str:
        while not self.ended and self.more():
            pass
        return self.text[self.at :]


def _up_to_list(reader: _Window, name: str) -> str:
    """Moves to just after the "[" of the list of objects; the text up to there."""
    first = reader.skip_blank()
    if first == "[":
        reader.at += 1
        return "[\n"
    pattern = re.compile(r'"(?:[^"\\]|\\.)*"\s*:\s*\[(?=\s*[{\]])')
    while True:
        match = pattern.search(reader.text, reader.at)
        if match and match.end() < len(reader.text) - 1:
            before = reader.text[reader.at : match.end()]
            reader.at = match.end()
            return before + "\n"
        if reader.ended or len(reader.text) > _OUTER_LIMIT or not reader.more():
            raise FeedError(f"{name}: the JSON holds no list of objects; expected one object per listing.")


def _objects(reader: _Window, record_bytes: int) -> Iterator[str]:
    decoder = json.JSONDecoder()
    while True:
        char = reader.skip_blank()
        if char == ",":
            reader.at += 1
            continue
        if char in ("]", ""):
            if not char:
                raise ValueError("the list is not closed")
            return
        start = reader.at
        while True:
            try:
                _, end = decoder.raw_decode(reader.text, start)
                if end < len(reader.text) or reader.ended:
                    break
            except RecursionError:
                raise ValueError("it is nested too deeply") from None
            except ValueError:
                if reader.ended or len(reader.text) - start > record_bytes:
                    raise
            reader.more()
            start = reader.at
        yield reader.text[start:end]
        reader.at = end
