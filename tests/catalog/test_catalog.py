"""The generator keeps its promises: the same bytes, right check digits, faults that leave the tolerance."""

from __future__ import annotations

import gzip
from pathlib import Path

import pyarrow.parquet as pq
import pytest
from python_calamine import CalamineWorkbook

from tests.catalog.cases import leaves_load
from tests.catalog.faults import FAULTS, cases
from tests.catalog.samples import ANSWERS, FOLDER, SAMPLES, write_all
from tests.catalog.tables import check_digit, load_kg
from tests.catalog.tires import VARIANTS
from tests.catalog.valid import Maker, valid


def test_the_same_seed_makes_the_same_listings() -> None:
    first, second = ([made.cells for made in valid(Maker(7), 200)] for _ in range(2))
    assert first == second


def test_right_listings_cover_every_family_and_every_field_group() -> None:
    made = valid(Maker(1), 4000)
    assert {listing.tire.variant for listing in made} == set(VARIANTS)
    stated = {name for listing in made for name in listing.cells}
    assert {
        "max_load_dual_lb",
        "noise_class",
        "utqg",
        "severe_snow",
        "revs_per_km",
        "max_pressure_bar",
    } <= stated


def test_identities_are_unique_and_gtins_carry_the_right_check_digit() -> None:
    made = valid(Maker(2), 3000)
    for name in ("sku", "part_number"):
        assert len({listing.cells[name] for listing in made}) == len(made)
    gtins = [listing.cells["gtin"] for listing in made if listing.cells["gtin"]]
    assert len(set(gtins)) == len(gtins)
    assert all(check_digit(gtin[:-1]) == gtin[-1] for gtin in gtins)


@pytest.mark.parametrize(
    ("index", "kg"),
    [(0, 45), (1, 46.2), (89, 580), (119, 1360), (142, 2650), (175, 6900), (223, 27250), (279, 136000)],
)
def test_load_table_against_published_values(index: int, kg: float) -> None:
    """Directive 92/23/EEC (89), a tractor manual (142), an off-road data sheet (175, 223); both ends."""
    assert load_kg(index) == kg


@pytest.mark.parametrize("kind", FAULTS)
def test_every_kind_of_mistake_changes_a_listing_and_has_an_answer(kind: str) -> None:
    for case in cases(Maker(3), 5, [kind]):
        assert case.expects
        assert all(0 <= wanted.at < len(case.listings) for wanted in case.expects)
        assert all(wanted.rules and wanted.fields and wanted.grades for wanted in case.expects)


def test_wrong_loads_leave_the_tolerance() -> None:
    for case in cases(Maker(4), 40, ["load digits transposed", "load above the table beyond rounding"]):
        made = case.listings[0]
        stated = float(made.cells["max_load_kg"].split()[0].replace(",", ""))
        assert leaves_load(made.tire.single_kg, stated, made.tire.us_tables)


def test_sample_catalogs_are_what_the_generator_writes(tmp_path: Path) -> None:
    write_all(tmp_path, tmp_path / "answers.csv")
    assert (tmp_path / "answers.csv").read_bytes() == ANSWERS.read_bytes()
    for file in sorted({sample.file for sample in SAMPLES}):
        written, committed = tmp_path / file, FOLDER / file
        if file.endswith(".parquet"):  # its footer names the version of the library
            assert pq.read_table(written).equals(pq.read_table(committed))
        elif file.endswith(".gz"):
            assert gzip.decompress(written.read_bytes()) == gzip.decompress(committed.read_bytes())
        elif file.endswith(".xlsx"):
            assert CalamineWorkbook.from_path(written).sheet_names == ["Passenger", "Commercial"]
            assert _cells(written) == _cells(committed)
        else:
            assert written.read_bytes() == committed.read_bytes()


def _cells(path: Path) -> list[list[list[object]]]:
    book = CalamineWorkbook.from_path(path)
    return [book.get_sheet_by_name(name).to_python() for name in book.sheet_names]
