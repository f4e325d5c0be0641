"""Writes the findings as Parquet and as CSV at once, in constant memory, and reads them back worst grade first."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from pathlib import Path
from types import TracebackType

import numpy as np
import numpy.typing as npt
import pyarrow as pa
import pyarrow.compute as pc
import pyarrow.csv as pcsv
import pyarrow.parquet as pq

from auditor.errors import OutputError
from auditor.rulebook.finding import COLUMNS, GRADES

_TYPES = {"string": pa.string(), "int64": pa.int64(), "float64": pa.float64()}
FINDINGS_SCHEMA: pa.Schema = pa.schema([(name, _TYPES[kind]) for name, kind in COLUMNS])
# Of a run with a ledger: `new`, `standing`, `accepted` or `asked`, and the night when it was first seen.
REMEMBERED_SCHEMA: pa.Schema = pa.schema([*FINDINGS_SCHEMA, ("state", pa.string()), ("first_night", pa.string())])
ROW_GROUP = 65_536
_MOST_SMALL = 256  # tables that wait by themselves: one of two findings takes 30 KB, whatever is in it

# A spreadsheet program runs a cell that begins so as a formula (a comma-separated file carries no types).
# The full-width forms are read as their plain twins by some of them.  A plain signed number is data, not a
# formula.
_FIRST = "=+-@\t\r\n＝＋－＠"
_STARTS_FORMULA = f"^[{re.escape(_FIRST)}]"
_PLAIN_NUMBER = r"^[+-]?[0-9]+(?:[.,][0-9]+)*$"
_FORMULA = re.compile(_STARTS_FORMULA)
_NUMBER = re.compile(_PLAIN_NUMBER.removesuffix("$") + r"\Z")
_FIRST_BYTES = np.zeros(256, np.bool_)
_FIRST_BYTES[[char.encode()[0] for char in _FIRST]] = True


def neutralize(texts: pa.Array | pa.ChunkedArray) -> pa.Array | pa.ChunkedArray:
    """Puts an apostrophe before each text that a spreadsheet program would run as a formula."""
    if isinstance(texts, pa.ChunkedArray):
        return pa.chunked_array([neutralize(chunk) for chunk in texts.chunks], texts.type)
    suspects = _suspects(texts)
    if len(suspects) == 0:
        return texts
    some = texts.take(pa.array(suspects))
    risky = pc.and_not(pc.match_substring_regex(some, _STARTS_FORMULA), pc.match_substring_regex(some, _PLAIN_NUMBER))
    mask = np.zeros(len(texts), np.bool_)
    mask[suspects[risky.to_numpy(zero_copy_only=False)]] = True
    return pc.replace_with_mask(texts, pa.array(mask), pc.binary_join_element_wise("'", some.filter(risky), ""))


def is_harmless(texts: pa.Array | pa.ChunkedArray) -> bool:
    """Whether no text of a column may begin a formula, so that all of them stay as they are; codes are looked up."""
    if isinstance(texts, pa.ChunkedArray):
        return all(map(is_harmless, texts.chunks))
    return len(_suspects(texts.dictionary if pa.types.is_dictionary(texts.type) else texts)) == 0


def _suspects(texts: pa.Array) -> npt.NDArray[np.int64]:
    """Rows whose first byte is that of a character that may begin a formula: hardly any, and a pattern takes longer."""
    _, positions, data = texts.buffers()
    if data is None:
        return np.zeros(0, np.int64)
    ends = np.frombuffer(positions, np.int32)[texts.offset : texts.offset + len(texts) + 1]
    filled = np.flatnonzero((ends[1:] > ends[:-1]) & texts.is_valid().to_numpy(zero_copy_only=False))
    return filled[_FIRST_BYTES[np.frombuffer(data, np.uint8)[ends[filled]]]]


def neutralize_text(text: str) -> str:
    """`neutralize` for one text."""
    return f"'{text}" if _FORMULA.match(text) and not _NUMBER.match(text) else text


class FindingsWriter:
    """Streams findings to `findings.parquet` (zstd) and `findings.csv` in one folder.

    The CSV is UTF-8 without a byte order mark: command-line tools and loaders read it as it stands, and the
    workbook is there for those who would open it in a spreadsheet.  Texts that would run as a formula get a
    leading apostrophe in the CSV only; numbers are untouched.

    Tables must have the columns of the schema, in any order and with dictionary-encoded texts if they
    like.
    """

    def __init__(self, folder: Path, schema: pa.Schema = FINDINGS_SCHEMA) -> None:
        self._schema = schema
        self.parquet_path = folder / "findings.parquet"
        self.csv_path = folder / "findings.csv"
        self.rows = 0
        self._waiting: list[pa.Table] = []
        self._small: list[pa.Table] = []  # behind those
        self._waiting_rows = 0
        try:
            self._parquet = pq.ParquetWriter(self.parquet_path, self._schema, compression="zstd")
            self._csv = pcsv.CSVWriter(self.csv_path, self._schema)
        except OSError as error:
            raise OutputError(f"{folder} cannot take the findings files ({error}); choose another --out.") from error

    def append(self, findings: pa.RecordBatch | pa.Table) -> None:
        """Takes some findings, in their final order."""
        table = pa.Table.from_batches([findings]) if isinstance(findings, pa.RecordBatch) else findings
        self._small.append(table.select(self._schema.names).cast(self._schema))
        self._waiting_rows += table.num_rows
        if len(self._small) >= _MOST_SMALL:
            self._join_small()
        while self._waiting_rows >= ROW_GROUP:
            self._flush()

    def _join_small(self) -> None:
        if self._small:
            self._waiting.append(pa.concat_tables(self._small).combine_chunks())
            self._small = []

    def _flush(self) -> None:
        """Writes one row group: the same rows, wherever the parts that came in ended."""
        self._join_small()
        waiting = pa.concat_tables(self._waiting) if self._waiting else self._schema.empty_table()
        table, rest = waiting.slice(0, ROW_GROUP).combine_chunks(), waiting.slice(ROW_GROUP)
        self._waiting, self._waiting_rows = [rest] if rest.num_rows else [], rest.num_rows
        try:
            self._parquet.write_table(table, row_group_size=ROW_GROUP)
            safe = [neutralize(table[one.name]) if one.type == pa.string() else table[one.name] for one in self._schema]
            self._csv.write_table(pa.table(safe, schema=self._schema))
        except OSError as error:
            raise OutputError(
                f"{self.parquet_path.parent} could not take more findings ({error}); make room and run again."
            ) from error
        self.rows += table.num_rows

    def close(self) -> None:
        """Writes what waits and closes both files; a run without findings leaves both with their header."""
        if self._waiting_rows or not self.rows:
            self._flush()
        self._parquet.close()
        self._csv.close()

    def __enter__(self) -> FindingsWriter:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        if kind is None:
            self.close()
        else:  # the folder is thrown away; only let go of the files
            self._parquet.close()
            self._csv.close()


def read_by_grade(
    path: Path, columns: Sequence[str] | None = None, grades: Sequence[str] = GRADES
) -> Iterator[pa.Table]:
    """Yields the findings in parts, all of the worst grade first, each grade in the file's order.

    A large file is read once per grade, so that memory does not grow with it.  Parts without rows are left out.
    """
    wanted = list(columns) if columns is not None else FINDINGS_SCHEMA.names
    reading = wanted if "grade" in wanted else [*wanted, "grade"]
    with pq.ParquetFile(path) as file:
        kept = file.read(reading) if file.metadata.num_rows <= ROW_GROUP else None
    for grade in grades:
        for table in read_in_parts(path, reading) if kept is None else (kept,):
            part = table.filter(pc.equal(table["grade"], grade))
            if part.num_rows:
                yield part.select(wanted)


def read_in_parts(
    path: Path, columns: Sequence[str], rows: int = ROW_GROUP, coded: Sequence[str] = ()
) -> Iterator[pa.Table]:
    """Yields the findings in the file's order, no more than `rows` of them at a time; some columns dictionary-coded."""
    with pq.ParquetFile(path, read_dictionary=[name for name in coded if name in columns]) as file:
        for batch in file.iter_batches(batch_size=rows, columns=list(columns)):
            yield pa.Table.from_batches([batch])


def by_suppliers(part: pa.Table) -> Iterator[tuple[str, pa.Table]]:
    """Yields (supplier, its findings in their order); a supplier that is not named is the empty text."""
    suppliers, codes = _suppliers(part)
    for code, rows in _grouped(part, codes):
        yield suppliers[code], rows


def _suppliers(part: pa.Table) -> tuple[list[str], npt.NDArray[np.int64]]:
    encoded = pc.fill_null(part["supplier"], "").combine_chunks().dictionary_encode()
    return encoded.dictionary.to_pylist(), encoded.indices.to_numpy().astype(np.int64)


def _grouped(part: pa.Table, codes: npt.NDArray[np.int64]) -> Iterator[tuple[int, pa.Table]]:
    """Yields (code, its rows in their order)."""
    order = np.argsort(codes, kind="stable")
    sorted_codes, sorted_part = codes[order], part.take(pa.array(order))
    starts = np.flatnonzero(np.r_[True, sorted_codes[1:] != sorted_codes[:-1]][: len(codes)])
    for start, stop in zip(starts.tolist(), [*starts[1:].tolist(), len(codes)], strict=False):
        yield int(sorted_codes[start]), sorted_part.slice(start, stop - start)
