"""Every recipe of DEVELOPERS.md, followed in a copy of the tree and used by a fresh process."""

from __future__ import annotations

import csv
import json
import re
import tomllib
from pathlib import Path
from typing import Any

import pyarrow as pa
import pyarrow.csv as pcsv
import pyarrow.parquet as pq
import pytest

from tests.recipes import CHECKOUT, House, recipes, touched

FEED = """sku,marking,max_load_kg
A-1,225/65R17 102H,850
A-2,225/65R17 102H,950
A-3,205/55R16 91V,615
"""


def test_every_file_that_the_docs_name_exists() -> None:
    made = {step.path for name in recipes() for step in recipes()[name]}
    for docs in ("DEVELOPERS.md", "README.md"):
        prose = re.sub(
            r"^ *```.*?^ *```", "", (CHECKOUT / docs).read_text(encoding="utf-8"), flags=re.MULTILINE | re.DOTALL
        )
        named = re.findall(r"`((?:[a-z_]+/)*[a-z_]+\.py|(?:auditor|rules|tests|sample_catalogs)/[a-z_/.]*)`", prose)
        named += re.findall(r"\]\(([^)]+)\)", prose)
        assert len(named) >= 5
        missing = [
            name
            for name in set(named) - made
            if not any(
                (CHECKOUT / folder / name).exists() for folder in (".", "auditor", "auditor/judging", "auditor/marking")
            )
        ]
        assert missing == [], docs


@pytest.fixture
def house(tmp_path: Path) -> House:
    return House(tmp_path / "house")


def audit(house: House, feed: Path) -> Path:
    """Audits one feed by the copy; the folder of its outputs."""
    out = house.folder / "out"
    house.run("-m", "auditor", "audit", str(feed), "--out", str(out), codes=(0, 1))
    return out


def write_feed(house: House) -> Path:
    path = house.folder / "feed.csv"
    path.write_text(FEED, encoding="utf-8")
    return path


def new_rule(name: str) -> dict[str, Any]:
    """The rule that a recipe adds."""
    ends = [step.block for step in recipes()[name] if step.how == "At the end of"]
    tables = [tomllib.loads(block) for block in ends if block.startswith("[[rule]]")]
    (rule,) = (rule for table in tables for rule in table["rule"])
    return rule


def finds_its_examples(house: House, rule: dict[str, Any]) -> None:
    """Every example comes out as it says, one by one and as records of a feed."""
    examples = rule["example"]
    lines = "".join(json.dumps(example["listing"]) + "\n" for example in examples)
    answers = house.run("-m", "auditor", "listing", "--follow", stdin=lines, codes=(0, 1)).splitlines()
    single = [json.loads(answer)["findings"] for answer in answers]
    feed = house.folder / "examples.csv"
    with feed.open("w", encoding="utf-8", newline="") as file:
        writer = csv.DictWriter(file, list(dict.fromkeys(name for one in examples for name in one["listing"])))
        writer.writeheader()
        writer.writerows(example["listing"] for example in examples)
    rows = pq.read_table(audit(house, feed) / "findings.parquet").to_pylist()
    batch = [[row for row in rows if row["record"] == number] for number in range(1, len(examples) + 1)]
    for found in (single, batch):
        assert len(found) == len(examples)
        for example, findings in zip(examples, found, strict=True):
            mine = [finding for finding in findings if finding["rule"] == rule["id"]]
            wanted = example["finds"]
            if wanted == "nothing":
                assert mine == [], example["title"]
                continue
            assert [finding["field"] for finding in mine] == [wanted["field"]], example["title"]
            assert {key: mine[0][key] for key in wanted} == wanted


# How many files each recipe may touch, rows of references and sources counted.
MOST_FILES = {
    "rule": 1,
    "check": 2,
    "tolerance": 2,  # the policy, and the rule that takes it
    "field": 3,
    "family": 2,
    "language of letters": 1,
    "language of texts": 1,
    "output": 2,
    "feed format": 3,
    "table": 5,
}


def test_recipes_touch_few_files() -> None:
    assert {name: len(touched(name)) for name in recipes()} == MOST_FILES


def test_recipes_go_together_and_keep_to_the_style(house: House) -> None:
    for name in recipes():
        house.follow(name)
    (house.folder / "pyproject.toml").write_bytes((CHECKOUT / "pyproject.toml").read_bytes())
    python = sorted({path for name in recipes() for path in touched(name) if path.endswith(".py")})
    assert len(python) >= 8
    for command in (["check"], ["format", "--check"]):
        house.run("-m", "ruff", *command, "--no-cache", *python)
    house.run("-m", "auditor", "book")


@pytest.mark.parametrize("name", ["rule", "check", "field", "table"])
def test_rule_finds_its_examples(house: House, name: str) -> None:
    finds_its_examples(house.follow(name), new_rule(name))


def test_tolerance_is_gone_by(house: House) -> None:
    listing = json.dumps({"marking": "225/65R17 102H", "tire_weight_kg": "12.0", "tire_weight_lb": "27.5"})
    before = house.run("-m", "auditor", "listing", "--json", stdin=listing)
    after = house.follow("tolerance").run("-m", "auditor", "listing", "--json", stdin=listing)
    assert [finding["rule"] for finding in json.loads(before)["findings"]] == ["weight-units-disagree"]
    assert json.loads(after)["findings"] == []


def test_field_is_in_the_contract(house: House) -> None:
    house.follow("field")
    assert "circumference_mm" in json.loads(house.run("-m", "auditor", "schema", "listing"))["properties"]
    feed = house.folder / "feed.csv"
    feed.write_text("Reifen;Umfang (mm)\n205/55R16 91V;1985\n", encoding="utf-8")
    assert "circumference_mm" in house.run("-m", "auditor", "map", str(feed))


def test_family_decodes_its_rows(house: House) -> None:
    house.follow("family")
    (rows,) = (step.block for step in recipes()["family"] if step.path.endswith("markings.csv"))
    texts = [row[0] for row in csv.reader(rows.splitlines())]
    decoded = json.loads(house.run("-m", "auditor", "decode", "--json", *texts))
    assert [one["family"] for one in decoded] == ["kart"] * len(texts)
    check = (
        "import csv; from tests.reference.test_markings import decoded\n"
        "rows = [row for row in csv.DictReader(open('tests/reference/markings.csv')) if row['family'] == 'kart']\n"
        "assert len(rows) == 8\n"
        "for row in rows: assert decoded(row['text']).items() <= row.items(), (decoded(row['text']), row)\n"
    )
    copied = house.folder / "tests" / "reference" / "test_markings.py"
    copied.write_bytes((Path(__file__).parent / "reference" / "test_markings.py").read_bytes())
    house.run("-W", "default", "-c", check)


def test_letters_are_written(house: House) -> None:
    house.follow("language of letters")
    letters = sorted((audit(house, write_feed(house)) / "corrections").glob("*.nl.txt"))
    assert letters
    assert "Geachte heer, mevrouw," in letters[0].read_text(encoding="utf-8")


def test_language_of_texts_is_read(house: House) -> None:
    house.follow("language of texts")
    said = house.run("-m", "auditor", "decode", "--text", "Däck med bärförmåga 850 kg")
    assert "max_load_kg 850: claimed" in said, said


def test_output_appears(house: House) -> None:
    written = pcsv.read_csv(audit(house.follow("output"), write_feed(house)) / "dangerous.csv").to_pylist()
    assert [(row["sku"], row["rule"], row["stated"]) for row in written] == [("A-2", "load-overstated", 950)]


def test_feed_format_is_read_and_split(house: House) -> None:
    house.follow("feed format")
    table = pcsv.read_csv(write_feed(house))
    with pa.ipc.new_file(str(house.folder / "feed.arrow"), table.schema) as file:
        file.write_table(table, max_chunksize=2)
    out = audit(house, house.folder / "feed.arrow")
    found = pq.read_table(out / "findings.parquet").to_pylist()
    assert [(row["record"], row["rule"], row["field"]) for row in found] == [(2, "load-overstated", "max_load_kg")]
    parts = {name: pa.ipc.open_file(str(out / name / "feed.arrow")).read_all() for name in ("released", "held")}
    skus = {name: part["sku"].to_pylist() for name, part in parts.items()}
    assert skus == {"released": ["A-1", "A-3"], "held": ["A-2"]}
    assert parts["held"].schema == table.schema
