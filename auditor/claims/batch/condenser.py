"""Whole columns of titles and sales texts, reduced to the few stretches that can hold a claim.

`read_claims(condensed) == read_claims(original)` for every text, and condensed texts repeat where originals do not, so
that each distinct one is read once.  The stretches of a sentence are looked for once, whatever its digits are; a single
`_`, filler to `auditor.claims.find`, takes the place of all that lies between two stretches.

Texts that name two sizes, or a size and a word such as "fits", are judged by distance and by sentence; in those,
every word between the stretches becomes one `_`, and ends of sentences stay.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np
import numpy.typing as npt
import pyarrow as pa
import pyarrow.compute as pc

from auditor.claims.batch.sentences import sentences_of
from auditor.claims.batch.stretches import (
    CLOSE,
    NO_STRETCHES,
    OPEN,
    Codes,
    Stretches,
    gathered,
    holding_marks,
    marked,
    others_in,
    sizes_in,
    stretches_of,
)
from auditor.columns.digit_shapes import Bytes, Offsets, characters_of

_STOPS = r"[.;!?|\n\x{2022}]"
_KEEP_DOTS = r"[0-9]\.[0-9]|(?i:max|approx|li)\."  # dots that end no sentence
_ENCODED = pa.dictionary(pa.int32(), pa.string())
_FAR = "_ _ _ _ _ _ _ _ _"  # more words apart than any rule looks
_FAR_WITH_STOP = "_ _ _ _ _._ _ _ _ _"
_MOST_SENTENCES = 60_000  # that are kept
_MOST_CHARACTERS = 8 << 20  # of them


def condense(texts: pa.Array | pa.ChunkedArray) -> pa.Array:
    """Condensed texts, one string per text in order; "" where no claim can be, also for nulls.

    `read_claims` gives the same claims, with the same words, for a text and for its condensed form.
    """
    return condense_encoded(texts).cast(pa.string())


def condense_encoded(texts: pa.Array | pa.ChunkedArray) -> pa.DictionaryArray:
    """As `condense`, as codes (int32) into the distinct condensed texts."""
    if isinstance(texts, pa.ChunkedArray):
        chunks = pa.chunked_array([condense_encoded(chunk) for chunk in texts.chunks], _ENCODED)
        return chunks.unify_dictionaries().combine_chunks() if texts.num_chunks else pa.array([], _ENCODED)
    return Condenser().condense([texts])[0]


class _Known(NamedTuple):
    """Sentences, their digits all 0, and the stretches of each."""

    keys: pa.StringArray
    stretches: Stretches

    def taken(self, rows: npt.NDArray[np.int64]) -> _Known:
        return _Known(self.keys.take(pa.array(rows)), self.stretches.taken(rows))

    def joined(self, more: _Known) -> _Known:
        if len(self.keys) == 0:
            return more
        return _Known(pa.concat_arrays([self.keys, more.keys]), self.stretches.joined(more.stretches))

    def is_small(self) -> bool:
        return len(self.keys) <= _MOST_SENTENCES and self.keys.nbytes <= _MOST_CHARACTERS


_NONE = pa.array([], pa.string())


class Condenser:
    """Condenses columns of texts, block after block.  Thread-safe: what is kept only saves repeated work."""

    __slots__ = ("_known",)

    def __init__(self) -> None:
        self._known = _Known(pa.array([], pa.string()), NO_STRETCHES)

    def condense(self, columns: Sequence[pa.Array]) -> list[pa.DictionaryArray]:
        """For each column codes (int32) into its distinct condensed texts."""
        columns = [pc.fill_null(texts.cast(pa.string()), "") for texts in columns]
        joined = [characters_of(texts) for texts in columns]
        sentences = [sentences_of(data, offsets) for data, offsets in joined]
        coded, found = self._look_up([own.keys for own in sentences])
        cuts = [(own.bounds, own.first) for own in sentences]
        del sentences  # their characters are as many as those of the texts
        return [
            _condensed(texts, data, cut[0], cut[1], codes, found)
            for texts, (data, _), cut, codes in zip(columns, joined, cuts, coded, strict=True)
        ]

    def _look_up(self, columns: list[pa.StringArray]) -> tuple[list[Codes], Stretches]:
        """Which sentences these are, and the stretches of those."""
        known = self._known
        found = [pc.index_in(keys, known.keys) for keys in columns]
        if not any(codes.null_count for codes in found):
            return [codes.to_numpy() for codes in found], known.stretches
        unknown = [codes.is_null() for codes in found]
        new = pa.concat_arrays(
            [keys.filter(own) for keys, own in zip(columns, unknown, strict=True)]
        ).dictionary_encode()
        fresh = _Known(new.dictionary, stretches_of(new.dictionary))
        numbers = new.indices.to_numpy() + np.int32(len(known.keys))
        coded, start = [], 0
        for codes, own in zip(found, unknown, strict=True):
            positions = codes.fill_null(0).to_numpy().copy()
            positions[own.to_numpy(zero_copy_only=False)] = numbers[start : start + codes.null_count]
            start += codes.null_count
            coded.append(positions)
        every = known.joined(fresh)
        self._keep(known, fresh, every, new.indices)
        return coded, every.stretches

    def _keep(self, known: _Known, fresh: _Known, every: _Known, uses: pa.Array) -> None:
        """Keeps all sentences while there is room, then those that come again within a block."""
        if every.is_small():
            self._known = every
            return
        often = fresh.taken(np.flatnonzero(np.bincount(uses.to_numpy(), minlength=len(fresh.keys)) > 1))
        for kept in (known.joined(often), often):
            if kept.is_small():
                self._known = kept
                return


def _condensed(
    texts: pa.StringArray,
    data: Bytes,
    bounds: Offsets,
    first: npt.NDArray[np.int64],
    codes: Codes,
    found: Stretches,
) -> pa.DictionaryArray:
    condensed = gathered(data, bounds, first, codes, found).dictionary_encode()
    special = _naming_other_tires(first, codes, found)
    if special is None:
        return condensed
    counted = _counted(texts.filter(special))
    return pc.replace_with_mask(condensed.cast(pa.string()), special, counted).dictionary_encode()


def _naming_other_tires(first: npt.NDArray[np.int64], codes: Codes, found: Stretches) -> pa.BooleanArray | None:
    """Texts with two sizes, or with a size and a word such as "fits": distance and sentences matter in them."""
    if not found.sizes.any():
        return None
    sizes = _by_text(first, found.sizes[codes])
    others = _by_text(first, found.others[codes])
    special = (sizes > 1) | (sizes > 0) & (others > 0)
    return pa.array(special) if special.any() else None


def _by_text(first: npt.NDArray[np.int64], counts: npt.NDArray[np.int8] | npt.NDArray[np.bool_]) -> Codes:
    """The sums over the sentences of every text."""
    sums = np.zeros(len(counts) + 1, np.int32)
    np.cumsum(counts, out=sums[1:])
    return np.diff(sums[first])


def naming_other_tires(condensed: pa.Array) -> pa.Array:
    """The same of condensed texts."""
    sizes = sizes_in(condensed)
    return pa.array((sizes > 1) | (sizes > 0) & others_in(condensed))


def _counted(texts: pa.StringArray) -> pa.Array:
    """Texts in which distance and sentences matter."""
    counted = _with_words_counted(marked(texts))
    whole = holding_marks(texts)
    return counted if whole is None else pc.if_else(whole, texts, counted)


def _with_words_counted(marked: pa.Array) -> pa.Array:
    """Marked texts without the marks; each word of a gap becomes one `_` (long gaps the same nine), and stops stay."""
    parts = pc.split_pattern(pc.replace_substring(marked, CLOSE, OPEN), OPEN)
    offsets = np.asarray(parts.offsets)
    counts = np.diff(offsets)
    place_in_row = np.arange(offsets[-1] - offsets[0]) - np.repeat(offsets[:-1] - offsets[0], counts)
    pieces = parts.flatten()
    is_gap = pa.array(place_in_row % 2 == 0)
    joined = pa.ListArray.from_arrays(
        pa.array((offsets - offsets[0]).astype(np.int32)), pc.if_else(is_gap, _mask_gaps(pieces), pieces)
    )
    return pc.binary_join(joined, "")


def _mask_gaps(gaps: pa.Array) -> pa.Array:
    masked = pc.replace_substring_regex(gaps, r"[^\s.;!?|\x{2022}]+", "_")
    masked = pc.replace_substring_regex(masked, r"[ \t\f\r]+", " ")
    masked = pc.replace_substring_regex(masked, r" ?\n[ \n]*", "\n")
    far = pc.greater(pc.count_substring_regex(masked, r"\s+"), 8)
    stop = pc.match_substring_regex(masked, _STOPS)
    masked = pc.if_else(far, pc.if_else(stop, _FAR_WITH_STOP, _FAR), masked)
    return pc.if_else(pc.match_substring_regex(gaps, _KEEP_DOTS), gaps, masked)
