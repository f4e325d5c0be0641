"""A workbook that an office suite saved again: what staff decided is read back as it was written."""

from __future__ import annotations

import datetime as dt
import json
import subprocess
from dataclasses import replace
from pathlib import Path
from typing import Any

import jsonschema
import openpyxl
import pytest

from auditor.ledger.asked import AskedDecision
from auditor.outputs.decision_files import read_decisions
from auditor.rules_folder import rules_folder
from auditor.shell.cli import main
from tests.conftest import Opened, needed_program
from tests.engine.test_nights import NIGHTS, Shop, shop  # noqa: F401

HEADER = "Supplier,Item,Size,Max load (kg),Tread depth (mm),Tread depth (32nds)"
# What a cell states, and what a spreadsheet program would like to make of it.
STATED = ["800", "0800", "800.50", " 801 kg", "1e3", "=800+1", "2026-03-04", "8E+02 kg", "799,0", "80\u00a00 kg"]
WRITTEN: list[dict[str, Any]] = [
    {"Decision": "accept", "Note": "looked up: 800 < 850 & fine", "Until": dt.date(2026, 4, 1), "By": "A. Byström"},
    {"Decision": "accept", "Note": 42, "Until": "2026-04-30", "By": "A"},
    {"Decision": " Ask ", "Note": "first line\nsecond line"},
    {"Decision": "wrong", "Note": "=1+1 is no formula here", "By": "0042"},
    {"Decision": "ask", "Until": dt.datetime(2026, 5, 2, 13, 30)},
]


def saved_again(path: Path, kind: str, folder: Path) -> Path:
    """The workbook as LibreOffice saves it."""
    office = needed_program("soffice", "libreoffice")
    folder.mkdir(exist_ok=True)
    profile = f"-env:UserInstallation={(folder / 'profile').as_uri()}"
    words = [office, profile, "--headless", "--convert-to", kind, "--outdir", str(folder), str(path)]
    done = subprocess.run(words, capture_output=True, text=True, timeout=120, check=False)
    made = folder / path.with_suffix(f".{kind}").name
    assert made.is_file(), done.stderr
    return made


def decide(path: Path) -> None:
    """Writes decisions into the workbook, one after the other, as a person fills the cells."""
    book = openpyxl.load_workbook(path)
    sheet = book["Findings"]
    headings = [cell.value for cell in sheet[1]]
    for row, written in zip(sheet.iter_rows(min_row=2), WRITTEN * 3, strict=False):
        for name, value in written.items():
            row[headings.index(name)].value = value
            if isinstance(value, str) and value.startswith("="):
                row[headings.index(name)].data_type = "s"  # as a cell that was formatted as text
    book.save(path)


@pytest.mark.parametrize("kind", ["xlsx", pytest.param("ods", marks=pytest.mark.slow)])
def test_decisions_are_the_same_after_libreoffice_saved_them(shop: Shop, kind: str) -> None:  # noqa: F811
    lines = [f'Northern,S-{number},225/65R17 102H,"{said}",8,10' for number, said in enumerate(STATED)]
    lines += [f"Northern,T-{number},225/65R17 102H,850,8,{20 + number}" for number in range(5)]
    shop.deliver(lines, header=HEADER)
    shop.audit(NIGHTS[0])
    written = shop.out / "report.xlsx"
    decide(written)
    before = read_decisions(written)
    assert len(before) == len(WRITTEN) * 3
    saved = saved_again(written, kind, shop.folder / "saved")
    after = [replace(one, place=one.place.replace(saved.name, written.name)) for one in read_decisions(saved)]
    assert [plain(one) for one in after] == [plain(one) for one in before]
    written.unlink()
    assert main(["decide", str(saved), "--ledger", shop.ledger]) == 0  # what cells state and are marked with is known
    shop.audit(NIGHTS[1])
    assert shop.counts() == {"standing": 3, "accepted": 9, "asked": 6}
    headings = [cell.value for cell in openpyxl.load_workbook(shop.out / "report.xlsx")["Findings"][1]]
    assert headings[4:8] == ["By", "State", "First night", "Supplier"]


def plain(one: AskedDecision) -> AskedDecision:
    """A decision without the file it stands in, and without the texts that are compared with the ledger's."""
    return replace(one, source="", stated="", marking="")


def test_decisions_saved_from_the_page_are_taken_and_say_what_stood(shop: Shop, browser: Any) -> None:  # noqa: F811
    lines = [f"Northern,S-{number},225/65R17 102H,{800 + number}" for number in range(3)]
    shop.deliver(lines, header="Supplier,Item,Size,Max load (kg)")
    shop.audit(NIGHTS[0])
    shop.deliver([*lines, "Northern,S-9,225/65R17 102H,799"], header="Supplier,Item,Size,Max load (kg)")
    shop.audit(NIGHTS[1])
    key = next(row["key"] for row in shop.findings() if row["sku"] == "S-1")
    with Opened(browser, shop.out, f"#finding-{key}") as opened:
        box = opened.page.locator(".slip-line[open] .decide").first
        box.get_by_role("button", name="ask").click()
        with opened.page.expect_download() as waiting:
            opened.page.get_by_role("button", name="Save decisions.json").click()
        saved = shop.folder / "decisions.json"
        saved.write_bytes(Path(waiting.value.path()).read_bytes())
    told = json.loads(saved.read_text(encoding="utf-8"))
    schema = json.loads((rules_folder() / "schemas" / "decisions.json").read_text(encoding="utf-8"))
    jsonschema.validate(told, schema)
    (one,) = told["decisions"]
    assert (told["night"], one["state"], one["first_night"]) == (NIGHTS[1], "standing", NIGHTS[0])
    assert main(["decide", str(saved), "--ledger", shop.ledger]) == 0
    shop.audit(NIGHTS[2])
    assert shop.counts() == {"standing": 3, "asked": 1}
