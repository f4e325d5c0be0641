"""Columns of texts read by shape say what the same texts say one by one."""

from __future__ import annotations

import json
import re
from pathlib import Path

import numpy as np
import pyarrow as pa
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from auditor.claims.batch import claim_reader as claim_columns
from auditor.claims.batch.claim_reader import ClaimReader
from auditor.claims.batch.condenser import condense
from auditor.claims.claimed_values import parse_claims
from auditor.columns.value_cache import TextSnapshot
from auditor.rulebook.book import load_book

REFERENCE = Path(__file__).parents[2] / "reference" / "claims.jsonl"
TEXTS = [json.loads(line)["text"] for line in REFERENCE.read_text(encoding="utf-8").splitlines()]
TABLES = load_book().tables
Said = dict[tuple[str, int], tuple[float, float, bool, str]]


def said_by_columns(snapshot: TextSnapshot, codes: np.ndarray) -> list[Said]:
    rows: list[Said] = [{} for _ in codes]
    for key, values in snapshot.values.items():
        words = values.words(codes).to_pylist()
        columns = (values.value[codes], values.half_step[codes], values.open_ended[codes])
        for row, value, half, more, own in zip(rows, *(column.tolist() for column in columns), words, strict=True):
            if own:
                row[key] = (value, half, more, own)
    return rows


def encoded(reader: ClaimReader, *columns: pa.Array) -> list[tuple[np.ndarray, TextSnapshot]]:
    """For each column the code of every record, and the snapshot."""
    return [(codes[positions], snapshot) for codes, snapshot, positions in reader.encode(columns)]


def said_alone(text: str) -> Said:
    return {
        (said.field, said.occurrence): (said.value, said.half_step, said.open_ended, said.words)
        for said in parse_claims(text, TABLES).said
    }


def check(batch: list[str]) -> None:
    ((codes, snapshot),) = encoded(ClaimReader(TABLES), pa.array(batch))
    for text, found in zip(batch, said_by_columns(snapshot, codes), strict=True):
        assert repr(sorted(found.items())) == repr(sorted(said_alone(text).items())), text


def with_digits(text: str, digits: str) -> str:
    following = iter(digits)
    return re.sub("[0-9]", lambda found: next(following, found.group()), text)


digits = st.lists(st.text("0123456789", min_size=8, max_size=24), min_size=6, max_size=40)


@settings(max_examples=150)
@given(st.sampled_from([text for text in TEXTS if re.search("[0-9]", text)]), digits)
def test_texts_of_one_shape(text: str, digits: list[str]) -> None:
    check([text, *(with_digits(text, some) for some in digits)])


@settings(max_examples=60)
@given(st.lists(st.sampled_from(TEXTS), min_size=2, max_size=4), digits)
def test_joined_texts_of_one_shape(pieces: list[str], digits: list[str]) -> None:
    text = ", ".join(pieces)
    check([text, *(with_digits(text, some) for some in digits)])


def test_numbers_whose_size_decides() -> None:
    batch = []
    for number in [*range(400), *range(1000, 1100, 9)]:
        batch += [
            f"Max load {number} kg", f"Max load {number} lb", f"{number} mph", f"up to {number} mph", f"{number} km/h",
            f"up to {number} km/h", f"{number}-ply", f"ply rating {number}", f"load index {number}",
            f"load index {number}/{number}", f"Max load {number}.5 kg", f"{number}PMSF", f"{number} 850 kg max load",
            f"max load 1,{number % 1000:03d} kg", f"155A{number % 10} 225/65R17", f"load index {number}A{number % 10}",
        ]  # fmt: skip
    check(batch)


def test_reference_texts() -> None:
    check(TEXTS)
    check([text for text in TEXTS for _ in range(5)])
    check([f"{text} " * 2 for text in TEXTS])


def test_codes_point_at_the_condensed_text() -> None:
    batch = ["up to 130 mph", None, "nothing here", "quiet 10-ply"]
    ((codes, snapshot),) = encoded(ClaimReader(TABLES), pa.array(batch))
    assert snapshot.keys.take(pa.array(codes)).to_pylist() == condense(pa.array(batch)).to_pylist()
    assert snapshot.status[codes].tolist() == [1, 0, 0, 1]


def test_columns_have_their_own_claims() -> None:
    titles, texts = (
        pa.array(["225/65R17 102H", ""]),
        pa.array(["max load 850 kg", "225/65R17 102H"]).dictionary_encode(),
    )
    (codes, snapshot), (others, theirs) = encoded(ClaimReader(TABLES), titles, texts)
    assert list(snapshot.values) == [("marking", 0)]
    assert snapshot.values[("marking", 0)].words(codes).to_pylist() == ["225/65R17 102H", ""]
    assert list(theirs.values) == [("marking", 0), ("max_load_kg", 0)]
    assert theirs.values[("max_load_kg", 0)].value[others].tolist()[:1] == [850.0]


def test_no_texts_at_all() -> None:
    ((codes, snapshot),) = encoded(ClaimReader(TABLES), pa.array([], pa.string()))
    assert len(codes) == 0
    assert snapshot.values == {}


@pytest.mark.parametrize("most", [60_000, 60, 1])
def test_what_is_kept_never_shows(monkeypatch: pytest.MonkeyPatch, most: int) -> None:
    monkeypatch.setattr(claim_columns, "_MOST_TEXTS", most)
    reader = ClaimReader(TABLES)
    for first in range(100, 140, 10):
        batch = [f"{number} mph and {text}" for number in range(first, first + 10) for text in TEXTS[:40]]
        batch += [f"2{number % 10}5/65R17, {number % 7 + 98}H" for number in range(first, first + 10)]
        for (codes, snapshot), texts in zip(
            encoded(reader, pa.array(batch), pa.array(batch[::-1])), (batch, batch[::-1]), strict=True
        ):
            for text, found in zip(texts, said_by_columns(snapshot, codes), strict=True):
                assert repr(sorted(found.items())) == repr(sorted(said_alone(text).items())), text
            words, where = snapshot.values[("marking", 0)].distinct_words
            own = snapshot.values[("marking", 0)].words(codes).to_pylist()
            assert words.take(pa.array(where[codes])).to_pylist() == own
            assert len(set(words.to_pylist())) == len(words)


def test_a_block_has_the_values_that_its_texts_state() -> None:
    reader = ClaimReader(TABLES)
    encoded(reader, pa.array(["up to 130 mph", "10-ply"]))
    ((codes, snapshot),) = encoded(reader, pa.array(["max load 850 kg", "10-ply"]))
    assert list(snapshot.values) == [("max_load_kg", 0), ("ply_rating", 0)]
    assert snapshot.values[("ply_rating", 0)].value[codes].tolist()[1:] == [10.0]


@settings(max_examples=60)
@given(
    st.lists(st.tuples(st.sampled_from(TEXTS), st.sampled_from([" quiet ", ". Calm ride. ", " "])), max_size=6), digits
)
def test_texts_of_several_pieces(parts: list[tuple[str, str]], digits: list[str]) -> None:
    text = "".join(piece + gap for piece, gap in parts)
    check([text, *(with_digits(text, some) for some in digits)])


def test_seasons_that_differ_from_piece_to_piece() -> None:
    winter, summer = "A winter tire", "a summer tire"
    check(
        [f"{winter} quietly beats {summer}", f"{winter} quietly, {winter}", f"{winter}, {summer} quietly {winter}"] * 5
    )
