"""Workbooks: .xlsx, .xls and .ods.  Values only; formulas are never evaluated."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import numpy.typing as npt
import pyarrow as pa
import pyarrow.parquet as pq

from auditor.errors import FeedError
from auditor.feeds.model import Block, FileFeed, Limits, Mapping, Rejected, WorkUnit
from auditor.feeds.parquet_feed import ParquetFeed
from auditor.feeds.sheet_tables import SheetShape, sheet_rows
from auditor.feeds.spool import spool_path
from auditor.feeds.typed_cells import cell_text
from auditor.feeds.workbook_split import SheetDisposition, write_parts

SPOOL_RECORDS = 1 << 16


@dataclass(frozen=True, slots=True)
class WorkbookFeed(FileFeed):
    """One sheet with listings.  Its cells lie as text in a spooled table, one row per record."""

    sheet: str
    format: str
    shape: SheetShape
    table: ParquetFeed
    blank_records: tuple[int, ...]
    broken: str | None = None  # why the sheet cannot be read

    def units(self) -> Iterator[WorkUnit]:
        """Some 64k records each."""
        if self.broken:
            yield WorkUnit(0, 1, 1)
            return
        yield from self.table.units()

    def finer(self, unit: WorkUnit, records: int) -> Iterator[WorkUnit]:
        """Stretches of rows."""
        return iter((unit,)) if self.broken else self.table.finer(unit, records)

    def read(self, unit: WorkUnit, columns: Sequence[int]) -> Block:
        """Reads a unit; blank rows between records are rejected."""
        if self.broken:
            lost = Rejected(self.name, self.sheet, 1, None, self.broken, "")
            return Block(0, [pa.array([], pa.string()) for _ in columns], np.zeros(0, np.int64), (lost,))
        block = self.table.read(unit, columns)
        blank = np.isin(block.records, np.array(self.blank_records, np.int64))
        if not blank.any():
            return block
        keep = pa.array(~blank)
        rejected = tuple(
            Rejected(self.name, self.sheet, number, None, "The row is blank.", "", furniture=True)
            for number in block.records[blank].tolist()
        )
        return Block(unit.index, [column.filter(keep) for column in block.columns], block.records[~blank], rejected)

    def blocks(self, unit: WorkUnit, columns: Sequence[int]) -> Iterator[Block]:
        """One block per unit."""
        yield self.read(unit, columns)

    def counted_records(self, breaks: int) -> int:
        """The rows that were counted when the sheet's table was looked for; a sheet that is broken counts as one."""
        return 1 if self.broken else self.shape.data_rows

    def sample(self, records: int) -> list[list[str]]:
        """The first cells of every column."""
        return self.table.sample(records)

    def split(self, released: Path, held: Path, disposition: npt.NDArray[np.uint8]) -> None:
        """Writes .xlsx workbooks with this sheet's rows parted; the other sheets are copied whole."""
        write_parts(self.path, released, held, [SheetDisposition(self.shape, disposition)])


def open_sheet(
    name: str, kind: str, source: Path, path: Path, shape: SheetShape, output_name: str, limits: Limits
) -> WorkbookFeed:
    """Spools one sheet's data rows as text and gives its feed."""
    target = spool_path(".parquet")
    width = len(shape.headers)
    schema = pa.schema([(str(position), pa.string()) for position in range(width)])
    blanks: list[int] = []
    groups: list[int] = []
    broken = shape.broken
    try:
        with pq.ParquetWriter(target, schema) as writer:
            for first, rows in [] if broken else _batches(path, shape):
                blanks += [first + position for position, row in enumerate(rows) if not any(row)]
                columns = [pa.array(column, pa.string()) for column in zip(*rows, strict=True)]
                writer.write_table(pa.table(columns, schema=schema))
                groups.append(len(rows))
    except FeedError as error:
        broken = str(error)
    table = ParquetFeed(
        name=name,
        headers=shape.headers,
        mapping=Mapping("none", ()),
        output_name=output_name,
        path=target,
        source=source,
        top_names=tuple(map(str, range(width))),
        leaves=tuple((position, ()) for position in range(width)),
        group_records=tuple(groups),
        few_distinct=frozenset(range(width)),
        limits=limits,
        sheet=shape.sheet,
    )
    if not output_name.lower().endswith(".xlsx"):
        output_name = f"{output_name.rsplit('.', 1)[0]}.xlsx"
    return WorkbookFeed(
        name=name,
        sheet=shape.sheet,
        format=kind,
        headers=shape.headers,
        mapping=table.mapping,
        output_name=output_name,
        source=source,
        path=path,
        shape=shape,
        table=table,
        blank_records=tuple(blanks),
        broken=broken,
    )


def _batches(path: Path, shape: SheetShape) -> Iterator[tuple[int, list[list[str]]]]:
    """First record number and rows of text, `SPOOL_RECORDS` at a time."""
    rows: list[list[str]] = []
    first = 1
    for row in sheet_rows(path, shape, data_only=True):
        rows.append([cell_text(cell) for cell in row])
        for position, added in shape.formats.items():
            if isinstance(row[position], int | float) and not isinstance(row[position], bool):
                rows[-1][position] = added.shown(rows[-1][position])
        if len(rows) == SPOOL_RECORDS:
            yield first, rows
            first, rows = first + len(rows), []
    if rows:
        yield first, rows
