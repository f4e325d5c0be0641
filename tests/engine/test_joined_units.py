"""Small feeds audited in one block give the very findings, counts and files that each of them gives alone."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from auditor.engine import audit_stage, unit_work
from auditor.engine import run as run_module
from auditor.engine.progress import progress
from auditor.engine.run import RunOutcome, Settings, run_audit
from auditor.engine.unit_work import UnitJob
from auditor.rulebook.book import load_book

CLOCK = "run.json"
OWN = "supplier,sku,gtin,brand,marking,max_load_kg,max_speed_kmh,title,substitutes\n"
NONE = "sku,size,service_description,max_load_kg,description\n"


def _own(feed: int) -> str:
    """Suppliers that share names and numbers with those of other feeds; one row is no record, one a page line."""
    more = 850 + feed % 3 * 100
    rows = [
        f"Nordhall,A{feed},2000000000015,Orlavik,225/65R17 102H,{more},210,Orlavik 225/65R17 102H,A{feed + 1}",
        f",B{feed},2000000000022,Orlavik,245/40R18 97Y,730,{300 - feed % 2 * 60},Orlavik replaces 245/40R18 93W,",
        f"Kelmor,A{feed % 4},,Orlavik,LT245/75R16 120/116S,1400,180,{'x' * (feed % 5)},225/65R17 102H",
        "1,2,3,4,5,6,7,8,9,10,11,12",
        "Page 1 of 2,,,,,,,,",
        f"Kelmor,C{feed},,,nothing,{feed},,,",
        *(f"Habit,H{feed}-{n},,Orlavik,225/65R17 102H,1874,210,,A1" for n in range(70 if feed == 3 else 2)),
    ]
    return OWN + "\n".join(rows) + "\n"


def _none(feed: int) -> str:
    """Listings without a supplier of their own: it is the feed's name."""
    return NONE + f"D{feed},225/65R17,102H,{850 + feed % 2 * 200},Max load 850 kg.\nD{feed},31x10.50R15LT,109Q,1030,\n"


@pytest.fixture(scope="module")
def feeds(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("small")
    for feed in range(12):
        (folder / f"seller{feed:02}.csv").write_text(_own(feed))
        (folder / f"{chr(97 + feed)}-shop.csv").write_text(_none(feed))
    (folder / "empty.csv").write_text(OWN)
    return folder


def _run(feeds: Path, out: Path, **settings: Any) -> RunOutcome:
    with progress("none") as silent:
        return run_audit([str(feeds)], out, Settings(load_book(), night="2026-01-05", **settings), silent)


def _files(folder: Path) -> dict[str, bytes]:
    return {
        str(path.relative_to(folder)): path.read_bytes()
        for path in sorted(folder.rglob("*"))
        if path.is_file() and path.name != CLOCK
    }


@pytest.fixture(scope="module")
def alone(feeds: Path, tmp_path_factory: pytest.TempPathFactory) -> dict[str, bytes]:
    """What a run writes that audits each feed by itself."""
    folder = tmp_path_factory.mktemp("alone")
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(run_module, "may_join", lambda book: False)
        _run(feeds, folder / "out", workers=1)
    return _files(folder / "out")


def test_the_same_bytes_together_and_alone(
    feeds: Path, alone: dict[str, bytes], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    together: list[int] = []
    joined = unit_work.UnitWork._joined

    def counted(self: unit_work.UnitWork, jobs: tuple[UnitJob, ...]) -> Any:
        together.append(len(jobs))
        return joined(self, jobs)

    monkeypatch.setattr(unit_work.UnitWork, "_joined", counted)
    outcome = _run(feeds, tmp_path / "out", workers=2)
    assert sorted(together) == [12, 12]
    assert outcome.summary["totals"]["rejected"] == outcome.summary["totals"]["furniture"] == 12
    assert outcome.summary["could_not_tell"] and outcome.summary["totals"]["findings"]["critical"] > 10
    assert {name: content for name, content in _files(tmp_path / "out").items() if alone.get(name) != content} == {}
    assert sorted(_files(tmp_path / "out")) == sorted(alone)


def test_the_same_bytes_in_many_small_groups_and_in_processes(
    feeds: Path, alone: dict[str, bytes], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(audit_stage, "_MOST_HELD", 5)
    _run(feeds, tmp_path / "out", workers=2, workers_as="processes")
    assert _files(tmp_path / "out") == alone


def test_what_cannot_be_audited_together_is_audited_alone(
    feeds: Path, alone: dict[str, bytes], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def broken(*_: object) -> Any:
        raise MemoryError

    monkeypatch.setattr(unit_work, "audited_together", broken)
    _run(feeds, tmp_path / "out", workers=2)
    assert _files(tmp_path / "out") == alone


def test_a_feed_that_breaks_off_is_lost_alone(feeds: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    blocks = unit_work.Furniture.set_aside

    def breaking(self: Any, block: Any, feed: Any, unit: Any) -> Any:
        if feed.name == "seller05.csv":
            raise ValueError("broken off")
        return blocks(self, block, feed, unit)

    monkeypatch.setattr(unit_work.Furniture, "set_aside", breaking)
    outcome = _run(feeds, tmp_path / "out", workers=2)
    assert [one["feed"] for one in outcome.summary["unreadable_feeds"]] == ["seller05.csv"]
    assert len(outcome.summary["feeds"]) == 24
