"""Known texts are found where they are, those of a longer set by this one alone."""

from __future__ import annotations

import numpy as np
import pyarrow as pa
import pytest

from auditor.columns import known_keys
from auditor.columns.known_keys import KnownKeys

_TEXTS = [f"{width}/{aspect}R{rim}" for width in range(105, 395, 5) for aspect in (30, 55, 80) for rim in (14, 17, 20)]


def _array(texts: list[str | None]) -> pa.Array:
    return pa.array(texts, pa.string())


def test_texts_have_the_places_in_which_they_came() -> None:
    known = KnownKeys.of(_array(_TEXTS))
    assert known.places(_array(_TEXTS[::-1])).tolist() == list(range(len(_TEXTS)))[::-1]
    assert known.places(_array([None, "", "225", _TEXTS[7]])).tolist() == [-1, -1, -1, 7]
    assert known.places(_array([])).tolist() == []


def test_none_are_known_to_an_empty_set() -> None:
    known = KnownKeys.of(_array([]))
    assert known.places(_array(["", None, "x"])).tolist() == [-1, -1, -1]
    assert known.with_more(_array(["x", ""])).places(_array(["", None, "x"])).tolist() == [1, -1, 0]


def test_a_longer_set_leaves_the_shorter_one_as_it_was() -> None:
    sets = [KnownKeys.of(_array(_TEXTS[:1]))]
    for start in range(1, len(_TEXTS), 40):
        sets.append(sets[-1].with_more(_array(_TEXTS[start : start + 40])))
    for known in sets:
        expected = [place if place < len(known) else -1 for place in range(len(_TEXTS))]
        assert known.places(_array(_TEXTS)).tolist() == expected


def test_texts_that_find_no_place_are_known_all_the_same(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(known_keys, "marks_of", lambda texts: np.zeros(len(texts), np.uint64))  # as of very long ones
    known = KnownKeys.of(_array(_TEXTS[:30])).with_more(_array(_TEXTS[30:60]))
    assert known.places(_array([*_TEXTS[59:61], None, *_TEXTS[:2]])).tolist() == [59, -1, -1, 0, 1]
