"""What each supplier is sent, row by row: everything that holds a listing, and what is certain."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import numpy as np
import numpy.typing as npt
import pyarrow as pa
import pyarrow.compute as pc
import pyarrow.parquet as pq

from auditor.feeds.stopping import raise_if_stopped
from auditor.outputs.corrections.letters import of_feed
from auditor.outputs.findings import by_suppliers, neutralize, read_in_parts
from auditor.outputs.worst_findings import ranked
from auditor.rulebook.finding import GRADES

COLUMNS = (
    *("feed", "sheet", "record", "sku", "part_number", "gtin", "column", "field", "stated", "suggestion"),
    *("derived", "marking", "grade", "rule", "message", "key", "ask"),
)
READ = ("supplier", "likely_cause", "deviation", "stands_for", *COLUMNS[:-1])
_OWN = frozenset({"record", "field", "grade", "rule", "key", "ask"})  # what no feed can write into
ASKS = ("correct", "confirm", "spelling", "group")  # what a row asks of the supplier
ROWS_AT_ONCE = 1 << 15
LETTER_ROWS = 100  # a letter that nobody reads to the end corrects nothing; the file has the rest
OFFERED = "substitutes"  # the field of findings on a file of pairs
_SAME = 0.012  # how far the ratio of a member may lie from its group's factor


@dataclass(slots=True)
class Gathered:
    """What the letter to one supplier needs, gathered while its rows stream by."""

    counts: dict[str, int] = field(default_factory=lambda: dict.fromkeys(ASKS, 0))
    alone: dict[str, int] = field(default_factory=lambda: dict.fromkeys(ASKS, 0))  # of these, those in no group
    listings: int = 0
    feeds: set[str] = field(default_factory=set)
    fields: set[str] = field(default_factory=set)
    rules: set[str] = field(default_factory=set)
    first: dict[str, pa.Table] = field(default_factory=dict)  # by what is asked, the worst of those in no group

    def know(self, rows: pa.Table) -> None:
        """Remembers which feeds, fields and rules rows are about."""
        feeds = rows.group_by(["feed", "sheet"]).aggregate([]).to_pylist()
        self.feeds.update(of_feed(feed) for feed in feeds)
        self.fields.update(rows["field"].unique().to_pylist())
        self.rules.update(rows["rule"].unique().to_pylist())

    def take(self, rows: pa.Table, in_group: pa.Array) -> None:
        """Counts rows, and keeps the worst of those that belong to no repeated mistake."""
        self.know(rows)
        for ask in ASKS[:3]:
            mine = rows.filter(pc.equal(rows["ask"], ask))
            self.counts[ask] += mine.num_rows
            alone = rows.filter(pc.and_(pc.equal(rows["ask"], ask), pc.invert(in_group)))
            self.alone[ask] += alone.num_rows
            if alone.num_rows:
                held = self.first.get(ask)
                both = alone if held is None else pa.concat_tables([held, alone])
                self.first[ask] = ranked(both).slice(0, LETTER_ROWS)

    def rows(self, ask: str) -> list[dict[str, Any]]:
        """The first rows that ask for something, worst first."""
        return list(self.first[ask].to_pylist()) if ask in self.first else []


class CountedListings:
    """Which listings were counted, each once however many of its cells are wrong: a byte per record of every feed."""

    def __init__(self) -> None:
        self._counted: dict[str, npt.NDArray[np.bool_]] = {}

    def new_among(self, rows: pa.Table) -> int:
        """How many of the rows' listings were not counted before; from now on they are."""
        feeds = pc.binary_join_element_wise(rows["feed"], pc.fill_null(rows["sheet"], ""), "\n").combine_chunks()
        feeds, records = feeds.dictionary_encode(), pc.fill_null(rows["record"], 0).to_numpy()
        new = 0
        for place, feed in enumerate(feeds.dictionary.to_pylist()):
            mine = records[feeds.indices.to_numpy() == place]
            first, last = int(mine.min()), int(mine.max())
            known = self._counted.get(feed, np.zeros(0, dtype=np.bool_))
            if len(known) <= last:
                known = np.append(known, np.zeros(2 * last + 1 - len(known), dtype=np.bool_))
            before = np.count_nonzero(known[first : last + 1])
            known[mine] = True
            new += int(np.count_nonzero(known[first : last + 1]) - before)
            self._counted[feed] = known
        return new


Add = Callable[[str, str, pa.Table], None]


def gather(
    findings: Path,
    spelling: Sequence[str],
    groups: Mapping[str, Sequence[Mapping[str, Any]]],
    add: Add,
    own_pairs: str = "",
) -> dict[str, Gathered]:
    """Reads all findings once: passes those that are sent on to `add`, and gathers what the letters need.

    `own_pairs` is the name of a file in which the retailer offers tires in place of others.
    """
    gathered: dict[str, Gathered] = defaultdict(Gathered)
    counted = CountedListings()
    for part in read_in_parts(findings, READ, ROWS_AT_ONCE):
        raise_if_stopped()
        table = _sent(_without_own(part, own_pairs) if own_pairs else part, spelling)
        if table.num_rows == 0:
            continue
        for supplier, rows in by_suppliers(table):
            gathered[supplier].listings += counted.new_among(rows)
            gathered[supplier].take(rows, _in_groups(rows, groups.get(supplier, ())))
            _add_safe(supplier, rows, add)
    folded = findings.parent / "folded.parquet"
    if folded.exists():
        shifted = [
            group["key"] for each in groups.values() for group in each if group["folded"] and not group["column"]
        ]
        for supplier, rows in _folded(folded, shifted):
            one = gathered[supplier]
            one.counts["group"] += rows.num_rows
            one.listings += counted.new_among(rows)
            one.know(rows)
            _add_safe(supplier, rows, add)
    return dict(gathered)


def _without_own(part: pa.Table, own_pairs: str) -> pa.Table:
    """The findings that are not on what the retailer's own file offers: no supplier is asked to mend that."""
    offered = pc.and_(pc.equal(part["column"], own_pairs), pc.equal(part["field"], OFFERED))
    return part.filter(pc.invert(pc.fill_null(offered, False)))


def sent_to(findings: Path, own_pairs: str = "") -> set[str]:
    """The suppliers that have rows to be sent, known before any row is written."""
    columns = ("supplier", "grade", "suggestion", "stands_for", *(("column", "field") if own_pairs else ()))
    found: set[str] = set()
    for part in read_in_parts(findings, columns):
        part = _without_own(part, own_pairs) if own_pairs else part
        found.update(pc.fill_null(part.filter(_is_sent(part))["supplier"], "").unique().to_pylist())
    folded = findings.parent / "folded.parquet"
    if folded.exists():
        for part in read_in_parts(folded, columns[:2]):
            held = part.filter(pc.is_in(part["grade"], value_set=pa.array(GRADES[:2])))
            found.update(held["supplier"].unique().to_pylist())
    return found


def _is_sent(part: pa.Table) -> Any:
    """Which findings are sent: those that hold a listing by themselves, and those with something certain."""
    certain = pc.fill_null(pc.not_equal(part["suggestion"], ""), False)
    held = pc.is_in(part["grade"], value_set=pa.array(GRADES[:2]))
    return pc.and_(pc.equal(part["stands_for"], 1), pc.or_(certain, held))


def _sent(part: pa.Table, spelling: Sequence[str]) -> pa.Table:
    """The findings that are sent, with what they ask."""
    suppliers = part.schema.get_field_index("supplier")
    part = part.set_column(suppliers, "supplier", pc.fill_null(part["supplier"], ""))
    part = part.filter(_is_sent(part))
    certain = pc.fill_null(pc.not_equal(part["suggestion"], ""), False)
    of_spelling = pc.is_in(part["rule"], value_set=pa.array(list(spelling), pa.string()))
    ask = pc.if_else(of_spelling, "spelling", pc.if_else(certain, "correct", "confirm"))
    return part.append_column("ask", ask)


def _folded(path: Path, shifted: Sequence[str]) -> Iterator[tuple[str, pa.Table]]:
    """The folded findings that hold a listing, by supplier."""
    with pq.ParquetFile(path) as file:
        for batch in file.iter_batches(batch_size=ROWS_AT_ONCE):
            raise_if_stopped()
            table = pa.Table.from_batches([batch])
            held = pc.is_in(table["grade"], value_set=pa.array(GRADES[:2]))
            table = table if pc.all(held).as_py() else table.filter(held)
            count = table.num_rows
            for name in ("suggestion", "message"):
                table = table.append_column(name, pa.repeat(pa.scalar("", pa.string()), count))
            table = table.append_column("ask", pa.repeat(pa.scalar("group", pa.string()), count))
            yield from by_suppliers(_rows_once(table, shifted))


def _rows_once(table: pa.Table, shifted: Sequence[str]) -> pa.Table:
    """Findings of whole columns, and one row for each shifted one, no cell of which is asked about by itself."""
    of_rows = pc.is_in(table["column_key"], value_set=pa.array(list(shifted), pa.string()))
    some = table.filter(of_rows)
    if some.num_rows == 0:
        return table
    _, firsts = np.unique(some["record"].to_numpy(), return_index=True)
    some = some.take(pa.array(firsts))
    for name in ("column", "field", "stated", "derived", "rule"):
        blank = pa.repeat(pa.scalar("", pa.string()), some.num_rows)
        some = some.set_column(some.schema.get_field_index(name), name, blank)
    message = pa.repeat(pa.scalar("the row is shifted by one cell", pa.string()), some.num_rows)
    some = some.set_column(some.schema.get_field_index("message"), "message", message)
    return pa.concat_tables([table.filter(pc.invert(of_rows)), some])


def _add_safe(supplier: str, rows: pa.Table, add: Add) -> None:
    """Passes rows on by grade, with no text in them that a spreadsheet program would run as a formula."""
    columns = {name: rows[name] for name in COLUMNS}
    table = pa.table({name: neutralize(texts) if name not in _OWN else texts for name, texts in columns.items()})
    grades = rows["grade"].unique().to_pylist()
    for grade in (grade for grade in GRADES if grade in grades):
        add(supplier, grade, table if len(grades) == 1 else table.filter(pc.equal(rows["grade"], grade)))


def _in_groups(rows: pa.Table, groups: Sequence[Mapping[str, Any]]) -> pa.Array:
    """Which rows belong to one of a supplier's repeated mistakes."""
    found = pa.repeat(pa.scalar(False), rows.num_rows)
    for group in groups:
        if group["folded"]:
            continue
        mine = pc.equal(rows["rule"], group["rule"])
        for name, value in (("column", group["column"]), ("field", group["field"]), ("likely_cause", group["cause"])):
            if not (name == "likely_cause" and group["factor"] is not None):
                mine = pc.and_(mine, pc.equal(rows[name], value))
        if group["factor"] is not None:
            off = pc.abs(pc.subtract(pc.divide(pc.add(rows["deviation"], 1.0), group["factor"]), 1.0))
            mine = pc.and_(mine, pc.less(off, _SAME))
        if group["stated"]:
            mine = pc.and_(mine, pc.equal(rows["stated"], group["stated"]))
        found = pc.or_(found, pc.fill_null(mine, False))
    return found.combine_chunks() if isinstance(found, pa.ChunkedArray) else found
