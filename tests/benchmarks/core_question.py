"""The auditor held to its rivals' question: seven comparisons, one tolerance each, nothing else.

python -m tests.benchmarks.core_question FEED OUT.parquet [--threads N]

The answer is made by the parts that make an audit: the feed readers, the value caches, the choice of the governing
marking and the comparator.  What is left out is what the question does not ask for: other rules, votes, wording.
"""

from __future__ import annotations

from concurrent.futures import Future, ThreadPoolExecutor
from dataclasses import replace
from functools import partial
from itertools import islice
from pathlib import Path
from typing import Any, NamedTuple

from tests.benchmarks.rivals.common import task
from tests.benchmarks.tables import COLUMNS, FIELDS, TOL

FACTS = {
    "max_load_kg": "load_single_kg",
    "max_load_lb": "load_single_lb",
    "max_speed_kmh": "speed_kmh",
    "max_speed_mph": "speed_mph",
    "section_width_mm": "section_width_mm",
    "aspect_ratio": "aspect_ratio",
    "rim_diameter_in": "rim_diameter_in",
}


def question_book() -> Any:
    """The rule book with nothing in it but one comparison for each field, within `TOL`."""
    from auditor.rulebook.book import load_book
    from auditor.rulebook.rule import Pair
    from auditor.rulebook.tolerances import Tolerances

    book = load_book()
    model = book.rule("load-understated")
    rules = tuple(
        replace(
            model,
            id=f"{field}-apart",
            order=position,
            pairs=(Pair(field, FACTS[field]),),
            finds="differs",
            tolerance=field,
            allowance="",
            grade_when_higher=None,
            families=(),
            not_families=(),
            exempt=(),
        )
        for position, field in enumerate(FIELDS)
    )
    return replace(book, rules=rules, tolerances=Tolerances({field: {"absolute": TOL[field]} for field in FIELDS}))


def run_auditor(feed: Path, out: Path, threads: int) -> None:
    """Answers the question for a feed.

    An answer holds `row` (0-based), `field`, `stated` (as written) and `expected` (double), sorted by row.
    """
    from auditor.engine.process_memory import limit_memory

    limit_memory(kept_ms=50)  # eight columns: memory is no concern
    opened = _opened(feed)
    positions = tuple(opened.headers.index(name) for name in COLUMNS)
    with ThreadPoolExecutor(threads) as early:
        read = {
            unit.index: early.submit(_blocks, unit, opened, positions) for unit in islice(opened.units(), 2 * threads)
        }
        # While these are read, the rest of the auditor is loaded.
        import pyarrow as pa
        import pyarrow.parquet as pq

        from auditor.engine.unit_audit import UnitAuditor

        auditor = UnitAuditor(question_book(), claims=False)
        plan = _plan(opened, positions)
        types = {"row": pa.int64(), "field": pa.string(), "stated": pa.string(), "expected": pa.float64()}
        work = partial(_answers, feed=opened, read=read, plan=plan, auditor=auditor)
        with (
            pq.ParquetWriter(out, pa.schema(list(types.items())), compression="zstd") as writer,
            ThreadPoolExecutor(threads) as pool,
        ):
            for tables in pool.map(work, opened.units()):
                for table in tables:
                    writer.write_table(table)


def _blocks(unit: Any, feed: Any, positions: tuple[int, ...]) -> list[Any]:
    return list(feed.blocks(unit, positions))


def _answers(unit: Any, feed: Any, read: dict[int, Future[list[Any]]], plan: Any, auditor: Any) -> list[Any]:
    early = read.pop(unit.index, None)
    blocks = feed.blocks(unit, plan.positions) if early is None else early.result()
    return [_answer(auditor.statements(plan, block), block) for block in blocks]


class _Hit(NamedTuple):
    """A field that disagrees: the cells' source, the records in rising order, and what the marking says of them."""

    field: str
    source: int
    rows: Any
    expected: Any


class _Hits(list[_Hit]):
    """Collects the hits of a block."""

    def add(self, failure: Any) -> None:
        """Takes a failure of a comparison."""
        rows = failure.where.nonzero()[0]
        self.append(_Hit(failure.about, failure.source, rows, failure.derived[rows]))

    def could_not_tell(self, rule: Any, where: Any) -> None:
        """What cannot be told is not asked for."""


def _answer(st: Any, block: Any) -> Any:
    """The hits of a block as a table, by record and field."""
    import numpy as np
    import pyarrow as pa

    from auditor.judging.comparator import compare_rule

    hits = _Hits()
    for rule in st.book.rules:
        compare_rule(rule, st, hits)
    rows = np.concatenate([hit.rows for hit in hits] or [np.zeros(0, np.int64)])
    positions = np.repeat([FIELDS.index(hit.field) for hit in hits], [len(hit.rows) for hit in hits]).astype(np.int64)
    stated = [st.cell_column(hit.source, hit.rows) for hit in hits]
    table = pa.table(
        {
            "row": pa.array(block.records[rows] - 1),
            "field": pa.array(list(FIELDS)).take(pa.array(positions)),
            "stated": pa.chunked_array(stated, pa.string()),
            "expected": pa.array(np.concatenate([hit.expected for hit in hits] or [np.zeros(0)])),
        }
    )
    return table.take(pa.array(np.lexsort((positions, rows))))


def _opened(path: Path) -> Any:
    """The feed; only a Parquet file's footer or a text's first line is read, since the question names its columns."""
    if path.suffix != ".parquet":
        return _opened_text(path)
    import pyarrow.parquet as pq

    from auditor.feeds.model import Limits, Mapping
    from auditor.feeds.parquet_feed import ParquetFeed

    data = pq.read_metadata(path)
    names = tuple(data.schema.names)
    return ParquetFeed(
        name=path.name,
        headers=names,
        mapping=Mapping("question", ()),
        output_name=path.name,
        path=path,
        source=path,
        top_names=names,
        leaves=tuple((position, ()) for position in range(len(names))),
        group_records=tuple(data.row_group(group).num_rows for group in range(data.num_row_groups)),
        few_distinct=frozenset(names.index(name) for name in COLUMNS),
        limits=Limits(),
    )


def _opened_text(path: Path) -> Any:
    """A text in UTF-8 with commas between cells, as the bare read and the rivals take it to be."""
    from auditor.feeds.csv_feed import CsvFeed, end_of_data
    from auditor.feeds.dialect import Dialect
    from auditor.feeds.model import Limits, Mapping

    with path.open("rb") as file:
        line = file.readline()
    names = tuple(line.decode().rstrip("\r\n").split(","))
    return CsvFeed(
        name=path.name,
        headers=names,
        mapping=Mapping("question", ()),
        output_name=path.name,
        path=path,
        source=path,
        dialect=Dialect("utf-8", ",", '"', "\r\n" if line.endswith(b"\r\n") else "\n", names, 1, len(line)),
        data_stop=end_of_data(path, len(line)),
        limits=Limits(),
    )


def _plan(feed: Any, positions: tuple[int, ...]) -> Any:
    from auditor.feeds.model import ColumnUse
    from auditor.judging.block.feed_plan import FeedPlan
    from auditor.judging.statements import Source

    return FeedPlan(
        feed.name,
        None,
        "",
        tuple(Source(position, name, name) for position, name in enumerate(COLUMNS)),
        tuple(ColumnUse(name, at, (name,)) for name, at in zip(COLUMNS, positions, strict=True)),
        positions,
    )


if __name__ == "__main__":
    given = task()
    run_auditor(Path(given.feed), Path(given.out), given.threads)
