"""Whole columns and runs of shifted rows: one finding for each, counted as many, whatever the cause."""

from __future__ import annotations

import csv
import json
from pathlib import Path
from typing import Any

import pyarrow.parquet as pq
import pytest

from auditor.engine import pieces
from auditor.engine.progress import progress
from auditor.engine.run import Settings, run_audit
from auditor.outputs.audit_result import RuleCard
from auditor.outputs.headline import grade_of_rule
from auditor.rulebook.book import load_book
from auditor.shell.terminal import end_of_run

RULES = load_book().rules
LOADS = {82: 475, 88: 560, 91: 615, 95: 690, 102: 850, 104: 900}
MARKINGS = (
    *("205/55R16 91H", "225/65R17 102H", "195/65R15 91H", "185/65R15 88H"),
    *("175/65R14 82H", "215/60R16 95H", "225/45R17 91H", "235/65R17 104H"),
)
HEADERS = ("supplier", "sku", "gtin", "marking", "load_index", "max_load_kg", "max_load_lb", "max_speed_kmh")


def gtin(number: int) -> str:
    """A right GTIN of those that anyone may use at home."""
    body = f"2{number:011d}"
    return body + str(-sum(int(digit) * (3 if place % 2 else 1) for place, digit in enumerate(body)) % 10)


def rows(count: int, supplier: str = "Harrowgate Lots") -> list[dict[str, str]]:
    """Right listings of many sizes."""
    made = []
    for number in range(count):
        marking = MARKINGS[number % len(MARKINGS)]
        index = int(marking.split()[1].removesuffix("H"))
        kg = LOADS[index]
        listing = {"supplier": supplier, "sku": f"H{number:05d}"}
        listing |= {"gtin": gtin(number), "marking": marking}
        listing |= {"load_index": str(index), "max_load_kg": str(kg), "max_load_lb": str(round(kg * 2.20462))}
        made.append(listing | {"max_speed_kmh": "210"})
    return made


def audited(folder: Path, listings: list[list[str]] | list[dict[str, str]], **how: Any) -> dict[str, Any]:
    """The summary of an audit of listings; its other outputs lie in `folder`/out."""
    with (folder / "feed.csv").open("w", encoding="utf-8", newline="") as file:
        writer = csv.writer(file)
        writer.writerow(HEADERS)
        writer.writerows(list(one.values()) if isinstance(one, dict) else one for one in listings)
    with progress("none") as silent:
        run_audit([str(folder / "feed.csv")], folder / "out", Settings(load_book(), workers=1, **how), silent)
    return dict(json.loads((folder / "out" / "summary.json").read_text(encoding="utf-8")))


def findings_of(folder: Path) -> list[dict[str, Any]]:
    return list(pq.read_table(folder / "out" / "findings.parquet").to_pylist())


def test_pounds_in_a_whole_column_are_one_critical_finding_that_counts_as_all(tmp_path: Path) -> None:
    listings = rows(400)
    for one in listings:
        one["max_load_kg"] = one["max_load_lb"]
    summary = audited(tmp_path, listings)
    (finding,) = findings_of(tmp_path)
    assert (finding["rule"], finding["grade"], finding["stands_for"]) == ("column-suspect", "critical", 400)
    assert finding["supplier"] == "Harrowgate Lots"
    assert 'The column "max_load_kg", read as max_load_kg, holds pounds, not kilograms' in finding["message"]
    assert summary["totals"]["findings"] == {"critical": 400, "major": 0, "minor": 0}
    assert summary["totals"]["held"] == 400
    assert summary["by_supplier"]["Harrowgate Lots"]["critical"] == 400
    assert summary["by_rule"]["column-suspect"]["findings"] == 400
    (group,) = summary["repeated"]
    assert (group["count"], group["share"], group["grade"], group["folded"]) == (400, 1.0, "critical", True)
    assert group["deviation"] == pytest.approx(1.2046, abs=0.002)
    assert [one["record"] for one in group["examples"]] == [1, 2, 3]
    rules = {
        rule.id: RuleCard(rule.id, rule.grade, "", "", "", "", 0, (), rule.id == "column-suspect") for rule in RULES
    }
    assert grade_of_rule("column-suspect", summary, rules) == "critical"  # as bad as what it stands for
    listings = rows(60)
    for one in listings:
        one["gtin"] = "4.0E+12"
    assert grade_of_rule("column-suspect", audited(tmp_path, listings), rules) == "major"
    (told,) = [line for line in end_of_run(summary, rules, tmp_path).splitlines() if line.startswith("column-suspect")]
    assert told.split() == ["column-suspect", "400", "critical"]


def test_folded_findings_have_the_keys_that_they_would_have_alone(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    listings = rows(100)
    for one in listings:
        one["max_load_kg"] = one["max_load_lb"]
    audited(tmp_path, listings)
    folded = pq.read_table(tmp_path / "out" / "folded.parquet").to_pylist()
    (finding,) = findings_of(tmp_path)
    assert [row["record"] for row in folded] == list(range(1, 101))
    assert {row["column_key"] for row in folded} == {finding["key"]}
    (tmp_path / "few").mkdir()
    audited(tmp_path / "few", [*rows(200)[100:], listings[7]])
    (alone,) = findings_of(tmp_path / "few")
    assert alone["key"] == folded[7]["key"]


@pytest.mark.parametrize("factor", [1.17, 0.83, 1.31])
def test_a_factor_is_named_whatever_it_happens_to_look_like(tmp_path: Path, factor: float) -> None:
    listings = rows(200)
    for one in listings:
        one["max_load_kg"] = str(round(float(one["max_load_kg"]) * factor))
    audited(tmp_path, listings)
    (finding,) = findings_of(tmp_path)
    assert f"is all off by the same factor, {factor}" in finding["message"]


def test_numbers_that_a_spreadsheet_destroyed(tmp_path: Path) -> None:
    listings = rows(60)
    for one in listings:
        one["gtin"] = "4.0E+12"
    audited(tmp_path, listings)
    (finding,) = findings_of(tmp_path)
    assert finding["stands_for"] == 60
    assert "a spreadsheet destroyed the numbers" in finding["message"]


def test_a_letter_counts_listings_once_however_many_of_their_columns_are_wrong(tmp_path: Path) -> None:
    listings = rows(60)
    for one in listings:
        one["gtin"], one["max_load_kg"] = "4.0E+12", one["max_load_lb"]
    listings[7]["max_speed_kmh"] = "240"
    audited(tmp_path, listings)
    letter = (tmp_path / "out" / "corrections" / "Harrowgate-Lots.en.txt").read_text(encoding="utf-8")
    assert "This letter is about 60 of your listings." in " ".join(letter.split())
    with (tmp_path / "out" / "corrections" / "index.csv").open(encoding="utf-8") as file:
        assert [row["listings"] for row in csv.DictReader(file)] == ["60"]


def test_below_the_share_nothing_folds_and_the_group_is_listed(tmp_path: Path) -> None:
    listings = rows(300)
    for one in listings[::3]:
        one["max_load_kg"] = one["max_load_lb"]
    summary = audited(tmp_path, listings)
    assert [finding["stands_for"] for finding in findings_of(tmp_path)] == [1] * 100
    (group,) = summary["repeated"]
    assert (group["count"], group["cause"], group["folded"]) == (100, "unit-swapped", False)
    assert group["share"] == pytest.approx(1 / 3, abs=0.001)


@pytest.mark.parametrize(("count", "groups"), [(4, 0), (5, 1)])
def test_five_make_a_repeated_mistake(tmp_path: Path, count: int, groups: int) -> None:
    listings = rows(100)
    for one in listings[:count]:
        one["max_load_kg"] = one["max_load_lb"]
    assert len(audited(tmp_path, listings)["repeated"]) == groups


def test_the_same_value_everywhere_is_one_mistake_and_no_factor(tmp_path: Path) -> None:
    listings = rows(300)
    for one in listings[:100]:
        one["max_load_kg"] = "5557"
    summary = audited(tmp_path, listings)
    assert sum(group["count"] for group in summary["repeated"] if group["cause"] == "unclear") <= 100
    assert any(group["stated"] == "5557" for group in summary["repeated"])


def test_each_supplier_of_a_feed_is_judged_by_itself(tmp_path: Path) -> None:
    wrong = rows(50, "Dunmarrow Supply")
    for one in wrong:
        one["max_load_kg"] = one["max_load_lb"]
    summary = audited(tmp_path, [*rows(200), *wrong])
    (finding,) = findings_of(tmp_path)
    assert (finding["supplier"], finding["stands_for"], finding["record"]) == ("Dunmarrow Supply", 50, 201)
    assert summary["by_supplier"]["Harrowgate Lots"]["critical"] == 0


def test_what_waited_in_vain_is_worded_as_if_it_had_not(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The first two hundred rows look like a wrong column, the whole feed does not."""
    listings = rows(600)
    for one in listings[:200]:
        one["max_load_kg"] = one["max_load_lb"]
    monkeypatch.setattr(pieces, "FIRST_RECORDS", 64)
    for name, sizes in (("small", 150), ("whole", 100_000)):
        (tmp_path / name).mkdir()
        monkeypatch.setattr(pieces.PieceSizes, "next_size", lambda self, sizes=sizes: sizes)
        audited(tmp_path / name, listings)
    small, whole = (findings_of(tmp_path / name) for name in ("small", "whole"))
    assert len(small) == 200
    assert small == whole


def test_where_pieces_end_the_same_listings_are_shown_for_a_column(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Only the first piece words examples of a mistake; those of the next ones would never be shown."""
    listings = [*rows(40), *rows(600, "Dunmarrow Supply")]
    for one in listings[40:]:
        one["max_load_kg"] = one["max_load_lb"]
    worded, known = [], []
    monkeypatch.setattr(pieces.Pieces, "learn", lambda self, result: worded.append(result) or learn(self, result))
    for name, size in (("small", 100), ("whole", 100_000)):
        (tmp_path / name).mkdir()
        monkeypatch.setattr(pieces.PieceSizes, "next_size", lambda self, size=size: size)
        known.append(audited(tmp_path / name, listings)["repeated"])
        assert sum(0 if one.samples is None else one.samples.num_rows for one in worded) == 3
        worded.clear()
    assert known[0] == known[1]
    assert [one["record"] for one in known[0][0]["examples"]] == [41, 42, 43]
    assert findings_of(tmp_path / "small") == findings_of(tmp_path / "whole")


learn = pieces.Pieces.learn


@pytest.mark.parametrize("way", ["right", "left"])
def test_numbers_alone_that_moved_by_one_column_are_one_mistake_too(tmp_path: Path, way: str) -> None:
    """Every cell can be read, since only numbers moved among columns of numbers."""
    listings = [list(one.values()) for one in rows(120)]
    for row in listings[40:60]:
        row[4:7] = ["", row[4], row[5]] if way == "right" else [row[5], row[6], ""]
    summary = audited(tmp_path, listings, apply="certain")
    (group,) = summary["repeated"]
    assert (group["cause"], group["count"], group["shift"]["way"]) == ("column-shifted", 20, way)
    assert (group["shift"]["first_record"], group["shift"]["last_record"]) == (41, 60)
    (finding,) = findings_of(tmp_path)
    assert finding["stands_for"] == 20
    assert not (tmp_path / "out" / "corrected" / "feed.csv").exists() or (
        (tmp_path / "out" / "corrected" / "feed.csv").read_bytes() == (tmp_path / "feed.csv").read_bytes()
    )


def test_loads_that_are_exchanged_are_no_shift(tmp_path: Path) -> None:
    listings = rows(120)
    for one in listings[40:60]:
        one["max_load_kg"], one["max_load_lb"] = one["max_load_lb"], one["max_load_kg"]
    summary = audited(tmp_path, listings)
    assert {group["cause"] for group in summary["repeated"]} == {"unit-swapped"}


@pytest.mark.parametrize("way", ["right", "left"])
def test_a_run_of_shifted_rows_is_one_mistake_and_no_cell_of_it_is_corrected(tmp_path: Path, way: str) -> None:
    listings = [list(one.values()) for one in rows(200)]
    for row in listings[60:90]:
        if way == "right":
            row.insert(3, "")
            row.pop()
        else:
            row.append(row.pop(1))
    summary = audited(tmp_path, listings)
    (group,) = summary["repeated"]
    assert (group["cause"], group["column"], group["count"], group["folded"]) == ("column-shifted", "", 30, True)
    (finding,) = findings_of(tmp_path)
    assert (finding["stands_for"], finding["record"], finding["suggestion"]) == (30, 61, "")
    assert f"30 rows between records 61 and 90 are shifted by one cell to the {way}" in finding["message"]
    with (tmp_path / "out" / "corrections" / "Harrowgate-Lots.csv").open(encoding="utf-8") as file:
        sent = list(csv.DictReader(file))
    assert [row["record"] for row in sent] == [str(record) for record in range(61, 91)]
    assert {(row["ask"], row["suggestion"], row["field"]) for row in sent} == {("group", "", "")}


def test_shifted_rows_of_two_feeds_at_the_same_places_are_all_sent(tmp_path: Path) -> None:
    feeds = tmp_path / "feeds"
    feeds.mkdir()
    for name in ("north", "south"):
        listings = [list(one.values()) for one in rows(120)]
        for place, row in enumerate(listings):
            row[1] = f"{name}{place}"
            if 60 <= place < 90:
                row.insert(3, "")
                row.pop()
        with (feeds / f"{name}.csv").open("w", encoding="utf-8", newline="") as file:
            csv.writer(file).writerows([HEADERS, *listings])
    with progress("none") as silent:
        run_audit([str(feeds)], tmp_path / "out", Settings(load_book(), workers=1), silent)
    with (tmp_path / "out" / "corrections" / "Harrowgate-Lots.csv").open(encoding="utf-8") as file:
        sent = [(row["feed"], row["record"]) for row in csv.DictReader(file) if row["ask"] == "group"]
    assert sent == [(f"{name}.csv", str(record)) for name in ("north", "south") for record in range(61, 91)]


def test_a_letter_names_the_cells_that_cannot_be_read_for_another_reason_than_most(tmp_path: Path) -> None:
    listings = rows(120)
    for one in listings[:15]:
        one["max_load_kg"] = "call us"
    listings[40]["max_load_kg"] = "1.2.3"
    summary = audited(tmp_path, listings)
    assert [(group["count"], group["reason"]) for group in summary["repeated"]] == [
        (15, "'call' is not understood here")
    ]
    letter = (tmp_path / "out" / "corrections" / "Harrowgate-Lots.en.txt").read_text(encoding="utf-8")
    assert "H00040" in letter
    assert "H00007" not in letter
