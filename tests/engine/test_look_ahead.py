"""A folder of many files is opened file by file as workers need them: never many ahead, and with the same outputs."""

from __future__ import annotations

from pathlib import Path

import pytest

from auditor.engine import audit_stage, known_feeds
from auditor.engine.audit_stage import AuditStage
from auditor.engine.known_feeds import KnownFeeds
from auditor.engine.progress import progress
from auditor.engine.run import RunOutcome, Settings, run_audit
from auditor.rulebook.book import load_book
from tests.engine.test_joined_units import _files

FILES = 60
LAYOUTS = ("sku,marking,max_load_kg", "sku,max_load_kg,marking", "max_speed_kmh,sku,marking")


def _feed(number: int) -> str:
    """Three layouts in turn; the very first one is like no other, so that it finds none to be audited with."""
    header = "note,sku,marking" if number == 0 else LAYOUTS[number % 3]
    loads, speeds = (850, 950), (210, 270)
    rows = []
    for row in range(2):
        cells = {
            "sku": f"NT-{number}-{row}",
            "marking": "225/65R17 102H",
            "max_load_kg": str(loads[(number + row) % 2]),
            "max_speed_kmh": str(speeds[row]),
            "note": "winter stock",
        }
        rows.append(",".join(cells[name] for name in header.split(",")))
    return "\n".join((header, *rows)) + "\n"


@pytest.fixture(scope="module")
def feeds(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("many")
    for number in range(FILES):
        (folder / f"seller_{number:03}.csv").write_text(_feed(number))
    (folder / "SELLER_007.csv").write_text(_feed(7))  # written beside it under a name of its own
    (folder / "seller_030x.csv").write_text("")  # lost when its turn comes
    (folder / "seller_031x.csv").write_text(LAYOUTS[0] + "\n1,225/65R17 102H,950\n", encoding="utf-16")
    return folder


def _run(feeds: Path, out: Path, workers: int = 1) -> RunOutcome:
    with progress("none") as silent:
        return run_audit([str(feeds)], out, Settings(load_book(), workers=workers, night="2026-01-05"), silent)


@pytest.mark.parametrize("workers", [1, 2])
def test_outputs_do_not_depend_on_when_a_file_is_opened(
    feeds: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, workers: int
) -> None:
    monkeypatch.setattr(known_feeds, "OPENED_FIRST", 1000)
    first = _run(feeds, tmp_path / "first")
    monkeypatch.setattr(known_feeds, "OPENED_FIRST", 3)
    monkeypatch.setattr(audit_stage, "_MOST_UNDER_WAY", 8)
    late = _run(feeds, tmp_path / "late", workers)
    assert (first.exit_code, first.summary["totals"]["records"]) == (3, 2 * FILES + 3)
    assert [lost["feed"] for lost in late.summary["unreadable_feeds"]] == ["seller_030x.csv"]
    assert late.exit_code == first.exit_code
    assert _files(tmp_path / "late") == _files(tmp_path / "first")


def test_few_files_are_open_ahead_of_those_that_are_audited(
    feeds: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(known_feeds, "OPENED_FIRST", 3)
    monkeypatch.setattr(audit_stage, "_MOST_UNDER_WAY", 8)
    ahead: list[int] = []
    stages: list[AuditStage] = []
    made, opens = AuditStage.__init__, KnownFeeds.open_next

    def make(stage: AuditStage, *given: object, **named: object) -> None:
        made(stage, *given, **named)  # type: ignore[arg-type]
        stages.append(stage)

    def open_next(known: KnownFeeds) -> bool:
        if stages:
            ahead.append(len(known.opened) - len(stages[0].runs))
        return opens(known)

    monkeypatch.setattr(AuditStage, "__init__", make)
    monkeypatch.setattr(KnownFeeds, "open_next", open_next)
    _run(feeds, tmp_path / "out")
    assert len(ahead) > FILES - 3
    assert max(ahead) <= 9
