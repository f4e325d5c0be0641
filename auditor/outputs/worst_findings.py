"""Picks the findings that the report shows in full: the worst, and some of every supplier and rule."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

import numpy as np
import numpy.typing as npt
import pyarrow as pa
import pyarrow.compute as pc
import pyarrow.parquet as pq

from auditor.outputs.findings import FINDINGS_SCHEMA, read_in_parts
from auditor.rulebook.finding import GRADES

FINDINGS_SHOWN = 4_000
_ROWS_AT_ONCE = 1 << 15
# What the choice rests on, and the place in the file; the other columns are read of the chosen findings only.
_RANKED = pa.schema([FINDINGS_SCHEMA.field(name) for name in ("grade", "deviation", "supplier", "rule")]).append(
    pa.field("row", pa.int64())
)
_NEW_SHARE = 0.5  # of the places that are kept for what a ledger saw first tonight
_BELIEVED = np.array([0.6, 1.6])  # shares above the right value up to which people believe a number at all


@dataclass(frozen=True, slots=True)
class WorstFindings:
    """`table` has the columns of the findings, worst first; the counts are over the whole file."""

    table: pa.Table
    found: dict[str, int]  # grade -> findings in the file
    shown: dict[str, int]  # grade -> findings in `table`


def worst_findings(path: Path, limit: int = FINDINGS_SHOWN, share_for_all: float = 0.4) -> WorstFindings:
    """The worst `limit` findings of `findings.parquet`, worst first.

    Up to `share_for_all` of the places go to the worst few of every supplier and rule, so that each line of
    the report's tables opens on something even when one feed alone would fill the list.  The others are
    filled by rank: grade, then how far the cell is above what the marking says, then the file's order.  With a ledger,
    half of all places belong to what is new, so that it never drowns in what stands.
    Memory grows with `limit` and with the number of suppliers times rules, not with the file.
    """
    found: dict[str, int] = dict.fromkeys(GRADES, 0)
    overall = by_group = new = _RANKED.empty_table()
    offset = 0
    remembered = ["state"] if "state" in pq.read_schema(path).names else []
    for table in read_in_parts(path, [name for name in _RANKED.names if name != "row"] + remembered):
        rows = np.arange(offset, offset + table.num_rows, dtype=np.int64)
        offset += table.num_rows
        part = table.append_column("row", pa.array(rows)).select(_RANKED.names)
        for grade, count in zip(*_value_counts(part["grade"]), strict=True):
            found[grade] = found.get(grade, 0) + count
        overall = _first(pa.concat_tables([overall, part]), limit)
        by_group = _first_of_groups(pa.concat_tables([by_group, part]), 10, limit)
        if remembered:
            fresh = part.filter(pc.equal(table["state"], "new"))
            new = _first(pa.concat_tables([new, fresh]), int(limit * _NEW_SHARE))
    chosen = _merge((new, overall), by_group, limit, int(limit * share_for_all))
    shown: dict[str, int] = dict.fromkeys(GRADES, 0) | dict(zip(*_value_counts(chosen["grade"]), strict=True))
    return WorstFindings(rows_at(path, chosen["row"].to_numpy()), found, shown)


def rows_at(path: Path, rows: npt.NDArray[np.int64]) -> pa.Table:
    """All columns of the file's rows at these places, in the order of `rows`."""
    order = np.argsort(rows)
    sorted_rows = rows[order]
    with pq.ParquetFile(path) as file:
        parts = [file.schema_arrow.empty_table()]
        sizes = [file.metadata.row_group(group).num_rows for group in range(file.metadata.num_row_groups)]
        starts = np.cumsum([0, *sizes])
        for group in np.unique(np.searchsorted(starts, rows, side="right") - 1).tolist():
            start = int(starts[group])
            for batch in file.iter_batches(_ROWS_AT_ONCE, [group]):
                first, last = np.searchsorted(sorted_rows, [start, start + batch.num_rows])
                if first < last:
                    positions = pa.array(sorted_rows[first:last] - start)
                    parts.append(pa.Table.from_batches([batch]).take(positions))
                start += batch.num_rows
    restored = np.empty(len(rows), np.int64)
    restored[order] = np.arange(len(rows))
    return pa.concat_tables(parts).take(pa.array(restored))


def _value_counts(column: pa.ChunkedArray) -> tuple[list[str], list[int]]:
    counted = pc.value_counts(column)
    return counted.field("values").to_pylist(), counted.field("counts").to_pylist()


def _rank(table: pa.Table) -> npt.NDArray[np.int64]:
    """Row positions of the table, worst first: grade, then how easily it is believed, then how far it is above."""
    grade = pc.fill_null(pc.index_in(table["grade"], pa.array(GRADES)), len(GRADES)).to_numpy()
    deviation = np.nan_to_num(pc.fill_null(table["deviation"], 0.0).to_numpy())
    order: npt.NDArray[np.int64] = np.lexsort((table["row"].to_numpy(), -deviation, doubted(deviation), grade))
    return order


def ranked(findings: pa.Table) -> pa.Table:
    """Findings worst first; those alike keep their order."""
    places = findings.append_column("row", pa.array(np.arange(findings.num_rows)))
    return findings.take(pa.array(_rank(places)))


def doubted(deviation: npt.NDArray[np.float64]) -> npt.NDArray[np.int64]:
    """How little a wrong value is believed: 950 for 800 is, 1,764 for 800 hardly, 6,515 for 615 is not."""
    return np.searchsorted(_BELIEVED, deviation)


def _first(table: pa.Table, limit: int) -> pa.Table:
    return table.take(pa.array(_rank(table)[:limit]))


def _first_of_groups(table: pa.Table, each: int, limit: int) -> pa.Table:
    """The worst `each` rows of every supplier and rule; fewer of each where there are very many of them."""
    order = _rank(table)
    suppliers = _codes(table["supplier"])
    group = (suppliers * (1 << 20) + _codes(table["rule"]))[order]
    by_group = np.argsort(group, kind="stable")
    sorted_group = group[by_group]
    starts = np.r_[True, sorted_group[1:] != sorted_group[:-1]]
    groups = int(starts.sum())
    first_place = np.maximum.accumulate(np.where(starts, np.arange(len(group)), 0))
    position = np.arange(len(group)) - first_place
    each = max(1, min(each, limit // max(groups, 1)))
    kept = order[by_group[position < each]]
    return table.take(pa.array(np.sort(kept)))


def _codes(column: pa.ChunkedArray) -> npt.NDArray[np.int64]:
    encoded = pc.dictionary_encode(pc.fill_null(column, "").combine_chunks())
    codes: npt.NDArray[np.int64] = encoded.indices.to_numpy().astype(np.int64)
    return codes


def _merge(worst: tuple[pa.Table, ...], by_group: pa.Table, limit: int, for_groups: int) -> pa.Table:
    """Takes one of each group in turn up to `for_groups`, then fills up with the worst ones, then ranks them all."""
    positions = _place_in_group(by_group)
    chosen = by_group.take(pa.array(np.lexsort((np.arange(len(positions)), positions))[:for_groups]))
    for some in worst:
        rest = some.filter(pc.invert(pc.is_in(some["row"], value_set=chosen["row"].combine_chunks())))
        chosen = pa.concat_tables([chosen, rest.slice(0, limit - chosen.num_rows)])
    return chosen.take(pa.array(_rank(chosen)))


def _place_in_group(table: pa.Table) -> npt.NDArray[np.int64]:
    """For each row, how many worse rows its supplier and rule have in the table."""
    order = _rank(table)
    group = (_codes(table["supplier"]) * (1 << 20) + _codes(table["rule"]))[order]
    by_group = np.argsort(group, kind="stable")
    sorted_group = group[by_group]
    starts = np.r_[True, sorted_group[1:] != sorted_group[:-1]]
    first_place = np.maximum.accumulate(np.where(starts, np.arange(len(group)), 0))
    positions = np.empty(len(group), np.int64)
    positions[order[by_group]] = np.arange(len(group)) - first_place
    return positions
