"""Whole runs with a ledger, night after night."""

from __future__ import annotations

import json
import random
import signal
import subprocess
import time
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import openpyxl
import psycopg
import pyarrow as pa
import pyarrow.parquet as pq
import pytest

import auditor
from auditor.shell.cli import main
from tests.ledger.conftest import server  # noqa: F401
from tests.ledger.nights import everything
from tests.shell.running import start
from tests.trials.listings import Outcome

HEADER = "Supplier,Item,Size,Max load (kg),Max load (lb),Speed (km/h),Model"
RIGHT = "{supplier},S-{number:03},225/65R17 102H,850,1874,210,Halden {number}"
WRONG = "{supplier},S-{number:03},225/65R17 102H,950,1874,210,Halden {number}"
NIGHTS = [f"2026-03-0{day}" for day in range(1, 8)]


def rows(wrong: Sequence[int] = (), count: int = 20, supplier: str = "Northern") -> list[str]:
    """Listings, some of which promise too much."""
    return [(WRONG if number in wrong else RIGHT).format(number=number, supplier=supplier) for number in range(count)]


def trial_of(case: dict[str, Any]) -> Outcome:
    """What the trials make of a case."""
    findings = [{"field": one.field, "grade": one.grade, "rule": one.rule} for one in
                auditor.audit_listing(case["listing"]).findings]  # fmt: skip
    return Outcome(case, findings, "metric")


class Shop:
    """Feeds, a ledger and an output folder."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.feeds = folder / "feeds"
        self.out = folder / "out"
        self.ledger = str(folder / "nights.db")

    def deliver(self, lines: Sequence[str], name: str = "north.csv", header: str = HEADER) -> Path:
        path = self.feeds / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text("\n".join([header, *lines]) + "\n", encoding="utf-8")
        return path

    def clear(self) -> None:
        for path in self.feeds.rglob("*.csv"):
            path.unlink()

    def words(self, night: str, *more: str) -> list[str]:
        feeds = [] if any(word.endswith(".csv") for word in more) else [str(self.feeds)]
        return ["audit", *feeds, *more, "--out", str(self.out), "--ledger", self.ledger, "--night", night, "--quiet"]

    def audit(self, night: str, *more: str) -> int:
        return main(self.words(night, *more))

    def summary(self) -> dict[str, Any]:
        found: dict[str, Any] = json.loads((self.out / "summary.json").read_text(encoding="utf-8"))
        return found

    def counts(self) -> dict[str, int]:
        return {name: count for name, count in self.summary()["states"].items() if count}

    def findings(self) -> list[dict[str, Any]]:
        found: list[dict[str, Any]] = pq.read_table(self.out / "findings.parquet").to_pylist()
        return found


@pytest.fixture
def shop(tmp_path: Path) -> Shop:
    return Shop(tmp_path)


def test_the_states_of_the_summary_are_those_of_the_findings(shop: Shop) -> None:
    shop.deliver(rows([3, 4]))
    assert shop.audit(NIGHTS[0]) == 1
    assert shop.counts() == {"new": 2}
    shop.deliver(rows([4, 5]))
    shop.audit(NIGHTS[1])
    assert shop.counts() == {"new": 1, "standing": 1, "gone": 1}
    assert [(row["sku"], row["state"], row["first_night"]) for row in shop.findings()] == [
        ("S-004", "standing", NIGHTS[0]),
        ("S-005", "new", NIGHTS[1]),
    ]
    assert shop.summary()["by_supplier"]["Northern"]["states"]["new"] == 1
    assert (shop.summary()["night"], shop.summary()["night_before"]) == (NIGHTS[1], NIGHTS[0])


def test_a_run_without_a_ledger_is_what_it_was(shop: Shop) -> None:
    shop.deliver(rows([3]))
    main(["audit", str(shop.feeds), "--out", str(shop.out), "--quiet"])
    assert not {"night_before", "states", "delivery_changed"} & shop.summary().keys()
    assert "state" not in pq.read_schema(shop.out / "findings.parquet").names


@pytest.mark.parametrize("named", [True, False])
def test_names_order_and_folders_change_no_key(shop: Shop, named: bool) -> None:
    """Neither with suppliers in the listings nor without."""
    header = HEADER if named else HEADER.removeprefix("Supplier,")
    lines = [line if named else line.removeprefix("Northern,") for line in rows([1, 2, 3])]
    shop.deliver(lines, "north_2026-03-01.csv", header)
    shop.audit(NIGHTS[0])
    shop.clear()
    random.Random(1).shuffle(lines)
    shop.deliver(lines, "2026-03-02/north_2026-03-02 (1).csv", header)
    shop.audit(NIGHTS[1])
    assert shop.counts() == {"standing": 3}
    assert shop.summary()["delivery_changed"] == []
    path = shop.deliver(lines[::-1], "elsewhere/North-3.csv", header)
    shop.audit(NIGHTS[2], str(path))
    assert shop.counts() == {"standing": 3}


def test_a_frame_and_a_call_give_the_same_keys(shop: Shop) -> None:
    import pyarrow.csv as pcsv

    path = shop.deliver(rows([3]))
    shop.audit(NIGHTS[0])
    (row,) = shop.findings()
    table = pcsv.read_csv(path)
    assert auditor.audit(table).findings["key"].to_pylist() == [row["key"]]
    listing = {"supplier": "Northern", "sku": "S-003", "marking": "225/65R17 102H", "max_load_kg": 950}
    assert [one.key for one in auditor.audit_listing({**listing, "max_load_lb": 1874}).findings] == [row["key"]]


def test_a_frame_and_a_call_give_the_same_keys_where_nobody_is_named(shop: Shop) -> None:
    table = pa.table({"sku": ["S-1"], "marking": ["225/65R17 102H"], "max_load_kg": ["950"]})
    (call,) = auditor.audit_listing({name: table[name][0].as_py() for name in table.column_names}).findings
    result = auditor.audit(table, ledger=shop.ledger, night=NIGHTS[0])
    assert result.findings["key"].to_pylist() == [call.key]
    assert (result.findings["state"].to_pylist(), result.summary["states"]["new"]) == (["new"], 1)
    assert auditor.audit(table, ledger=shop.ledger, night=NIGHTS[1]).findings["state"].to_pylist() == ["standing"]
    with pytest.raises(auditor.UsageError, match="The night 'yesterday' is no date"):
        auditor.audit(table, ledger=shop.ledger, night="yesterday")


def test_the_report_leads_with_deliveries_and_with_what_is_new(shop: Shop) -> None:
    shop.deliver(rows([3], count=40))
    shop.audit(NIGHTS[0])
    shop.deliver(rows([3, 4], count=20))
    shop.audit(NIGHTS[1])
    page = (shop.out / "report.html").read_text(encoding="utf-8")
    changed, states = (page.index(text) for text in ("DELIVERY CHANGED: north", "Night 2026-03-02, after 2026-03-01"))
    assert changed < states < page.index("1 feed, 20 listings")
    assert "▅█" in page  # held on the two nights
    assert "Northern" in page


def test_a_letter_names_what_is_asked_again(shop: Shop) -> None:
    shop.deliver(rows([3]))
    shop.audit(NIGHTS[0])
    letter = shop.out / "corrections" / "Northern.en.txt"
    assert "Asked again" not in letter.read_text(encoding="utf-8")
    shop.audit(NIGHTS[1])
    said = " ".join(letter.read_text(encoding="utf-8").split())
    assert "Asked again: 1 of these points, first on the night before, March 1, 2026." in said
    shop.deliver(rows([3, 4]))
    shop.audit(NIGHTS[2])
    said = " ".join(letter.read_text(encoding="utf-8").split())
    assert "Asked again: 1 of these points, asked on up to 2 nights before, first on March 1, 2026." in said


def test_what_is_said_to_be_wrong_is_a_case_for_the_trials(shop: Shop, capsys: pytest.CaptureFixture[str]) -> None:
    lines = ["Northern,S-1,225/65R17 102H,800,Halden 1", "Northern,S-2,225/65R17 102H,850,Halden 2"]
    shop.deliver(lines, header="Supplier,Item,Size,Max load (kg),Model")
    shop.audit(NIGHTS[0])
    (row,) = shop.findings()
    assert main(["decide", "--ledger", shop.ledger, "--key", row["key"], "--wrong", "--because", "as agreed"]) == 0
    shop.audit(NIGHTS[1])
    capsys.readouterr()
    assert main(["nights", "--ledger", shop.ledger, "--wrong"]) == 0
    case = json.loads(capsys.readouterr().out)
    sizes = {"marking": "225/65R17 102H"} if "marking" in case["listing"] else {"size": "225/65R17 102H"}
    assert case["listing"] == {"supplier": "Northern", "sku": "S-1", **sizes, "max_load_kg": "800", "model": "Halden 1"}
    (finding,) = auditor.audit_listing(case["listing"]).findings
    assert finding.key == row["key"]
    outcome = trial_of(case)
    assert (outcome.wrong, len(outcome.above_minor)) == (False, 1)  # held wrongly, as the case says


def test_a_whole_run_remembers_in_a_database(shop: Shop, server: str) -> None:  # noqa: F811
    with psycopg.connect(server, autocommit=True) as connection:
        connection.execute("CREATE DATABASE whole_runs")
    shop.ledger = server.rsplit("/", 1)[0] + "/whole_runs"
    shop.deliver([*rows([3, 4]), *in_pounds(40, 36)])
    shop.audit(NIGHTS[0])
    key = next(row["key"] for row in shop.findings() if row["sku"] == "S-004")
    words = ["--because", "checked", "--by", "Ann", "--until", NIGHTS[2]]
    assert main(["decide", "--ledger", shop.ledger, "--key", key, "--accept", *words]) == 0
    shop.deliver([*rows([4, 5]), *in_pounds(40, 36)])
    shop.audit(NIGHTS[1])
    assert {row["sku"]: row["state"] for row in shop.findings() if row["stated"] == "950"} == {
        "S-004": "accepted",
        "S-005": "new",
    }
    assert shop.summary()["states"]["gone"] == 1


def test_same_night_and_same_ledger_give_the_same_bytes(shop: Shop) -> None:
    shop.deliver(rows([3, 4]))
    shop.audit(NIGHTS[0])
    shop.deliver(rows([4]))
    shop.audit(NIGHTS[1])
    first = {path.name: path.read_bytes() for path in shop.out.iterdir() if path.is_file()}
    ledger = everything(shop.ledger)
    shop.audit(NIGHTS[1])
    again = {path.name: path.read_bytes() for path in shop.out.iterdir() if path.is_file()}
    assert first.keys() == again.keys()
    assert [name for name in first if first[name] != again[name] and name != "run.json"] == []
    assert everything(shop.ledger) == ledger


def test_an_accepted_finding_holds_no_longer_and_is_still_counted(shop: Shop) -> None:
    shop.deliver(rows([3, 4]))
    shop.audit(NIGHTS[0])
    key = shop.findings()[0]["key"]
    words = ["--because", "checked", "--by", "Ann", "--until", NIGHTS[2]]
    assert main(["decide", "--ledger", shop.ledger, "--key", key, "--accept", *words]) == 0
    shop.audit(NIGHTS[1])
    summary = shop.summary()
    assert (summary["totals"]["held"], summary["totals"]["findings"]["critical"]) == (1, 2)
    assert summary["by_supplier"]["Northern"]["held"] == 1
    assert "S-003" in (shop.out / "released" / "north.csv").read_text(encoding="utf-8")
    assert "S-003" not in (shop.out / "held" / "north.csv").read_text(encoding="utf-8")
    shop.audit(NIGHTS[3])
    assert shop.summary()["totals"]["held"] == 2


def test_a_halved_feed_and_a_lost_column_end_with_five(shop: Shop) -> None:
    shop.deliver(rows(count=40))
    assert shop.audit(NIGHTS[0]) == 0
    shop.deliver(rows(count=20))
    assert shop.audit(NIGHTS[1]) == 5
    (entry,) = shop.summary()["delivery_changed"]
    assert (entry["feed"], entry["supplier"], entry["what"], entry["before"], entry["now"]) == (
        "north",
        "north",
        "fewer-records",
        40,
        20,
    )
    shop.deliver([",".join(line.split(",")[:3] + line.split(",")[4:]) for line in rows(count=40)],
                 header=HEADER.replace("Max load (kg),", ""))  # fmt: skip
    assert shop.audit(NIGHTS[2]) == 5
    lost = [one for one in shop.summary()["delivery_changed"] if one["what"] == "column-lost"]
    assert [(one["field"], one["before"]) for one in lost] == [("max_load_kg", "Max load (kg)")]


def test_a_lost_column_that_no_rule_needs_is_only_said(shop: Shop) -> None:
    shop.deliver(rows())
    shop.audit(NIGHTS[0])
    shop.deliver([line.rsplit(",", 1)[0] for line in rows()], header=HEADER.removesuffix(",Model"))
    assert shop.audit(NIGHTS[1]) == 0
    assert [one["field"] for one in shop.summary()["delivery_changed"]] == ["model"]


def test_an_unreadable_feed_is_not_delivered(shop: Shop) -> None:
    shop.deliver(rows([3]))
    shop.deliver(rows([4], supplier="Southern"), "south.csv")
    shop.audit(NIGHTS[0])
    (shop.feeds / "south.csv").write_bytes(b"")
    assert shop.audit(NIGHTS[1]) == 3
    assert shop.counts() == {"standing": 1}  # that of the other stands, too, and nothing is gone
    shop.deliver(rows([4], supplier="Southern"), "south.csv")
    shop.audit(NIGHTS[2])
    assert shop.counts() == {"standing": 2}


def in_pounds(count: int, wrong: int) -> list[str]:
    """Listings of which the first `wrong` state pounds in kilograms."""
    line = "Northern,S-{number:03},225/65R17 102H,{load},,210,Halden"
    return [line.format(number=number, load=1874 if number < wrong else 850) for number in range(count)]


def test_folding_changes_no_state(shop: Shop) -> None:
    """Neither when a column begins to be folded, nor when it no longer is."""
    weighted = {"new": 0, "standing": 0, "accepted": 0, "asked": 0}
    shop.deliver(in_pounds(40, 20))
    shop.audit(NIGHTS[0])
    shop.deliver(in_pounds(40, 36))
    shop.audit(NIGHTS[1])
    assert {row["rule"] for row in shop.findings()} == {"column-suspect"}
    for row in shop.findings():
        weighted[row["state"]] += row["stands_for"]
    assert weighted == {"new": 16, "standing": 20, "accepted": 0, "asked": 0}
    assert shop.counts() == {"new": 16, "standing": 20}
    assert {row["first_night"] for row in shop.findings() if row["state"] == "standing"} == {NIGHTS[0]}
    shop.deliver(in_pounds(40, 20))
    shop.audit(NIGHTS[2])
    assert shop.counts() == {"standing": 20, "gone": 16}
    assert {row["first_night"] for row in shop.findings()} == {NIGHTS[0]}


def test_a_critical_column_can_be_asked_about_only(shop: Shop, capsys: pytest.CaptureFixture[str]) -> None:
    shop.deliver(in_pounds(40, 40))
    shop.audit(NIGHTS[0])
    (row,) = shop.findings()
    end = ["--because", "no", "--by", "Ann", "--until", NIGHTS[3]]
    decide = ["decide", "--ledger", shop.ledger, "--key", row["key"]]
    assert main([*decide, "--accept", *end]) == 2
    assert "can be asked about, not accepted as a whole" in capsys.readouterr().err
    assert main([*decide, "--ask"]) == 0
    shop.audit(NIGHTS[1])
    assert shop.counts() == {"asked": 40}
    assert shop.summary()["totals"]["held"] == 40


def test_a_group_is_accepted_on_its_members(shop: Shop) -> None:
    shop.deliver(in_pounds(40, 8))
    shop.audit(NIGHTS[0])
    (group,) = shop.summary()["repeated"]
    end = ["--because", "the supplier mends it", "--by", "Ann", "--until", NIGHTS[3]]
    assert main(["decide", "--ledger", shop.ledger, "--key", group["key"], "--accept", *end]) == 0
    shop.deliver(in_pounds(40, 9))
    shop.audit(NIGHTS[1])
    assert shop.counts() == {"new": 1, "accepted": 8}
    assert shop.summary()["totals"]["held"] == 1  # a later member is held
    shop.deliver(in_pounds(40, 40))
    shop.audit(NIGHTS[2])
    assert shop.counts() == {"new": 31, "standing": 1, "accepted": 8}
    assert shop.summary()["totals"]["held"] == 32


def test_examples_of_repeated_mistakes_are_theirs(shop: Shop) -> None:
    """Although a column's finding becomes several ones before them."""
    shop.deliver(in_pounds(40, 36), "a.csv")
    shop.audit(NIGHTS[0])
    shop.deliver(in_pounds(40, 38), "a.csv")
    shop.deliver(rows(range(8)), "b.csv")
    shop.audit(NIGHTS[1])
    (group,) = [one for one in shop.summary()["repeated"] if not one["folded"] and one["rule"] == "load-overstated"]
    assert {one["stated"] for one in group["examples"]} == {"950"}


def test_a_feed_of_changes(shop: Shop) -> None:
    maps = shop.folder / "maps"
    maps.mkdir()
    fields = ("supplier", "sku", "marking", "max_load_kg", "max_load_lb", "max_speed_kmh", "model")
    columns = "".join(
        f'[[column]]\nheader = "{header}"\nfield = "{field}"\n'
        for header, field in zip(HEADER.split(","), fields, strict=True)
    )
    text = f'files = ["north*"]\nfeed = "northern feed"\ndelivery = "changes"\n{columns}'
    (maps / "north.toml").write_text(text, encoding="utf-8")
    shop.deliver(rows([3, 4]))
    assert shop.audit(NIGHTS[0], "--maps", str(maps)) == 1
    shop.deliver([rows()[4], rows([5])[5]])
    assert shop.audit(NIGHTS[1], "--maps", str(maps)) == 1
    assert shop.counts() == {"new": 1, "gone": 1}
    shop.deliver(rows([3])[3:4])
    shop.audit(NIGHTS[2], "--maps", str(maps))
    assert shop.findings()[0]["first_night"] == NIGHTS[0]


def write_decisions(path: Path, decisions: dict[str, dict[str, Any]]) -> None:
    """Writes decisions into a workbook's cells, by SKU, as another spreadsheet program would save it."""
    book = openpyxl.load_workbook(path)
    for sheet in book.worksheets:
        headings = [cell.value for cell in sheet[1]]
        if "Decision" not in headings or sheet.title != "Findings":
            continue
        for row in sheet.iter_rows(min_row=2):
            for name, value in decisions.get(str(row[headings.index("SKU")].value), {}).items():
                row[headings.index(name)].value = value
    book.save(path)


def test_decisions_in_the_workbook_are_taken_in_before_it_is_replaced(shop: Shop) -> None:
    lines = [f"Northern,S-{number},225/65R17 102H,{800 if number < 3 else 850}" for number in range(9)]
    shop.deliver(lines, header="Supplier,Item,Size,Max load (kg)")
    shop.audit(NIGHTS[0])
    skus = sorted(row["sku"] for row in shop.findings())
    assert len(skus) >= 2  # no critical ones, which need more than a word
    workbook = shop.out / "report.xlsx"
    write_decisions(workbook, {skus[0]: {"Decision": "accept", "Note": "checked"}, skus[1]: {"Decision": "perhaps"}})
    assert shop.audit(NIGHTS[1]) == 5
    decisions = shop.summary()["decisions"]
    assert decisions["taken"] == 1
    assert decisions["refused"] == [
        "report.xlsx, Findings, row 3: 'perhaps' is no decision; there are accept, ask, wrong."
    ]
    assert {row["sku"]: row["state"] for row in shop.findings()}[skus[0]] == "accepted"
    kept = shop.out / shop.summary()["kept_workbook"]
    assert kept.name == "report-with-decisions.xlsx"
    assert openpyxl.load_workbook(kept)["Findings"]["B3"].value == "perhaps"
    assert main(["decide", str(kept), "--ledger", shop.ledger]) == 2
    shop.audit(NIGHTS[2])
    assert kept.is_file()  # what is kept stays


def test_a_workbook_with_decisions_is_kept_where_there_is_no_ledger(shop: Shop) -> None:
    shop.deliver(rows([3]))
    words = ["audit", str(shop.feeds), "--out", str(shop.out), "--quiet"]
    main(words)
    write_decisions(shop.out / "report.xlsx", {"S-003": {"Decision": "ask"}})
    before = (shop.out / "report.xlsx").read_bytes()
    assert main(words) == 1
    assert (shop.out / shop.summary()["kept_workbook"]).read_bytes() == before
    main(words)
    assert "kept_workbook" not in shop.summary()


def test_two_runs_into_one_folder(shop: Shop) -> None:
    """The second one is refused with a sentence; the first one is whole."""
    shop.deliver(rows([3], count=4000))
    first = start(shop.words(NIGHTS[0]))
    for _ in range(200):
        if list(shop.folder.glob(".out.building-*/.building")):
            break
        time.sleep(0.05)
    second = start(shop.words(NIGHTS[0]))
    told = second.communicate(timeout=60)[1].decode()
    first.communicate(timeout=120)
    assert first.returncode == 1
    assert second.returncode in (1, 4)
    if second.returncode == 4:
        assert "is being written by another audit; wait until that one is done, or choose another --out." in told
    assert shop.counts() == {"new": 1}


def test_an_earlier_night_is_refused_at_once(shop: Shop, capsys: pytest.CaptureFixture[str]) -> None:
    shop.deliver(rows([3]))
    shop.audit(NIGHTS[1])
    assert shop.audit(NIGHTS[0]) == 2
    assert "the night 2026-03-01 is earlier than 2026-03-02" in capsys.readouterr().err
    assert shop.audit("yesterday") == 2
    assert "--night yesterday is no date; write it as 2026-11-28." in capsys.readouterr().err


@pytest.mark.parametrize("after_s", [0.2, 0.5, 0.8, 1.1, 1.5])
def test_a_killed_run_leaves_the_ledger_as_it_was_or_whole(shop: Shop, after_s: float) -> None:
    shop.deliver(rows([3], count=3000))
    shop.audit(NIGHTS[0])
    before = everything(shop.ledger)
    shop.deliver(rows(range(0, 3000, 7), count=3000))
    process = start(shop.words(NIGHTS[1]))
    time.sleep(after_s)
    process.send_signal(signal.SIGKILL)
    process.communicate()
    left = everything(shop.ledger)
    if left != before:  # it was quicker
        assert [row[0] for row in left["ledger_nights"]] == NIGHTS[:2]
    assert shop.audit(NIGHTS[1]) == 5  # much more of it is held
    assert shop.counts()["new"] == 429


def test_two_runs_at_once_wait_for_each_other(shop: Shop) -> None:
    shop.deliver(rows([3], count=2000))
    words = [shop.words(NIGHTS[0]), shop.words(NIGHTS[0])]
    words[1][words[1].index("--out") + 1] = str(shop.folder / "other")
    both = [start(one, stderr=subprocess.PIPE) for one in words]
    ended = [process.communicate(timeout=120) for process in both]
    assert [process.returncode for process in both] == [1, 1], [text for _, text in ended]
    assert len(everything(shop.ledger)["ledger_findings"]) == 1
    for out in (shop.out, shop.folder / "other"):
        assert json.loads((out / "summary.json").read_text("utf-8"))["states"]["new"] == 1
    assert not [path for path in shop.folder.iterdir() if "journal" in path.name]


def test_repeated_mistakes_tell_the_states_of_their_members(shop: Shop) -> None:
    shop.deliver(rows(range(6)))
    shop.audit(NIGHTS[0])
    shop.deliver(rows(range(8)))
    shop.audit(NIGHTS[1])
    (group,) = shop.summary()["repeated"]
    assert group["states"] == {"new": 2, "standing": 6, "accepted": 0, "asked": 0}
    assert (group["count"], group["first_night"], group["nights_before"]) == (8, NIGHTS[0], 1)
    letter = " ".join((shop.out / "corrections" / "Northern.en.txt").read_text(encoding="utf-8").split())
    assert letter.count("Asked again: 6 of these points, first on the night before, March 1, 2026.") == 2


def test_shifted_rows_are_counted_alike_by_ledger_and_outputs(shop: Shop) -> None:
    lines = rows(count=40)
    for number in range(10, 20):
        cells = lines[number].split(",")
        lines[number] = ",".join([*cells[:3], "", *cells[3:5], cells[6]])
    shop.deliver(lines)
    shop.audit(NIGHTS[0])
    summary = shop.summary()
    (group,) = summary["repeated"]
    assert (group["count"], group["states"]["new"], group["shift"]["way"]) == (10, 10, "right")
    assert shop.counts() == {"new": 10}
    assert sum(summary["totals"]["findings"].values()) == 10
