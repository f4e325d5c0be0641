"""Turns one XML document into one JSON object per listing, and notes where each listing stands in the document."""

from __future__ import annotations

import html
import json
from array import array
from dataclasses import dataclass, field
from pathlib import Path
from typing import TextIO
from xml.parsers import expat

import numpy as np

from auditor.errors import FeedError
from auditor.feeds.spool import spool_path
from auditor.feeds.xml_kinds import Kinds, Route, check_depth, kinds_of
from auditor.feeds.xml_readable import Document, Fault, parse, readable
from auditor.feeds.xml_records import Element, about_the_element, cells_of, fields_of

_MOST_AROUND = 200  # texts that stand beside listings in an element
_LONGEST_AROUND = 1000
_TAIL_SHOWN = 2000


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


def spool_elements(path: Path, name: str, record_bytes: int) -> XmlLines:
    """Writes every listing of the document as one line of JSON.

    Raises FeedError where nothing in it repeats as listings do, or it declares entities.
    """
    document, lines = readable(path, name), None
    while lines is None:
        kinds = kinds_of(document, name)
        if other := document.otherwise(kinds.fault):
            document = other
            continue
        lines, fault = _spooled(document, kinds, name, record_bytes)
        if other := document.otherwise(fault):
            document, lines = other, None
    return lines


def _spooled(document: Document, kinds: Kinds, name: str, record_bytes: int) -> tuple[XmlLines, Fault | None]:
    record = kinds.record()
    if record is None:
        raise FeedError(f"{name}: no element of the XML has the fields of a listing; expected one such per listing.")
    target = spool_path(".jsonl")
    with target.open("w", encoding="utf-8", newline="\n") as out:
        reader = _Reader(record, kinds, kinds.short_names(), out, record_bytes)
        fault = parse(document, name, reader.attach)
        closing, objects = "", len(reader.starts)
        if fault is not None:
            closing = "".join(f"</{tag}>" for tag in reversed(reader.outside()[document.several :]))
            out.write("]" + _rest_of(document.path, reader.sure) + "\n")
            objects += 1
    if not reader.starts:
        raise FeedError(f"{name}: {fault.words if fault else 'the XML holds no listing.'}")
    spans = spool_path(".spans")
    with spans.open("wb") as file:
        np.save(file, np.array([reader.starts, reader.ends], np.int64))
    return XmlLines(target, document.path, spans, objects, closing, fault.words if fault else None), fault


@dataclass(slots=True)
class _Reader:
    """Takes the listings of a document one by one: their cells, and where they begin and end."""

    record: Route
    kinds: Kinds
    short: dict[str, str]
    out: TextIO
    record_bytes: int
    starts: array[int] = field(default_factory=lambda: array("q"))
    ends: array[int] = field(default_factory=lambda: array("q"))
    sure: int = 0  # everything before is read
    _parser: expat.XMLParserType | None = None
    _shift: int = 0  # bytes that the parser counts before the document
    _path: list[str] = field(default_factory=list)
    _open: list[Element] = field(default_factory=list)  # within a listing
    _around: list[Element] = field(default_factory=list)  # what a listing stands in
    _begun: int = 0
    _ended: bool = False  # a listing ended with the event before this one
    _apart: bool = True  # something stands between the listing before and what follows
    _size: int = 0  # characters of the listing so far

    def attach(self, parser: expat.XMLParserType, shift: int) -> None:
        """Has a parser tell its events, which counts some bytes more than the document has."""
        self._parser, self._shift = parser, shift
        parser.StartElementHandler, parser.EndElementHandler = self._start, self._end
        parser.CharacterDataHandler, parser.DefaultHandler = self._text, self._other
        parser.SkippedEntityHandler = self._entity

    def outside(self) -> list[str]:
        """The elements that the listings stand in and that are still open."""
        return self._path[: len(self.record) - 1]

    def _at(self) -> int:
        assert self._parser is not None
        at = self._parser.CurrentByteIndex - self._shift
        if self._ended:
            self.ends.append(at)
            self.sure, self._ended, self._apart = at, False, False
        return at

    def _start(self, tag: str, attributes: dict[str, str]) -> None:
        at = self._at()
        check_depth(len(self._path))
        self._path.append(tag)
        named = about_the_element(attributes, self.short) if attributes else attributes
        element = Element(self.short.get(tag, tag), named)
        if self._open:
            self._size += (sum(map(len, attributes.values())) if attributes else 0) + len(tag)
            if self._size <= self.record_bytes:
                self._open[-1].take(element)
            self._open.append(element)
        elif len(self._path) == len(self.record) and tuple(self._path) == self.record:
            self._open, self._size = [element], 0
            self._begun = at if self._apart else self.ends[-1]
        else:
            self._apart = True
            self._around.append(element)

    def _end(self, tag: str) -> None:
        at = self._at()
        self._path.pop()
        if not self._open:
            self._apart = True
            element = self._around.pop()
            if self._around and not element.children:
                self._keep(element)
            return
        element = self._open.pop()
        if not self._open:
            if max(self._size, at - self._begun) > self.record_bytes:
                self.out.write("null\n")  # a line that is no object
            else:
                self.out.write(json.dumps(cells_of(element, self._told_around()), ensure_ascii=False) + "\n")
            self.starts.append(self._begun)
            self._ended = True

    def _keep(self, element: Element) -> None:
        """Keeps a text that stands beside listings, in an element of which there are several."""
        if self.kinds.repeats(tuple(self._path)) and len(self._around[-1].content) < _MOST_AROUND:
            self._around[-1].take(element)

    def _told_around(self) -> list[tuple[str, str]]:
        """The cells of what a listing stands in: a model of its sizes, a brand of its models."""
        told: list[tuple[str, str]] = []
        for depth, element in enumerate(self._around, 1):
            if self.kinds.repeats(tuple(self._path[:depth])):
                told += ((f"{element.name}.{name}", text) for name, text in fields_of(element))
        return told

    def _text(self, text: str) -> None:
        self._at()
        if self._open:
            self._size += len(text)
            if self._size <= self.record_bytes:
                self._open[-1].content.append(text)
        elif not text.isspace():
            self._apart = True
            if self._around and len(self._around[-1].content) < _MOST_AROUND:
                self._around[-1].content.append(text[:_LONGEST_AROUND])

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
