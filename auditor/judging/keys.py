"""Stable keys of findings: the same mistake has the same key tomorrow, from a feed, a frame or a call."""

from __future__ import annotations

import hashlib
from collections.abc import Sequence
from typing import Any

_BYTES = 12  # 24 hexadecimal digits: among a billion findings, a shared key is a chance of one in 10^11


# Between the parts of a key.  A feed may hold the character, so within a part it is written with another before it.
_BETWEEN, _WRITTEN = "\x1f", "\x1e"


def joined_parts(parts: Sequence[str]) -> str:
    """The parts in one text, which no other parts give."""
    return _BETWEEN.join(_written(part) for part in parts)


def _written(part: str) -> str:
    return part.replace(_WRITTEN, 2 * _WRITTEN).replace(_BETWEEN, _WRITTEN + _BETWEEN)


def joined_columns(columns: Sequence[Any]) -> Any:
    """`joined_parts` over columns of strings; a `pa.Array` of strings."""
    import pyarrow.compute as pc

    written = []
    for column in columns:
        for mark, instead in ((_WRITTEN, 2 * _WRITTEN), (_BETWEEN, _WRITTEN + _BETWEEN)):
            if pc.any(pc.match_substring(column, mark)).as_py():
                column = pc.replace_substring(column, mark, instead)
        written.append(column)
    joined = pc.binary_join_element_wise(*written, _BETWEEN)
    return joined.combine_chunks() if hasattr(joined, "chunks") else joined


def hash_text(text: str) -> str:
    """24 hexadecimal digits."""
    return hashlib.blake2b(text.encode("utf-8", "surrogatepass"), digest_size=_BYTES).hexdigest()


def hash_texts(texts: Any) -> Any:
    """The same for a `pa.Array` of strings without nulls; a `pa.Array` of strings.

    One by one, since they are those of findings, which cost ten times as much to word.
    """
    import pyarrow as pa

    return pa.array([hash_text(text) for text in texts.to_pylist()], pa.string())
