"""Rules across listings in a whole run: feeds with columns of their own, each finding with its cell's text."""

from __future__ import annotations

import pyarrow.parquet as pq

from auditor.engine.progress import progress
from auditor.engine.run import Settings, run_audit
from auditor.rulebook.book import load_book

WHOLE = """supplier,sku,gtin,brand,part_number,Marking,Load Range
Northfield Supply,A1,2000300556670,Larkmoor,P1,LT245/75R16 120/116S,E
Northfield Supply,A1,2000300556670,Larkmoor,P1,LT245/75R16 120/116S,E
Northfield Supply,A2,,Larkmoor,P2,225/65R17 102H,
"""
SPLIT = """supplier,sku,gtin,brand,part_number,Size,Load Index,Speed Symbol,Load Range
Eastmere Tires,V1,2000300556670,Larkmoor,P1,LT245/75R16,120/116,S,D
Eastmere Tires,V2,,Larkmoor,P2,225/65R17,99,V,
"""


def test_findings_name_the_cell_and_quote_it(tmp_path):
    feeds = tmp_path / "feeds"
    feeds.mkdir()
    (feeds / "north.csv").write_text(WHOLE)
    (feeds / "east.csv").write_text(SPLIT)
    with progress("none") as shown:
        run_audit([str(feeds)], tmp_path / "out", Settings(load_book(), workers=1), shown)
    rows = pq.read_table(tmp_path / "out" / "findings.parquet").to_pylist()
    names = ("feed", "record", "rule", "field", "column", "stated")
    found = [tuple(row[name] for name in names) for row in rows]
    assert found == [
        ("east.csv", 1, "suppliers-disagree", "load_range", "Load Range", "D"),
        ("east.csv", 2, "suppliers-disagree", "load_index", "Load Index", "99"),
        ("east.csv", 2, "suppliers-disagree", "speed_symbol", "Speed Symbol", "V"),
        ("north.csv", 1, "suppliers-disagree", "load_range", "Load Range", "E"),
        ("north.csv", 2, "listing-duplicated", "sku", "sku", "A1"),
        ("north.csv", 2, "suppliers-disagree", "load_range", "Load Range", "E"),
        ("north.csv", 3, "suppliers-disagree", "marking", "Marking", "225/65R17 102H"),
    ]
    assert all(row["message"].startswith(f'States "{row["stated"]}" in {row["field"]}, ') for row in rows)
