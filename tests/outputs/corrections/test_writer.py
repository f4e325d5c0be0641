"""What goes to the suppliers: all that holds a listing or is certain, worst first, in every language."""

from __future__ import annotations

import csv
import dataclasses
import re
from pathlib import Path
from typing import Any

import pyarrow.parquet as pq
import pytest
from axe_playwright_python.sync_playwright import Axe

from auditor.errors import RuleBookError
from auditor.outputs.audit_result import FinishedAudit
from auditor.outputs.corrections import rows as corrections_rows
from auditor.outputs.corrections.letters import Letter, write_letters
from auditor.outputs.corrections.rows import ASKS
from auditor.outputs.corrections.writer import COLUMNS, LETTER_ROWS, cautions_for, write_corrections
from auditor.outputs.languages import languages, load_wordings
from auditor.rulebook.finding import GRADES
from auditor.rules_folder import rules_folder
from tests.conftest import Opened
from tests.outputs.invented import repeat

SUPPLIER = "Odermatt Reifenkontor"


def corrections_of(audit: FinishedAudit, stem: str) -> list[dict[str, str]]:
    with (audit.folder / "corrections" / f"{stem}.csv").open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def test_each_supplier_gets_all_that_holds_a_listing_or_is_certain_worst_first(audit: FinishedAudit) -> None:
    rows = corrections_of(audit, "Odermatt-Reifenkontor")
    mine = [
        finding
        for grade in GRADES
        for finding in pq.read_table(audit.findings).to_pylist()
        if finding["supplier"] == SUPPLIER and finding["grade"] == grade
        if finding["suggestion"] or grade != "minor"
    ]
    assert tuple(rows[0]) == COLUMNS
    assert [row["key"] for row in rows] == [finding["key"] for finding in mine]
    assert {(row["ask"], bool(row["suggestion"])) for row in rows} <= {("correct", True), ("confirm", False)}


@pytest.mark.parametrize(
    ("language", "greeting", "field", "caution"),
    [
        ("en", "Dear colleagues,", "Maximum load (kg)", "A tire must never be loaded beyond"),
        ("de", "Sehr geehrte Damen und Herren,", "Tragfähigkeit (kg)", "Ein Reifen darf nie höher belastet"),
    ],
)
def test_letter_is_ready_to_send(audit: FinishedAudit, language: str, greeting: str, field: str, caution: str) -> None:
    text = (audit.folder / "corrections" / f"Odermatt-Reifenkontor.{language}.txt").read_text(encoding="utf-8")
    flat = " ".join(text.split())
    for part in (greeting, field, caution, "Traglast 2", "Odermatt-Reifenkontor.csv", "OD-00003", "2026"):
        assert part in flat, part
    assert max(len(line) for line in text.splitlines()) <= 80
    assert not re.search(r"[{}]", text)
    first = corrections_of(audit, "Odermatt-Reifenkontor")[0]
    for name in ("sku", "stated", "suggestion", "marking"):
        assert first[name] in flat, name


def test_html_letter_says_the_same_and_loads_nothing(browser: Any, audit: FinishedAudit) -> None:
    with Opened(browser, audit.folder) as opened:
        opened.requests.clear()
        opened.page.locator("a", has_text="letter to Odermatt").last.click()
        opened.page.locator("h1", has_text="Corrections to your tire catalog").wait_for()
        assert opened.page.locator("tbody tr").count() <= len(corrections_of(audit, "Odermatt-Reifenkontor"))
        assert opened.page.locator("main, footer").count() == 2
        assert [url for url in opened.requests if not url.startswith("file:")] == []


def test_a_long_letter_says_how_much_more_the_file_holds(audit: FinishedAudit, tmp_path: Path) -> None:
    many = repeat(audit, tmp_path, 2_000)
    write_corrections(many)
    rows = corrections_of(many, "Odermatt-Reifenkontor")
    count = sum(row["ask"] == "correct" for row in rows)
    text = (tmp_path / "corrections" / "Odermatt-Reifenkontor.en.txt").read_text(encoding="utf-8")
    assert f"Listed here: {LETTER_ROWS} of {count:,};" in " ".join(text.split())


def test_hostile_suppliers_get_safe_files_and_letters(hostile: FinishedAudit) -> None:
    folder = hostile.folder / "corrections"
    assert {path.parent for path in folder.rglob("*")} == {folder}
    for path in folder.glob("*.html"):
        text = path.read_text(encoding="utf-8")
        assert "<script" not in text
        assert "<b>Bold</b>" not in text
    for path in folder.glob("*.csv"):
        with path.open(encoding="utf-8", newline="") as file:
            cells = [cell for row in csv.reader(file) for cell in row]
        assert not any(cell.startswith(("=", "@", "\t")) for cell in cells)


def test_cautions_stand_where_load_speed_or_rim_is_at_stake() -> None:
    assert cautions_for({"max_load_kg"}, {"load"}) == ("load",)
    assert cautions_for({"max_speed_mph", "rim_diameter_in"}, {"speed", "size"}) == ("speed", "rim")
    assert cautions_for({"marking"}, {"marking"}) == ("load", "speed", "rim")
    assert cautions_for({"tread_depth_mm"}, {"quantities"}) == ()


def test_what_is_repeated_leads_the_letter_and_is_not_listed_again(audit: FinishedAudit) -> None:
    text = (audit.folder / "corrections" / "Kestrel-Wholesale-Rubber.en.txt").read_text(encoding="utf-8")
    group, *_ = audit.summary["repeated"]
    assert group["cause"] == "unit-swapped"
    flat = " ".join(text.split())
    assert (
        f"1. Pounds written as kilograms: column “Max Load Kg” in kestrel_night.csv, {group['count']} listings" in flat
    )
    assert "up to 2.2 times what the marking says" in flat
    for example in group["examples"]:
        assert f"{example['sku']}: you sent {example['stated']}, should be {example['derived']}" in flat
    assert "the value stands in the wrong unit" not in flat  # the file has those


def test_letter_about_repeated_mistakes_alone(tmp_path: Path) -> None:
    group: dict[str, Any] = {
        "supplier": "Kestrel", "feed": "a.csv", "sheet": None, "column": "Load", "field": "max_load_kg",
        "rule": "load-overstated", "cause": "unclear", "direction": "above", "count": 1200, "deviation": 0.17,
        "factor": 1.17, "stated": None, "reason": None, "examples": [],
    }  # fmt: skip
    counts = dict.fromkeys(ASKS, 0)
    letter = Letter(
        "", "Kestrel", ("a.csv",), counts, counts, 1200, {key: [] for key in ASKS}, [group], 1, ("load",), True
    )
    write_letters(tmp_path, letter, [load_wordings("de")])
    text = " ".join((tmp_path / "Kestrel.de.txt").read_text(encoding="utf-8").split())
    assert "Korrekturen zu Ihrem Reifenkatalog: a.csv" in text
    assert "Alle um denselben Faktor falsch, 1,17: Spalte „Load“ in a.csv, 1.200 Artikel" in text
    assert "Zu berichtigen" not in text


def test_an_index_leads_to_every_letter_the_most_dangerous_first(browser: Any, audit: FinishedAudit) -> None:
    page = browser.new_page()
    page.goto((audit.folder / "corrections" / "index.html").as_uri())
    links = page.locator("td a").evaluate_all("all => all.map(one => decodeURIComponent(one.getAttribute('href')))")
    assert len(links) == 3 * page.locator("tbody tr").count()
    assert all((audit.folder / "corrections" / link).is_file() for link in links)
    figures = page.locator("td:nth-child(2)").all_inner_texts()
    dangerous = [int(text.replace(",", "").replace("–", "0")) for text in figures]
    assert dangerous == sorted(dangerous, reverse=True)
    assert Axe().run(page).response["violations"] == []
    page.close()


def test_a_letter_names_shifted_rows_and_what_is_asked_again(tmp_path: Path) -> None:
    shift = {"column": "Rim", "way": "left", "first_record": 1201, "last_record": 1240}
    group: dict[str, Any] = {
        "supplier": "Kestrel", "feed": "a.csv", "sheet": None, "column": "", "field": "marking",
        "rule": "column-suspect",
        "cause": "column-shifted", "direction": "", "count": 40, "deviation": None, "factor": None, "stated": None,
        "reason": None, "examples": [{"sku": "K-7", "stated": "ok", "derived": "", "marking": "205/55R16 91H"}],
        "shift": shift, "states": {"new": 2, "standing": 30, "asked": 8, "accepted": 0}, "first_night": "2026-11-25",
        "nights_before": 3,
    }  # fmt: skip
    counts = dict.fromkeys(ASKS, 0)
    letter = Letter("", "Kestrel", ("a.csv",), counts, counts, 40, {key: [] for key in ASKS}, [group], 1, (), True)
    write_letters(tmp_path, letter, [load_wordings("en"), load_wordings("de")])
    text = " ".join((tmp_path / "Kestrel.en.txt").read_text(encoding="utf-8").split())
    assert "40 rows of a.csv, between records 1,201 and 1,240, stand one cell to the left" in text
    assert "from the column “Rim” on. Please send these rows again" in text
    assert "asked on up to 3 nights before, first on November 25, 2026" in text
    assert "- K-7 (205/55R16 91H)" in text
    assert "you sent ok" not in text
    german = " ".join((tmp_path / "Kestrel.de.txt").read_text(encoding="utf-8").split())
    assert "zwischen den Datensätzen 1.201 und 1.240, stehen ab der Spalte „Rim“ um eine Zelle zu weit links" in german


@pytest.mark.parametrize("scheme", ["light", "dark", "forced"])
@pytest.mark.parametrize("language", ["en", "de"])
def test_no_letter_breaks_an_accessibility_rule(browser: Any, audit: FinishedAudit, language: str, scheme: str) -> None:
    look = {"forced_colors": "active"} if scheme == "forced" else {"color_scheme": scheme}
    page = browser.new_page(**look)
    page.goto((audit.folder / "corrections" / f"Kestrel-Wholesale-Rubber.{language}.html").as_uri())
    for details in page.locator("details").all():
        details.evaluate("one => one.open = true")
    result = Axe().run(page)
    page.close()
    assert result.response["violations"] == [], result.generate_report()


def test_a_letter_is_dated_and_signed(audit: FinishedAudit, tmp_path: Path) -> None:
    summary = {**audit.summary, "policy": {**audit.summary["policy"], "signed": "Catalog desk, Ms. Arnoldsen"}}
    write_corrections(dataclasses.replace(audit, folder=tmp_path, summary=summary))
    text = (tmp_path / "corrections" / "Kestrel-Wholesale-Rubber.en.txt").read_text(encoding="utf-8")
    assert "\nNovember 28, 2026\n" in text
    assert "\nWith kind regards\nCatalog desk, Ms. Arnoldsen\n" in text


def test_there_are_english_and_german() -> None:
    assert languages()[0] == "en"
    assert {"en", "de"} <= set(languages())


def test_another_language_is_one_more_file(audit: FinishedAudit, tmp_path: Path) -> None:
    rules = tmp_path / "rules"
    (rules / "letters").mkdir(parents=True)
    english = (rules_folder() / "letters" / "en.toml").read_text(encoding="utf-8")
    (rules / "letters" / "en.toml").write_text(english, encoding="utf-8")
    (rules / "letters" / "eo.toml").write_text(english.replace("Dear colleagues", "Karaj kolegoj"), encoding="utf-8")
    out = tmp_path / "out"
    out.mkdir()
    repeated = repeat(audit, out, 100)
    write_corrections(repeated, rules)
    letters = list((out / "corrections").glob("*.eo.txt"))
    assert letters
    assert all("Karaj kolegoj," in letter.read_text(encoding="utf-8") for letter in letters)


@pytest.mark.parametrize(
    ("change", "complaint"),
    [
        (('closing = "', 'closed = "'), r"de\.toml, \[letter\], lacks 'closing'"),
        (
            ("Artikel: {listings}", "Artikel: {artikel}"),
            r"de\.toml, \[letter\], 'opening' has the unknown place {artikel}",
        ),
        (("Artikel: {listings}", "Artikel: {listings"), r"de\.toml, 'opening': .*braces must come in pairs"),
        (('name = "Deutsch"', "name = 5"), r"de\.toml lacks the text 'name'"),
        (("[letter]", "[letter"), r"de\.toml is not TOML"),
    ],
)
def test_a_misshapen_file_is_refused_with_its_place(tmp_path: Path, change: tuple[str, str], complaint: str) -> None:
    (tmp_path / "letters").mkdir()
    for language in ("en", "de"):
        text = (rules_folder() / "letters" / f"{language}.toml").read_text(encoding="utf-8")
        if language == "de":
            assert change[0] in text
            text = text.replace(*change, 1)
        (tmp_path / "letters" / f"{language}.toml").write_text(text, encoding="utf-8")
    with pytest.raises(RuleBookError, match=complaint):
        load_wordings("de", tmp_path)


def test_listings_are_counted_once_however_many_values_are_wrong(audit: FinishedAudit) -> None:
    rows = corrections_of(audit, "Odermatt-Reifenkontor")
    listings = len({(row["feed"], row["record"]) for row in rows})
    assert listings < len(rows)
    text = (audit.folder / "corrections" / "Odermatt-Reifenkontor.en.txt").read_text(encoding="utf-8")
    assert f"This letter is about {listings} of your listings." in " ".join(text.split())


def test_parts_of_any_size_give_the_same_files(
    audit: FinishedAudit, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    sizes = {"whole": 1 << 15, "parted": 7}
    for name, size in sizes.items():
        (tmp_path / name).mkdir()
        monkeypatch.setattr(corrections_rows, "ROWS_AT_ONCE", size)
        write_corrections(repeat(audit, tmp_path / name, 400))
    whole, parted = (
        {path.name: path.read_bytes() for path in (tmp_path / name / "corrections").iterdir()} for name in sizes
    )
    assert whole == parted
    assert whole.pop("index.csv")
    assert whole.pop("index.html")
    suppliers = {path.split(".")[0] for path in whole}
    assert len(whole) == (1 + 2 * len(languages())) * len(suppliers)  # a file, and two letters in each language
