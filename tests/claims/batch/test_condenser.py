"""Condensed texts hold the same claims as the texts they come from, and there are fewer of them."""

from __future__ import annotations

import json
import re
from itertools import pairwise
from pathlib import Path
from random import Random

import pyarrow as pa
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from auditor.claims.batch import condenser as claims_batch
from auditor.claims.batch.condenser import Condenser, condense, condense_encoded
from auditor.claims.find import read_claims
from auditor.claims.words import KIND_OF_WORD

REFERENCE = Path(__file__).parents[2] / "reference" / "claims.jsonl"
TEXTS = [json.loads(line)["text"] for line in REFERENCE.read_text(encoding="utf-8").splitlines()]
FRAGMENTS = [
    *KIND_OF_WORD, *TEXTS, "225/65R17 102H", "LT245/75R16 120/116S E", "11R22.5 146/143L", "225 65 R 17", "8.25-15 TR",
    "2,205 lb", "(1,000 kg)", "130 mph", "300+ km/h", "10 PR", "80 psi", "3PMSF", "M & S", "LRE", "E", "H", "V", "102",
    "120/116", "(98Y)", "4", "12345678", "AT500", "quiet", "Kestrel", "Straße", "für", "low-noise", "don't", "x", "_",
    "®", "1.5", "www.site.example", "\u00a0", "ª", "²", "1030kg", "lbs.", "kg.", "max.", "0-60 mph", "600 - 1,400 lb",
    "\x01", "\x02", "\u0661", "ſpeed", "31×10.50R15", "130mphü",
]  # fmt: skip
SEPARATORS = [
    " ",
    " ",
    " ",
    " ",
    ", ",
    ". ",
    ". ",
    ".\n",
    " (",
    ") ",
    ": ",
    " - ",
    "/",
    "-",
    "; ",
    "\n",
    "",
    "  ",
    ".",
    "\t",
]
texts = st.lists(st.tuples(st.sampled_from(FRAGMENTS), st.sampled_from(SEPARATORS)), max_size=16).map(
    lambda parts: "".join(fragment + separator for fragment, separator in parts)
)


@settings(max_examples=60)
@given(st.lists(texts, min_size=1, max_size=40))
def test_condensed_texts_hold_the_same_claims(batch: list[str]) -> None:
    for text, condensed in zip(batch, condense(pa.array(batch)).to_pylist(), strict=True):
        assert read_claims(condensed) == read_claims(text), (text, condensed)


@settings(max_examples=200)
@given(st.text(max_size=60))
def test_any_characters_at_all(text: str) -> None:
    try:
        text.encode()
    except UnicodeEncodeError:
        return  # a lone surrogate cannot be in an Arrow column
    assert read_claims(condense(pa.array([text])).to_pylist()[0]) == read_claims(text)


def test_reference_texts_alone_and_in_pairs() -> None:
    batch = [*TEXTS, *(f"{a}. {b}" for a, b in zip(TEXTS, TEXTS[7:], strict=False))]
    condensed = condense(pa.array(batch)).to_pylist()
    wrong = [text for text, short in zip(batch, condensed, strict=True) if read_claims(short) != read_claims(text)]
    assert wrong == []


@pytest.mark.parametrize(
    ("text", "condensed"),
    [
        ("Varnholt Ridgeline AT500 225/65R17 102H XL quiet", "_ 225/65R17 102H XL _"),
        ("A calm companion for the long way home.", ""),
        ("Soft. With a maximum load of 1,874 lb (850 kg) it goes far", "With a maximum load of 1,874 lb (850 kg) _"),
        ("SKU12345678 item 4471822", ""),
    ],
)  # fmt: skip
def test_what_is_left(text: str, condensed: str) -> None:
    assert condense(pa.array([text])).to_pylist() == [condensed]


def test_brand_model_and_number_words_make_no_difference() -> None:
    batch = [f"{brand} Model{i} 225/65R17 102H item {i:07d}" for i in range(200) for brand in ("Pellworth", "Kestrel")]
    assert len(condense_encoded(pa.array(batch)).dictionary) == 1


@settings(max_examples=40)
@given(st.lists(texts, min_size=1, max_size=20), st.randoms(use_true_random=False), st.sampled_from([1, 8, 10_000]))
def test_what_is_kept_never_shows(batch: list[str], random: Random, most: int) -> None:
    condenser = Condenser()
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(claims_batch, "_MOST_SENTENCES", most)
        for _ in range(3):
            batch = [re.sub("[0-9]", lambda _: random.choice("0123456789"), text) for text in batch]
            columns = [pa.array(batch), pa.array([f"{a}. {b}" for a, b in pairwise(batch)])]
            for column, condensed in zip(columns, condenser.condense(columns), strict=True):
                for text, short in zip(column.to_pylist(), condensed.cast(pa.string()).to_pylist(), strict=True):
                    assert read_claims(short) == read_claims(text), (text, short)


def test_nulls_chunks_and_slices() -> None:
    values = ["up to 130 mph", None, "nothing here", "10-ply"]
    expected = ["up to 130 mph", "", "", "10-ply"]
    assert condense(pa.array(values)).to_pylist() == expected
    assert condense(pa.array(["x", *values]).slice(1)).to_pylist() == expected
    assert condense(pa.chunked_array([values[:2], values[2:]])).to_pylist() == expected
    assert condense(pa.array([], pa.string())).to_pylist() == []
    assert condense(pa.chunked_array([], pa.string())).to_pylist() == []
    assert condense(pa.array(values, pa.large_string())).to_pylist() == expected
    assert condense(pa.array(values).dictionary_encode()).to_pylist() == expected


def test_texts_that_hold_the_marking_characters_stay_whole() -> None:
    assert condense(pa.array(["a \x01 b 10-ply", "quiet 10-ply"])).to_pylist() == ["a \x01 b 10-ply", "_ 10-ply"]
