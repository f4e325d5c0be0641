"""Reading the tables folder, and refusing a wrong one with a sentence that says what to do."""

from __future__ import annotations

import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from auditor.errors import RuleBookError
from auditor.rulebook.book import load_book
from auditor.rules_folder import rules_folder
from auditor.trade.tables import Tables, default_tables, load_tables
from auditor.trade.units import KPA_PER_PSI


@pytest.fixture
def copy(tmp_path: Path) -> Path:
    folder = tmp_path / "tables"
    shutil.copytree(rules_folder() / "tables", folder)
    return folder


def edit(folder: Path, name: str, old: str, new: str) -> None:
    path = folder / name
    text = path.read_text(encoding="utf-8")
    assert old in text
    path.write_text(text.replace(old, new, 1), encoding="utf-8")


def test_default_tables_are_read_once() -> None:
    assert default_tables() is default_tables()


def test_another_folder_gives_other_tables(copy: Path) -> None:
    edit(copy, "rim_diameter.csv", "\n17,432,", "\n17,433,")
    other = load_tables(copy)
    assert isinstance(other, Tables)
    assert other.rim_of(17) == 433
    assert default_tables().rim_of(17) == 432


def test_unlisted_rim_code_is_computed() -> None:
    assert default_tables().rim_of(47) == 1194  # 1193.8


def test_pressures_that_catalogs_print() -> None:
    tables = default_tables()
    assert tables.marked_pressures("passenger", "psi") == (32, 35, 36, 40, 41, 44, 49, 50, 51)
    assert tables.marked_pressures("passenger", "kPa") == (220, 240, 250, 280, 300, 340, 350)
    assert tables.marked_pressures("spare", "psi") == (60,)
    assert tables.marked_pressures("light-truck", "psi") == (35, 50, 65, 80, 95)


def test_sentence_names_the_pressures_of_the_table() -> None:
    rule = next(rule for rule in load_book().rules if rule.id == "pressure-not-permitted")
    for unit, limit in (("psi", "usual_psi"), ("kPa", "usual_kpa")):
        assert tuple(rule.limit(limit)) == default_tables().marked_pressures("passenger", unit)


def test_pressures_of_the_two_units_are_the_same_but_for_roundings() -> None:
    for row in default_tables().pressures:
        psi, kpa = (row.value, row.same_as) if row.unit == "psi" else (row.same_as, row.value)
        assert abs(psi * KPA_PER_PSI - kpa) <= KPA_PER_PSI, row


def test_every_pressure_says_what_it_rests_on() -> None:
    lines = (rules_folder() / "tables" / "permitted_pressure.csv").read_text(encoding="utf-8").splitlines()[1:]
    assert {line.rsplit(",", 1)[1] for line in lines} == {"published", "from memory", "common practice"}


@pytest.mark.parametrize(
    ("name", "old", "new", "sentence"),
    [
        ("load_index.csv", "\n119,1360", "", "row 120 should be load index 119, not '120'"),
        ("load_index.csv", "\n119,1360", "\n119,heavy", "line 121, load_kg: 'heavy' should be a number"),
        ("load_index.csv", "load_kg", "load_lb", "the column 'load_kg' is missing from the header"),
        ("load_range.csv", "\nE,10", "\nE,10,10", "line 6 has 3 cells, its header 2"),
        ("eu_noise_limit.csv", "tire_class", "class", "the column 'tire_class' is missing from the header"),
    ],
)
def test_wrong_table_is_refused(copy: Path, name: str, old: str, new: str, sentence: str) -> None:
    edit(copy, name, old, new)
    with pytest.raises(RuleBookError) as caught:
        load_tables(copy)
    assert name in str(caught.value)
    assert sentence in str(caught.value)


def test_missing_table_is_refused(copy: Path) -> None:
    (copy / "speed_symbol.csv").unlink()
    with pytest.raises(RuleBookError, match=r"speed_symbol\.csv: this table cannot be read"):
        load_tables(copy)


def test_every_table_has_its_source() -> None:
    folder = rules_folder() / "tables"
    sources = (folder / "SOURCES.md").read_text(encoding="utf-8")
    assert [path.name for path in folder.glob("*.csv") if f"`{path.name}`" not in sources] == []


def test_single_listing_path_imports_nothing_heavy() -> None:
    code = (
        "import sys, auditor.trade.tables, auditor.trade.derive, auditor.quantities\n"
        "print(sorted({'numpy', 'pyarrow', 'pandas', 'jsonschema', 'rich'} & set(sys.modules)))"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"
