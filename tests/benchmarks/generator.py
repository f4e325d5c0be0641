"""Writes large invented feeds: seeded, built from arrays, any size in the memory of one chunk.

    python -m tests.benchmarks.generator FEED.parquet FEED.csv --records 1000000 --findings 4

Everything that is not planted as wrong is right: the texts, the split fields, the pressures and the
dimensions of a listing all agree with its marking.  The planted cells of the seven fields in `tables.FIELDS`
are known, so that the answers of the auditor and of its rivals can be checked against the truth.
"""

from __future__ import annotations

import argparse
from collections.abc import Iterator
from contextlib import ExitStack
from dataclasses import dataclass, fields
from pathlib import Path

import numpy as np
import numpy.typing as npt
import pyarrow as pa
import pyarrow.compute as pc
import pyarrow.parquet as pq

from tests.benchmarks.columns import CONTRACT, NEEDED_FIRST, ListingTexts
from tests.benchmarks.markings import MarkingTable, marking_table
from tests.benchmarks.planted import ANSWER, plant, with_habit

CHUNK = 131_072  # records in a Parquet row group, and built at once
FEWEST_COLUMNS = len(NEEDED_FIRST)


@dataclass(frozen=True, slots=True)
class FeedPlan:
    """What a generated feed is like; the same plan gives the same bytes."""

    records: int = 1_000_000
    distinct_markings: int = 30_000
    findings_percent: float = 4.0  # share of listings with at least one wrong cell
    wrong_cells: int = 1  # wrong cells in each such listing, 1 to 12
    columns: int = len(CONTRACT)
    text_length: int = 240  # characters of prose after the facts in each description
    seed: int = 1
    free_texts: bool = False  # titles and descriptions that combine their parts freely, of a length of their own
    habit: bool = False  # every listing states the top speed of another speed symbol in mph, two further up

    def __post_init__(self) -> None:
        limits = {
            "records": (1, 999_999_000),
            "distinct_markings": (1, 1_000_000),
            "findings_percent": (0, 100),
            "wrong_cells": (1, 12),
            "columns": (FEWEST_COLUMNS, 2_000),
            "text_length": (0, 100_000),
        }
        for name, (low, high) in limits.items():
            if not low <= getattr(self, name) <= high:
                raise ValueError(f"{name} must lie between {low} and {high}, not {getattr(self, name)}")

    @property
    def stem(self) -> str:
        """A file name without extension that tells plans apart."""
        return (
            f"records{self.records}-markings{self.distinct_markings}-findings{self.findings_percent:g}"
            f"x{self.wrong_cells}-columns{self.columns}-text{'free' if self.free_texts else self.text_length}"
            f"{'-habit' if self.habit else ''}-seed{self.seed}"
        )

    @property
    def header(self) -> tuple[str, ...]:
        """Column names in file order."""
        kept = set(NEEDED_FIRST)
        others = [name for name in CONTRACT if name not in kept]
        kept.update(others[: self.columns - FEWEST_COLUMNS])
        extra = (f"supplier_note_{i + 1}" for i in range(self.columns - len(CONTRACT)))
        return (*(name for name in CONTRACT if name in kept), *extra)


def chunks(plan: FeedPlan) -> Iterator[tuple[pa.Table, pa.Table]]:
    """Yields listings and the planted answer to the core question, a chunk of each at a time."""
    table = marking_table(plan.distinct_markings, plan.seed)
    texts = ListingTexts(table, plan.text_length, free=plan.free_texts)
    for start in range(0, plan.records, CHUNK):
        stop = min(start + CHUNK, plan.records)
        rng = np.random.default_rng([plan.seed, start])
        marking = marking_codes(plan, table, start, stop, rng)
        planted = plant(table, marking, plan.findings_percent / 100, plan.wrong_cells, rng)
        if plan.habit:
            planted = with_habit(planted)
        supplier = rng.integers(0, texts.suppliers, stop - start)
        row = np.arange(start, stop)
        listings = {name: texts.column(name, row, marking, supplier, planted) for name in plan.header}
        yield pa.table(listings), planted.answer(table, row, marking, listings)


def marking_codes(
    plan: FeedPlan, table: MarkingTable, start: int, stop: int, rng: np.random.Generator
) -> npt.NDArray[np.int64]:
    """Which marking each record has: some are common, most rare; each occurs if there are records enough."""
    count = len(table)
    codes = (count * rng.random(stop - start) ** 2).astype(np.int64)
    row = np.arange(start, stop)
    stride = max(1, plan.records // count)
    every = row % stride == 0
    codes[every] = (row[every] // stride) % count
    return codes


def write_feeds(plan: FeedPlan, paths: list[Path], answer: Path | None = None) -> None:
    """Writes the plan's feed to each path (CSV or Parquet by extension), and the planted answer if asked.

    Each file is written aside and moved into place, so that a path that exists is always whole.
    """
    schema = pa.schema([(name, pa.string()) for name in plan.header])
    aside = [path.with_name(path.name + ".part") for path in paths]
    answer_aside = answer.with_name(answer.name + ".part") if answer else None
    with ExitStack() as stack:
        writers = [stack.enter_context(_writer(path, part, schema)) for path, part in zip(paths, aside, strict=True)]
        answers = stack.enter_context(pq.ParquetWriter(answer_aside, ANSWER)) if answer_aside else None
        for listings, wrong in chunks(plan):
            for writer in writers:
                writer.write_table(listings)
            if answers is not None:
                answers.write_table(wrong)
    for path, part in zip(paths, aside, strict=True):
        part.replace(path)
    if answer and answer_aside:
        answer_aside.replace(answer)


def write_csv(listings: pa.Table, path: Path) -> None:
    """Writes one table as a CSV feed."""
    with _CsvWriter(path, tuple(listings.column_names)) as writer:
        writer.write_table(listings)


class _CsvWriter:
    """Writes tables of text as CSV, quoting only the cells that need it, as most suppliers' exports do."""

    def __init__(self, path: Path, header: tuple[str, ...]) -> None:
        self._file = path.open("wb")
        self._file.write(",".join(header).encode() + b"\n")

    def __enter__(self) -> _CsvWriter:
        return self

    def __exit__(self, *_: object) -> None:
        self._file.close()

    def write_table(self, table: pa.Table) -> None:
        cells = [_quoted(column.combine_chunks()) for column in table.columns]
        lines = pc.binary_join_element_wise(*cells, ",", null_handling="replace")
        ended = pc.binary_join_element_wise(lines, "\n", "")
        # The text of a string array lies in one stretch of memory: here, that stretch is the CSV itself.
        for part in ended.chunks if isinstance(ended, pa.ChunkedArray) else [ended]:
            self._file.write(part.buffers()[2])


def _quoted(texts: pa.Array) -> pa.Array:
    """Generated cells hold commas but neither quotes nor line ends."""
    needs = pc.match_substring(texts, ",")
    if not pc.any(needs).as_py():
        return texts
    return pc.if_else(needs, pc.binary_join_element_wise('"', texts, '"', ""), texts)


def _writer(path: Path, part: Path, schema: pa.Schema) -> pq.ParquetWriter | _CsvWriter:
    if path.suffix == ".parquet":
        return pq.ParquetWriter(part, schema)
    if path.suffix == ".csv":
        return _CsvWriter(part, tuple(schema.names))
    raise ValueError(f"{path} must end in .csv or .parquet")


def add_plan_options(parser: argparse.ArgumentParser) -> None:
    """Adds one option per field of `FeedPlan`."""
    plain = FeedPlan()
    for option, field, kind, text in (
        ("--records", "records", int, "data records"),
        ("--markings", "distinct_markings", int, "distinct markings"),
        ("--findings", "findings_percent", float, "percent of listings with a wrong cell"),
        ("--wrong-cells", "wrong_cells", int, "wrong cells in each of them"),
        ("--columns", "columns", int, "columns in all"),
        ("--text-length", "text_length", int, "characters of prose in each description"),
        ("--seed", "seed", int, "seed of everything random"),
    ):
        text += " (default %(default)s)"
        parser.add_argument(option, dest=field, type=kind, default=getattr(plain, field), help=text)
    parser.add_argument("--free-texts", action="store_true", help="titles and descriptions that combine freely")
    parser.add_argument("--habit", action="store_true", help="the same mistake in every listing")


def plan_from(given: argparse.Namespace) -> FeedPlan:
    """The plan that the options of `add_plan_options` ask for."""
    return FeedPlan(**{field.name: getattr(given, field.name) for field in fields(FeedPlan)})


def main() -> None:
    """Writes the feeds named on the command line."""
    parser = argparse.ArgumentParser(prog="python -m tests.benchmarks.generator", description=main.__doc__)
    parser.add_argument("feeds", nargs="+", type=Path, metavar="FEED", help="a .csv or .parquet file to write")
    parser.add_argument("--answer", type=Path, help="also write the planted answer to the core question")
    add_plan_options(parser)
    given = parser.parse_args()
    try:
        write_feeds(plan_from(given), given.feeds, given.answer)
    except ValueError as wrong:
        parser.error(str(wrong))


if __name__ == "__main__":
    main()
