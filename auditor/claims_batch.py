"""Whole columns of titles and sales texts, reduced to the few stretches that can hold a claim.

`read_claims(condensed) == read_claims(original)` for every text, and condensed texts repeat where originals do not, so
that each distinct one is read once.  One pattern marks the stretches: runs of known words and numbers with at least one
word or number in them that a claim needs.  Between two stretches there is always a word that `auditor.claims` takes
for filler; a single `_`, also filler, takes the place of all of it.

Texts that name two sizes, or a size and a word such as "fits", are judged by distance and by sentence; in those,
every word between the stretches becomes one `_`, and ends of sentences stay.
"""

from __future__ import annotations

import numpy as np
import pyarrow as pa
import pyarrow.compute as pc

from auditor.claim_words import CONSTRUCTION, DASHED_CORE, KIND_OF_WORD, LETTERS, PLAIN_CORES, SYMBOL
from auditor.digit_shapes import shapes_of

_BETWEEN = rf"[^{LETTERS}0-9_]"
_UNITS = "lbs?|pounds?|kgs?|kilograms?|kilos?|mph|km|kmh|kph|psi|kpa|bar|ply|plies|pr"
_SIZE_PARTS = "lt|st|hl|if|vf|z?rf?|[hvs]r|tr|tt|tl|sl|pmsf|lr[b-n]?|[a-z]"
_NUMBER = rf"(?:LT|ST|HL|IF|VF|P|T|M[A-Z]|{CONSTRUCTION})?[0-9]{{1,6}}(?:[A-Za-z]{{1,9}}[0-9]{{0,3}}[A-Za-z]{{0,4}})?"
_ANCHOR_KINDS = frozenset({
    "rated", "index", "range", "symbol", "ply", "count", "xl", "extra", "reinforced", "standard", "snowflake", "mud",
    "snow", "winter", "summer", "season", "winter-tire", "summer-tire", "all-season-tire", "terrain", "other",
    "more-of-them",
})  # fmt: skip


def _words_of(kinds: frozenset[str] | None) -> str:
    return "|".join(sorted(word for word, kind in KIND_OF_WORD.items() if kinds is None or kind in kinds))


_TOKEN = rf"(?:(?i:{_words_of(None)}|{_UNITS}|{_SIZE_PARTS})|{_NUMBER})"
_ANCHOR = (
    rf"(?:(?i:{_words_of(_ANCHOR_KINDS)}|pmsf|lr[b-n]?|speedindex|geschwindigkeitsindex)"
    r"|(?:LT|ST|HL|IF|VF|P|T|M[A-Z])?[0-9]{1,6}[A-Za-z]{1,9}[0-9]{0,3}[A-Za-z]{0,4}"
    rf"|[0-9]{{1,6}} ?\+?[ -]?(?i:{_UNITS})"
    rf"|[0-9]{{2,3}}/[0-9]{{2,3}}|[0-9]{{1,2}}-[0-9]{{2}}|(?:{CONSTRUCTION}) ?[0-9]{{2}}"
    rf"|M ?[+&/] ?S|[AM]/T|{SYMBOL}[ -](?i:speed))"
)
_STRETCH = rf"(?:^{_BETWEEN}*|{_BETWEEN}+)(?:{_TOKEN}{_BETWEEN}+)*{_ANCHOR}(?:{_BETWEEN}+{_TOKEN})*(?:{_BETWEEN}+|$)"
_OPEN, _CLOSE = 1, 2  # control characters that mark a stretch; texts that contain them stay whole
_CORE = rf"(?:{PLAIN_CORES}|{DASHED_CORE})"
_OTHER_TIRES = rf"(?i)\b(?:{_words_of(frozenset({'other', 'more-of-them'}))})\b"
_STOPS = r"[.;!?|\n\x{2022}]"
_KEEP_DOTS = r"[0-9]\.[0-9]|(?i:max|approx|li)\."  # dots that end no sentence
_LINKS = _words_of(frozenset({"link"}))
_LINKS_BEFORE = rf"(?i)(?:[ \t]+(?:{_LINKS}))+[ \t]+_"
_LINKS_AFTER = rf"(?i)_[ \t]+(?:(?:{_LINKS})[ \t]+)+"
_LINKED = rf"{_LINKS_BEFORE}|{_LINKS_AFTER}"
_ENCODED = pa.dictionary(pa.int32(), pa.string())
_FEW_SHAPES = 8  # texts per shape from which on reading costs less than dropping what makes shapes differ
_FAR = "_ _ _ _ _ _ _ _ _"  # more words apart than any rule looks
_FAR_WITH_STOP = "_ _ _ _ _._ _ _ _ _"


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
    texts = pc.fill_null(texts.cast(pa.string()), "")
    whole = _holding_marks(texts)
    if whole is not None:
        rest = condense(pc.if_else(whole, "", texts))
        return pc.if_else(whole, texts, rest).dictionary_encode()
    marked = pc.replace_substring_regex(texts, _STRETCH, "\x01\\0\x02")
    del texts  # whole columns of texts: not to be held twice
    condensed = _stretches_only(marked).dictionary_encode()
    shapes = shapes_of(condensed.dictionary)
    special = naming_other_tires(shapes.dictionary).take(shapes.indices)
    linked = pc.match_substring_regex(shapes.dictionary, _LINKED).take(shapes.indices)
    if linked.true_count and len(shapes.dictionary) * _FEW_SHAPES > len(condensed.dictionary):
        shorter = _without_links(condensed.dictionary, pc.and_not(linked, special)).dictionary_encode()
        condensed = pa.DictionaryArray.from_arrays(shorter.indices.take(condensed.indices), shorter.dictionary)
        flags = np.zeros(len(shorter.dictionary), dtype=np.bool_)
        flags[shorter.indices.to_numpy()[special.to_numpy(zero_copy_only=False)]] = True
        special = pa.array(flags)
    if special.true_count == 0:
        return condensed
    rows = special.take(condensed.indices)
    counted = _with_words_counted(marked.filter(rows))
    return pc.replace_with_mask(condensed.cast(pa.string()), rows, counted).dictionary_encode()


def _without_links(condensed: pa.Array, rows: pa.Array) -> pa.Array:
    """Drops the connecting words beside gaps: a claim never begins or ends with them."""
    shorter = pc.replace_substring_regex(condensed.filter(rows), _LINKS_BEFORE, " _")
    return pc.replace_with_mask(condensed, rows, pc.replace_substring_regex(shorter, _LINKS_AFTER, "_ "))


def _holding_marks(texts: pa.Array) -> pa.Array | None:
    """Which texts hold the marking characters themselves; None, and cheaply so, where none does."""
    data = texts.buffers()[2]
    if data is None:
        return None
    characters = np.frombuffer(data, dtype=np.uint8)
    if len(characters) == 0 or characters.min() > _CLOSE:
        return None
    whole = pc.match_substring_regex(texts, "[\x01\x02]")
    return whole if pc.any(whole).as_py() else None


def _stretches_only(marked: pa.Array) -> pa.Array:
    """Cuts the marked stretches out of their texts; a mark inside a text becomes the filler `_`.

    All cutting is one filter: stretches and gaps alternate as slices of the same characters, and every second goes.
    """
    offsets = np.frombuffer(marked.buffers()[1], dtype=np.int32)[marked.offset : marked.offset + len(marked) + 1]
    data = marked.buffers()[2]
    characters = np.frombuffer(data, dtype=np.uint8) if data is not None else np.zeros(0, np.uint8)
    characters = characters[: offsets[-1]]
    marks = np.flatnonzero((characters - np.uint8(_OPEN)) < 2).astype(np.int32)  # both, in turn
    if len(marks) == 0:
        return pa.array([""], pa.string()).take(pa.array(np.zeros(len(marked), np.int32)))
    opens, closes = marks[0::2], marks[1::2]
    rows = np.searchsorted(offsets, opens, side="right") - 1
    starts = opens + (opens == offsets[rows])  # a mark at the very beginning or end stands for nothing
    ends = closes + 1 - (closes + 1 == offsets[rows + 1])
    bounds = np.empty(2 * len(opens), np.int32)
    bounds[0::2] = starts
    bounds[1::2] = ends
    slices = pa.StringArray.from_buffers(len(bounds) - 1, pa.py_buffer(bounds), data)
    keep = np.zeros(len(slices), bool)
    keep[0::2] = True
    kept = slices.filter(pa.array(keep))
    letters = np.frombuffer(kept.buffers()[2], dtype=np.uint8).copy()
    letters[(letters - np.uint8(_OPEN)) < 2] = ord("_")
    piece_offsets = np.frombuffer(kept.buffers()[1], dtype=np.int32)[kept.offset : kept.offset + len(kept) + 1]
    row_offsets = piece_offsets[np.searchsorted(opens, offsets)].astype(np.int32)
    return pa.StringArray.from_buffers(len(marked), pa.py_buffer(row_offsets), pa.py_buffer(letters))


def naming_other_tires(condensed: pa.Array) -> pa.Array:
    """Texts with two sizes, or with a size and a word such as "fits": distance and sentences matter in them."""
    with_size = pc.match_substring_regex(condensed, _CORE)
    two_sizes = pc.match_substring_regex(condensed, rf"(?s){_CORE}.*{_CORE}")
    return pc.or_(two_sizes, pc.and_(with_size, pc.match_substring_regex(condensed, _OTHER_TIRES)))


def _with_words_counted(marked: pa.Array) -> pa.Array:
    """As `_stretches_only`, but each word of a gap becomes one `_` (long gaps the same nine), and stops stay."""
    parts = pc.split_pattern(pc.replace_substring(marked, "\x02", "\x01"), "\x01")
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
