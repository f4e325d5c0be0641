"""The SQL that both DuckDB rivals share."""

from __future__ import annotations

import duckdb

from tests.benchmarks.rivals.common import Task
from tests.benchmarks.tables import (
    COLUMNS,
    FIELDS,
    FLOTATION,
    FLOTATION_GROUPS,
    LB_PER_KG,
    LOAD_KG,
    METRIC,
    METRIC_GROUPS,
    MM_PER_INCH,
    MPH_PER_KMH,
    NUMBER,
    SPEED_KMH,
    TOL,
)

EXPECTED = {
    "max_load_kg": "kg",
    "max_load_lb": f"kg * {LB_PER_KG!r}::double",
    "max_speed_kmh": "kmh",
    "max_speed_mph": f"kmh * {MPH_PER_KMH!r}::double",
    "section_width_mm": "width",
    "aspect_ratio": "aspect",
    "rim_diameter_in": "rim",
}


def connect(task: Task) -> duckdb.DuckDBPyConnection:
    """A connection with the two small tables in it."""
    connection = duckdb.connect(config={"threads": task.threads})
    loads = ", ".join(f"({index}, {kg}::double)" for index, kg in LOAD_KG.items())
    speeds = ", ".join(f"('{symbol}', {kmh}::double)" for symbol, kmh in SPEED_KMH.items())
    connection.execute(f"create table loads as select * from (values {loads}) t(load_index, kg)")
    connection.execute(f"create table speeds as select * from (values {speeds}) t(symbol, kmh)")
    return connection


def source(task: Task) -> str:
    """A query for the needed columns with the 0-based data row."""
    names = ", ".join(COLUMNS)
    if task.is_parquet:
        return f"select file_row_number as row, {names} from read_parquet('{task.feed}', file_row_number = true)"
    return (
        f"select row_number() over () - 1 as row, {names} "
        f"from read_csv('{task.feed}', all_varchar = true, header = true)"
    )


def decoded(relation: str, kept: str) -> str:
    """A query that adds to the columns `kept` of a relation what each marking says."""
    metric = ", ".join(f"'{name}'" for name in METRIC_GROUPS)
    flotation = ", ".join(f"'{name}'" for name in FLOTATION_GROUPS)
    return f"""
    with groups as (
        select {kept}, regexp_extract(marking, '{METRIC}', [{metric}]) m,
            regexp_extract(marking, '{FLOTATION}', [{flotation}]) f
        from {relation}),
    parts as (
        select {kept},
            try_cast(coalesce(nullif(m.li, ''), f.li) as int) as index_in_marking,
            coalesce(nullif(m.sp, ''), f.sp) as symbol_in_marking,
            coalesce(try_cast(m.w as double), try_cast(f.wi as double) * {MM_PER_INCH}::double) as width,
            try_cast(m.a as double) as aspect,
            coalesce(try_cast(m.r as double), try_cast(f.r as double)) as rim
        from groups)
    select parts.*, loads.kg, speeds.kmh from parts
        left join loads on loads.load_index = parts.index_in_marking
        left join speeds on speeds.symbol = parts.symbol_in_marking
    """


def number(field: str) -> str:
    """The number in a cell; the pattern is tried only where the cell is not a plain number."""
    extracted = f"regexp_extract({field}, '{NUMBER}', 1)"
    return (
        f"case when try_cast({field} as double) is not null then try_cast({field} as double) "
        f"else try_cast(replace({extracted}, ',', '') as double) end"
    )


def disagrees(field: str, stated: str) -> str:
    """A condition: the number `stated` for a field is beyond tolerance of what the marking says."""
    return f"abs({stated} - {EXPECTED[field]}) > {TOL[field]}"


def write_disagreements(connection: duckdb.DuckDBPyConnection, relation: str, out: str, stated: dict[str, str]) -> None:
    """Writes the cells of a decoded relation that disagree; `stated` has the number of each field, as SQL."""
    cases = ", ".join(
        f"case when {disagrees(field, stated[field])} then {{'place': {position}, 'field': '{field}', "
        f"'stated': {field}, 'expected': cast({EXPECTED[field]} as double)}} end"
        for position, field in enumerate(FIELDS)
    )
    found = f"select row, unnest(list_filter([{cases}], lambda one: one is not null)) as one from {relation}"
    ordered = f"""select row, one.field as field, one.stated as stated, one.expected as expected
        from ({found}) order by row, one.place"""
    connection.execute(f"copy ({ordered}) to '{out}' (format parquet, compression zstd)")
