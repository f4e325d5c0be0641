"""Texts are cut where a sentence surely ends, and sentences that differ in digits only are one."""

from __future__ import annotations

from itertools import pairwise

import pyarrow as pa
import pytest

from auditor.claims.batch.sentences import sentences_of
from auditor.columns.digit_shapes import characters_of


def cut(*texts: str) -> list[list[str]]:
    sentences = sentences_of(*characters_of(pa.array(texts, pa.string())))
    keys = sentences.keys.to_pylist()
    bounds = sentences.first.tolist()
    return [keys[start:end] for start, end in pairwise(bounds)]


@pytest.mark.parametrize(
    ("text", "sentences"),
    [
        ("A calm ride. Runs 12.5 miles. Good", ["A calm ride. ", "Runs 00.0 miles. ", "Good"]),
        ("Size 225/65R17. Calm", ["Size 000/00R00. ", "Calm"]),
        ("Calm\nand quiet\n\nride", ["Calm\n", "and quiet\n", "\n", "ride"]),
        ("Max. load 850 kg. It rolls", ["Max. load 000 kg. It rolls"]),
        ("2,205 lbs. (1,000 kg) at 130 mph. Calm", ["0,000 lbs. (0,000 kg) at 000 mph. Calm"]),
        ("LI. 102, 210 km/h. Calm", ["LI. 000, 000 km/h. Calm"]),
        ("850 \u212agS. dual, 850 lb\u017f. dual", ["000 \u212agS. dual, 000 lb\u017f. dual"]),
        ("Eine große. Für", ["Eine große. ", "Für"]),
        ("www.site.example", ["www.site.example"]),
        ("No end. ", ["No end. "]),
    ],
)
def test_where_sentences_end(text: str, sentences: list[str]) -> None:
    assert [sentence for sentence in cut(text)[0] if sentence] == sentences


def test_texts_keep_their_own_sentences() -> None:
    own = [[sentence for sentence in text if sentence] for text in cut("", "A ride.", " Calm. 1", "", "x\n")]
    assert own == [[], ["A ride."], [" ", "Calm. ", "0"], [], ["x\n"]]


def test_no_texts_at_all() -> None:
    assert cut() == []
    assert cut("", "") == [[""], [""]]
