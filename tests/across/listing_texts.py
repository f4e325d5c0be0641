"""The texts of the few listings that a finding across listings is about, read from a block that is kept in memory."""

from __future__ import annotations

from typing import Any

import numpy as np
import numpy.typing as npt
import pyarrow as pa
import pyarrow.compute as pc

from auditor.across.facts import CELLS
from auditor.judging.block.feed_plan import FeedPlan
from auditor.judging.block.identity import RecordIdentity
from auditor.judging.block.statements import BlockStatements
from auditor.judging.statements import TEXTS

IDENTITY = ("supplier", "sku", "part_number", "gtin", "brand", "model")
TEXT_FIELDS = tuple(dict.fromkeys((*IDENTITY, *CELLS[1:])))


def listing_texts(plan: FeedPlan, st: BlockStatements, rows: npt.NDArray[np.int64]) -> dict[str, pa.Array]:
    """Raw texts of some rows of a block, by field; `canonical` is the marking as read, `column:<field>` the header.

    For title and description the text is the claim's own words.
    """
    identity = RecordIdentity(plan, st)
    positions = {source.field: source.position for source in reversed(plan.sources)}
    headers = {source.field: source.header for source in reversed(plan.sources)}
    result: dict[str, pa.Array] = {}
    for field in TEXT_FIELDS:
        position = positions.get(field, -1)
        if field == "supplier" or position in st.raw:
            result[field] = identity.text(field, rows)
        elif field in TEXTS and position in st.texts:
            result[field] = _claimed_words(st, position, rows)
        else:
            result[field] = _cell_texts(st, position, rows) if position in st.texts else pa.repeat("", len(rows))
        result["column:" + field] = pa.repeat(headers.get(field, ""), len(rows))
    result["key_supplier"] = identity.key_supplier(rows)
    canonical = st.markings.word_column("canonical")
    result["canonical"] = canonical.take(pa.array(st.governing.codes[rows]))
    return result


def _cell_texts(st: BlockStatements, position: int, rows: Any) -> pa.Array:
    coded = st.texts[position]
    return coded.snapshot.keys.take(pa.array(coded.codes[rows])).cast(pa.string())


def _claimed_words(st: BlockStatements, position: int, rows: Any) -> pa.Array:
    """The size that a text claims, in its own words."""
    coded = st.texts[position]
    for about in ("marking", "service_description"):
        values = coded.snapshot.values.get((about, 0))
        if values is not None:
            said = values.words(coded.codes[rows])
            break
    else:
        said = pa.repeat("", len(rows))
    whole = st.whole_texts.get(position)
    if whole is None:
        return said
    return pc.if_else(pc.equal(said, ""), whole.take(pa.array(rows)).cast(pa.string()).fill_null(""), said)
