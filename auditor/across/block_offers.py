"""What the records of a block offer in place of each other: lists of SKUs and markings, taken apart.

Entries stay numbers, so that a million of them are joined without a loop; each distinct marking is read once.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, NamedTuple

import numpy as np
import numpy.typing as npt
import pyarrow as pa
import pyarrow.compute as pc

from auditor.across.item_numbers import item_numbers, plain
from auditor.across.text_numbers import hash_numbers
from auditor.feeds.model import Feed
from auditor.judging.block.statements import BlockStatements
from auditor.judging.statements import TEXTS
from auditor.substitution.offers import (
    AROUND,
    BETWEEN,
    BRACKETS,
    DECIMAL_COMMA,
    FIELDS,
    FIRST_OF_LIST,
    JOINING,
    LIKE_A_MARKING,
    added_words,
    marking_of,
)
from auditor.trade.facts import FACT_POSITION

Rows = npt.NDArray[np.int64]
ALL_FIELDS = (*FIELDS, *TEXTS)  # texts say what their tire replaces
ENTRY = np.dtype(
    [
        ("row", "<i8"),  # of the listing that makes the offer
        ("sku", "<u8"),
        ("tire", "<u8"),  # where the entry is a marking itself
        ("check", "<u4"),
        ("place", "<i4"),  # among the entries of its cell
        ("field", "i1"),  # place in ALL_FIELDS
    ],
    align=True,
)


class BlockOffers(NamedTuple):
    """The tires of a block, what they are marked with, and what is offered in place of what."""

    tires: npt.NDArray[np.uint64]  # per record; 0 where no marking can be read
    ids: npt.NDArray[np.uint64]  # of distinct tires
    texts: pa.Array  # and their markings
    entries: npt.NDArray[Any]  # of ENTRY


def names_substitutes(feed: Feed) -> bool:
    """Whether a feed has a field that names substitutes, or texts that may."""
    return any(field in ALL_FIELDS for use in feed.mapping.columns for field in use.fields) or any(
        field in feed.mapping.constants for field in ALL_FIELDS
    )


def block_offers(st: BlockStatements, mark: npt.NDArray[Any], columns: Mapping[str, pa.Array]) -> BlockOffers:
    """The tires and offers of a block; `mark` is what each record states of its tire, split fields included."""
    tires, ids, texts = _tires(st, mark)
    parts, more_ids, more_texts = [np.zeros(0, dtype=ENTRY)], [ids], [texts]
    for number, field in enumerate(FIELDS):
        if field in columns:
            entries, own_ids, own_texts = entries_of(number, columns[field])
            parts.append(entries)
            more_ids.append(own_ids)
            more_texts.append(own_texts)
    for field, said in st.replaced.items():
        entries = np.zeros(len(said.rows), dtype=ENTRY)
        entries["row"], entries["field"] = said.rows, ALL_FIELDS.index(field)
        entries["tire"] = hash_numbers(said.markings)[0]
        parts.append(entries)
        more_ids.append(entries["tire"])
        more_texts.append(said.markings)
    return BlockOffers(tires, np.concatenate(more_ids), pa.concat_arrays(more_texts), np.concatenate(parts))


def _tires(st: BlockStatements, mark: npt.NDArray[Any]) -> tuple[Any, Any, pa.Array]:
    """(tire per record, distinct tires, their markings): as read, with what fields of their own add to it."""
    codes = np.asarray(st.governing.codes)
    marked = st.markings.facts
    added = np.zeros(st.count, dtype=np.int64)
    for name, factor in (("version", 1), ("range", 16)):
        own = np.nan_to_num(marked[FACT_POSITION["load_" + name]][codes], nan=-1.0)
        added += np.where(mark[name].astype(np.float64) != own, mark[name].astype(np.int64) + 1, 0) * factor
    snow = (st.first("severe_snow") == 1.0) & ~(marked[FACT_POSITION["severe_snow"]][codes] == 1.0)
    added += np.where(snow, 1 << 16, 0)
    kinds, place = np.unique(codes.astype(np.int64) << 20 | added, return_inverse=True)
    texts = plain(st.markings.word_column("canonical").take(pa.array(kinds >> 20)))
    if added.any():
        extras, which = np.unique(kinds & ((1 << 20) - 1), return_inverse=True)
        words = pa.array([_words(int(extra), st) for extra in extras.tolist()], pa.string()).take(pa.array(which))
        joined = pc.binary_join_element_wise(texts, words, "")
        texts = pc.if_else(pc.equal(texts, ""), "", joined)
    ids = hash_numbers(texts)[0]
    return ids[place], ids, texts


def _words(added: int, st: BlockStatements) -> str:
    """What fields of their own add to a marking, as a marking says it."""
    version, plies, snow = added % 16, added // 16 % 4096, added >> 16
    return added_words(version - 1 if version else None, plies - 1 if plies else None, bool(snow), st.book.tables)


def entries_of(number: int, column: pa.Array) -> tuple[Any, Any, pa.Array]:
    """(entries of a column, distinct tires among them, their markings)."""
    texts = plain(column)
    filled = np.flatnonzero(pc.binary_length(texts).to_numpy(zero_copy_only=False))
    lists = split_cells(texts.take(pa.array(filled)))
    said = lists.flatten()
    entries = np.zeros(len(said), dtype=ENTRY)
    parents = pc.list_parent_indices(lists).to_numpy(zero_copy_only=False)
    entries["row"], entries["field"] = filled[parents], number
    offsets = lists.offsets.to_numpy(zero_copy_only=False)
    entries["place"] = np.arange(len(said)) - (offsets[:-1] - offsets[0])[parents]
    entries["sku"], check = item_numbers(said)
    entries["check"] = check >> np.uint64(32)
    maybe = np.flatnonzero(pc.match_substring_regex(said, LIKE_A_MARKING).to_numpy(zero_copy_only=False))
    some = said.take(pa.array(maybe)).dictionary_encode()
    read = pa.array([marking_of(text) for text in some.dictionary.to_pylist()], pa.string())
    ids = hash_numbers(read)[0]
    if len(maybe):
        entries["tire"][maybe] = ids[some.indices.to_numpy(zero_copy_only=False)]
    return entries[entries["sku"] != 0], ids, read


def split_cells(texts: pa.Array) -> pa.ListArray:
    """`auditor.substitution.offers.parted` over a column."""
    whole = pc.replace_substring_regex(texts, DECIMAL_COMMA, r"\1.\2")
    whole = pc.replace_substring_regex(whole, BRACKETS, "")
    whole = pc.replace_substring_regex(whole, FIRST_OF_LIST, "")
    whole = pc.replace_substring_regex(whole, JOINING, r";\1")
    return pc.split_pattern_regex(pc.utf8_trim(whole, characters=AROUND), BETWEEN)
