"""SQL sources: a table or query of any database that SQLAlchemy reaches, or a DuckDB file, spooled as Parquet."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any
from urllib.parse import quote, unquote

import pyarrow as pa
import pyarrow.parquet as pq

from auditor.errors import FeedError, UsageError
from auditor.feeds.spool import spool_path

BATCH_RECORDS = 1 << 16
_IDENTIFIER = re.compile(r"[A-Za-z_][\w$]*(\.[A-Za-z_][\w$]*)*")
FORM = "sql+postgresql+psycopg://user@host/database#table, or a SELECT after the #"


def spool_query(url: str, name: str) -> Path:
    """Runs the query of a `sql+...#...` URL and spools its rows, in the database's order and types.

    Raises UsageError for a URL without a query and FeedError where the database cannot be read.
    """
    address, _, fragment = url.removeprefix("sql+").partition("#")
    query = unquote(fragment).strip().rstrip(";")
    if not query:
        raise UsageError(f"{name}: the SQL source names no table or query; write it as {FORM}.")
    if _IDENTIFIER.fullmatch(query):
        query = f"SELECT * FROM {query}"
    if not re.match(r"(?is)\s*(select|with|values|table|from)\b", query):
        raise UsageError(f"{name}: the query does not only read; expected a table name or a SELECT.")
    try:
        if address.startswith("duckdb:"):
            return _spool(_duckdb_batches(address, query))
        return _spool(_sqlalchemy_batches(_only_reading(address, name), query))
    except ImportError as error:
        raise UsageError(
            f"{name}: the module {error.name!r} is missing; install the extra 'database' and the driver for it."
        ) from error
    except (FeedError, UsageError):
        raise
    except Exception as error:
        reason = (str(error).strip().splitlines() or [type(error).__name__])[0].rstrip(".")
        raise FeedError(f"{name}: the database cannot be read ({_without_password(reason)}).") from error


def _without_password(text: str) -> str:
    return re.sub(r"://([^:/@\s]+):[^@\s]+@", r"://\1:***@", text)


def _duckdb_batches(address: str, query: str) -> Iterator[pa.Table]:
    import duckdb

    path = address.split(":", 1)[1].removeprefix("///")
    with duckdb.connect(path, read_only=True) as connection:
        relation: Any = connection.sql(query)
        read = getattr(relation, "to_arrow_reader", None) or relation.fetch_arrow_reader
        reader = read(BATCH_RECORDS)
        empty = True
        for batch in reader:
            empty = False
            yield pa.Table.from_batches([batch])
        if empty:
            yield reader.schema.empty_table()


def _only_reading(address: str, name: str) -> str:
    """The address; that of an SQLite file so that it is only read, for SQLite makes a file that is not there."""
    if not address.startswith("sqlite"):
        return address
    import sqlalchemy

    url = sqlalchemy.make_url(address)
    if url.database is None or url.database in ("", ":memory:"):
        raise UsageError(f"{name}: the address names no file; write it as sql+sqlite:///folder/file.db#table.")
    if url.database.startswith("file:"):
        return address
    if not Path(url.database).is_file():
        raise FeedError(
            f"{name}: there is no file {url.database}; check the address: three slashes before a path from here, "
            "sql+sqlite:///folder/file.db#table, and four before one from the root."
        )
    reading = url.set(database=f"file:{quote(url.database)}").update_query_dict({"mode": "ro", "uri": "true"})
    return reading.render_as_string(hide_password=False)


def _sqlalchemy_batches(address: str, query: str) -> Iterator[pa.Table]:
    import sqlalchemy

    engine = sqlalchemy.create_engine(address)
    try:
        with engine.connect().execution_options(stream_results=True) as connection:
            result = connection.execute(sqlalchemy.text(query))
            names = list(result.keys())
            empty = True
            while rows := result.fetchmany(BATCH_RECORDS):
                empty = False
                yield _table(names, [list(column) for column in zip(*rows, strict=True)])
            if empty:
                yield _table(names, [[] for _ in names])
    finally:
        engine.dispose()


def _table(names: list[str], columns: list[list[Any]]) -> pa.Table:
    return pa.Table.from_arrays([_array(column) for column in columns], names=names)


def _array(values: list[Any]) -> pa.Array:
    """Values in their own type; as text where the database mixes types in one column, as SQLite may."""
    try:
        return pa.array(values)
    except (pa.ArrowInvalid, pa.ArrowTypeError, pa.ArrowNotImplementedError):
        return pa.array([None if value is None else str(value) for value in values], pa.string())


def _spool(batches: Iterator[pa.Table]) -> Path:
    """Writes batches whose types may differ, then, where they do, once more in one common type per column."""
    paths: list[tuple[Path, pa.Schema]] = []
    writer: pq.ParquetWriter | None = None
    for table in batches:
        if writer is None or table.schema != paths[-1][1]:
            if writer is not None:
                writer.close()
            paths.append((spool_path(".parquet"), table.schema))
            writer = pq.ParquetWriter(paths[-1][0], table.schema)
        writer.write_table(table, row_group_size=BATCH_RECORDS)
    if writer is not None:
        writer.close()
    schema = _writable(_common([schema for _, schema in paths]))
    if len(paths) == 1 and schema == paths[0][1]:
        return paths[0][0]
    target = spool_path(".parquet")
    with pq.ParquetWriter(target, schema) as out:
        for path, _ in paths:
            for batch in pq.ParquetFile(path).iter_batches(BATCH_RECORDS):
                out.write_table(_cast(pa.Table.from_batches([batch]), schema), row_group_size=BATCH_RECORDS)
            path.unlink()
    return target


def _writable(schema: pa.Schema) -> pa.Schema:
    return pa.schema([field.with_type(pa.string()) if pa.types.is_null(field.type) else field for field in schema])


def _common(schemas: list[pa.Schema]) -> pa.Schema:
    fields: list[pa.Field] = []
    for position, field in enumerate(schemas[0]):
        kinds = [schema.field(position).type for schema in schemas]
        kind = kinds[0]
        for other in kinds[1:]:
            kind = _wider(kind, other)
        fields.append(pa.field(field.name, kind))
    return pa.schema(fields)


def _wider(one: pa.DataType, other: pa.DataType) -> pa.DataType:
    if one == other:
        return one
    try:
        return pa.unify_schemas(
            [pa.schema([("x", one)]), pa.schema([("x", other)])], promote_options="permissive"
        ).types[0]
    except pa.ArrowException:
        return pa.string()


def _cast(table: pa.Table, schema: pa.Schema) -> pa.Table:
    columns = [table.column(position).cast(field.type) for position, field in enumerate(schema)]
    return pa.Table.from_arrays(columns, schema=schema)
