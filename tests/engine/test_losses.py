"""Whatever goes wrong in one feed loses that feed alone: it is named with one sentence, all others are audited."""

from __future__ import annotations

import io
import json
import zipfile
from pathlib import Path
from typing import Any

import pyarrow as pa
import pyarrow.parquet as pq
import pytest

from auditor.engine import reports, settling, unit_work
from auditor.engine import run as run_module
from auditor.engine.progress import progress
from auditor.engine.run import RunOutcome, Settings, run_audit
from auditor.errors import FeedError, OutputError
from auditor.mapping.maps import load_maps
from auditor.rulebook.book import load_book
from auditor.shell.cli import main

HEAD = "sku,marking,max_load_kg,title\n"
GOOD = HEAD + "1,225/65R17 102H,850,Nordhall Weg 1\n2,225/65R17 102H,950,Nordhall Weg 2\n"
DEEP = "[" * 2000 + "]" * 2000


def audited(folder: Path, feeds: list[str], **settings: Any) -> RunOutcome:
    """Audits the named feeds of a folder, beside a good one."""
    folder.joinpath("good.csv").write_text(GOOD)
    named = [feed if "://" in feed or feed.startswith("sql+") else str(folder / feed) for feed in feeds]
    with progress("none") as silent:
        return run_audit([str(folder / "good.csv"), *named], folder / "out", Settings(load_book(), **settings), silent)


def assert_good_one_is_audited(folder: Path, outcome: RunOutcome) -> None:
    feed = next(feed for feed in outcome.summary["feeds"] if feed["feed"] == "good.csv")
    assert (feed["records"], feed["released"], feed["held"]) == (2, 1, 1)
    assert (folder / "out" / "released" / "good.csv").read_text() == HEAD + "1,225/65R17 102H,850,Nordhall Weg 1\n"
    json.loads((folder / "out" / "summary.json").read_text())


def only_loss(outcome: RunOutcome) -> str:
    assert outcome.exit_code == 3
    (lost,) = outcome.summary["unreadable_feeds"]
    assert "\n" not in lost["reason"] and lost["reason"].endswith("."), lost
    assert "nobody foresaw" not in lost["reason"]
    return str(lost["reason"])


def _twice_named() -> bytes:
    out = io.BytesIO()
    columns = [["1"], ["225/65R17 102H"], ["850"], ["a"], ["b"]]
    pq.write_table(pa.table(columns, names=["sku", "marking", "max_load_kg", "note", "note"]), out)
    return out.getvalue()


READ = {  # feeds that are strange but whole: every record of theirs is read or rejected, and nothing is lost
    "all_rejected.csv": (HEAD + "1,2\n2\n3\n").encode(),
    "no_float.csv": (HEAD + "1,225/65R17 102H,1E400,a\n2,12E456,850,12E456\n3,225/65R17 102H,12E456,b\n").encode(),
    "separator_in_a_marking.csv": (HEAD + "1,225/65R17\x1f120H,1400,a\n2,\x1f9,4,,,225/65R17120H,1400,b\n").encode(),
    "twice_named.parquet": _twice_named(),
    "deep.jsonl": f'{{"sku":"1","marking":"225/65R17 102H","x":{DEEP}}}\n{{"sku":"2","marking":"x"}}\n'.encode(),
    "deep.json": f'[{{"sku":"1","marking":"225/65R17 102H","x":{DEEP}}},{{"sku":"2","marking":"x"}}]'.encode(),
}


@pytest.mark.parametrize("name", READ)
def test_a_strange_feed_is_read(tmp_path: Path, name: str) -> None:
    (tmp_path / name).write_bytes(READ[name])
    outcome = audited(tmp_path, [name])
    assert (outcome.exit_code, outcome.summary["unreadable_feeds"]) == (1, [])
    assert_good_one_is_audited(tmp_path, outcome)


LOST = {
    "missing.csv": (None, "no such file or folder"),
    "none*.csv": (None, "the pattern matches no file"),
    "memory://night/none.csv": (None, "cannot be fetched"),
    "sql+sqlite:///none.db#feed": (None, "there is no file none.db"),
    "sql+nosuch://x/y#feed": (None, "the database cannot be read"),
    "empty.csv": (b"", "the file is empty"),
    "broken.parquet": (b"PAR1" + b"x" * 100, "not a whole Parquet file"),
    "broken.xlsx": (b"PK\x03\x04" + b"x" * 100, "cannot be opened as a workbook"),
    "colors.csv": (b"colour,shape\nred,round\n", "no column is recognized"),
}


@pytest.mark.parametrize("name", LOST)
def test_a_feed_that_cannot_be_read_is_lost_alone(tmp_path: Path, name: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)  # SQLite makes a file of the database that is missing
    content, words = LOST[name]
    if content is not None:
        (tmp_path / name).write_bytes(content)
    outcome = audited(tmp_path, [name])
    assert words in only_loss(outcome)
    assert_good_one_is_audited(tmp_path, outcome)


def test_an_empty_folder_beside_a_good_feed(tmp_path: Path) -> None:
    (tmp_path / "none").mkdir()
    outcome = audited(tmp_path, ["none"])
    assert "the folder holds no feed" in only_loss(outcome)
    assert_good_one_is_audited(tmp_path, outcome)


def test_without_any_feed_nothing_is_written(tmp_path: Path) -> None:
    with pytest.raises(FeedError, match="no such file"), progress("none") as silent:
        run_audit([str(tmp_path / "none.csv")], tmp_path / "out", Settings(load_book()), silent)
    assert not (tmp_path / "out").exists()


def test_a_feed_that_no_longer_fits_its_map(tmp_path: Path) -> None:
    maps = tmp_path / "maps"
    maps.mkdir()
    (maps / "north.toml").write_text(
        'files = ["north.csv"]\n[[column]]\nheader = "Kennung"\nfield = "sku"\n'
        '[[column]]\nheader = "Reifen"\nfield = "marking"\n'
    )
    (tmp_path / "north.csv").write_text("colour,shape\nred,round\n")
    outcome = audited(tmp_path, ["north.csv"], maps=load_maps(maps))
    only_loss(outcome)
    assert_good_one_is_audited(tmp_path, outcome)


@pytest.mark.parametrize("workers", [1, 2])
@pytest.mark.parametrize("where", ["plan_feed", "dispositions", "merged_findings"])
def test_an_unforeseen_failure_at_any_stage(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, where: str, workers: int
) -> None:
    (tmp_path / "bad.csv").write_text(GOOD)
    module = settling if where == "merged_findings" else run_module
    real = getattr(module, where)

    def failing(what: Any, *others: Any, **named: Any) -> Any:
        feed = getattr(what, "feed", what)
        if feed.name == "bad.csv":
            raise ZeroDivisionError("something\nodd")
        return real(what, *others, **named)

    monkeypatch.setattr(module, where, failing)
    outcome = audited(tmp_path, ["bad.csv"], workers=workers)
    (lost,) = outcome.summary["unreadable_feeds"]
    assert (lost["feed"], outcome.exit_code) == ("bad.csv", 3)
    assert lost["reason"] == "cannot be audited, for a reason that nobody foresaw (ZeroDivisionError: something)."
    assert_good_one_is_audited(tmp_path, outcome)
    assert not (tmp_path / "out" / "released" / "bad.csv").exists()


def test_a_damaged_column_that_no_rule_reads_loses_its_feed_alone(tmp_path: Path) -> None:
    path = tmp_path / "damaged.parquet"
    plain = [f"{number:040d}" for number in range(400)]
    table = pa.table({"marking": ["225/65R17 102H"] * 400, "internal": plain})
    pq.write_table(table, path, compression="none", use_dictionary=False)
    content = path.read_bytes()
    at = content.index(plain[200].encode()) - 4
    path.write_bytes(content[:at] + b"\xff" * 4 + content[at + 4 :])
    outcome = audited(tmp_path, ["damaged.parquet"])
    assert "damaged in a column that no rule reads" in only_loss(outcome)
    assert_good_one_is_audited(tmp_path, outcome)


def test_a_full_disk_is_no_fault_of_a_feed(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def full(*_: Any) -> Any:
        raise OSError(28, "No space left on device")

    for module, where in ((unit_work, "PartWriter"), (run_module, "split_all"), (reports, "write_summary")):
        with monkeypatch.context() as patched:
            patched.setattr(module, where, full)
            with pytest.raises(OutputError, match="make room"):
                audited(tmp_path, [])
        assert not (tmp_path / "out").exists()


def test_what_is_no_feed_is_named(tmp_path: Path) -> None:
    folder = tmp_path / "feeds"
    folder.mkdir()
    for name in ("notes.pdf", ".hidden.csv", "readme.txt"):
        (folder / name).write_text("x")
    with zipfile.ZipFile(folder / "night.zip", "w") as archive:
        archive.writestr("a.csv", GOOD)
        archive.writestr("picture.png", b"x")
    outcome = audited(tmp_path, ["feeds"])
    assert [entry["file"] for entry in outcome.summary["skipped"]] == [
        ".hidden.csv",
        "night.zip/picture.png",
        "notes.pdf",
        "readme.txt",
    ]
    assert all(entry["reason"] for entry in outcome.summary["skipped"])


def test_a_map_is_proposed_for_what_can_be_read(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (tmp_path / "a.csv").write_text("")
    (tmp_path / "b.csv").write_text(GOOD)
    (tmp_path / "c.parquet").write_bytes(b"PAR1")
    assert main(["map", str(tmp_path)]) == 3
    said = capsys.readouterr()
    assert 'header = "max_load_kg"' in said.out
    assert [line.split(": ")[1] for line in said.err.splitlines()] == ["a.csv", "c.parquet"]


def test_listings_of_a_damaged_row_group_are_rejected_and_no_furniture(tmp_path: Path) -> None:
    path = tmp_path / "damaged.parquet"
    table = pa.table({"sku": [f"S{number}" for number in range(60)], "marking": ["225/65R17 102H"] * 60})
    pq.write_table(table, path, row_group_size=20, compression="none", use_dictionary=False)
    begins = pq.ParquetFile(path).metadata.row_group(1).column(1).data_page_offset
    content = bytearray(path.read_bytes())
    content[begins : begins + 40] = b"\xff" * 40
    path.write_bytes(content)
    outcome = audited(tmp_path, ["damaged.parquet"])
    damaged = next(feed for feed in outcome.summary["feeds"] if feed["feed"] == "damaged.parquet")
    assert (damaged["records"], damaged["released"], damaged["rejected"], damaged["furniture"]) == (60, 40, 20, 0)
