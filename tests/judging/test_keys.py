"""Columns of texts are hashed like single texts."""

from __future__ import annotations

import pyarrow as pa
from hypothesis import given
from hypothesis import strategies as st

from auditor.judging.keys import hash_text, hash_texts

texts = st.lists(st.one_of(st.text(max_size=40), st.integers(200, 700).map("ab".__mul__)), max_size=20)


@given(texts, st.integers(0, 2))
def test_columns_are_hashed_like_single_texts(listed: list[str], skipped: int) -> None:
    column = pa.array(["before"] * skipped + listed, pa.string()).slice(skipped)
    assert hash_texts(column).to_pylist() == [hash_text(text) for text in listed]


@given(st.lists(st.text(max_size=3), unique=True, max_size=200))
def test_different_texts_have_different_keys(listed: list[str]) -> None:
    assert len(set(map(hash_text, listed))) == len(listed)


def test_a_key_is_the_same_tomorrow() -> None:
    """BLAKE2b (RFC 7693) of the text with 12 bytes asked for."""
    assert hash_text("Larkfield\x1fsku=S-1\x1fload-overstated\x1fmax_load_kg\x1f950") == KEY


KEY = "fb438c356fb6a34b52049d13"
