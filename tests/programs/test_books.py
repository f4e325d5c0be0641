"""Rules, policy, market and grade as keywords of the calls, checked as the options of the commands are."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pandas as pd
import pytest

import auditor
from auditor.rules_folder import rules_folder
from tests.own_rules import HOUSE, shop
from tests.shell.running import InProcess


@pytest.fixture
def auditor_command(capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> InProcess:
    """Calls the command line as a shell would."""
    return InProcess(capsys, monkeypatch)


LISTING = {"marking": "225/65R17 102H", "brand": "Quenford", "shelf_load_kg": "950"}


@pytest.mark.parametrize(
    ("keywords", "said"),
    [
        ({"market": "UK"}, "market UK is none of US, EU, all; did you mean"),
        ({"hold_from": "mayor"}, "hold_from mayor is none of critical, major, minor; did you mean 'major'?"),
    ],
)
def test_market_and_grade_are_checked(keywords: dict[str, Any], said: str) -> None:
    for call in (
        lambda: auditor.load_book(**keywords),
        lambda: auditor.audit_listing(LISTING, **keywords),
        lambda: auditor.audit(pd.DataFrame({"marking": ["225/65R17 102H"]}), **keywords),
    ):
        with pytest.raises(auditor.UsageError) as caught:
            call()
        assert said in str(caught.value)


def test_their_case_does_not_matter() -> None:
    book = auditor.load_book(hold_from="Critical", market="eu")
    assert (book.hold_from, book.market) == ("critical", "EU")


def test_own_rules_by_keyword() -> None:
    verdict = auditor.audit_listing(LISTING, rules=HOUSE)
    assert [(one.rule, one.derived) for one in verdict.findings] == [("shelf-load-overstated", "850")]
    result = auditor.audit(pd.DataFrame([LISTING]), rules=str(HOUSE))
    assert result.findings["rule"].tolist() == ["shelf-load-overstated"]
    assert result.summary["rules"]["own"]["shelf-load-overstated"] == {"findings": 1, "also_on_cell": 0}


def test_a_book_stands_for_all_of_them() -> None:
    book = auditor.load_book(HOUSE)
    assert auditor.audit_listing(LISTING, book=book) == auditor.audit_listing(LISTING, rules=HOUSE)
    with pytest.raises(auditor.UsageError, match="rules and book were both given"):
        auditor.audit_listing(LISTING, book=book, rules=HOUSE)


def test_own_fields_are_known_to_their_book_alone() -> None:
    with pytest.raises(auditor.UsageError, match="no listing field 'shelf_load_kg'"):
        auditor.audit_listing(LISTING)
    with pytest.raises(auditor.UsageError, match="'shelf_lod_kg'; did you mean 'shelf_load_kg'"):
        auditor.audit_listing({"shelf_lod_kg": "1"}, rules=HOUSE)


def test_commands_take_own_rules(auditor_command: InProcess, tmp_path: Path) -> None:
    held = auditor_command("listing", "--rules", str(HOUSE), "--set", "shelf_load_kg=950", "--set", "brand=Quenford",
                           "--set", "marking=225/65R17 102H")  # fmt: skip
    assert held.code == 1 and "shelf-load-overstated" in held.out and held.err == ""


def test_book_check_says_that_rules_hold(auditor_command: InProcess) -> None:
    ended = auditor_command("book", "--check", str(HOUSE))
    assert ended.code == 0
    assert "the rule book holds; 11 own rules with 26 examples" in " ".join(ended.out.split())


def test_book_check_ends_with_2_where_they_do_not(auditor_command: InProcess, tmp_path: Path) -> None:
    (tmp_path / "shop.toml").write_text('drop = ["load-overstatd"]\n', encoding="utf-8")
    ended = auditor_command("book", "--check", str(tmp_path))
    assert ended.code == 2 and ended.out == ""
    assert "there is no built-in rule 'load-overstatd'; did you mean 'load-overstated'?" in ended.err


def test_loosened_safety_is_said_aloud(auditor_command: InProcess, tmp_path: Path) -> None:
    own = shop(tmp_path, 'drop = ["load-overstated"]\n')
    said = "Safety is loosened by own rules or policy: rule load-overstated is dropped."
    ended = auditor_command("listing", "--rules", str(own), "--set", "marking=225/65R17 102H")
    assert ended.err == f"auditor: {said}\n"
    (tmp_path / "feed.csv").write_text("marking,max_load_kg\n225/65R17 102H,950\n", encoding="utf-8")
    out = tmp_path / "audits" / "out"
    words = ("audit", str(tmp_path / "feed.csv"), "--rules", str(own), "--out", str(out))
    assert said in " ".join(auditor_command(*words).out.split())
    assert said in (out / "report.html").read_text(encoding="utf-8")
    assert '"rule load-overstated is dropped"' in (out / "summary.json").read_text(encoding="utf-8")
    quiet = auditor_command(*words, "--quiet")
    assert said in quiet.err and quiet.out == ""


def test_decode_goes_by_own_tables(auditor_command: InProcess, tmp_path: Path) -> None:
    published = (rules_folder() / "tables" / "load_index.csv").read_text(encoding="utf-8")
    own = shop(tmp_path, 'drop = ["winter-without-snow-mark"]\n')
    (own / "tables").mkdir()
    (own / "tables" / "load_index.csv").write_text(published.replace("102,850", "102,840"), encoding="utf-8")
    decoded = auditor_command("decode", "--json", "--rules", str(own), "225/65R17 102H")
    assert '"load_single_kg": 840' in decoded.out
    assert "table load_index.csv is replaced by an own one" in decoded.err
    told = auditor_command("decode", "--rules", str(own), "225/65R17 102H").out
    assert "Up to 840 kg" in told and "1,680 kg" in told and "850" not in told


def test_a_proposed_map_knows_own_fields(auditor_command: InProcess, tmp_path: Path) -> None:
    (tmp_path / "feed.csv").write_text("Marking;Hausklasse\n225/65R17 102H;A\n", encoding="utf-8")
    assert 'field = "house_class"' in auditor_command("map", "--rules", str(HOUSE), str(tmp_path / "feed.csv")).out
    assert "house_class" not in auditor_command("map", str(tmp_path / "feed.csv")).out


def test_a_feed_map_may_name_own_fields(auditor_command: InProcess, tmp_path: Path) -> None:
    (tmp_path / "feed.csv").write_text("Reifen;K\n225/65R17 102H;D\n", encoding="utf-8")
    (tmp_path / "maps").mkdir()
    columns = "".join(
        f'[[column]]\nheader = "{header}"\nfield = "{field}"\n'
        for header, field in (("Reifen", "marking"), ("K", "house_class"))
    )
    (tmp_path / "maps" / "shop.toml").write_text(f'files = ["*.csv"]\n\n{columns}', encoding="utf-8")
    words = ("audit", str(tmp_path / "feed.csv"), "--maps", str(tmp_path / "maps"), "--out", str(tmp_path / "out"))
    assert "there is no field 'house_class'" in auditor_command(*words).err
    assert auditor_command(*words, "--rules", str(HOUSE)).code == 1
    assert "house-class-unknown" in (tmp_path / "out" / "findings.csv").read_text(encoding="utf-8")
