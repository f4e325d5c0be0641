"""The section on offers in the report, and the lines of the terminal: only where something is offered."""

from __future__ import annotations

import json
import re
from pathlib import Path

from tests.shell.running import InProcess

FEED = """\
Supplier,SKU,Marking,Alternatives
Northfield Supply,LM-100,225/65R17 102H,LM-101; LM-102; ZZ-9
Northfield Supply,LM-101,225/65R17 102V,LM-104
Northfield Supply,LM-102,225/65R17 101H,
Northfield Supply,LM-104,225/70R16 103V,
"""


def audited(auditor: InProcess, folder: Path, text: str) -> tuple[str, str, Path]:
    """(what the terminal says, the report, the output folder)."""
    feed, out = folder / "feed.csv", folder / "out"
    feed.write_text(text, encoding="utf-8")
    said = auditor("audit", str(feed), "--out", str(out), "--log", "none").out
    return said, (out / "report.html").read_text(encoding="utf-8"), out


def test_what_is_offered_is_told_with_the_believable_first(auditor: InProcess, tmp_path: Path) -> None:
    said, report, out = audited(auditor, tmp_path, FEED)
    assert "Offered instead of other tires: 1 the same or higher in every point, 2 lacking" in said
    assert "feed.csv offers 1 SKU that no feed of this run has: ZZ-9" in said
    section = report[report.index('id="h-offers"') :].partition("</section>")[0]
    lower, rim = section.index("has load index 101"), section.index("is for rims of 16 in")
    assert lower < rim, "another rim is seen by everybody"
    assert "the placard and a trained fitter decide" in section
    assert "feed.csv offers 1 SKU that no feed of this run has: ZZ-9" in section
    letter = (out / "corrections" / "Northfield-Supply.en.txt").read_text(encoding="utf-8")
    assert "The tire offered in place of the other carries less." in letter


def test_nothing_is_said_where_nothing_is_offered(auditor: InProcess, tmp_path: Path) -> None:
    said, report, _ = audited(auditor, tmp_path, FEED.replace("Alternatives", "Remarks"))
    assert "Offered instead" not in said
    assert 'id="h-offers"' not in report


def test_no_supplier_is_asked_to_mend_a_file_of_pairs(auditor: InProcess, tmp_path: Path) -> None:
    (tmp_path / "our_pairs.csv").write_text("sku,substitute_sku\n" + "LM-100,LM-102\n" * 3, encoding="utf-8")
    feed, out = tmp_path / "feed.csv", tmp_path / "out"
    feed.write_text(FEED.replace("Alternatives", "Remarks"), encoding="utf-8")
    pairs = ["--pairs", str(tmp_path / "our_pairs.csv")]
    assert auditor("audit", str(feed), *pairs, "--out", str(out), "--log", "none").code == 1
    found = (out / "findings.csv").read_text(encoding="utf-8")
    assert 'States ""LM-102"" in our_pairs.csv, but LM-102 (225/65R17 101H) has load index 101' in found
    assert found.count("\n") == 2, "a pair that stands three times is one mistake"
    assert {path.stem for path in (out / "corrections").iterdir()} == {"index"}
    report = (out / "report.html").read_text(encoding="utf-8")
    assert "has load index 101" in report[report.index('id="h-offers"') :]


def test_both_listings_of_an_offer_name_the_other(auditor: InProcess, tmp_path: Path) -> None:
    """That which offers a weaker one, and the weaker one, where it has a finding of its own to be shown with."""
    feed = FEED.replace("LM-102,225/65R17 101H,", "LM-102,225/65R17 101H,LM-104")
    _, report, _ = audited(auditor, tmp_path, feed)
    data = json.loads(re.search(r'<script type="application/json" id="data">(.*?)</script>', report, re.DOTALL)[1])
    sku, tie = data["row"].index("sku"), data["row"].index("tie")
    said = {data["texts"][row[sku]]: [data["texts"][at] for at in data["ties"][row[tie]]] for row in data["rows"]}
    assert said["LM-100"] == ["In its place is offered LM-102, record 3 of feed.csv: substitute carries less."]
    assert said["LM-102"] == [
        "Offered in place of LM-100, record 1 of feed.csv: substitute carries less.",
        "In its place is offered LM-104, record 4 of feed.csv: substitute for another rim.",
    ]
