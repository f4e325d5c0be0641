"""Who the records of a block are: supplier and identifiers as listed, and what a listing is known by."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np
import numpy.typing as npt
import pyarrow as pa
import pyarrow.compute as pc

from auditor.judging.block.feed_plan import FeedPlan
from auditor.judging.block.statements import BlockStatements
from auditor.rulebook.finding import GRADES

KEY_FIELDS = ("sku", "part_number", "gtin", "marking", "size")


def listing_keys(count: int, text_of: Callable[[str], pa.Array | None]) -> pa.Array:
    """`auditor.programs.one_listing.listing_key` over records; `text_of` gives a field's texts or None."""
    key: Any = None
    for name in KEY_FIELDS:
        given = text_of(name)
        if given is None:
            continue
        texts = pc.utf8_trim_whitespace(given)
        filled = pc.not_equal(texts, "")
        if key is None and pc.all(filled).as_py():  # as is usual
            return pc.binary_join_element_wise(name + "=", texts, "")
        key = pa.repeat("", count) if key is None else key
        named = pc.and_(pc.equal(key, ""), filled)
        key = pc.if_else(named, pc.binary_join_element_wise(name + "=", texts, ""), key)
        if not pc.any(pc.equal(key, "")).as_py():
            break
    return pa.repeat("", count) if key is None else key


def _is_blank(texts: pa.Array) -> pa.Array:
    return pc.equal(pc.utf8_trim_whitespace(texts), "")


class RecordIdentity:
    """Who a record is: supplier and identifiers, as listed."""

    def __init__(self, plan: FeedPlan, st: BlockStatements) -> None:
        self.plan = plan
        self.st = st
        self.positions = {source.field: source.position for source in plan.sources}

    def text(self, name: str, rows: npt.NDArray[np.int64]) -> pa.Array:
        """An identity column for some records; "" where the feed has none; the supplier falls back to the feed's."""
        position = self.positions.get(name, -1)
        given = position in self.st.raw
        texts = self.st.raw[position].take(pa.array(rows)).cast(pa.string()).fill_null("") if given else None
        if name != "supplier":
            return pa.repeat("", len(rows)) if texts is None else texts
        joined = self.st.joined
        default = pa.repeat(self.plan.supplier, len(rows)) if joined is None else joined.suppliers(rows)
        return default if texts is None else pc.if_else(_is_blank(texts), default, texts)

    def key_supplier(self, rows: npt.NDArray[np.int64]) -> pa.Array:
        """The supplier in the keys of some records' findings, which is the same every night."""
        joined = self.st.joined
        default = pa.repeat(self.plan.known_as, len(rows)) if joined is None else joined.known_as(rows)
        position = self.positions.get("supplier")
        if position is None or position not in self.st.raw:
            return default
        texts = pc.utf8_trim_whitespace(self.st.raw[position].take(pa.array(rows)).cast(pa.string()).fill_null(""))
        return pc.if_else(pc.equal(texts, ""), default, texts)

    def listing_key(self, rows: npt.NDArray[np.int64]) -> pa.Array:
        """What the listings of some records are known by; see `listing_keys`."""
        listed = {name for name in KEY_FIELDS if name in self.positions and self.positions[name] in self.st.raw}
        return listing_keys(len(rows), lambda name: self.text(name, rows) if name in listed else None)

    def suppliers(self) -> tuple[pa.Array, npt.NDArray[np.int64] | None]:
        """(names, place of each record's supplier among them); None for the places where the feed has but one.

        Of joined feeds the names bear the mark of their feed.
        """
        joined = self.st.joined
        position = self.positions.get("supplier")
        if position is None or position not in self.st.raw:
            return (pa.array([self.plan.supplier]), None) if joined is None else joined.apart(None, None)
        column = self.st.raw[position]
        if not pa.types.is_dictionary(column.type):
            column = column.dictionary_encode()
        texts = column.dictionary.cast(pa.string()).fill_null("")
        texts = pa.concat_arrays([texts, pa.array([""])])  # the last for records that name none
        codes = column.indices.fill_null(len(texts) - 1).to_numpy().astype(np.int64)
        if joined is not None:
            return joined.apart(texts, codes)
        return pc.if_else(_is_blank(texts), self.plan.supplier, texts), codes

    def supplier_counts(self, worst: npt.NDArray[np.int8]) -> pa.Table:
        """Records by supplier and worst grade."""
        kinds = len(GRADES) + 1
        names, codes = self.suppliers()
        counts = np.bincount(worst if codes is None else codes * kinds + worst, minlength=kinds)
        found = np.flatnonzero(counts)
        return pa.table(
            {
                "supplier": names.take(pa.array(found // kinds)),
                "worst": pa.array(found % kinds, pa.int8()),
                "count": pa.array(counts[found]),
            }
        )
