"""Each distinct marking is read once; snapshots that blocks hold on to never change."""

from __future__ import annotations

from math import nan

import numpy as np
import pyarrow as pa
from hypothesis import given
from hypothesis import strategies as some
from pytest import mark

from auditor.columns.value_cache import MarkingCache, of_own_texts
from auditor.marking import Marking, decode
from auditor.marking.store import MarkingRow, joined_key, read_row
from auditor.marking.words import marking_words
from auditor.trade.facts import FACTS, fact_row
from auditor.trade.tables import default_tables
from tests.benchmarks.markings import marking_table

TABLES = default_tables()
CLEAN = list(dict.fromkeys(marking_table(600, 5).text))
DIRTY = ["205 / 55 r16  91 v", "no size at all"]
_PARTS = [
    *(
        "225/65 R17 102H",
        "225/65R17",
        "LT245/75 R16",
        "205 / 55 r16",
        "91V",
        "102 H",
        "8H",
        "XL",
        "C",
        "E",
        "10PR",
        "(98Y)",
    ),
    *("Norvane", "Trek 7", "winter", "M+S", "3PMSF", "4", "set", "of", "LI 102", "speed H", "7.50-16", "load range E"),
]


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


def test_titles_that_say_the_same_in_other_words_take_room_once() -> None:
    words = [f"{a}{b}" for a in ("Nor", "Tal", "Ves") for b in ("vane", "dren", "mont", "gard")]
    titles = [f"{one} {other} 225/65 R17 102H {one}" for one in words for other in words]
    cache = MarkingCache(_Reading())
    (codes,), snapshot = cache.codes([pa.array(titles)])
    assert len(snapshot.keys) == 2, "each title is kept as a marking of its own"
    rows = [read_row(text, TABLES) for text in titles]
    np.testing.assert_array_equal(snapshot.facts[:, codes].T, [row.facts for row in rows])
    assert snapshot.words(codes) == [row.words for row in rows]
    (again, new), grown = cache.codes([pa.array(titles[:5]), pa.array(["Norvane 245/45 R18 100W"])])
    assert again.tolist() == codes[:5].tolist()
    assert grown.words(new)[0].canonical == "245/45R18 100W"


@mark.parametrize("left", ["8H", "7", "16 pieces", "Norvane 3", "2 x", "A"])
def test_what_may_be_a_fact_tells_titles_apart(left: str) -> None:
    texts = [f"Norvane Arc 225/65 R17 {left} tire", "Norvane Arc 225/65 R17 tire", "Norvane 225/65 R17 only tire"]
    (codes,), snapshot = MarkingCache(_Reading()).codes([pa.array(texts)])
    rows = [read_row(text, TABLES) for text in texts]
    np.testing.assert_array_equal(snapshot.facts[:, codes].T, [row.facts for row in rows])
    assert snapshot.words(codes) == [row.words for row in rows]


@given(some.lists(some.lists(some.sampled_from(_PARTS), min_size=1, max_size=7), min_size=1, max_size=20))
def test_each_title_has_the_facts_and_words_that_it_has_alone(titles: list[list[str]]) -> None:
    texts = [" ".join(parts) for parts in titles]
    (codes,), snapshot = MarkingCache(_Reading()).codes([pa.array(texts)])
    found = [decode(text) for text in texts]
    facts = [fact_row(one, TABLES) for one in found if isinstance(one, Marking)]
    words = [marking_words(one) for one in found if isinstance(one, Marking)]
    some_codes = codes[[isinstance(one, Marking) for one in found]]
    np.testing.assert_array_equal(snapshot.facts[:, some_codes].T, np.array(facts).reshape(len(facts), len(FACTS)))
    assert snapshot.words(some_codes) == words
    for service in ("102H", "121/118S"):  # joined with another cell, a code stands for all texts that share it
        joined = [
            [read_row(joined_key(one, service, (nan, nan), "", ""), TABLES)[:2] for one in (text, kept)]
            for text, kept in zip(texts, snapshot.keys.take(pa.array(codes)).to_pylist(), strict=True)
        ]
        for own, shared in joined:
            np.testing.assert_array_equal(own[0], shared[0])
            assert own[1] == shared[1]


def test_keys_that_are_hardly_ever_asked_for_again_are_not_kept_to_the_cap() -> None:
    titles = [f"Norvane Arc {number} 225/65R17 {number % 60 + 60}H" for number in range(400)]
    cache, generations = MarkingCache(_Reading(), most=300), set()
    for start in range(0, 400, 50):
        (codes,), snapshot = cache.codes([pa.array(titles[start : start + 50])])
        generations.add(snapshot.generation)
        assert len(snapshot.known) <= 111
        rows = [read_row(text, TABLES) for text in titles[start : start + 50]]
        np.testing.assert_array_equal(snapshot.facts[:, codes].T, [row.facts for row in rows])
    assert len(generations) > 1


def test_keys_that_are_asked_for_again_are_kept_to_the_cap() -> None:
    reading = _Reading()
    cache = MarkingCache(reading, most=300)
    for stop in range(25, 300, 25):
        cache.codes([pa.array(CLEAN[:stop])])
    assert len(reading.read) == len(set(reading.read))


@mark.parametrize("gaps", [False, True])
def test_a_piece_is_coded_by_the_texts_that_it_holds(gaps: bool) -> None:
    whole = pa.array([f"text {number}" for number in range(3000)]).dictionary_encode()
    rows = [None if gaps and number % 7 == 0 else number * 2 for number in range(1000)]
    piece = whole.take(pa.array(rows, pa.int64()))
    own = of_own_texts(piece)
    assert own.to_pylist() == piece.to_pylist()
    assert len(own.dictionary) == sum(row is not None for row in rows)
    assert of_own_texts(whole) is whole
