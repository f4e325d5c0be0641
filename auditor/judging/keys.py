"""Stable keys of findings: the same mistake has the same key tomorrow, from a feed, a frame or a call."""

from __future__ import annotations

import hashlib
from collections.abc import Sequence
from typing import Any

_AT_ONCE = 8192  # keys
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

    joined = pc.binary_join_element_wise(*columns, _BETWEEN)
    joined = joined.combine_chunks() if hasattr(joined, "chunks") else joined
    if _marks_in(joined) == len(joined) * (len(columns) - 1):  # no part holds a mark, as is usual
        return joined
    written = []
    for column in columns:
        for mark, instead in ((_WRITTEN, 2 * _WRITTEN), (_BETWEEN, _WRITTEN + _BETWEEN)):
            column = pc.replace_substring(column, mark, instead)
        written.append(column)
    joined = pc.binary_join_element_wise(*written, _BETWEEN)
    return joined.combine_chunks() if hasattr(joined, "chunks") else joined


def _marks_in(texts: Any) -> int:
    """How many of the two marks stand in a `pa.Array` of strings."""
    import numpy as np

    _, places, data = texts.buffers()
    if not len(texts) or data is None:
        return 0
    ends = np.frombuffer(places, np.int32)[texts.offset : texts.offset + len(texts) + 1]
    held = np.frombuffer(data, np.uint8)[ends[0] : ends[-1]]
    return int(np.count_nonzero((held == ord(_BETWEEN)) | (held == ord(_WRITTEN))))


def hash_text(text: str) -> str:
    """24 hexadecimal digits."""
    return _hashed(text.encode("utf-8", "surrogatepass"))


def hash_texts(texts: Any) -> Any:
    """The same for a `pa.Array` of strings without nulls; a `pa.Array` of strings.

    One by one: no function over arrays gives these digests, and a finding that is worded costs ten times as much.
    """
    import pyarrow as pa

    parts = [pa.array([], pa.string())]
    for start in range(0, len(texts), _AT_ONCE):  # the same small memory again and again
        some = texts.slice(start, _AT_ONCE).to_pylist()
        parts.append(pa.array([_hashed(text.encode()) for text in some], pa.string()))
    return pa.concat_arrays(parts)


def _hashed(text: bytes) -> str:
    return hashlib.blake2b(text, digest_size=_BYTES).hexdigest()
