"""Whether a text is XML, or a table that a program saved as HTML or in the XML of spreadsheets: by its first bytes."""

from __future__ import annotations

import codecs
import re

_OF_SPREADSHEETS = b"urn:schemas-microsoft-com:office:spreadsheet"
_BEGINS_HTML = re.compile(  # each comment is parted in one way only, or many of them would take forever
    rb"\s*(?:<!--(?:(?!-->).)*-->\s*)*<(?:!doctype\s+html|html|head|meta|body|table|style|div)\b", re.I | re.S
)


def is_xml(head: bytes, named: bool) -> bool:
    """Whether a text begins as an XML document does; one that is `named` so need not say it in its first line."""
    text = head.lstrip(b"\xef\xbb\xbf \r\n\t")
    return text.startswith(b"<?xml") or (
        named and (text.startswith(b"<") or head.startswith((b"\xff\xfe", b"\xfe\xff")))
    )


def kind_of_tables(head: bytes, named: str) -> str | None:
    """Whether a text begins as such a table does, whatever it is `named`: html, spreadsheet, or None.

    A page under the name of XML is a document as any other.
    """
    if b"<" not in head[:64] or b"\0" in head:
        return None
    text = head.removeprefix(codecs.BOM_UTF8)
    if named != "xml" and _BEGINS_HTML.match(text):
        return "html"
    return "spreadsheet" if _OF_SPREADSHEETS in text and text.lstrip().startswith(b"<") else None
