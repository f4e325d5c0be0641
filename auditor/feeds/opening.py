"""Opens what was located: finds the format, the dialect and the mapping, and gives one feed per table of listings."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

from auditor.contract import Contract, load_contract
from auditor.errors import FeedError
from auditor.feeds.csv_feed import CsvFeed, end_of_data
from auditor.feeds.dialect import find_dialect
from auditor.feeds.locate import Located, format_of
from auditor.feeds.model import Feed, Limits, Mapping
from auditor.feeds.names import safe_relative
from auditor.feeds.parquet_feed import ParquetFeed, parquet_shape
from auditor.feeds.propose import Sample, propose
from auditor.feeds.spool import compression_of, unpack

_UNMAPPED = Mapping("none", ())
SAMPLE_RECORDS = 2000
MARKING_SOURCES = frozenset({"marking", "size", "title", "description"})


def open_feeds(located: Located, maps: object | None = None, *, limits: Limits = Limits()) -> list[Feed]:  # noqa: B008
    """Opens one located file.  Raises FeedError where nothing in it can be read as listings."""
    contract = load_contract()
    if located.path is None:
        raise FeedError(f"{located.name}: cannot be opened.")
    kind = format_of(located.name) or "csv"
    if kind == "parquet":
        return [_mapped(_open_parquet(located.name, located.path, limits), contract)]
    return [_mapped(_open_csv(located.name, located.path, contract, limits), contract)]


def _open_csv(name: str, source: Path, contract: Contract, limits: Limits) -> CsvFeed:
    compression = compression_of(name)
    path = unpack(source, name, compression, limits) if compression else source
    dialect = find_dialect(path, name, contract, limits)
    stop = end_of_data(path, dialect.data_start)
    return CsvFeed(
        name,
        dialect.headers,
        _UNMAPPED,
        safe_relative(name),
        path,
        source,
        dialect,
        stop,
        limits,
        compression,
    )


def _open_parquet(name: str, source: Path, limits: Limits) -> ParquetFeed:
    shape = parquet_shape(source, name)
    if len(shape.headers) > limits.columns:
        raise FeedError(
            f"{name}: {len(shape.headers):,} columns are more than the limit of {limits.columns:,}."
        )
    return ParquetFeed(
        name,
        shape.headers,
        _UNMAPPED,
        safe_relative(name),
        source,
        source,
        shape.top_names,
        shape.leaves,
        shape.group_records,
        shape.few_distinct,
        limits,
    )


def _mapped(feed: CsvFeed | ParquetFeed, contract: Contract) -> Feed:
    cells = tuple(tuple(column) for column in feed.sample(SAMPLE_RECORDS))
    mapping = propose(Sample(feed.headers, cells), contract).mapping
    if not mapping.columns:
        raise FeedError(
            f"{feed.name}: no column is recognized; its headers are {_some(feed.headers)}. "
            "Write a feed map for it, with `auditor map` as a start."
        )
    return replace(feed, mapping=mapping)


def _some(headers: Sequence[str]) -> str:
    shown = ", ".join(repr(header) for header in headers[:8])
    return shown + (f" and {len(headers) - 8} more" if len(headers) > 8 else "") if headers else "missing"
