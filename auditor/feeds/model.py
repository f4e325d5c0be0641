"""What travels from a feed to the engine, and back to the split files."""

from __future__ import annotations

import hashlib
from collections.abc import Hashable, Iterator, Sequence
from collections.abc import Mapping as AnyMapping
from dataclasses import asdict, dataclass, field, replace
from pathlib import Path
from typing import Protocol

import numpy as np
import numpy.typing as npt
import pyarrow as pa

from auditor.errors import UsageError
from auditor.rulebook.files import nearest


@dataclass(frozen=True, slots=True)
class Rejected:
    """A physical record that could not be read as a listing."""

    feed: str
    sheet: str | None
    record: int | None  # 1-based data record number, None where none can be given
    byte_offset: int | None
    reason: str  # one sentence
    text: str  # the raw text, shortened to 2,000 characters
    furniture: bool = False  # a heading, a page or total line, a blank: no listing, and nothing to reject


@dataclass(frozen=True, slots=True)
class ColumnUse:
    """How one feed column is read: the fields it yields, in the order of its parts, and its unit."""

    column: str  # the feed's own header
    position: int  # 0-based column position (headers may repeat)
    fields: tuple[str, ...]  # contract fields; more than one for a combined column
    unit: str | None = None  # kg, lb, km/h, mph, mm, in, kPa, psi, bar; None: the field's own
    decimal: str | None = None  # "." or ","; None: undecided
    translate: dict[str, str] = field(default_factory=dict)  # value translations, casefolded keys
    confidence: float = 1.0
    samples: tuple[str, ...] = ()
    unit_column: int | None = None  # position of the column that holds the unit of each of its numbers
    label: str = ""  # what its cells begin with: the "Width" of "Width: 205"

    def reads(self) -> tuple[Hashable, ...]:
        """All that tells how the column is read, to compare by: not how sure that is, nor samples."""
        translated = tuple(sorted(self.translate.items()))
        beside = self.unit_column, self.label
        return self.column, self.position, self.fields, self.unit, self.decimal, translated, beside


@dataclass(frozen=True, slots=True)
class LeftOut:
    """A column that was not used; `matters` where it is a load, speed, size, rim, index or pressure."""

    column: str
    why: str
    takes: str = ""  # what it would take to read it
    matters: bool = False  # its feed is not free of danger
    position: int = -1  # 0-based column position
    fields: tuple[str, ...] = ()  # which of these it may be


@dataclass(frozen=True, slots=True)
class Mapping:
    """The feed map in force for one feed (or sheet)."""

    name: str  # map file name, or "proposed"
    columns: tuple[ColumnUse, ...]
    left_out: tuple[LeftOut, ...] = ()
    constants: dict[str, str] = field(default_factory=dict)  # field -> text for every record
    supplier: str | None = None
    key: tuple[str, ...] = ()  # fields that identify a listing; () = sku, else part_number, else gtin
    ignored: tuple[str, ...] = ()  # headers that a feed map tells to pass over
    warnings: tuple[str, ...] = ()  # headers that are written otherwise than in the map, in a sentence each
    feed: str | None = None  # what a map calls its feed, whatever its files are called
    changes: bool = False  # the feed holds only what changed since the last one

    @property
    def unread(self) -> tuple[LeftOut, ...]:
        """The columns that matter and were not read: what they say was compared with nothing."""
        return tuple(left for left in self.left_out if left.matters)


@dataclass(frozen=True, slots=True)
class WorkUnit:
    """A part of a feed that can be read on its own: a Parquet row group, a stretch of a CSV file, a sheet."""

    index: int  # order in the feed
    first_record: int  # 1-based number of its first data record
    records: int | None  # None: known only after reading
    start: int = 0  # reader's own: byte offset, row group number, row number
    stop: int = 0
    cuts: tuple[int, ...] = ()  # reader's own: record boundaries inside, so that memory stays small
    careful: bool = False  # reader's own: holds broken quotes, NUL bytes or blank lines


@dataclass(frozen=True, slots=True)
class Block:
    """Some records in feed order.  Columns are those asked for, as text; blank cells are null or empty text."""

    unit: int
    columns: Sequence[pa.Array]  # pa.string() or pa.dictionary(int32, string), one per asked column
    records: npt.NDArray[np.int64]  # 1-based data record numbers, rising; rejected records are absent
    rejected: tuple[Rejected, ...] = ()
    breaks: int = 0  # line ends within the cells of these records and of rejected ones, for the accounts of texts


RELEASED, HELD, REJECTED = 0, 1, 2


@dataclass(frozen=True, slots=True)
class Limits:
    """What a feed may cost before it is refused.  All adjustable; all in bytes unless named otherwise."""

    record_bytes: int = 16 << 20  # a longer record is a rejected record
    columns: int = 20_000  # a wider feed is refused
    unpacked_bytes: int = 64 << 30  # all that one compressed file may unpack to
    unpacked_ratio: int = 500  # and how many times its packed size, once past 64 MiB
    members: int = 10_000  # members of one archive
    workbook_bytes: int = 4 << 30  # unpacked size of one workbook, which is read into memory
    workbook_memory_bytes: int = 4 << 30  # what opening one may take
    workbook_seconds: int = 300  # and how long


def limits_of(asked: AnyMapping[str, int]) -> Limits:
    """The usual limits with those that were asked for, by name.  Raises UsageError for one that does not exist."""
    usual = asdict(Limits())
    for name, number in asked.items():
        if name not in usual:
            listed = ", ".join(f"{known}={value}" for known, value in usual.items())
            raise UsageError(f"{name} is no limit; {nearest(name, list(usual))} The usual limits: {listed}.")
        if isinstance(number, bool) or not isinstance(number, int) or number < 1:
            raise UsageError(f"The limit {name} should be a whole number of 1 or more, not {number!r}.")
    return replace(Limits(), **asked)


class Feed(Protocol):
    """One supplier file, or one sheet or member of it, opened for reading.

    Blank lines count as records: they keep their number and are rejected, save those at the very end of a file,
    which are no records.  So do ragged records, records with undecodable or NUL bytes, and broken quotes.
    Feeds hold no open files and can be pickled.
    """

    @property
    def name(self) -> str:
        """Path relative to what was given, with forward slashes."""

    @property
    def sheet(self) -> str | None:
        """Sheet of a workbook, None for every other format."""

    @property
    def format(self) -> str:
        """csv, parquet, xlsx, xls, ods, json, jsonl, xml or sql."""

    @property
    def mapping(self) -> Mapping:
        """The feed map in force."""

    @property
    def headers(self) -> tuple[str, ...]:
        """The feed's own headers, in order; they may repeat."""

    @property
    def output_name(self) -> str:
        """Safe relative path for the released and held files; sheets of one workbook share it."""

    @property
    def supplier(self) -> str | None:
        """Who sent it, where the map or the folder says so."""

    def sha256(self) -> str: ...

    def size_bytes(self) -> int: ...

    def units(self) -> Iterator[WorkUnit]:
        """Plans the feed's parts, in order, without reading cells."""

    def finer(self, unit: WorkUnit, records: int) -> Iterator[WorkUnit]:
        """The parts of a unit that many workers would want it in, some `records` each; or the unit as it is."""

    def read(self, unit: WorkUnit, columns: Sequence[int]) -> Block:
        """Reads the asked column positions of one unit.  Pure and thread-safe: no state is kept in the feed."""

    def blocks(self, unit: WorkUnit, columns: Sequence[int]) -> Iterator[Block]:
        """The same records as `read` in one or more blocks, so that a huge row group never sits in memory whole."""

    def sample(self, records: int) -> list[list[str]]:
        """The first cells of every column, and perhaps some further down; for proposing a mapping."""

    def counted_records(self, breaks: int) -> int | None:
        """How many records the file holds, counted by a means that does not come out of the reader; None: none is.

        `breaks` are the line ends within cells that all blocks together have told of.
        """

    def split(self, released: Path, held: Path, disposition: npt.NDArray[np.uint8]) -> None:
        """Writes the released and the held file of this feed, in its own format, dialect and column order.

        `disposition[n - 1]` is RELEASED, HELD or REJECTED for data record n; rejected records go to neither file.
        A part that ends up without records is still written, with its header.  Sheets of one workbook share their
        files: `auditor.feeds.splitting.split_feeds` writes them together.
        """


@dataclass(frozen=True, slots=True)
class FileFeed:
    """What feeds of every format have in common: a name, a map, the file as sent and the one that is read."""

    name: str
    headers: tuple[str, ...]
    mapping: Mapping
    output_name: str
    path: Path  # plain, unpacked, perhaps rewritten
    source: Path  # as sent

    @property
    def supplier(self) -> str | None:
        """Who sent it, where the map says so."""
        return self.mapping.supplier

    def counted_records(self, breaks: int) -> int | None:
        """Nothing is counted unless a format knows how."""
        return None

    def finer(self, unit: WorkUnit, records: int) -> Iterator[WorkUnit]:
        """Units stay whole unless a format knows how to part them."""
        yield unit

    def sha256(self) -> str:
        """SHA-256 of the file as sent, in hexadecimal."""
        with self.source.open("rb") as file:
            return hashlib.file_digest(file, "sha256").hexdigest()

    def size_bytes(self) -> int:
        """Size of the file as sent."""
        return self.source.stat().st_size
