"""The benchmarks measure nothing here; their feeds, answers and arithmetic are checked on small sizes."""

from __future__ import annotations

import importlib.util
import json
import re
import subprocess
import sys
from dataclasses import replace
from pathlib import Path

import numpy as np
import pyarrow as pa
import pyarrow.compute as pc
import pyarrow.csv as pacsv
import pyarrow.parquet as pq
import pytest
from stdnum import ean

from auditor.programs.one_listing import audit_one
from auditor.rulebook.book import load_book
from tests.benchmarks import core_question, substitutes, tables, workers
from tests.benchmarks.bare_read import read_csv, read_parquet
from tests.benchmarks.compare import difference
from tests.benchmarks.family import TIMED_OUT
from tests.benchmarks.generator import CHUNK, FeedPlan, chunks, marking_codes, write_feeds
from tests.benchmarks.growth import exponent
from tests.benchmarks.markings import marking_table
from tests.benchmarks.measure import HOUSE, Cost, Job, measure
from tests.benchmarks.planted import WRONG_FIELDS, plant
from tests.benchmarks.report import cost_table
from tests.benchmarks.rivals import NEEDS, RIVALS
from tests.benchmarks.small_files import LAYOUTS, SMALL_RECORDS, write_small_files


def test_every_offer_is_joined_and_compared() -> None:
    found = substitutes.measure(2_000, 50)
    assert found.told > 1_900  # all but those of a listing in place of itself
    assert 0 < found.lacking < found.told


SMALL = FeedPlan(records=1_500, distinct_markings=400, findings_percent=30)


def _listings(plan: FeedPlan) -> pa.Table:
    return pa.concat_tables(listings for listings, _ in chunks(plan))


def _answer(plan: FeedPlan) -> pa.Table:
    return pa.concat_tables(wrong for _, wrong in chunks(plan))


@pytest.fixture(scope="module")
def feeds(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Path]:
    folder = tmp_path_factory.mktemp("feeds")
    paths = {form: folder / f"feed.{form}" for form in ("csv", "parquet")}
    answer = folder / "answer.parquet"
    write_feeds(SMALL, list(paths.values()), answer)
    return {**paths, "answer": answer}


@pytest.mark.parametrize("count", [1, 100, 30_000])
def test_markings_are_distinct_and_readable_by_the_rivals(count: int) -> None:
    texts = marking_table(count).text
    assert len(set(texts)) == len(texts) == count
    readable = re.compile(
        f"{tables.METRIC}|{tables.FLOTATION}".replace("?P<r>", "").replace("?P<li>", "").replace("?P<sp>", "")
    )
    assert [text for text in texts if not readable.match(text)] == []


def test_markings_number_within_limits() -> None:
    with pytest.raises(ValueError, match="between 1 and 1000000, not 0"):
        marking_table(0)


def test_a_size_has_a_single_load_index_while_sizes_suffice() -> None:
    table = marking_table(30_000)
    pairs = set(zip(table.size, table.kind.tolist(), table.load.tolist(), strict=True))
    assert len(pairs) == len({(size, kind) for size, kind, _ in pairs})


def test_the_same_plan_gives_the_same_bytes(tmp_path: Path) -> None:
    for name in ("first", "second"):
        write_feeds(SMALL, [tmp_path / f"{name}.csv", tmp_path / f"{name}.parquet"])
    for form in ("csv", "parquet"):
        assert (tmp_path / f"first.{form}").read_bytes() == (tmp_path / f"second.{form}").read_bytes()
    assert sorted(path.name for path in tmp_path.iterdir()) == [
        *("first.csv", "first.parquet", "second.csv", "second.parquet")
    ]


def test_csv_and_parquet_hold_the_same_listings(feeds: dict[str, Path]) -> None:
    columnar = pq.ParquetFile(feeds["parquet"]).read()
    types = {name: pa.string() for name in columnar.column_names}
    options = pacsv.ConvertOptions(column_types=types, strings_can_be_null=True, null_values=[""])
    assert pacsv.read_csv(feeds["csv"], convert_options=options).combine_chunks() == columnar.combine_chunks()
    assert columnar.num_columns == 28


def test_a_habit_is_in_every_row_and_little_else_changes() -> None:
    plain, habit = _listings(SMALL), _listings(replace(SMALL, habit=True))
    stated = [text.split()[0].replace("mph", "") for text in habit["max_speed_mph"].to_pylist()]
    kmh = [text and float(re.match(r"\d+", text)[0]) for text in plain["max_speed_kmh"].to_pylist()]  # type: ignore[index]
    off = [abs(float(mph) - top * tables.MPH_PER_KMH) > 5 for mph, top in zip(stated, kmh, strict=True) if top]
    assert sum(off) > 0.95 * len(off)  # where the speed in km/h is planted as wrong, it may lie near the habit's
    assert habit["description"] == plain["description"]


def test_small_files_hold_the_listings_of_one_feed_in_turns_of_layout(tmp_path: Path) -> None:
    write_small_files(replace(SMALL, free_texts=True), tmp_path / "many", 7)
    whole = _listings(replace(SMALL, free_texts=True, records=7 * SMALL_RECORDS))
    files = sorted((tmp_path / "many").iterdir())
    assert sum(read_csv(file, None, 1) for file in files) == whole.num_rows
    headers = [len(file.read_text().partition("\n")[0].split(",")) for file in files]
    assert headers == [*LAYOUTS, *LAYOUTS, LAYOUTS[0]]
    assert whole["sku"][6 * SMALL_RECORDS].as_py() in files[6].read_text().splitlines()[1]


def test_every_marking_occurs_and_identifiers_are_unique() -> None:
    listings = _listings(SMALL)
    assert pc.count_distinct(listings["marking"]).as_py() == SMALL.distinct_markings
    for name in ("sku", "part_number", "gtin", "description"):
        assert pc.count_distinct(listings[name]).as_py() == SMALL.records


def test_gtins_have_a_check_digit_that_fits_where_nothing_is_planted() -> None:
    listings = _listings(replace(SMALL, findings_percent=0))
    assert [text for text in listings["gtin"].to_pylist() if not ean.is_valid(text)] == []


@pytest.mark.parametrize(("share", "cells"), [(0, 1), (100, 1), (100, 10), (25, 3)])
def test_as_many_wrong_cells_as_asked_for(share: float, cells: int) -> None:
    plan = replace(SMALL, findings_percent=share, wrong_cells=cells)
    right, wrong = _listings(replace(plan, findings_percent=0)), _listings(plan)
    changed = np.zeros(plan.records, dtype=int)
    for name in wrong.column_names:
        same = pc.fill_null(pc.equal(pc.fill_null(right[name], ""), pc.fill_null(wrong[name], "")), False)
        changed += ~same.to_numpy(zero_copy_only=False)
    listings_changed = (changed > 0).mean() * 100
    assert listings_changed == pytest.approx(share, abs=4)
    # Where a tire states no aspect ratio or ply rating, their turn goes to a field that may have had its own.
    assert set(changed[changed > 0].tolist()) <= {cells, cells - 1, cells - 2} - {0, -1}


def test_the_planted_answer_is_sorted_and_beyond_tolerance() -> None:
    answer = _answer(replace(SMALL, findings_percent=100, wrong_cells=12))
    order = {field: position for position, field in enumerate(tables.FIELDS)}
    keys = [
        (row, order[field]) for row, field in zip(answer["row"].to_pylist(), answer["field"].to_pylist(), strict=True)
    ]
    assert keys == sorted(keys)
    assert len(keys) > 6 * SMALL.records
    for wrong in answer.to_pylist():
        number = re.match(tables.NUMBER, wrong["stated"])
        assert number is not None
        apart = abs(float(number[1].replace(",", "")) - wrong["expected"])
        assert apart > tables.TOL[wrong["field"]]


@pytest.mark.parametrize("free", [False, True])
@pytest.mark.parametrize("share", [0, 40])
def test_the_auditor_finds_the_planted_cells_and_nothing_else(share: float, free: bool) -> None:
    plan = replace(SMALL, records=400, findings_percent=share, free_texts=free)
    table = marking_table(plan.distinct_markings, plan.seed)
    rng = np.random.default_rng([plan.seed, 0])
    marking = marking_codes(plan, table, 0, plan.records, rng)
    planted = plant(table, marking, share / 100, plan.wrong_cells, rng)
    book = load_book()
    for at, listing in enumerate(_listings(plan).to_pylist()):
        stated = {name: text for name, text in listing.items() if text is not None}
        called_wrong = {finding.field for finding in audit_one(stated, book).findings}
        assert called_wrong == {field for field in WRONG_FIELDS if planted.wrong[field][at]}, stated


@pytest.mark.parametrize("columns", [10, 11, 28, 40])
def test_columns_in_number(columns: int) -> None:
    listings = _listings(replace(SMALL, records=20, columns=columns))
    assert listings.num_columns == columns
    assert set(tables.COLUMNS) <= set(listings.column_names)


def test_text_length_is_that_of_the_prose() -> None:
    short, long = (_listings(replace(SMALL, text_length=n))["description"] for n in (0, 500))
    grown = pc.subtract(pc.utf8_length(long), pc.utf8_length(short))
    assert pc.unique(grown).to_pylist() == [501]  # and one space


def test_texts_that_combine_freely_differ_but_for_accidents() -> None:
    listings = _listings(replace(SMALL, free_texts=True))
    for name in ("title", "description"):
        texts = listings[name].to_pylist()
        assert len(set(texts)) > 0.99 * SMALL.records
        without_figures = {re.sub("[0-9]", "0", text) for text in texts}
        assert len(without_figures) > 0.8 * SMALL.records
    assert listings.drop_columns(["title", "description"]) == _listings(SMALL).drop_columns(["title", "description"])


def test_chunks_number_their_rows_through() -> None:
    answer = _answer(FeedPlan(records=CHUNK + 50, distinct_markings=10, findings_percent=100, columns=10))
    assert answer["row"].to_numpy().max() >= CHUNK


@pytest.mark.parametrize(
    ("field", "value"), [("records", 0), ("columns", 9), ("findings_percent", 101), ("wrong_cells", 13)]
)
def test_a_plan_outside_its_limits_is_refused(field: str, value: int) -> None:
    with pytest.raises(ValueError, match=rf"{field} must lie between .* not {value}"):
        replace(SMALL, **{field: value})


@pytest.mark.parametrize("form", ["csv", "parquet"])
@pytest.mark.parametrize("name", sorted(RIVALS))
def test_a_rival_finds_what_was_planted(name: str, form: str, feeds: dict[str, Path], tmp_path: Path) -> None:
    if importlib.util.find_spec(NEEDS[name]) is None:
        pytest.skip(f"{NEEDS[name]} is not installed; it comes with the bench extra")
    out = tmp_path / "answer.parquet"
    command = [sys.executable, "-m", f"tests.benchmarks.rivals.{name}", str(feeds[form]), str(out)]
    subprocess.run(command, cwd=HOUSE, check=True, capture_output=True)
    assert difference(out, feeds["answer"]) is None


def _write(path: Path, rows: list[tuple[int, str, str, float]]) -> Path:
    names = ("row", "field", "stated", "expected")
    pq.write_table(pa.table({name: [row[i] for row in rows] for i, name in enumerate(names)}), path)
    return path


ROWS = [(4, "max_load_kg", "900", 850.0), (7, "aspect_ratio", "60", 65.0)]


def test_the_order_of_an_answer_is_free(tmp_path: Path) -> None:
    a, b = _write(tmp_path / "a.parquet", ROWS), _write(tmp_path / "b.parquet", ROWS[::-1])
    assert difference(a, b) is None


@pytest.mark.parametrize(
    ("other", "said"),
    [
        (ROWS[:1], "a.parquet has 2 findings, b.parquet has 1"),
        ([ROWS[0], (8, *ROWS[1][1:])], "'row': 7.*'row': 8"),
        ([(4, "max_load_kg", "901", 850.0), ROWS[1]], "'stated': '900'.*'stated': '901'"),
        ([(4, "max_load_kg", "900", 850.1), ROWS[1]], "850.0.*850.1"),
    ],
)
def test_a_difference_is_named(tmp_path: Path, other: list[tuple[int, str, str, float]], said: str) -> None:
    found = difference(_write(tmp_path / "a.parquet", ROWS), _write(tmp_path / "b.parquet", other))
    assert found is not None and re.search(said, found)


def test_bare_reads_count_every_record(feeds: dict[str, Path]) -> None:
    for columns in (None, tables.COLUMNS):
        assert read_parquet(feeds["parquet"], columns, 2) == SMALL.records
        assert read_csv(feeds["csv"], columns, 2) == SMALL.records


def test_the_auditor_is_held_to_the_tolerances_of_the_question() -> None:
    book = core_question.question_book()
    held = {rule.pairs[0].stated: book.tolerances[rule.tolerance]["absolute"] for rule in book.rules}
    assert held == tables.TOL


@pytest.mark.parametrize("form", ["parquet", "csv"])
def test_the_auditor_gives_the_planted_answer(feeds: dict[str, Path], tmp_path: Path, form: str) -> None:
    run = [sys.executable, "-m", "tests.benchmarks.core_question", str(feeds[form]), str(tmp_path / "ours.parquet")]
    subprocess.run(run, check=True, capture_output=True, cwd=HOUSE)
    assert difference(tmp_path / "ours.parquet", feeds["answer"]) is None


def test_scopes_find_what_was_planted(feeds: dict[str, Path]) -> None:
    run = [sys.executable, "-m", "tests.benchmarks.scopes", "within", str(feeds["parquet"])]
    found = int(subprocess.run(run, check=True, capture_output=True, text=True, cwd=HOUSE).stdout)
    assert found >= pq.ParquetFile(feeds["answer"]).metadata.num_rows > 0


def test_jobs_run_in_processes_of_their_own_and_report_their_peak(feeds: dict[str, Path]) -> None:
    good = Job("good", "tests.benchmarks.bare_read", (str(feeds["parquet"]), "--columns", "marking"))
    bad = Job("bad", "tests.benchmarks.bare_read", (str(feeds["parquet"].with_name("none.parquet")),))
    costs = measure([good, bad], 2)
    assert len(costs["good"].seconds) == 2 and costs["good"].peak_mib > 20
    assert costs["bad"].seconds == [] and "ended with code 1" in costs["bad"].problem


def test_what_a_copy_of_a_copy_costs_counts(tmp_path: Path) -> None:
    program = (
        "import os, time\n"
        "if os.fork(): time.sleep(1); os._exit(0)\n"
        "if os.fork(): os._exit(0)\n"  # at once, so that nobody waits for the one that it leaves
        "room = b'x' * (64 << 20)\n"
        "while time.process_time() < 0.5: pass\n"
    )
    report = tmp_path / "cost.json"
    family, command = [sys.executable, "-m", "tests.benchmarks.family", str(report)], [sys.executable, "-c", program]
    subprocess.run([*family, "60", *command], check=True, cwd=HOUSE)
    cost = json.loads(report.read_text())
    assert cost["cpu_seconds"] >= 0.5 and cost["peak_mib"] > 64
    assert subprocess.run([*family, "0", *command], cwd=HOUSE).returncode == TIMED_OUT


def test_a_crash_is_no_figure_even_where_its_exit_code_would_be_good(tmp_path: Path) -> None:
    crashed = Job("crashed", "tests.benchmarks.bare_read", (str(tmp_path / "none.parquet"),), good_codes=(0, 1))
    cost = measure([crashed], 1)["crashed"]
    assert cost.seconds == [] and "FileNotFoundError" in cost.problem


def test_a_run_with_a_wrong_result_is_no_figure(feeds: dict[str, Path]) -> None:
    arguments = (str(feeds["parquet"]), "--columns", "marking")
    job = Job("read", "tests.benchmarks.bare_read", arguments, check=lambda: "nothing written")
    cost = measure([job], 2)["read"]
    assert cost.seconds == [] and cost.problem == "nothing written"


def test_the_table_has_ratios_and_leaves_out_what_failed() -> None:
    costs = {
        "bare": Cost([1.0, 3.0, 2.0], [100.0, 90.0, 95.0], cpu_seconds=[1.5]),
        "ours": Cost([4.0], [200.0]),
        "broken": Cost(problem="ended with code 1"),
    }
    assert cost_table(costs, "bare", "ours", {})[2:] == [
        "| bare | 2.00 | 1.00-3.00 (3) | 1.00 | 0.50 | 1.50 | 100 |",
        "| ours | 4.00 | 4.00-4.00 (1) | 2.00 | 1.00 |  | 200 |",
        "| broken | ended with code 1 |  |  |  |  |  |",
    ]


def test_the_exponent_of_linear_and_square_growth() -> None:
    sizes = (1e3, 1e4, 1e5, 1e6)
    assert exponent([(x, 2 * x) for x in sizes]) == pytest.approx(1)
    assert exponent([(x, x * x) for x in sizes]) == pytest.approx(2)
    assert exponent([(x, 5.0) for x in (0, *sizes)]) == pytest.approx(0)


def test_what_more_cores_would_give_ends_at_what_is_not_shared() -> None:
    seconds = [workers.predicted(2.0, 42.0, 2.0, 0.5, (3.0, 4.0), cores) for cores in (1, 2, 8, 1_000_000)]
    assert seconds[:3] == [48.0, 27.25, 12.4375] and round(seconds[3], 3) == 7.5
