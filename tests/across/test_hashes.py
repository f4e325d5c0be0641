"""Stable numbers of texts."""

from __future__ import annotations

import pyarrow as pa
from hypothesis import given
from hypothesis import strategies as some

from auditor.across.text_numbers import LONG_TEXT_BYTES, hash_numbers


@given(some.lists(some.text(max_size=40), max_size=30))
def test_equal_where_texts_are_equal(texts):
    one, two = hash_numbers(pa.array(texts, pa.string()))
    assert len(set(one.tolist())) == len(set(two.tolist())) == len(set(texts))
    alone = [hash_numbers(pa.array([text], pa.string())) for text in texts]
    assert [a[0][0] for a in alone] == one.tolist()
    assert [a[1][0] for a in alone] == two.tolist()
    assert [number == 0 for number in one.tolist()] == [text == "" for text in texts]


def test_long_texts_differ_by_their_last_byte():
    texts = ["x" * size + end for size in (LONG_TEXT_BYTES - 1, LONG_TEXT_BYTES, 5000) for end in "ab"]
    one, two = hash_numbers(pa.array(texts))
    assert len(set(one.tolist())) == len(set(two.tolist())) == len(texts)


def test_a_million_item_numbers_do_not_collide():
    texts = pa.array([f"SKU-{number:07d}" for number in range(1_000_000)])
    one, two = hash_numbers(texts)
    assert len(pa.array(one).unique()) == len(pa.array(two).unique()) == len(texts)


def test_same_numbers_on_every_day():
    one, two = hash_numbers(pa.array(["LM-100", "LT265/70R17 121/118S E"]))
    assert [f"{number:016x}" for number in one.tolist()] == ONE
    assert [f"{number:016x}" for number in two.tolist()] == TWO


def test_parts_of_a_longer_column():
    column = pa.array(["a", "bc", "", "def"])
    assert hash_numbers(column.slice(1, 2))[0].tolist() == hash_numbers(pa.array(["bc", ""]))[0].tolist()


ONE = ["1752e7e6b8cffe26", "6b01852477b0e160"]
TWO = ["3a754be425b7fdb9", "f4fdfc7b9a45a21c"]
