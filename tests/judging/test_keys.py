"""Columns of texts are hashed like single texts."""

from __future__ import annotations

import pyarrow as pa
import pytest
from hypothesis import given
from hypothesis import strategies as st

from auditor.judging import keys
from auditor.judging.keys import LONG_TEXT_BYTES, hash_text, hash_texts

texts = st.lists(st.one_of(st.text(max_size=40), st.integers(200, 700).map("ab".__mul__)), max_size=20)


@given(texts, st.integers(0, 2))
def test_columns_are_hashed_like_single_texts(listed: list[str], skipped: int) -> None:
    column = pa.array(["before"] * skipped + listed, pa.string()).slice(skipped)
    assert hash_texts(column).to_pylist() == [hash_text(text) for text in listed]


def test_it_does_not_matter_with_how_many_others_a_text_is_hashed(monkeypatch: pytest.MonkeyPatch) -> None:
    listed = [f"{number} " * (number % 90) for number in range(25)]
    whole = hash_texts(pa.array(listed)).to_pylist()
    monkeypatch.setattr(keys, "_TEXTS_AT_ONCE", 4)
    assert hash_texts(pa.array(listed)).to_pylist() == whole == [hash_text(text) for text in listed]


@pytest.mark.parametrize("size", [0, 1, LONG_TEXT_BYTES, LONG_TEXT_BYTES + 1, 5000])
def test_texts_of_any_length_differ_by_one_character(size: int) -> None:
    one, two = hash_texts(pa.array(["x" * size + "a", "x" * size + "b"])).to_pylist()
    assert one != two
    assert one == hash_text("x" * size + "a")
