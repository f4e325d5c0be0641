"""Names and item numbers of listings as numbers, for blocks of records."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np
import pyarrow as pa
import pyarrow.compute as pc

from auditor.across.text_numbers import hash_numbers


def supplier_numbers(names: Sequence[str]) -> Any:
    """The numbers of suppliers' names."""
    return hashed(pa.array(names, pa.string()), fold=False)[0]


def plain(column: pa.Array) -> pa.Array:
    """A column as plain texts, "" for null."""
    return (column.fill_null("") if column.null_count else column).cast(pa.string())


_BLANKS = pa.array(["", "-", "--", "0", "?", "k.a.", "n/a", "na", "nan", "none", "null", "tbd", "unknown"])


def hashed(texts: pa.Array, fold: bool) -> tuple[Any, Any]:
    """Hashes of texts without regard to blanks around them and, with `fold`, to case; 0 where nothing is said."""
    texts = pc.utf8_trim_whitespace(plain(texts))
    lower = pc.utf8_lower(texts)
    one, two = hash_numbers(lower if fold else texts)
    blank = pc.is_in(lower, value_set=_BLANKS).to_numpy(zero_copy_only=False)
    return np.where(blank, np.uint64(0), one), np.where(blank, np.uint64(0), two)


def name_numbers(column: pa.Array, fold: bool) -> Any:
    """Hashes of names, each distinct name once where names repeat."""
    if not pa.types.is_dictionary(column.type):
        if len(column.slice(0, 2000).unique()) > 1000:
            return hashed(column, fold)[0]
        column = column.dictionary_encode()
    return spread(hashed(column.dictionary, fold)[0], column)


def item_numbers(column: pa.Array) -> tuple[Any, Any]:
    """Hashes of item numbers, which mostly differ from record to record; case does not count."""
    if pa.types.is_dictionary(column.type):
        one, two = hashed(column.dictionary, fold=True)
        return spread(one, column), spread(two, column)
    texts = pc.ascii_lower(pc.ascii_trim_whitespace(plain(column)))
    one, two = hash_numbers(texts)
    short = np.flatnonzero(pc.binary_length(texts).to_numpy(zero_copy_only=False) <= _LONGEST_FILLER)
    if len(short):
        one[short[np.isin(one[short], _FILLERS)]] = 0
    return one, two


_LONGEST_FILLER = max(len(text) for text in _BLANKS.to_pylist())
_FILLERS = hash_numbers(_BLANKS)[0]


def spread(values: Any, column: pa.Array) -> Any:
    """values by the codes of a dictionary column; 0 for null."""
    codes = column.indices.fill_null(-1) if column.indices.null_count else column.indices
    at = codes.to_numpy(zero_copy_only=False)
    return np.append(values, values.dtype.type(0))[at]
