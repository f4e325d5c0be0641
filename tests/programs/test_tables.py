"""Tables of every library: the same findings from each, and the kind that was given comes back."""

from __future__ import annotations

import decimal
import pickle
from collections.abc import Callable
from pathlib import Path
from typing import Any

import duckdb
import numpy as np
import pandas as pd
import polars as pl
import pyarrow as pa
import pyarrow.compute as pc
import pyarrow.dataset as ds
import pytest

import auditor
from auditor.programs.row_verdicts import VERDICTS

COLUMNS = {
    "Item": ["A-1", "A-2", "A-3", "A-4"],
    "Size": ["225/65R17 102H", "225/65R17 102H", "205/55R16 91V", "205/55R16 91V"],
    "Max load (kg)": [850, None, 615, 950],
    "Max speed (km/h)": [210.0, 210.0, None, 240.0],
}
TABLE = pa.table(COLUMNS)
FOUND = [(4, "load-overstated", "Max load (kg)", "950", "615")]


def relation(table: pa.Table) -> Any:
    return duckdb.from_arrow(table)


class OnlyAStream:
    """A table of a library that nobody here knows."""

    def __init__(self, table: pa.Table) -> None:
        self._table = table

    def __arrow_c_stream__(self, requested_schema: Any = None) -> Any:
        return self._table.__arrow_c_stream__(requested_schema)


def with_views(table: pa.Table) -> pa.Table:
    texts = [pa.types.is_string(field.type) for field in table.schema]
    kinds = [pa.string_view() if text else field.type for text, field in zip(texts, table.schema, strict=True)]
    return table.cast(pa.schema(list(zip(table.column_names, kinds, strict=True))))


def run_end_encoded(table: pa.Table) -> pa.Table:
    columns = [pa.chunked_array([pc.run_end_encode(chunk) for chunk in column.chunks]) for column in table.columns]
    return pa.table(columns, names=table.column_names)


def runs_of_dictionaries(table: pa.Table) -> pa.Table:
    def encoded(column: pa.ChunkedArray) -> pa.Array:
        ends = pa.array(range(1, len(column) + 1), pa.int16())
        whole = pa.RunEndEncodedArray.from_arrays(ends, column.combine_chunks().dictionary_encode())
        return pa.chunked_array([whole.slice(0, 1), whole.slice(1)])

    return pa.table([encoded(column) for column in table.columns], names=table.column_names)


KINDS: list[tuple[Callable[[pa.Table], Any], type]] = [
    (lambda table: table, pa.Table),
    (lambda table: table.to_batches()[0], pa.RecordBatch),
    (lambda table: table.to_reader(), pa.RecordBatchReader),
    (ds.dataset, ds.Dataset),
    (with_views, pa.Table),
    (run_end_encoded, pa.Table),
    (runs_of_dictionaries, pa.Table),
    (
        lambda table: pa.table([column.dictionary_encode() for column in table.columns], names=table.column_names),
        pa.Table,
    ),
    (OnlyAStream, pa.Table),
    (lambda table: table.to_pandas(), pd.DataFrame),
    (lambda table: table.to_pandas(types_mapper=pd.ArrowDtype), pd.DataFrame),
    (lambda table: table.to_pandas().convert_dtypes(), pd.DataFrame),
    (lambda table: table.to_pandas().astype(object), pd.DataFrame),
    (lambda table: table.to_pandas().astype("category"), pd.DataFrame),
    (pl.from_arrow, pl.DataFrame),
    (lambda table: pl.from_arrow(table).lazy(), pl.LazyFrame),  # type: ignore[union-attr]
    (lambda table: pl.from_arrow(table).with_columns(pl.col(pl.String).cast(pl.Categorical)), pl.DataFrame),  # type: ignore[union-attr]
    (lambda table: pl.from_arrow(table).with_columns(pl.col("Max load (kg)").cast(pl.Int128)), pl.DataFrame),  # type: ignore[union-attr]
    (relation, duckdb.DuckDBPyRelation),
]


def rows_of(frame: Any) -> list[dict[str, Any]]:
    """The rows of any kind of table."""
    if isinstance(frame, pd.DataFrame):
        return pa.Table.from_pandas(frame, preserve_index=False).to_pylist()
    if isinstance(frame, pl.LazyFrame):
        frame = frame.collect()
    if isinstance(frame, pl.DataFrame):
        frame = frame.with_columns(pl.col(pl.Int128).cast(pl.Int64))  # which Arrow has no type for
    if isinstance(frame, ds.Dataset):
        frame = frame.to_table()
    if isinstance(frame, duckdb.DuckDBPyRelation):
        frame = frame.to_arrow_table()
    rows: list[dict[str, Any]] = pa.table(frame).to_pylist()
    return rows


@pytest.mark.parametrize("kind", range(len(KINDS)))
def test_every_kind_gives_the_same_findings_in_its_own_kind(kind: int) -> None:
    made, type_ = KINDS[kind]
    result = auditor.audit(made(TABLE))
    for frame in (result.findings, result.released, result.held, result.verdicts):
        assert isinstance(frame, type_)
    named = ("record", "rule", "column", "stated", "derived")
    assert [tuple(row[name] for name in named) for row in rows_of(result.findings)] == FOUND
    verdicts = rows_of(result.verdicts)  # once: a reader can be read only once
    assert [row["verdict"] for row in verdicts] == ["release", "release", "release", "hold"]
    assert (verdicts[3]["record"], verdicts[3]["grade"], verdicts[3]["findings"]) == (4, "critical", 1)
    assert [row["Item"] for row in rows_of(result.held)] == ["A-4"]
    assert [row["Item"] for row in rows_of(result.released)] == ["A-1", "A-2", "A-3"]
    assert result.unread_columns == ()


def test_verdicts_of_a_pandas_frame_have_its_index() -> None:
    frame = TABLE.to_pandas().set_index(pd.Index([7, 7, "x", None]))
    result = auditor.audit(frame)
    assert result.verdicts is not None
    assert result.verdicts.index.equals(frame.index)
    assert result.held is not None and result.held.index.equals(frame.index[[3]])


def test_columns_that_no_field_could_hold_are_carried_along_as_they_are() -> None:
    frame = TABLE.to_pandas()
    frame["z"] = [1 + 2j] * 4
    frame["when"] = pd.Timestamp("2026-11-28")
    frame["parts"] = [{"a": [1]}, None, {}, {"a": []}]
    frame["mixed"] = [object(), 1, "x", None]
    frame["long"] = [10**30, 2, 3, 4]
    frame[("many", "levels")] = "x"
    frame[3] = "three"
    result = auditor.audit(frame)
    assert result.held is not None
    pd.testing.assert_frame_equal(result.held, frame.iloc[[3]])
    assert list(result.findings["stated"]) == ["950"]


def test_headers_may_repeat() -> None:
    table = pa.table([*TABLE.columns, TABLE["Item"]], names=[*TABLE.column_names, "Size"])
    result = auditor.audit(table)
    assert result.held is not None and result.held.column_names == table.column_names
    assert [row["column"] for row in result.findings.to_pylist()] == ["Max load (kg)"]


def test_decimals_and_gaps_are_read_as_written() -> None:
    frame = pd.DataFrame(
        {
            "marking": ["225/65R17 102H"] * 4,
            "max_load_kg": [decimal.Decimal("850.00"), None, decimal.Decimal("NaN"), decimal.Decimal("950.0")],
        }
    )
    assert list(auditor.audit(frame).findings["stated"]) == ["950"]


def test_an_infinite_load_is_no_blank() -> None:
    frame = pd.DataFrame({"marking": ["225/65R17 102H"], "max_load_kg": [np.inf]})
    assert list(auditor.audit(frame).findings["rule"]) == ["value-unreadable"]
    verdict = auditor.audit_listing({"marking": "225/65R17 102H", "max_load_kg": np.inf})
    assert [finding.rule for finding in verdict.findings] == ["value-unreadable"]


def test_a_table_without_a_known_column_is_an_error() -> None:
    with pytest.raises(auditor.FeedError, match=r"no column is recognized; its headers are 'color', 'price'\. "):
        auditor.audit(pd.DataFrame({"color": ["black"], "price": [3]}))


def test_rows_that_are_no_listing_are_named() -> None:
    table = pa.table({"marking": ["225/65R17 102H", None], "max_load_kg": ["850", None], "note": ["", ""]})
    verdicts = auditor.audit(table).verdicts
    assert verdicts is not None
    assert next(row["verdict"] for row in verdicts.to_pylist()) == "release"
    assert set(verdicts["verdict"].to_pylist()) <= set(VERDICTS)


def test_paths_may_come_from_a_generator(tmp_path: Path) -> None:
    for name in ("a", "b"):
        (tmp_path / f"{name}.csv").write_text("marking,max_load_kg\n225/65R17 102H,1874\n", encoding="utf-8")
    result = auditor.audit(path for path in sorted(tmp_path.glob("*.csv")))
    assert result.findings["feed"].to_pylist() == ["a.csv", "b.csv"]


MAP = """
files = ["{files}"]
supplier = "Larkfield"
[[column]]
header = "mark"
field = "marking"
[[column]]
header = "carries"
field = "max_load_kg"
unit = "kg"
"""


def test_a_table_is_read_by_the_map_that_comes_with_it(tmp_path: Path) -> None:
    (tmp_path / "larkfield.toml").write_text(MAP.format(files="*.csv"), encoding="utf-8")
    table = pa.table({"mark": ["225/65R17 102H"], "carries": ["950"]})
    result = auditor.audit(table, maps=tmp_path / "larkfield.toml")
    assert [(row["supplier"], row["column"]) for row in result.findings.to_pylist()] == [("Larkfield", "carries")]


def test_unknown_keywords_and_limits_are_named() -> None:
    with pytest.raises(auditor.UsageError, match="no keyword 'colour'"):
        auditor.audit(TABLE, colour="x")  # type: ignore[call-overload]
    with pytest.raises(auditor.UsageError, match=r"record_byte is no limit; did you mean 'record_bytes'\?"):
        auditor.audit(TABLE, limits={"record_byte": 1})


@pytest.mark.parametrize("data", [5, {"marking": ["225/65R17"]}, [], None, b"x", [{"marking": "x"}]])
def test_other_data_is_a_usage_error(data: Any) -> None:
    with pytest.raises(auditor.UsageError, match=r"takes a table .* or the paths of feed files, not a"):
        auditor.audit(data)


@pytest.mark.parametrize("data", [pd.Series(["225/65R17"]), pl.Series(["225/65R17"]), pa.chunked_array([["x"]])])
def test_a_column_is_no_table(data: Any) -> None:
    with pytest.raises(auditor.UsageError, match=r"takes a table; this \w+ is a column"):
        auditor.audit(data)


MISSING = [
    None,
    float("nan"),
    np.nan,
    pd.NA,
    pd.NaT,
    np.ma.masked,
    np.datetime64("NaT"),
    decimal.Decimal("NaN"),
    pa.scalar(None),
]


@pytest.mark.parametrize("value", MISSING, ids=repr)
def test_what_is_missing_in_any_library_is_blank(value: Any) -> None:
    plain = auditor.audit_listing({"marking": "225/65R17 102H"})
    assert auditor.audit_listing({"marking": "225/65R17 102H", "max_load_kg": value}) == plain


@pytest.mark.parametrize(
    ("value", "stated"),
    [
        (np.float32(950.5), "950.5"),
        (np.int16(950), "950"),
        (np.array(950), "950"),
        (decimal.Decimal("950.10"), "950.1"),
        (decimal.Decimal("9.5E+2"), "950"),
        (pa.scalar(950), "950"),
        (np.str_("950"), "950"),
        (10**400, str(10**400)),
    ],
    ids=repr,
)
def test_values_of_libraries_are_read_as_written(value: Any, stated: str) -> None:
    (finding,) = auditor.audit_listing({"marking": "225/65R17 102H", "max_load_kg": value}).findings
    assert finding.stated == stated


@pytest.mark.parametrize(
    "value",
    [b"950", np.array([950]), [950], {}, object(), 10**5000, 1j, pd.Timestamp(0)],
    ids=lambda v: type(v).__name__,
)
def test_a_bad_value_is_the_error_of_its_field_and_pickles(value: Any) -> None:
    with pytest.raises(auditor.FieldError) as raised:
        auditor.audit_listing({"marking": "225/65R17 102H", "max_load_kg": value})
    again = pickle.loads(pickle.dumps(raised.value))
    assert (again.field, str(again), type(again)) == ("max_load_kg", str(raised.value), auditor.FieldError)


@pytest.mark.parametrize("listing", [None, [], "225/65R17", 5, [("marking", "x")]])
def test_what_is_no_mapping_is_a_usage_error(listing: Any) -> None:
    with pytest.raises(auditor.UsageError, match="A listing should be a mapping of field names to values, not a"):
        auditor.audit_listing(listing)
