"""What a block's sales texts are read beside where no cell says it; the twin of `auditor.claims.told_by_texts`."""

from __future__ import annotations

import numpy as np
import pyarrow as pa

from auditor.claims.batch.arrays import Ints
from auditor.claims.batch.owns import Owns
from auditor.claims.batch.quoted_cells import texts_of
from auditor.claims.terms.words import OWN
from auditor.claims.texts import MOST_OCCURRENCES
from auditor.claims.told_by_texts import Told, told_by_text
from auditor.columns.value_cache import Codes, TextSnapshot, distinct

_CLAIMED = ("marking", "service_description")


def with_told(
    own: list[pa.Array | None], owns: Owns, codes: Codes, texts: TextSnapshot
) -> list[pa.Array | None] | None:
    """The own columns with what texts tell the records whose cells have no service description; None: as they are.

    `owns` are those of the columns, `codes` the readings of the records' texts.
    """
    lacks = np.flatnonzero((owns.service[owns.places] < 0) & (codes > 0))
    if not len(lacks):
        return None
    claimed = [_claimed(texts, field) for field in _CLAIMED]
    if not any(claimed):
        return None
    sizes = owns.size[owns.places[lacks]]
    first, of = distinct([codes[lacks].astype(np.int64), sizes.astype(np.int64)])
    told = []
    for code, size in zip(codes[lacks[first]].tolist(), sizes[first].tolist(), strict=True):
        text = owns.vocabulary.tokens[size] if size >= 0 else ""
        said = ([words[places[code]] for words, places in of_field] for of_field in claimed)
        told.append(told_by_text(text, *([text if words == OWN else words for words in one] for one in said)))
    if all(one == Told() for one in told):
        return None
    marking, size_column, service, *names = own
    count = len(codes)
    marking = _put(marking, [one.marking or None for one in told], of, lacks, count)
    service = _put(service, [one.service for one in told], of, lacks, count)
    return [marking, size_column, service, *names]


def _claimed(readings: TextSnapshot, field: str) -> list[tuple[list[str], Ints]]:
    """By occurrence the words in which a field is claimed, and for every reading the place of its own among them."""
    every = (readings.values.get((field, occurrence)) for occurrence in range(MOST_OCCURRENCES))
    found = (values.distinct_words for values in every if values is not None)
    return [(texts.to_pylist(), places) for texts, places in found]


def _put(column: pa.Array | None, told: list[str | None], of: Ints, rows: Ints, count: int) -> pa.Array | None:
    """A column with what is told some rows, where it is told."""
    if all(one is None for one in told):
        return column
    texts, places = texts_of(column, count)
    said = np.array([one is not None for one in told])[of]
    places = places.copy()
    places[rows[said]] = len(texts) + of[said]
    return pa.DictionaryArray.from_arrays(
        pa.array(places.astype(np.int32)), pa.concat_arrays([texts, pa.array(told, pa.string())])
    )
