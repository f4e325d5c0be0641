"""Lists whose columns are told by their place in the line are read, blank cells and notes among them."""

from __future__ import annotations

from pathlib import Path

import auditor
from auditor.feeds.locate import find_feeds
from auditor.mapping.opening import open_feeds

LIST = """\
OLLINRENGAS OY        HINNASTO 3, voimassa toistaiseksi

Tuotenro  Koko         Kuvio      LI  NL  PR  Kantavuus kg
--------  -----------  --------  ---  --  --  ------------
K1103     440/65R24    Sarka TR  128  D               1800
K1106     540/65R28    Sarka TR  142  D               3000
K1109     500/50-17    Vaunu K2  149  A8  14          3250
K1112     750/55-26.5  Ranta F   172  A8  20          6300
"""


def _headers(path: Path) -> tuple[str, ...]:
    (feed,) = open_feeds(find_feeds([str(path)])[0])
    return feed.headers


def test_columns_stand_where_the_header_says(tmp_path: Path) -> None:
    """A blank cell moves no other one, and the line below the header is none of the records."""
    path = tmp_path / "hinnasto.txt"
    path.write_text(LIST, "utf-8")
    result = auditor.audit(str(path), tmp_path / "out")
    assert _headers(path) == ("Tuotenro", "Koko", "Kuvio", "LI", "NL", "PR", "Kantavuus kg")
    assert [(one["record"], one["rule"]) for one in result.findings.to_pylist()] == [(2, "load-overstated")]
    assert result.summary["feeds"][0]["records"] == 4


def test_a_delimited_text_with_wide_blanks_stays_one(tmp_path: Path) -> None:
    """Delimiters that find the header are believed."""
    path = tmp_path / "list.csv"
    path.write_text("sku      ;size        ;max load kg\n" + "K1       ;205/55R16   ;615\n" * 5, "utf-8")
    assert _headers(path) == ("sku", "size", "max load kg")


def test_a_sentence_and_a_line_out_of_its_columns_cost_no_other_line(tmp_path: Path) -> None:
    """The sentence is furniture; the line is a record, which is held and not lost."""
    path = tmp_path / "hinnasto.txt"
    lines = [f"K12{number:02}     540/65R28    Sarka TR  142  D               2650" for number in range(10)]
    odd = "K1301     440/65R24XXL Sarka Traktori 128  D           1800"
    path.write_text("\n".join([LIST.rstrip(), *lines, odd, "", "Hinnat ilman veroa, toimitus sovitaan erikseen.", ""]))
    result = auditor.audit(str(path), tmp_path / "out")
    assert _headers(path)[1] == "Koko"
    totals = result.summary["totals"]
    assert (totals["records"], totals["rejected"], totals["held"], totals["furniture"]) == (17, 0, 2, 2)
