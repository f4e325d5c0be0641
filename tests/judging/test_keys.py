"""Columns of texts are hashed like single texts."""

from __future__ import annotations

import pyarrow as pa
from hypothesis import given
from hypothesis import strategies as st

from auditor.judging.keys import hash_text, hash_texts, joined_columns, joined_parts

texts = st.lists(st.one_of(st.text(max_size=40), st.integers(200, 700).map("ab".__mul__)), max_size=20)


@given(texts, st.integers(0, 2))
def test_columns_are_hashed_like_single_texts(listed: list[str], skipped: int) -> None:
    column = pa.array(["before"] * skipped + listed, pa.string()).slice(skipped)
    assert hash_texts(column).to_pylist() == [hash_text(text) for text in listed]


@given(st.lists(st.text(max_size=3), unique=True, max_size=200))
def test_different_texts_have_different_keys(listed: list[str]) -> None:
    assert len(set(map(hash_text, listed))) == len(listed)


parts = st.lists(st.text(alphabet="a\x1e\x1f", max_size=4), min_size=2, max_size=2)


@given(parts, parts)
def test_no_text_of_a_feed_forges_the_parts_of_a_key(one: list[str], other: list[str]) -> None:
    assert (joined_parts(one) == joined_parts(other)) == (one == other)
    columns = [pa.array(column, pa.string()) for column in zip(one, other, strict=True)]
    assert joined_columns(columns).to_pylist() == [joined_parts(one), joined_parts(other)]


def test_a_key_is_the_same_tomorrow() -> None:
    """BLAKE2b (RFC 7693) of the text with 12 bytes asked for."""
    assert hash_text("Larkfield\x1fsku=S-1\x1fload-overstated\x1fmax_load_kg\x1f950") == KEY


KEY = "fb438c356fb6a34b52049d13"
