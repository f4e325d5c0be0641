"""Whether a text is XML, told by its first bytes."""

from __future__ import annotations


def is_xml(head: bytes, named: bool) -> bool:
    """Whether a text begins as an XML document does; one that is `named` so need not say it in its first line."""
    text = head.lstrip(b"\xef\xbb\xbf \r\n\t")
    return text.startswith(b"<?xml") or (
        named and (text.startswith(b"<") or head.startswith((b"\xff\xfe", b"\xfe\xff")))
    )
