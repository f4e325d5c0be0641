"""What a worker keeps between pieces has a bound, however many records it audits and however little these repeat."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import numpy as np
import pyarrow as pa
import pyarrow.compute as pc
import pytest

from auditor.across import facts
from auditor.claims.batch import columns as claim_columns
from auditor.columns import value_cache
from auditor.engine.unit_audit import UnitAuditor
from auditor.engine.unit_work import FeedTask, UnitJob, UnitLost, UnitWork
from auditor.engine.workers import choice
from auditor.feeds.locate import find_feeds
from auditor.judging.block.feed_plan import plan_feed
from auditor.mapping.opening import open_feeds
from auditor.rulebook.book import load_book
from tests.benchmarks.columns import CONTRACT
from tests.benchmarks.generator import FeedPlan, chunks

RECORDS, PIECE = 6_000, 500
TEXTS, WORDS, TOKENS, SAID, ROOM = 400, 2_000, 1_500, 200, 1_200  # caps of this test; a piece may go beyond by its own


@pytest.fixture
def feed_file(tmp_path: Path) -> Path:
    """Listings that hardly repeat anything, in which every title ends in a number of its own."""
    plan = FeedPlan(records=RECORDS, distinct_markings=5_000, free_texts=True, columns=len(CONTRACT))
    table = pa.concat_tables(listings for listings, _ in chunks(plan))
    own = pa.array([f"Art{number}x" for number in range(len(table))])
    title = pc.binary_join_element_wise(table["title"].combine_chunks().cast(pa.string()), own, " ")
    table = table.set_column(table.column_names.index("title"), "title", title)
    path = tmp_path / "unlike.parquet"
    pa.parquet.write_table(table, path)
    return path


def _sizes(auditor: UnitAuditor) -> dict[str, int]:
    """How many entries each thing holds that a worker keeps."""
    assert auditor._claims is not None
    kept = auditor._claims._local.kept
    return {
        "markings": len(auditor.markings._snapshot.known),
        "cells": max(len(cache._snapshot.keys) for cache in auditor._texts.values()),
        "words": kept.vocabulary.words,
        "tokens": len(kept.vocabulary.tokens),
        "quotes": len(kept.quotes),
        "said": len(kept.said),
        "room": sum(shapes.room for shapes in kept.shapes.values()),
        "tables": len(facts._kept),
    }


def _performed(work: UnitWork, path: Path) -> Iterator[dict[str, int]]:
    (feed,) = open_feeds(find_feeds([str(path)])[0])
    task = FeedTask(0, feed, plan_feed(feed), facts.keys_needed(work.book))
    (unit,) = feed.units()
    for part, start in enumerate(range(0, RECORDS, PIECE)):
        one = replace(unit, first_record=1 + start, records=PIECE, cuts=(start, PIECE))
        for event in work.perform(UnitJob(task, part, one)):
            assert not isinstance(event, UnitLost), event
        yield _sizes(work.auditor)


def test_nothing_kept_grows_with_the_records(feed_file: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(value_cache, "MOST_TEXTS", TEXTS)
    monkeypatch.setattr("auditor.claims.batch.quotes.MOST_CELLS", TEXTS)
    for name, most in (("WORDS", WORDS), ("TOKENS", TOKENS), ("SAID", SAID), ("ROOM", ROOM)):
        monkeypatch.setattr(claim_columns, f"_MOST_{name}", most)
    caps = {"markings": TEXTS, "cells": TEXTS, "words": WORDS, "tokens": TOKENS, "quotes": TEXTS, "said": SAID}
    caps |= {"room": ROOM, "tables": 2}
    every = list(_performed(UnitWork(load_book(), tmp_path, PIECE), feed_file))
    most = {name: max(sizes[name] for sizes in every) for name in caps}
    # A cap is looked at between pieces, and one piece may bring some words and sentences for each of its records.
    own = {"words": 12 * PIECE, "tokens": 8 * PIECE, "said": 4 * PIECE, "room": 16 * PIECE, "markings": 3 * PIECE}
    own |= {"quotes": PIECE + 1, "cells": PIECE}
    assert {name: count for name, count in most.items() if count > caps[name] + own.get(name, 0)} == {}
    later = {name: max(sizes[name] for sizes in every[len(every) // 2 :]) for name in caps}
    earlier = {name: max(sizes[name] for sizes in every[: len(every) // 2]) for name in caps}
    assert {name for name in caps if later[name] > earlier[name] + own.get(name, 0)} == set()


def test_two_workers_take_smaller_pieces_of_many_records(feed_file: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    feeds = open_feeds(find_feeds([str(feed_file)])[0])
    for least, finer in ((RECORDS + 1, choice.BESIDE_ONE), (RECORDS, choice.BESIDE_OTHERS)):
        monkeypatch.setattr(choice, "LARGER_UP_TO", least)
        with choice.crew_for(feeds, load_book(), feed_file.parent, 2, "processes") as crew:
            assert crew.finer == finer


def test_of_each_generation_of_markings_one_table_is_kept() -> None:
    facts.forget_markings()
    auditor = UnitAuditor(load_book())
    for count in range(1, 6):
        _, snapshot = auditor.markings.codes([pa.array([f"{205 + number}/65R17 102H" for number in range(count)])])
        assert len(facts.marking_table(snapshot)) == count + 1
        assert len(facts._kept) == 1
    assert np.array_equal(facts.marking_table(snapshot), facts._kept[0][1])
    facts.forget_markings()
