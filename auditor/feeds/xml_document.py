"""Turns one XML document into one JSON object per listing, and notes where each listing stands in the document.

The listing is the element that repeats and holds a few fields.  Entities of the document's own are refused: a few lines
of them may stand for gigabytes, or for other files.
"""

from __future__ import annotations

import html
import json
import re
from array import array
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path
from typing import TextIO
from xml.parsers import expat

import numpy as np

from auditor.errors import FeedError
from auditor.feeds.spool import spool_path
from auditor.feeds.xml_records import Element, cells_of

SAMPLE_BYTES = 4 << 20
_CHUNK = 1 << 20
_FEWEST_FIELDS = 3  # of a listing: an article number, a size and something to compare with it
_DEEPEST = 100  # elements within one another
_TAIL_SHOWN = 2000
_DECLARED = re.compile(rb"""^(?:\xef\xbb\xbf)?\s*<\?xml[^>]*?encoding\s*=\s*["']([A-Za-z0-9._-]+)["'][^>]*\?>""")
_READ_AS_THEY_ARE = frozenset({"utf-8", "utf-16", "iso-8859-1", "us-ascii", "ascii", "latin1"})

Path_ = tuple[str, ...]


@dataclass(frozen=True, slots=True)
class XmlLines:
    """The spooled objects, and the document that they are of.

    `spans` is a file of whole numbers: where each listing begins and ends in `document`.  `closing` are the end tags
    that a document that breaks off lacks; `fault` says why it does, and the last line then is no object.
    """

    path: Path
    document: Path
    spans: Path
    objects: int
    closing: str
    fault: str | None


@dataclass(slots=True)
class _Kinds:
    """What kinds of elements a document has: by path how many, and the fields that they hold."""

    counts: dict[Path_, int] = field(default_factory=dict)
    fields: dict[Path_, set[str]] = field(default_factory=dict)
    names: set[str] = field(default_factory=set)

    def record(self) -> Path_ | None:
        """The path of the listings: the outermost that repeats with a few fields, of several the most frequent."""
        full = [path for path in self.counts if len(path) > 1 and len(self.fields[path]) >= _FEWEST_FIELDS]
        often = [path for path in full if self.counts[path] > 1]
        if often:
            return min(often, key=lambda path: (len(path), -self.counts[path]))
        return min(full, key=lambda path: (-len(self.fields[path]), len(path)), default=None)

    def short_names(self) -> dict[str, str]:
        """Names without the prefix of their namespace, where no other name is the same without its own."""
        bare = [name.rpartition(":")[2] for name in self.names]
        return {name: short for name in self.names if bare.count(short := name.rpartition(":")[2]) == 1}


def spool_elements(path: Path, name: str, record_bytes: int) -> XmlLines:
    """Writes every listing of the document as one line of JSON.

    Raises FeedError where nothing in it repeats as listings do, or it declares entities.
    """
    document = _readable(path, name)
    kinds = _kinds_of(document, name)
    record = kinds.record()
    if record is None:
        raise FeedError(f"{name}: no element of the XML has the fields of a listing; expected one such per listing.")
    target = spool_path(".jsonl")
    with target.open("w", encoding="utf-8", newline="\n") as out:
        reader = _Reader(record, kinds.short_names(), out, record_bytes)
        fault = _parse(document, name, reader.attach)
        closing, objects = "", len(reader.starts)
        if fault is not None:
            closing = "".join(f"</{tag}>" for tag in reversed(reader.outside()))
            out.write("]" + _rest_of(document, reader.sure) + "\n")
            objects += 1
    if not reader.starts:
        raise FeedError(f"{name}: {fault or 'the XML holds no listing.'}")
    spans = spool_path(".spans")
    with spans.open("wb") as file:
        np.save(file, np.array([reader.starts, reader.ends], np.int64))
    return XmlLines(target, document, spans, objects, closing, fault)


def _readable(path: Path, name: str) -> Path:
    """The document in an encoding that the parser knows; others are rewritten as UTF-8."""
    with path.open("rb") as file:
        head = file.read(200)
    declared = _DECLARED.match(head)
    if declared is None or declared[1].decode().lower() in _READ_AS_THEY_ARE:
        return path
    encoding, target = declared[1].decode(), spool_path(".xml")
    try:
        with path.open(encoding=encoding, newline="") as source, target.open("w", encoding="utf-8", newline="") as out:
            first = source.read(200)
            out.write(first.replace(encoding, "UTF-8", 1))
            while piece := source.read(_CHUNK):
                out.write(piece)
    except (LookupError, UnicodeDecodeError) as error:
        raise FeedError(f"{name}: the XML says that it is {encoding}, but cannot be read as that ({error}).") from error
    return target


def _kinds_of(document: Path, name: str) -> _Kinds:
    """The kinds of elements in the first stretch of a document."""
    kinds, open_elements = _Kinds(), list[tuple[Path_, set[str], dict[str, str]]]()

    def start(tag: str, attributes: dict[str, str]) -> None:
        above = open_elements[-1][0] if open_elements else ()
        _check_depth(len(above))
        kinds.names.add(tag)
        open_elements.append(((*above, tag), set(), attributes))

    def end(tag: str) -> None:
        path, inner, attributes = open_elements.pop()
        kinds.counts[path] = kinds.counts.get(path, 0) + 1
        kinds.fields.setdefault(path, set()).update(inner, attributes)
        if open_elements:
            open_elements[-1][1].add(tag)

    def attach(parser: expat.XMLParserType) -> None:
        parser.StartElementHandler, parser.EndElementHandler = start, end

    _parse(document, name, attach, SAMPLE_BYTES)
    return kinds


def _check_depth(depth: int) -> None:
    if depth >= _DEEPEST:
        raise ValueError(f"its elements stand more than {_DEEPEST} deep in one another")


def _parse(
    document: Path, name: str, attach: Callable[[expat.XMLParserType], None], most: int | None = None
) -> str | None:
    """Parses a document, or its first bytes; why it breaks off, None where it does not."""
    parser = expat.ParserCreate()
    parser.buffer_text = False  # so that every event is told where it stands
    attach(parser)

    def refuse(*_: object) -> None:
        raise FeedError(f"{name}: the XML declares entities of its own, which are not read; ask for one without.")

    parser.EntityDeclHandler = refuse
    read = 0
    try:
        with document.open("rb") as file:
            while (piece := file.read(_CHUNK)) and (most is None or read < most):
                parser.Parse(piece, False)
                read += len(piece)
        if not piece:
            parser.Parse(b"", True)
    except (expat.ExpatError, ValueError) as error:
        return f"The XML breaks off or is damaged here ({str(error).rstrip('.')})."
    return None


@dataclass(slots=True)
class _Reader:
    """Takes the listings of a document one by one: their cells, and where they begin and end."""

    record: Path_
    short: dict[str, str]
    out: TextIO
    record_bytes: int
    starts: array[int] = field(default_factory=lambda: array("q"))
    ends: array[int] = field(default_factory=lambda: array("q"))
    sure: int = 0  # everything before is read
    _parser: expat.XMLParserType | None = None
    _path: list[str] = field(default_factory=list)
    _open: list[Element] = field(default_factory=list)  # within a listing
    _begun: int = 0
    _ended: bool = False  # a listing ended with the event before this one
    _apart: bool = True  # something stands between the listing before and what follows
    _size: int = 0  # characters of the listing so far

    def attach(self, parser: expat.XMLParserType) -> None:
        """Has a parser tell its events."""
        self._parser = parser
        parser.StartElementHandler, parser.EndElementHandler = self._start, self._end
        parser.CharacterDataHandler, parser.DefaultHandler = self._text, self._other
        parser.SkippedEntityHandler = self._entity

    def outside(self) -> list[str]:
        """The elements that the listings stand in and that are still open."""
        return self._path[: len(self.record) - 1]

    def _at(self) -> int:
        assert self._parser is not None
        at = self._parser.CurrentByteIndex
        if self._ended:
            self.ends.append(at)
            self.sure, self._ended, self._apart = at, False, False
        return at

    def _start(self, tag: str, attributes: dict[str, str]) -> None:
        at = self._at()
        _check_depth(len(self._path))
        self._path.append(tag)
        element = Element(
            self.short.get(tag, tag), {self.short.get(key, key): text for key, text in attributes.items()}
        )
        if self._open:
            self._size += sum(map(len, attributes.values())) + len(tag)
            if self._size <= self.record_bytes:
                self._open[-1].children.append(element)
            self._open.append(element)
        elif len(self._path) == len(self.record) and tuple(self._path) == self.record:
            self._open, self._size = [element], 0
            self._begun = at if self._apart else self.ends[-1]
        else:
            self._apart = True

    def _end(self, tag: str) -> None:
        at = self._at()
        self._path.pop()
        if not self._open:
            self._apart = True
            return
        element = self._open.pop()
        if not self._open:
            if max(self._size, at - self._begun) > self.record_bytes:
                self.out.write("null\n")  # a line that is no object
            else:
                self.out.write(json.dumps(cells_of(element), ensure_ascii=False) + "\n")
            self.starts.append(self._begun)
            self._ended = True

    def _text(self, text: str) -> None:
        self._at()
        if self._open:
            self._size += len(text)
            if self._size <= self.record_bytes:
                self._open[-1].texts.append(text)
        elif not text.isspace():
            self._apart = True

    def _other(self, text: str) -> None:
        self._at()
        if not self._open and not text.isspace():
            self._apart = True

    def _entity(self, name: str, _: bool) -> None:
        """Names of signs that a document type elsewhere declares: &nbsp;"""
        self._text(html.unescape(f"&{name};"))


def _rest_of(document: Path, at: int) -> str:
    with document.open("rb") as file:
        file.seek(at)
        return " ".join(file.read(_TAIL_SHOWN).decode("utf-8", "replace").split())
