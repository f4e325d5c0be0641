"""An XML document as the parser can read it, where what suppliers' programs write is not quite XML.

Its encoding may be another than it says; signs that have to be escaped stand as they are; and several documents, or
elements without one around them, may stand behind one another.  Entities of the document's own are refused: a few
lines of them may stand for gigabytes, or for other files.
"""

from __future__ import annotations

import codecs
import re
from collections.abc import Callable
from dataclasses import dataclass, replace
from pathlib import Path
from typing import NamedTuple
from xml.parsers import expat

from auditor.errors import FeedError
from auditor.feeds.encoding import detect_encoding, is_wide, sample_bytes
from auditor.feeds.spool import spool_path

AROUND = "_"  # the element that is put around several documents
_CHUNK = 1 << 20
_DECLARED = re.compile(rb"""^(?:\xef\xbb\xbf)?\s*<\?xml[^>]*?encoding\s*=\s*["']([A-Za-z0-9._-]+)["'][^>]*\?>""")
_DECLARATION = re.compile(rb"<\?xml\s[^>]*\?>")
_LONGEST_DECLARATION = 200
_READ_AS_THEY_ARE = {"iso-8859-1": "iso-8859-1", "latin1": "iso-8859-1", "us-ascii": "utf-8", "ascii": "utf-8"}
_JUNK_BEHIND, _DECLARED_AGAIN, _NO_SIGN = 9, 17, 4  # of the parser's errors
_CONTROLS = bytes(byte if byte > 31 or byte in b"\t\n\r" else 32 for byte in range(256))
_BARE_AND = re.compile(rb"&(?!#[0-9]+;|#x[0-9A-Fa-f]+;|[A-Za-z][A-Za-z0-9._-]*;)")
_SET_OFF = {b"<![CDATA[": b"]]>", b"<!--": b"-->"}  # in which signs stand as they are
_SET_OFF_BEGINS = re.compile(rb"<!\[CDATA\[|<!--")


class Fault(NamedTuple):
    """Why a document breaks off."""

    code: int  # of the parser's errors, 0 for none of them
    words: str


@dataclass(frozen=True, slots=True)
class Document:
    """A document and how the parser is to take it."""

    path: Path
    encoding: str | None = None  # whatever it says itself
    several: bool = False  # documents or elements behind one another
    escaped: bool = False  # its signs were seen to

    def otherwise(self, fault: Fault | None) -> Document | None:
        """The document as it may be read without this fault; None where nothing is left to try."""
        if fault is None or self.encoding is None:
            return None
        if fault.code in (_JUNK_BEHIND, _DECLARED_AGAIN) and not self.several:
            return replace(self, several=True)
        if fault.code == _NO_SIGN and not self.escaped:
            return replace(self, path=_escaped(self.path), escaped=True)
        return None


def readable(path: Path, name: str) -> Document:
    """A document in an encoding that the parser knows; others are rewritten as UTF-8."""
    with path.open("rb") as file:
        head = file.read(_LONGEST_DECLARATION)
    declared = _DECLARED.match(head)
    encoding = declared[1].decode() if declared else "utf-8"
    if encoding.lower() in _READ_AS_THEY_ARE:
        return Document(path, _READ_AS_THEY_ARE[encoding.lower()])
    try:
        wide = is_wide(encoding)
    except LookupError as error:
        raise FeedError(f"{name}: the XML says that it is {encoding}, but cannot be read as that ({error}).") from error
    if head.startswith((b"\xff\xfe", b"\xfe\xff")) or b"\0" in head[:4]:
        return Document(path)
    if wide or codecs.lookup(encoding).name == "utf-8":  # what a program holds in UTF-16 may be written in UTF-8
        encoding = "utf-8" if _is_utf8(path) else detect_encoding(sample_bytes(path))
    if encoding == "utf-8":
        return Document(path, "utf-8")
    try:
        return Document(_rewritten(path, encoding), "utf-8")
    except UnicodeDecodeError as error:
        raise FeedError(f"{name}: the XML says that it is {encoding}, but cannot be read as that ({error}).") from error


def _is_utf8(path: Path) -> bool:
    decode = codecs.getincrementaldecoder("utf-8")().decode
    try:
        with path.open("rb") as file:
            while piece := file.read(_CHUNK):
                decode(piece)
    except UnicodeDecodeError:
        return False
    return True


def _rewritten(path: Path, encoding: str) -> Path:
    target = spool_path(".xml")
    with path.open(encoding=encoding, newline="") as source, target.open("w", encoding="utf-8", newline="") as out:
        first = source.read(_LONGEST_DECLARATION)
        out.write(re.sub(r"(encoding\s*=\s*[\"'])[^\"']*", r"\1UTF-8", first, count=1) if "<?xml" in first else first)
        while piece := source.read(_CHUNK):
            out.write(piece)
    return target


def _escaped(path: Path) -> Path:
    """A copy in which & stands for itself where it begins no name of a sign, and control characters are blanks."""
    target, rest, until = spool_path(".xml"), b"", b""
    with path.open("rb") as source, target.open("wb") as out:
        while piece := source.read(_CHUNK):
            rest += piece.translate(_CONTROLS)
            while rest:
                if until:
                    end = rest.find(until)
                    stop = end + len(until) if end >= 0 else max(len(rest) - len(until), 0)
                    out.write(rest[:stop])
                    rest = rest[stop:]
                    if end < 0:
                        break
                    until = b""
                    continue
                begin = _SET_OFF_BEGINS.search(rest)
                stop = begin.start() if begin else max(rest.rfind(b"<"), 0)
                out.write(_BARE_AND.sub(b"&amp;", rest[:stop]))
                rest = rest[stop:]
                if begin is None:
                    break
                until = _SET_OFF[begin[0]]
        out.write(rest if until else _BARE_AND.sub(b"&amp;", rest))
    return target


def parse(
    document: Document, name: str, attach: Callable[[expat.XMLParserType, int], None], most: int | None = None
) -> Fault | None:
    """Parses a document, or its first bytes; why it breaks off, None where it does not.

    `attach` has a parser tell its events, and is told how many bytes the parser counts more than the document has.
    """
    parser = expat.ParserCreate(document.encoding)
    parser.buffer_text = False  # so that every event is told where it stands
    around = f"<{AROUND}>".encode() if document.several else b""
    attach(parser, len(around))

    def refuse(*_: object) -> None:
        raise FeedError(f"{name}: the XML declares entities of its own, which are not read; ask for one without.")

    parser.EntityDeclHandler = refuse
    parser.UseForeignDTD(True)  # names of signs that nothing declares are told as such: &nbsp;
    parser.ExternalEntityRefHandler = lambda *_: 1
    read = 0
    try:
        parser.Parse(around, False)
        with document.path.open("rb") as file:
            while (piece := file.read(_CHUNK)) and (most is None or read < most):
                if document.several:
                    piece += file.readline(_LONGEST_DECLARATION)
                    piece = _DECLARATION.sub(lambda found: b" " * len(found[0]), piece)
                parser.Parse(piece, False)
                read += len(piece)
        if not piece:
            parser.Parse(f"</{AROUND}>".encode() if document.several else b"", True)
    except expat.ExpatError as error:
        return Fault(error.code, f"The XML breaks off or is damaged here ({str(error).rstrip('.')}).")
    except ValueError as error:
        return Fault(0, f"The XML breaks off or is damaged here ({str(error).rstrip('.')}).")
    return None
