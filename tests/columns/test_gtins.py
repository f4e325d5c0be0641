"""A column of GTINs is judged like its texts one by one."""

from __future__ import annotations

import pyarrow as pa
import pytest
from hypothesis import given
from hypothesis import strategies as st

from auditor.columns.gtins import gtin_faults
from auditor.judging.checks.identities import gtin_is_faulty

digits = st.integers(0, 16).flatmap(lambda length: st.text("0123456789", min_size=length, max_size=length))
texts = st.one_of(
    digits, st.text("0123456789 -/:?", max_size=15), st.sampled_from(["n/a", "٢٠٠٠١٠٠٢", "２０００１００２２３３４６"])
)
same_length = st.sampled_from((8, 11, 12, 13, 14)).flatmap(
    lambda length: st.lists(st.text("0123456789/:", min_size=length, max_size=length), min_size=1, max_size=30)
)


@given(st.one_of(st.lists(texts, max_size=30), same_length), st.integers(0, 2), st.booleans())
def test_columns_are_judged_like_single_texts(listed: list[str], skipped: int, coded: bool) -> None:
    column = pa.array([*["before"] * skipped, *listed], pa.string()).slice(skipped)
    faults = gtin_faults(column.dictionary_encode() if coded else column, gtin_is_faulty)
    assert faults.tolist() == [gtin_is_faulty(text) for text in listed]


def test_records_without_a_gtin_are_no_fault() -> None:
    assert gtin_faults(pa.array([None, "2000100223346", None]), gtin_is_faulty).tolist() == [False, True, False]


@pytest.mark.parametrize(
    "text", ["n.a.", "–", "entfällt", "EAN 2000100223345", "'2000100223345", "2000100223345.0", "0"]
)
def test_names_quotes_and_words_for_none_are_no_fault(text: str) -> None:
    assert gtin_faults(pa.array([text]), gtin_is_faulty).tolist() == [False]


@pytest.mark.parametrize("text", ["EAN 2000100223346", "2000100223345; 2000100223346", "#VALUE!"])
def test_a_wrong_number_is_one_with_its_name_too(text: str) -> None:
    assert gtin_faults(pa.array([text]), gtin_is_faulty).tolist() == [True]
