"""Record batches with a verdict on each row."""

from __future__ import annotations

import json

import pyarrow as pa
import pytest

import auditor
from tests.trials.listings import FOLDER, read

LISTINGS = [row["listing"] for row in read([FOLDER / "listings.jsonl"])]


def test_rows_have_the_verdicts_of_the_call() -> None:
    names = sorted({name for listing in LISTINGS for name in listing})
    columns = {name: [listing.get(name) for listing in LISTINGS] for name in names}
    table = pa.table({"row": list(range(len(LISTINGS))), **columns})
    judged = pa.Table.from_batches(auditor.verdict_batches(table.to_batches(max_chunksize=50)))
    assert judged.column_names == [*table.column_names, "verdict", "grade", "findings"]
    assert judged.select(table.column_names) == table
    for listing, row in zip(LISTINGS, judged.to_pylist(), strict=True):
        alone = auditor.audit_listing(listing)
        assert row["verdict"] == alone.verdict
        found = json.loads(row["findings"] or "[]")
        assert [(one["key"], one["message"]) for one in found] == [(one.key, one.message) for one in alone.findings]


def test_numbers_and_dictionaries_are_read_and_an_empty_batch_stays_empty() -> None:
    batch = pa.record_batch(
        {"marking": pa.array(["225/65R17 102H"] * 2).dictionary_encode(), "max_load_kg": [850.0, 950.0]}
    )
    first, second = auditor.verdict_batches([batch, batch.slice(0, 0)])
    assert first["verdict"].to_pylist() == ["release", "hold"]
    assert (second.num_rows, second.schema) == (0, first.schema)


def test_a_batch_without_a_field_is_an_error() -> None:
    with pytest.raises(auditor.UsageError, match=r"None of the columns \(color\) is a listing field"):
        next(auditor.verdict_batches([pa.record_batch({"color": ["black"]})]))
