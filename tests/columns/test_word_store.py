"""Markings are read once per run, and their words only when a finding asks for them."""

from __future__ import annotations

from functools import partial

import numpy as np
import pyarrow as pa

from auditor.columns.marking_rows import Words, read_facts, read_words
from auditor.columns.value_cache import MarkingCache
from auditor.marking.store import read_row
from auditor.trade.tables import default_tables
from tests.benchmarks.markings import marking_table

TABLES = default_tables()
CLEAN = list(dict.fromkeys(marking_table(600, 5).text))
DIRTY = ["205 / 55 r16  91 v", "no size at all"]


class _Counting:
    """Reads words and notes the keys that it was asked for."""

    def __init__(self) -> None:
        self.asked: list[str] = []

    def __call__(self, keys: pa.Array) -> Words:
        self.asked += keys.to_pylist()
        return read_words(keys, TABLES)


def _cache(words: _Counting, most: int = 1_000) -> MarkingCache:
    return MarkingCache(partial(read_facts, tables=TABLES), words, most)


def test_words_are_read_once_and_only_for_what_is_taken() -> None:
    words = _Counting()
    (codes,), snapshot = _cache(words).codes([pa.array(CLEAN)])
    assert words.asked == []
    asked = codes[[3, 500, 3]]
    sizes = snapshot.word_column("size").take(pa.array(asked)).to_pylist()
    assert sizes == [read_row(CLEAN[position], TABLES).words.size for position in (3, 500, 3)]
    assert sorted(words.asked) == sorted([CLEAN[3], CLEAN[500]])
    snapshot.word_column("canonical").take(pa.array(asked))
    assert len(words.asked) == 2


def test_markings_read_one_by_one_are_not_read_again_for_their_words() -> None:
    words = _Counting()
    (codes,), snapshot = _cache(words).codes([pa.array(DIRTY)])
    reasons = snapshot.word_column("reason").take(pa.array(codes)).to_pylist()
    assert reasons == [read_row(text, TABLES).words.reason for text in DIRTY]
    assert words.asked == []


def test_a_blank_cell_has_no_words() -> None:
    _, snapshot = _cache(_Counting()).codes([pa.array(CLEAN[:70])])
    assert snapshot.word_column("canonical").take(pa.array(np.array([0, 0]))).to_pylist() == ["", ""]


def test_older_snapshots_keep_their_facts_and_words_when_a_cache_starts_anew() -> None:
    cache = _cache(_Counting(), most=80)
    (old_codes,), old = cache.codes([pa.array(CLEAN[:80])])
    facts = old.facts.copy()
    (new_codes,), new = cache.codes([pa.array(CLEAN[80:280])])
    assert new.generation != old.generation
    np.testing.assert_array_equal(old.facts, facts)
    for snapshot, codes, texts in ((old, old_codes, CLEAN[:80]), (new, new_codes, CLEAN[80:280])):
        assert snapshot.word_column("canonical").take(pa.array(codes)).to_pylist() == [
            read_row(text, TABLES).words.canonical for text in texts
        ]


def test_all_words_from_a_code_on() -> None:
    (codes,), snapshot = _cache(_Counting()).codes([pa.array(CLEAN[:100])])
    texts = snapshot.word_column("size").slice(1).to_pylist()
    assert [texts[code - 1] for code in codes] == [read_row(text, TABLES).words.size for text in CLEAN[:100]]
