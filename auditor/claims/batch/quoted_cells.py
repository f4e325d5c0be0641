"""The cells of a block's records that texts quote, also those that are made of split ones, each distinct text once."""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np
import numpy.typing as npt
import pyarrow as pa
import pyarrow.compute as pc

from auditor.claims.batch.arrays import Ints
from auditor.claims.own_cells import OF_SERVICE, described_by, is_filled, sized_by
from auditor.columns.value_cache import distinct, encoded

_NOTHING = pa.array([""], pa.string())


def with_parts(own: list[pa.Array | None], parts: Sequence[pa.Array | None]) -> list[pa.Array | None]:
    """The own columns with the sizes and service descriptions that split cells make, where a record gives none whole.

    `parts` are the columns of load index, dual load index, speed symbol, section width, aspect ratio, rim and
    construction.
    """
    marking, size, service, *names = own
    size = _made(marking, size, parts[OF_SERVICE:], sized_by, needed=3)
    service = _made(marking, service, parts[:OF_SERVICE], described_by, needed=1)
    return [marking, size, service, *names]


def _made(
    marking: pa.Array | None,
    column: pa.Array | None,
    parts: Sequence[pa.Array | None],
    made_by: Callable[..., str],
    *,
    needed: int,
) -> pa.Array | None:
    """A column with what split cells make where it and the marking say nothing; the first `needed` have to be there."""
    if any(part is None for part in parts[:needed]):
        return column
    count = next(len(part) for part in parts if part is not None)
    lacks = _lacks(marking, count)
    if lacks.any():
        lacks &= _lacks(column, count)
    if not lacks.any():
        return column
    told = [texts_of(part, count) for part in parts]
    first, of = distinct([places for _, places in told])
    taken = (texts.take(pa.array(places[first])).to_pylist() for texts, places in told)
    made = pa.array([made_by(*cells) for cells in zip(*taken, strict=True)], pa.string())
    texts, places = texts_of(column, count)
    places = np.where(lacks, len(texts) + of, places)
    return pa.DictionaryArray.from_arrays(pa.array(places.astype(np.int32)), pa.concat_arrays([texts, made]))


def texts_of(column: pa.Array | None, count: int) -> tuple[pa.StringArray, Ints]:
    """The distinct texts of a column, "" the last, and the place of every record's."""
    if column is None:
        return _NOTHING, np.zeros(count, np.int64)
    known, places = encoded(column)
    texts = pa.concat_arrays([known.cast(pa.string()).fill_null(""), _NOTHING])
    return texts, np.where(places < 0, len(texts) - 1, places).astype(np.int64)


def are_filled(texts: pa.StringArray) -> npt.NDArray[np.bool_]:
    """`auditor.claims.texts.is_filled` over an array."""
    filled: npt.NDArray[np.bool_] = pc.match_substring_regex(texts, "[1-9]").to_numpy(zero_copy_only=False).copy()
    rest = np.flatnonzero(~filled)
    filled[rest] = [is_filled(text) for text in texts.take(pa.array(rest)).to_pylist()]
    return filled


def _lacks(column: pa.Array | None, count: int) -> npt.NDArray[np.bool_]:
    texts, places = texts_of(column, count)
    lacks: npt.NDArray[np.bool_] = ~are_filled(texts)[places]
    return lacks
