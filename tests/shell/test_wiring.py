"""The wiring examples do what their comments say."""

from __future__ import annotations

import configparser
import importlib.util
import json
import re
import threading
from pathlib import Path
from types import ModuleType, SimpleNamespace

import duckdb
import httpx
import pyarrow as pa
import pytest

import auditor
from auditor.shell.job import load_job
from tests.programs.service.test_running import service
from tests.shell.running import HOUSE, shell

WIRING = HOUSE / "sample_catalogs" / "wiring"
GOOD = {"id": 1, "marking": "225/65R17 102H", "max_load_kg": "850"}
BAD = {"id": 2, "marking": "225/65R17 102H", "max_load_kg": "950"}


@pytest.mark.parametrize(("listing", "code"), [(GOOD, 0), (BAD, 1), ({"max_lod": 1}, 2)])
def test_the_gate_lets_only_right_listings_through(listing: dict[str, object], code: int, tmp_path: Path) -> None:
    (tmp_path / "listing.json").write_text(json.dumps({k: v for k, v in listing.items() if k != "id"}))
    ended = shell(f"sh {WIRING / 'publish_gate.sh'} listing.json", tmp_path)
    assert ended.code == code, ended.err


def test_the_gate_takes_the_worst_of_several(tmp_path: Path) -> None:
    for name, listing in (("good.json", GOOD), ("bad.json", BAD)):
        (tmp_path / name).write_text(json.dumps({k: v for k, v in listing.items() if k != "id"}))
    assert shell(f"sh {WIRING / 'publish_gate.sh'} bad.json good.json", tmp_path).code == 1


def job(folder: Path, *feeds: str, out: str = "tonight") -> str:
    """A job file for some feeds."""
    path = folder / "night.toml"
    path.write_text(f'feeds = {json.dumps(feeds)}\nout = "{out}"\nledger = "nights.db"\n', encoding="utf-8")
    return path.name


def test_the_import_job_leaves_the_released_feed(tmp_path: Path) -> None:
    (tmp_path / "north.csv").write_text("sku,marking,max_load_kg\n1,225/65R17 102H,850\n2,225/65R17 102H,950\n")
    ended = shell(f"sh {WIRING / 'import_job.sh'} {job(tmp_path, 'north.csv')} tonight", tmp_path)
    assert (ended.code, ended.out.strip()) == (1, "north.csv"), ended.err
    assert (tmp_path / "tonight" / "released" / "north.csv").read_text() == (
        "sku,marking,max_load_kg\n1,225/65R17 102H,850\n"
    )


def test_the_import_job_imports_what_is_good_when_another_feed_is_bad(tmp_path: Path) -> None:
    feeds = tmp_path / "feeds"
    feeds.mkdir()
    (feeds / "north.csv").write_text("sku,marking,max_load_kg\n1,225/65R17 102H,850\n")
    (feeds / "south.csv").write_text("")
    ended = shell(f"sh {WIRING / 'import_job.sh'} {job(tmp_path, 'feeds')} tonight", tmp_path)
    assert (ended.code, ended.out.strip()) == (3, "north.csv"), ended.err
    assert "south.csv: the file is empty" in ended.err
    missing = shell(f"sh {WIRING / 'import_job.sh'} {job(tmp_path, 'none.csv')} other", tmp_path)
    assert (missing.code, missing.out) == (3, ""), missing.err


@pytest.mark.parametrize(
    ("content", "code", "words"),
    [
        ("sku,marking,max_load_kg\n1,225/65R17 102H,850\n", 0, ""),
        ("sku,marking,max_load_kg\n1,225/65R17 102H,950\n", 0, ""),
        ("", 3, "A feed could not be read; the others were audited and written."),
        ("sku,marking,Max Load\n1,225/65R17 102H,850\n", 5, "A column that matters was not read"),
    ],
)
def test_the_nightly_job_keeps_the_exit_code_through_its_pipe(
    tmp_path: Path, content: str, code: int, words: str
) -> None:
    (tmp_path / "north.csv").write_text("sku,marking,max_load_kg\n1,225/65R17 102H,850\n")
    (tmp_path / "south.csv").write_text(content)
    ended = shell(
        f"{WIRING / 'nightly_audit.sh'} {job(tmp_path, 'north.csv', 'south.csv')}", tmp_path, LOGGER="tee log"
    )
    assert (ended.code, words in ended.out) == (code, True), ended.out
    assert "north.csv" in [path.name for path in (tmp_path / "tonight" / "released").iterdir()]
    last = json.loads((tmp_path / "log").read_text().splitlines()[-1])
    assert (last["event"], last["exit_code"] in (code, 1)) == ("finished", True)


def test_the_nightly_job_tells_of_wrong_usage(tmp_path: Path) -> None:
    ended = shell(f"{WIRING / 'nightly_audit.sh'} {job(tmp_path, 'none.csv')} --workers 0", tmp_path, LOGGER="cat")
    assert (ended.code, "The audit ended with 2" in ended.out) == (2, True), ended.out


def test_the_pipe_names_what_is_held(tmp_path: Path) -> None:
    (tmp_path / "lines").write_text("".join(json.dumps(listing) + "\n" for listing in (GOOD, BAD)))
    ended = shell(f"sh {WIRING / 'held_ids.sh'} < lines", tmp_path)
    assert (ended.code, ended.out.split()) == (0, ["2"]), ended.err


def test_the_service_and_the_crontab_run_the_command_with_options_it_has(tmp_path: Path) -> None:
    service = configparser.ConfigParser(strict=False, interpolation=None)
    service.optionxform = str  # type: ignore[assignment, method-assign]
    service.read(WIRING / "tire-listing-audit.service")
    line = service["Service"]["ExecStart"]
    crontab = (WIRING / "crontab").read_text().splitlines()[-1]
    for text in (line, crontab):
        assert "2>&1 |" not in text  # a pipe would hide the exit code
        options = re.findall(r"--[a-z-]+", text)
        helped = shell("auditor audit --help", tmp_path).out
        assert options and all(option in helped for option in options)
    assert "1" in service["Service"]["SuccessExitStatus"].split()


def test_the_job_of_the_examples_is_a_job() -> None:
    assert load_job(WIRING / "night.toml").keep == 30


def test_the_timer_fires_every_night() -> None:
    timer = (WIRING / "tire-listing-audit.timer").read_text()
    assert "OnCalendar=*-*-* 03:30:00" in timer
    assert "WantedBy=timers.target" in timer


def module(name: str) -> ModuleType:
    spec = importlib.util.spec_from_file_location(name, WIRING / f"{name}.py")
    assert spec is not None and spec.loader is not None
    found = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(found)
    return found


def test_a_warehouse_judges_a_query_batch_by_batch(tmp_path: Path) -> None:
    database = tmp_path / "catalog.duckdb"
    with duckdb.connect(str(database)) as connection:
        connection.execute(
            "CREATE TABLE offers AS SELECT i AS id, '225/65R17 102H' AS size, 840 + i AS kg FROM range(30) t(i)"
        )
    query = "SELECT id, size AS marking, kg AS max_load_kg FROM offers ORDER BY id"
    module("warehouse_duckdb").main(str(database), query, "judged")
    with duckdb.connect(str(database)) as connection:
        rows = connection.execute("SELECT id, verdict, grade, findings FROM judged ORDER BY id").fetchall()
    alone = [auditor.audit_listing({"marking": "225/65R17 102H", "max_load_kg": 840 + i}) for i in range(30)]
    assert [row[:2] for row in rows] == [(i, verdict.verdict) for i, verdict in enumerate(alone)]
    for row, verdict in zip(rows, alone, strict=True):
        assert [one["key"] for one in json.loads(row[3] or "[]")] == [finding.key for finding in verdict.findings]


def test_the_frame_of_a_cluster_is_asked_for_three_columns_more() -> None:
    """A stand-in for the data frame that records what it is asked: the function itself is tested with real batches."""

    class Kind:
        def simpleString(self) -> str:  # noqa: N802 - as the library calls it
            return "string"

    class Frame:
        schema = SimpleNamespace(fields=[SimpleNamespace(name="sku", dataType=Kind())])

        def mapInArrow(self, function: object, schema: str) -> tuple[object, str]:  # noqa: N802
            return function, schema

    asked = module("warehouse_spark").judged(Frame())
    assert asked == (auditor.verdict_batches, "`sku` string, verdict string, grade string, findings string")


def test_the_query_has_rows_only_where_something_is_critical(tmp_path: Path) -> None:
    query = (WIRING / "critical_findings.sql").read_text()
    for load, count in (("850", 0), ("950", 1)):
        table = pa.table({"marking": ["225/65R17 102H"], "max_load_kg": [load], "sku": ["A-1"]})
        auditor.audit(table, tmp_path / load)
        found = duckdb.sql(query.replace("audit_output", str(tmp_path / load))).fetchall()
        assert len(found) == count


def test_the_task_fails_only_where_someone_has_to_look(tmp_path: Path) -> None:
    task = module("audit_task").audit_task
    (tmp_path / "a.csv").write_text("marking,max_load_kg\n225/65R17 102H,950\n")
    assert task([str(tmp_path / "a.csv")], str(tmp_path / "out"))["held"] is True
    (tmp_path / "b.csv").write_text("color,price\nblack,3\n")
    with pytest.raises(RuntimeError, match="the audit ended with 3"):
        task([str(tmp_path / "a.csv"), str(tmp_path / "b.csv")], str(tmp_path / "out"))


def test_the_webhook_publishes_what_the_service_releases(monkeypatch: pytest.MonkeyPatch) -> None:
    hook = module("shop_webhook")
    server = hook.ThreadingHTTPServer(("127.0.0.1", 0), hook.Hook)
    threading.Thread(target=server.serve_forever, daemon=True).start()
    with service("--quiet") as (address, _):
        monkeypatch.setenv("AUDITOR_URL", address)
        asked = {"articleNumber": "A-1", "tireSize": "225/65R17 102H"}
        answers = [
            httpx.post(f"http://127.0.0.1:{server.server_port}", json={**asked, "maxLoadKg": load}).json()
            for load in (850, 950)
        ]
    assert answers[0] == {"publish": True, "messages": []}
    assert answers[1]["publish"] is False and answers[1]["messages"][0].startswith('States "950"')
    unasked = httpx.post(f"http://127.0.0.1:{server.server_port}", json=asked, timeout=30).json()
    server.shutdown()
    server.server_close()
    assert unasked["publish"] is False


def test_the_container_runs_the_command_as_nobody_special() -> None:
    lines = (WIRING / "Containerfile").read_text().splitlines()
    command = json.loads(next(line for line in lines if line.startswith("CMD ")).removeprefix("CMD "))
    assert command[:2] == ["auditor", "serve"] and "USER auditor" in lines
