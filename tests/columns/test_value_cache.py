"""Each distinct marking is read once; snapshots that blocks hold on to never change."""

from __future__ import annotations

import numpy as np
import pyarrow as pa

from auditor.columns.value_cache import MarkingCache
from auditor.marking.store import MarkingRow, read_row
from auditor.trade.tables import default_tables
from tests.benchmarks.markings import marking_table

TABLES = default_tables()
CLEAN = list(dict.fromkeys(marking_table(600, 5).text))
DIRTY = ["205 / 55 r16  91 v", "no size at all"]


class _Reading:
    """Reads keys and notes which."""

    def __init__(self) -> None:
        self.read: list[str] = []

    def __call__(self, key: str) -> MarkingRow:
        self.read.append(key)
        return read_row(key, TABLES)


def test_every_marking_is_read_once_and_has_its_own_row() -> None:
    reading = _Reading()
    cache = MarkingCache(reading)
    cache.codes([pa.array(CLEAN[:300])])
    (codes, again), snapshot = cache.codes([pa.array(CLEAN + DIRTY), pa.array(DIRTY)])
    assert sorted(reading.read) == sorted(CLEAN + DIRTY)
    assert again.tolist() == codes[-2:].tolist()
    rows = [read_row(text, TABLES) for text in CLEAN + DIRTY]
    np.testing.assert_array_equal(snapshot.facts[:, codes].T, [row.facts for row in rows])
    assert snapshot.words(codes) == [row.words for row in rows]


def test_a_blank_cell_has_no_words() -> None:
    _, snapshot = MarkingCache(_Reading()).codes([pa.array(CLEAN[:70])])
    assert snapshot.word_column("canonical").take(pa.array([0, 0])).to_pylist() == ["", ""]


def test_older_snapshots_keep_their_facts_and_words_when_a_cache_starts_anew() -> None:
    cache = MarkingCache(_Reading(), most=80)
    (old_codes,), old = cache.codes([pa.array(CLEAN[:80])])
    facts = old.facts.copy()
    (new_codes,), new = cache.codes([pa.array(CLEAN[80:280])])
    assert new.generation != old.generation
    np.testing.assert_array_equal(old.facts, facts)
    for snapshot, codes, texts in ((old, old_codes, CLEAN[:80]), (new, new_codes, CLEAN[80:280])):
        assert snapshot.word_column("canonical").take(pa.array(codes)).to_pylist() == [
            read_row(text, TABLES).words.canonical for text in texts
        ]


def test_room_grows_with_what_is_read_and_takes_nothing_from_older_snapshots() -> None:
    texts = list(dict.fromkeys(marking_table(3000, 7).text))
    cache = MarkingCache(_Reading())
    snapshots = []
    for start in range(0, len(texts), 400):
        (codes,), snapshot = cache.codes([pa.array(texts[start : start + 400])])
        snapshots.append((codes, snapshot))
    first, last = snapshots[0][1], snapshots[-1][1]
    assert last.generation == first.generation
    assert first.room.nbytes < 1 << 20, "an audit of ten rows waits for room that it does not need"
    assert last.room.shape[1] < 3 * len(last.keys)
    for number, (codes, snapshot) in enumerate(snapshots):
        rows = [read_row(text, TABLES).facts for text in texts[number * 400 : number * 400 + 400]]
        np.testing.assert_array_equal(snapshot.facts[:, codes].T, rows)
        np.testing.assert_array_equal(last.facts[:, codes].T, rows)
