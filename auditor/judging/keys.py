"""Stable keys of findings: the same mistake has the same key tomorrow, from a feed, a frame or a call."""

from __future__ import annotations

import hashlib
from typing import Any

_BYTES = 12  # 24 hexadecimal digits: among a billion findings, a shared key is a chance of one in 10^11


def hash_text(text: str) -> str:
    """24 hexadecimal digits."""
    return hashlib.blake2b(text.encode("utf-8", "surrogatepass"), digest_size=_BYTES).hexdigest()


def hash_texts(texts: Any) -> Any:
    """The same for a `pa.Array` of strings without nulls; a `pa.Array` of strings.

    One by one, since they are those of findings, which cost ten times as much to word.
    """
    import pyarrow as pa

    return pa.array([hash_text(text) for text in texts.to_pylist()], pa.string())
