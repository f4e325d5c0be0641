"""Opens what was located: finds format, dialect and mapping, and gives one feed per table of listings."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from auditor.errors import FeedError
from auditor.feeds.archive import check_workbook_size, extract
from auditor.feeds.csv_feed import CsvFeed, end_of_data
from auditor.feeds.dialect import Wanted, find_dialect
from auditor.feeds.encoding import byte_order_mark, detect_encoding, is_wide, rewrite_as_utf8, sample_bytes
from auditor.feeds.fixed_widths import may_be_in_columns, table_as_text
from auditor.feeds.locate import Located, format_of
from auditor.feeds.model import Feed, Limits, Mapping
from auditor.feeds.safe_paths import safe_relative
from auditor.feeds.spool import compression_of, unpack
from auditor.feeds.xml_first_bytes import is_xml, kind_of_tables
from auditor.mapping.labelled_cells import proposed_with_labels
from auditor.mapping.maps import FeedMap, MapBook, apply_map, with_folder_constants
from auditor.mapping.proposal import Proposal, Sample
from auditor.mapping.shared_parts import shared, shared_uses
from auditor.mapping.unread import not_in_map
from auditor.rulebook.built_in import load_contract
from auditor.rulebook.listing_fields import Contract

UNMAPPED = Mapping("none", ())
SAMPLE_RECORDS = 2000
_MAGIC = (
    (b"PAR1", "parquet"),
    (b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1", "xls"),
    (b"\x1f\x8b", "gzip"),
    (b"BZh", "bzip2"),
    (b"\x28\xb5\x2f\xfd", "zstd"),
)


@dataclass(frozen=True, slots=True)
class _File:
    """A file whose format is known: as sent, and plain."""

    name: str
    format: str
    source: Path  # as sent
    path: Path  # unpacked
    compression: str | None = None


def open_feeds(
    located: Located,
    maps: MapBook | None = None,
    *,
    limits: Limits | None = None,
    contract: Contract | None = None,
) -> list[Feed]:
    """Opens one located file: a workbook gives a feed per sheet with listings, everything else one feed.

    `contract` are the listing fields in force, by default the built-in ones.

    Raises FeedError where nothing in it can be read as listings, RuleBookError where its feed map does not fit.
    """
    limits = limits or Limits()
    contract = contract or load_contract()
    candidates = maps.candidates(located.name) if maps else []
    path = _local(located, limits)
    if path.stat().st_size == 0:
        raise FeedError(f"{located.name}: the file is empty; expected a header and listings below it.")
    if not candidates:
        opened = _open(located, path, Wanted(), None, contract, limits)
        return [_by_proposal(feed, contract) for feed in opened]
    return _by_map(
        candidates, lambda found: _open(located, path, found.wanted, found.sheet, contract, limits), contract
    )


def propose_for(
    located: Located, *, limits: Limits | None = None, contract: Contract | None = None
) -> list[tuple[Feed, Proposal]]:
    """Every feed of a located file with its proposal, whatever columns it recognizes."""
    limits = limits or Limits()
    contract = contract or load_contract()
    opened = _open(located, _local(located, limits), Wanted(), None, contract, limits)
    return [(feed, proposal_of(feed, contract)) for feed in opened]


def _local(located: Located, limits: Limits) -> Path:
    if located.url and located.url.startswith("sql+"):
        # Start-up: only a query needs what runs it.
        from auditor.feeds.sql_feed import spool_query

        return spool_query(located.url, located.name)
    if located.path is None or located.fault:
        raise FeedError(f"{located.name}: {located.fault or 'no such file'}.")
    return extract(located.path, located.member, located.name, limits) if located.member else located.path


def _by_map(
    candidates: Sequence[FeedMap], open_with: Callable[[FeedMap], Sequence[Feed]], contract: Contract
) -> list[Feed]:
    """Every feed by the narrowest map whose columns are all there.

    Raises the error of the map that misses least, where a feed that a map covers lacks columns of every one.
    """
    chosen: dict[str | None, Feed] = {}
    unmet: dict[str | None, list[tuple[int, FeedMap, Feed]]] = {}
    failure: FeedError | None = None
    for found in candidates:
        try:
            feeds = open_with(found)
        except FeedError as error:
            failure = failure or error
            continue
        for feed in feeds:
            misses = len(found.missing(feed.headers, contract))
            if feed.sheet not in chosen and not misses:
                chosen[feed.sheet] = _mapped(feed, _with_unread(found, feed, contract), contract)
            unmet.setdefault(feed.sheet, []).append((misses, found, feed))
    for sheet, tried in unmet.items():
        if sheet not in chosen:
            _, found, feed = min(tried, key=lambda item: item[0])
            apply_map(found, feed.name, feed.headers, contract)
    if failure and not chosen:
        raise failure
    return sorted(chosen.values(), key=lambda feed: getattr(getattr(feed, "shape", None), "position", 0))


def _with_unread(found: FeedMap, feed: Feed, contract: Contract) -> Mapping:
    """The mapping of a written map, with the columns that matter and that it neither names nor ignores."""
    mapping = apply_map(found, feed.name, feed.headers, contract)
    if getattr(feed, "broken", None):
        return mapping
    left = not_in_map(proposal_of(feed, contract).mapping, mapping, found.path.name, contract)
    return replace(mapping, left_out=tuple(item for item in left if not found.ignores(item.column)))


def proposal_of(feed: Feed, contract: Contract) -> Proposal:
    """What headers and sampled cells suggest for an opened feed."""
    cells = tuple(tuple(column) for column in feed.sample(SAMPLE_RECORDS))
    return proposed_with_labels(Sample(feed.headers, cells), contract)


def _by_proposal(feed: Feed, contract: Contract) -> Feed:
    if getattr(feed, "broken", None):
        return feed
    mapping = with_folder_constants(proposal_of(feed, contract).mapping, feed.name, contract)
    if not mapping.columns:
        raise FeedError(
            f"{feed.name}: no column is recognized; its headers are {_some(feed.headers)}. "
            "Write a feed map for it, with `auditor map` as a start."
        )
    return _mapped(feed, mapping, contract)


def _mapped(feed: Feed, mapping: Mapping, contract: Contract) -> Feed:
    mapping = with_folder_constants(mapping, feed.name, contract)
    mapping = replace(mapping, columns=shared_uses(mapping.columns))
    if getattr(getattr(feed, "shape", None), "hidden", False):
        mapping = replace(mapping, warnings=(*mapping.warnings, f"The sheet {feed.sheet!r} is hidden in its workbook."))
    return replace(feed, mapping=mapping)  # type: ignore[type-var]


def _open(
    located: Located, path: Path, wanted: Wanted, sheet: str | None, contract: Contract, limits: Limits
) -> Sequence[Feed]:
    name, source = located.name, located.path or path
    if located.url and located.url.startswith("sql+"):
        return [_open_parquet(_File(name, "sql", path, path), limits)]
    kind, compression = _kind(path, name)
    plain = unpack(path, name, compression, limits) if compression else path
    if compression:
        kind = _kind(plain, name)[0]
    file = _File(name, kind, source, plain, compression)
    if kind == "parquet":
        return [_open_parquet(file, limits)]
    if kind in {"xlsx", "xls", "ods"}:
        return _open_workbook(file, wanted, sheet, contract, limits)
    if kind in {"html", "spreadsheet", "columns"} and (text := table_as_text(kind, plain, name, wanted, contract)):
        made = _File(f"{name}.csv", "csv", source, text)
        return [replace(_open_csv(made, wanted, contract, limits), name=name)]
    if kind in {"json", "jsonl"}:
        return [_open_json(file, limits)]
    if kind == "xml":
        return [_open_xml(file, limits)]
    if kind == "zip":
        raise FeedError(f"{name}: this is not a feed, or an archive inside an archive; unpack it first.")
    return [_open_csv(file, wanted, contract, limits)]


def _kind(path: Path, name: str) -> tuple[str, str | None]:
    """Format and compression, by the first bytes where they tell, else by the name."""
    with path.open("rb") as file:
        head = file.read(4096)
    named = format_of(name) or "csv"
    for magic, kind in _MAGIC:
        if head.startswith(magic):
            packed = kind in {"gzip", "bzip2", "zstd"}
            return (named if packed else kind), (kind if packed else None)
    if head.startswith(b"PK\x03\x04"):
        if b"application/vnd.oasis.opendocument.spreadsheet" in head[:200]:
            return "ods", None
        return ("xlsx" if named in {"xlsx", "csv", "xls", "ods"} else named), None
    if named in {"xls", "xlsx", "csv", "xml"} and (table := kind_of_tables(head, named)):
        return table, compression_of(name)
    if named in {"xls", "xlsx", "ods", "parquet"} and b"\0" not in head:
        text = head.lstrip(b"\xef\xbb\xbf \r\n\t")
        if named != "parquet" and text and not text.startswith(b"<"):
            return "csv", None  # a text that somebody named as a workbook
    if named in {"csv", "xml"}:
        if is_xml(head, named == "xml"):
            return "xml", compression_of(name)
        named = "csv"
    if named == "csv" and head.lstrip(b"\xef\xbb\xbf \r\n\t")[:2] in {b'{"', b"[{"}:
        return "jsonl", None
    return ("columns" if named == "csv" and may_be_in_columns(head) else named), compression_of(name)


def _open_csv(file: _File, wanted: Wanted, contract: Contract, limits: Limits) -> CsvFeed:
    path = file.path
    sample = sample_bytes(path)
    encoding = wanted.encoding or detect_encoding(sample)
    wide, mark = None, b""
    if is_wide(encoding):
        marked = byte_order_mark(sample)
        wide, mark = (marked[0] if marked else encoding), sample[: marked[1]] if marked else b""
        path = rewrite_as_utf8(path, wide, len(mark))
        encoding = "utf-8"
    known = sample if path is file.path else None
    dialect = find_dialect(path, file.name, contract, limits, replace(wanted, encoding=encoding), known)
    dialect = shared(replace(dialect, headers=shared(dialect.headers)))
    return CsvFeed(
        name=file.name,
        headers=dialect.headers,
        mapping=UNMAPPED,
        output_name=safe_relative(file.name),
        path=path,
        source=file.source,
        dialect=dialect,
        data_stop=end_of_data(path, dialect.data_start),
        limits=limits,
        compression=file.compression,
        wide_encoding=wide,
        byte_order_mark=mark,
    )


def _open_parquet(file: _File, limits: Limits) -> Feed:
    # Start-up: only Parquet files need what reads them.
    from auditor.feeds.parquet_feed import ParquetFeed, parquet_shape

    shape = parquet_shape(file.path, file.name, limits)
    _check_width(file.name, shape.headers, limits)
    return ParquetFeed(
        name=file.name,
        headers=shape.headers,
        mapping=UNMAPPED,
        output_name=safe_relative(file.name),
        path=file.path,
        source=file.source,
        top_names=shape.top_names,
        leaves=shape.leaves,
        group_records=shape.group_records,
        few_distinct=shape.few_distinct,
        limits=limits,
        codec=shape.codec,
        cell_bytes=shape.cell_bytes,
        format=file.format,
    )


def _open_workbook(
    file: _File, wanted: Wanted, sheet: str | None, contract: Contract, limits: Limits
) -> Sequence[Feed]:
    # Start-up: only workbooks need the library that reads them.
    from auditor.feeds.sheet_tables import find_tables
    from auditor.feeds.workbook_feed import open_sheet
    from auditor.feeds.workbook_trial import check_opens

    check_workbook_size(file.path, file.name, limits)
    check_opens(file.path, file.name, limits)
    shapes = find_tables(file.path, file.name, contract, wanted, sheet)
    for shape in shapes:
        _check_width(file.name, shape.headers, limits)
    output_name = safe_relative(file.name)
    return [open_sheet(file.name, file.format, file.source, file.path, shape, output_name, limits) for shape in shapes]


def _open_json(file: _File, limits: Limits) -> Feed:
    # Start-up: only JSON needs what reads it.
    from auditor.feeds.json_document import Lines, is_document, spool_objects
    from auditor.feeds.json_feed import JsonFeed
    from auditor.feeds.json_keys import keys_of

    path = file.path
    with path.open("rb") as opened:
        head = opened.read(1 << 16)
        if b"\n" not in head.strip():  # a first line that is longer
            head += opened.read(limits.record_bytes)
    lines, kind = Lines(path, 0, "", "", None), "jsonl"
    start = 3 if head.startswith(b"\xef\xbb\xbf") else 0  # after a byte order mark
    if is_document(head):
        lines = spool_objects(path, file.name, limits.record_bytes)
        path, kind, start = lines.path, "json", 0
    keys, further, levels = keys_of(path, start, limits.columns)
    headers = tuple(key.name for key in keys)
    _check_width(file.name, headers, limits)
    if not headers:
        raise FeedError(f"{file.name}: the JSON holds no object; expected one object per listing.")
    return JsonFeed(
        name=file.name,
        headers=headers,
        mapping=UNMAPPED,
        output_name=safe_relative(file.name),
        path=path,
        source=file.source,
        data_start=start,
        data_stop=end_of_data(path, start),
        limits=limits,
        compression=file.compression,
        before=lines.before,
        after=lines.after,
        keys=keys,
        further=further,
        levels=levels,
        objects=lines.objects or None,
        fault=lines.fault,
        format=kind,
    )


def _open_xml(file: _File, limits: Limits) -> Feed:
    # Start-up: only XML needs what reads it.
    from auditor.feeds.xml_feed import open_xml

    feed = open_xml(file.name, file.path, file.source, safe_relative(file.name), limits, file.compression)
    _check_width(file.name, feed.headers, limits)
    return feed


def _check_width(name: str, headers: Sequence[str], limits: Limits) -> None:
    if len(headers) > limits.columns:
        raise FeedError(f"{name}: {len(headers):,} columns are more than the limit of {limits.columns:,}.")


def _some(headers: Sequence[str]) -> str:
    shown = ", ".join(repr(header[:40]) for header in headers[:8])
    return shown + (f" and {len(headers) - 8} more" if len(headers) > 8 else "") if headers else "missing"
