"""What was read is counted by a means of its own, so that nothing is lost in silence and called safe."""

from __future__ import annotations

import bz2
import gzip
import json
import os
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pyarrow as pa
import pyarrow.csv as pa_csv
import pyarrow.parquet as pq
import pytest
import zstandard

from auditor.engine.progress import progress
from auditor.engine.run import RunOutcome, Settings, run_audit
from auditor.feeds import csv_feed, json_feed, parquet_feed
from auditor.feeds.csv_pieces import Piece
from auditor.feeds.model import Block
from auditor.rulebook.book import load_book

HEAD = "sku,marking,max_load_kg,title\n"
ROW = "{},225/65R17 102H,850,Nordhall Weg\n"
OBJECT = {"sku": "1", "marking": "225/65R17 102H", "max_load_kg": 850}


class Watching:
    """Progress that does something when a stage begins or listings are done."""

    def __init__(self, act: Callable[[str], None]) -> None:
        self.act = act

    def stage(self, name: str, of: int | None = None, about: bool = False) -> None:
        self.act(name)

    def advance(self, records: int, findings: int = 0) -> None:
        self.act("")

    def note(self, event: str, text: str, **values: Any) -> None:
        pass


def audited(path: Path, watching: Any = None, workers: int = 1) -> RunOutcome:
    with progress("none") as silent:
        return run_audit([str(path)], path.parent / "out", Settings(load_book(), workers=workers), watching or silent)


def counts(outcome: RunOutcome) -> tuple[int, int, int, int]:
    totals = outcome.summary["totals"]
    return totals["records"], totals["released"], totals["held"], totals["rejected"]


def reason(outcome: RunOutcome) -> str:
    assert outcome.exit_code == 3
    (lost,) = outcome.summary["unreadable_feeds"]
    return str(lost["reason"])


def rejected(path: Path) -> list[str]:
    table = pa_csv.read_csv(
        path.parent / "out" / "rejected.csv", parse_options=pa_csv.ParseOptions(newlines_in_values=True)
    )
    return [str(text) for text in table["reason"].to_pylist()]


SWALLOWING = {
    "never closed": ('"lost', {}),
    "closed by an inch mark far below": ('"lost', {700: '17"'}),
    "closed by an inch mark in the next line": ('"lost', {12: '17"'}),
    "closed by a quote that stands alone": ('"lost', {500: '"'}),
    "others are quoted": ('"lost', dict.fromkeys(range(11, 900, 2), '"a, b"')),
    "others are quoted and blank": ('"lost', dict.fromkeys(range(11, 900), '""')),
}


@pytest.mark.parametrize("large", [False, True], ids=["small", "large"])
@pytest.mark.parametrize("how", SWALLOWING)
def test_a_quote_opened_by_mistake_costs_its_record_alone(tmp_path: Path, how: str, large: bool) -> None:
    """A large file is one beyond the 16 MiB that a record may have."""
    opened, others = SWALLOWING[how]
    titles = {10: opened, **others}
    path = tmp_path / "feed.csv"
    rows = [f"{number},225/65R17 102H,850,{titles.get(number, 'Nordhall Weg')}\n" for number in range(1000)]
    if large:
        rows += [f"{number},225/65R17 102H,850,{'Nordhall Weg ' * 300}\n" for number in range(1000, 6000)]
    path.write_text(HEAD + "".join(rows))
    outcome = audited(path)
    total = len(rows)
    assert counts(outcome)[0] == total
    assert outcome.summary["unreadable_feeds"] == []
    alone = [number for number, title in titles.items() if title.count('"') == 1 and title.startswith('"')]
    assert rejected(path) == ["A quote is opened and not closed."] * len(alone)
    released = (tmp_path / "out" / "released" / "feed.csv").read_text()
    assert released == HEAD + "".join(row for number, row in enumerate(rows) if number not in alone)


def test_texts_of_several_lines_are_no_records(tmp_path: Path) -> None:
    text = "Good grip, long life\nquiet, safe, strong, cheap\n850 kg, 210 km/h"
    path = tmp_path / "feed.csv"
    path.write_text(HEAD + "".join(f'{number},225/65R17 102H,850,"{text}"\n' for number in range(200)))
    assert counts(audited(path))[0::3] == (200, 0)


PACKERS: dict[str, Callable[[bytes], bytes]] = {
    ".gz": gzip.compress,
    ".bz2": bz2.compress,
    ".zst": lambda plain: zstandard.ZstdCompressor().compress(plain),
}


@pytest.mark.parametrize("suffix", PACKERS)
@pytest.mark.parametrize("damage", ["cut", "tail", "second cut"])
def test_a_packed_feed_is_whole_or_lost(tmp_path: Path, suffix: str, damage: str) -> None:
    plain = (HEAD + "".join(ROW.format(number) for number in range(2000))).encode()
    packed = PACKERS[suffix](plain)
    spoiled = {
        "cut": packed[: len(packed) * 2 // 3],
        "tail": packed + b"and more",
        "second cut": packed + PACKERS[suffix](plain[len(HEAD) :])[:-20],
    }
    path = tmp_path / f"feed.csv{suffix}"
    path.write_bytes(spoiled[damage])
    assert "cannot be unpacked" in reason(audited(path))
    path.write_bytes(packed + PACKERS[suffix](plain[len(HEAD) :]))  # two frames are one text
    assert counts(audited(path))[0] == 4000


DOCUMENTS = {
    "text behind a list": (json.dumps([OBJECT] * 3) + " and more", 4, "Text stands behind the end"),
    "a second list": (json.dumps([OBJECT] * 3) + json.dumps([OBJECT] * 2), 4, "Text stands behind the end"),
    "an object behind a list": (json.dumps([OBJECT] * 3) + json.dumps(OBJECT), 4, "Text stands behind the end"),
    "text behind an object": (json.dumps({"listings": [OBJECT] * 3}) + "x", 4, "Text stands behind the end"),
    "a second document": (json.dumps({"listings": [OBJECT] * 3}) * 2, 4, "Text stands behind the end"),
    "two lists in one object": (json.dumps({"a": [OBJECT] * 3, "b": [OBJECT] * 2}), 4, "A second list of objects"),
    "one damaged object": (json.dumps([OBJECT] * 3).replace("850}", '16" 850}', 1), 3, "is not valid JSON"),
    "cut short": (json.dumps([OBJECT] * 3)[:-20], 3, "breaks off or is damaged"),
    "an empty list first": (json.dumps({"errors": [], "listings": [OBJECT] * 3, "more": {"count": 3}}), 3, ""),
    "blanks behind it": (json.dumps([OBJECT] * 3) + "\n\n  \n", 3, ""),
}


@pytest.mark.parametrize("what", DOCUMENTS)
def test_nothing_in_a_json_document_is_passed_over(tmp_path: Path, what: str) -> None:
    text, records, words = DOCUMENTS[what]
    path = tmp_path / "feed.json"
    path.write_text(text)
    outcome = audited(path)
    assert counts(outcome)[0::3] == (records, 1 if words else 0)
    if words:
        assert words in rejected(path)[0]
    back = json.loads((tmp_path / "out" / "released" / "feed.json").read_text())
    held = json.loads((tmp_path / "out" / "held" / "feed.json").read_text())
    lists = [part if isinstance(part, list) else next(iter(part.values())) for part in (back, held)]
    assert what == "an empty list first" or len(lists[0]) + len(lists[1]) == records - bool(words)


def test_two_objects_in_a_line_are_not_taken_for_two_lines(tmp_path: Path) -> None:
    line = json.dumps(OBJECT)
    path = tmp_path / "feed.jsonl"
    path.write_text(f"{line}\n{line}{line}\n   \n{line}\n")
    outcome = audited(path)
    assert counts(outcome)[0::3] == (4, 1)  # the blank line is furniture


@pytest.mark.parametrize("kind", ["csv", "jsonl"])
@pytest.mark.parametrize("how", ["cut", "grown", "rewritten", "replaced", "removed"])
@pytest.mark.parametrize("when", ["auditing", "settling", "writing reports"])
def test_a_file_that_changes_while_it_is_read_is_lost(tmp_path: Path, kind: str, how: str, when: str) -> None:
    line = ROW.format(1) if kind == "csv" else json.dumps(OBJECT) + "\n"
    content = (HEAD if kind == "csv" else "") + line * 3000
    path = tmp_path / f"feed.{kind}"
    path.write_text(content)
    os.utime(path, ns=(10**18, 10**18))
    done: list[str] = []

    def act(stage: str) -> None:
        if not stage.startswith(when) or done:
            return
        done.append(stage)
        if how == "cut":
            os.truncate(path, len(content) // 2)
        elif how == "grown":
            with path.open("a") as file:
                file.write(line)
        elif how == "rewritten":
            path.write_text(content)
        elif how == "replaced":
            other = tmp_path / "other"
            other.write_text(content)
            other.replace(path)
        else:
            path.unlink()

    outcome = audited(path, Watching(act), workers=2)
    assert done
    assert "while it was read" in reason(outcome)
    assert counts(outcome) == (0, 0, 0, 0)
    assert not (tmp_path / "out" / "released" / path.name).exists()


def _less_one(block: Block) -> Block:
    return Block(
        block.unit, [column[:-1] for column in block.columns], block.records[:-1], block.rejected, block.breaks
    )


@pytest.mark.parametrize("kind", ["csv", "jsonl", "parquet"])
def test_a_reader_that_loses_a_record_loses_the_feed(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, kind: str
) -> None:
    path = tmp_path / f"feed.{kind}"
    if kind == "csv":
        path.write_text(HEAD + ROW.format(1) * 30)
    elif kind == "jsonl":
        path.write_text((json.dumps(OBJECT) + "\n") * 30)
    else:
        pq.write_table(pa.table({"marking": ["225/65R17 102H"] * 30}), path)
    feed = {"csv": csv_feed.CsvFeed, "jsonl": json_feed.JsonFeed, "parquet": parquet_feed.ParquetFeed}[kind]
    assert counts(audited(path))[0] == 30
    real = feed.blocks
    monkeypatch.setattr(feed, "blocks", lambda self, *args: map(_less_one, real(self, *args)))
    assert reason(audited(path)).startswith("The file holds 30 records, but 29 were read")


def test_a_rejected_record_that_swallows_others_loses_the_feed(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "feed.csv"
    path.write_text(HEAD + ROW.format(1) * 30)
    real = csv_feed.read_piece

    def swallowing(*args: Any) -> Piece:
        piece = real(*args)
        return Piece([[chunk[:20] for chunk in column] for column in piece.columns], piece.positions[:20], [], 0)

    monkeypatch.setattr(csv_feed, "read_piece", swallowing)
    assert "The file holds 30 records, but 20 were read" in reason(audited(path))


def test_a_footer_that_counts_otherwise_loses_the_feed(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "feed.parquet"
    pq.write_table(pa.table({"marking": ["225/65R17 102H"] * 30}), path)
    monkeypatch.setattr(parquet_feed.ParquetFeed, "counted_records", lambda self, breaks: 31)
    assert "The file holds 31 records, but 30 were read" in reason(audited(path))
