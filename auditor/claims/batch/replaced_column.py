"""The tires that the texts of a column say theirs stand in for: `auditor.claims.replaced` over a column."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
import numpy.typing as npt
import pyarrow as pa
import pyarrow.compute as pc

from auditor.claims.replaced import replaced_in, sentence_pattern, words_pattern
from auditor.claims.terms.lexicon import Lexicon


class Replaced(NamedTuple):
    """What the texts of a block say: the record of each claim, and the marking of the tire that is replaced."""

    rows: npt.NDArray[np.int64]
    markings: pa.Array


def replaced_in_column(column: pa.Array, lexicon: Lexicon, words: frozenset[str]) -> Replaced:
    """The claims of a column: the first sentence of each text that holds one of the words, each distinct one once."""
    texts = (column.fill_null("") if column.null_count else column).cast(pa.string())
    may = pc.match_substring_regex(texts, words_pattern(words))
    rows = np.flatnonzero(may.to_numpy(zero_copy_only=False))
    sentences_of = pc.struct_field(pc.extract_regex(texts.take(pa.array(rows)), sentence_pattern(words)), "sentence")
    coded = sentences_of.fill_null("").dictionary_encode()
    said = [replaced_in(text, lexicon, words) for text in coded.dictionary.to_pylist()]
    counts = np.array([len(one) for one in said], dtype=np.int64)
    codes = coded.indices.to_numpy(zero_copy_only=False)
    starts = np.cumsum(counts) - counts
    of_row = counts[codes] if len(codes) else counts
    first = np.repeat(starts[codes], of_row) if len(codes) else starts
    behind = np.arange(len(first)) - np.repeat(np.cumsum(of_row) - of_row, of_row)
    flat = pa.array([marking for one in said for marking in one], pa.string())
    return Replaced(np.repeat(rows, of_row), flat.take(pa.array(first + behind)))
