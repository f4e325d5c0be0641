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

from auditor.feeds.stopping import raise_if_stopped
from auditor.outputs.coded import by_texts, everywhere, is_among, names_and_codes, one_of, written_out
from auditor.outputs.corrections.in_groups import by_kind, in_groups
from auditor.outputs.corrections.letters import of_feed
from auditor.outputs.findings import by_suppliers, is_harmless, neutralize, read_in_parts
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
_FOLDED = tuple(name for name in COLUMNS if name not in ("suggestion", "message", "ask"))
_CODED = (
    *("feed", "sheet", "supplier", "column", "field", "derived", "marking", "grade", "rule", "likely_cause"),
    "column_key",
)
_HOLDING = GRADES[:2]
_FEED = ("feed", "sheet")


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
        self.feeds.update(of_feed({"feed": feed, "sheet": sheet}) for (feed, sheet), _ in by_texts(rows, _FEED))
        self.fields.update(rows["field"].unique().to_pylist())
        self.rules.update(rows["rule"].unique().to_pylist())

    def take(self, rows: pa.Table, in_group: npt.NDArray[np.bool_]) -> None:
        """Counts rows, and keeps the worst of those that belong to no repeated mistake."""
        self.know(rows)
        names, asked = names_and_codes(rows["ask"])
        for place, ask in enumerate(names[:-1]):
            assert ask is not None
            mine = asked == place
            alone = np.flatnonzero(mine & ~in_group)
            self.counts[ask] += int(np.count_nonzero(mine))
            self.alone[ask] += len(alone)
            if len(alone):
                held = self.first.get(ask)
                worst = written_out(_worst(rows.take(pa.array(alone))))
                self.first[ask] = worst if held is None else _worst(pa.concat_tables([held, worst]))

    def rows(self, ask: str) -> list[dict[str, Any]]:
        """The first rows that ask for something, worst first."""
        return list(self.first[ask].to_pylist()) if ask in self.first else []


def _worst(rows: pa.Table) -> pa.Table:
    """The rows that a letter names, the worst first."""
    ranks = written_out(rows.select(["grade", "deviation"]))
    first = ranked(ranks.append_column("place", pa.array(np.arange(rows.num_rows))))["place"].slice(0, LETTER_ROWS)
    return rows.take(first.combine_chunks())


class CountedListings:
    """Which listings were counted, each once however many of its cells are wrong: a byte per record of every feed."""

    def __init__(self) -> None:
        self._counted: dict[tuple[str | None, ...], npt.NDArray[np.bool_]] = {}

    def new_among(self, rows: pa.Table) -> int:
        """How many of the rows' listings were not counted before; from now on they are."""
        records = pc.fill_null(rows["record"], 0).to_numpy()
        new = 0
        for feed, places in by_texts(rows, _FEED):
            mine = records[places]
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
    kinds = {supplier: by_kind(mine) for supplier, mine in groups.items()}
    for part in read_in_parts(findings, READ, ROWS_AT_ONCE, _CODED):
        raise_if_stopped()
        table = _sent(_without_own(part, own_pairs) if own_pairs else part, spelling)
        if table.num_rows == 0:
            continue
        risky = _risky(table)
        for supplier, rows in by_suppliers(table):
            gathered[supplier].listings += counted.new_among(rows)
            gathered[supplier].take(rows, in_groups(rows, kinds.get(supplier, {})))
            _add_safe(supplier, rows, risky, add)
    folded = findings.parent / "folded.parquet"
    if folded.exists():
        shifted = [
            group["key"] for each in groups.values() for group in each if group["folded"] and not group["column"]
        ]
        for table in _folded(folded, shifted):
            risky = _risky(table)
            for supplier, rows in by_suppliers(table):
                one = gathered[supplier]
                one.counts["group"] += rows.num_rows
                one.listings += counted.new_among(rows)
                one.know(rows)
                _add_safe(supplier, rows, risky, add)
    return dict(gathered)


def _without_own(part: pa.Table, own_pairs: str) -> pa.Table:
    """The findings that are not on what the retailer's own file offers: no supplier is asked to mend that."""
    offered = is_among(part["column"], [own_pairs]) & is_among(part["field"], [OFFERED])
    return part.filter(pa.array(~offered)) if offered.any() else part


def sent_to(findings: Path, own_pairs: str = "") -> set[str]:
    """The suppliers that have rows to be sent, known before any row is written."""
    columns = ("supplier", "grade", "suggestion", "stands_for", *(("column", "field") if own_pairs else ()))
    found: set[str] = set()
    for part in read_in_parts(findings, columns, coded=_CODED):
        part = _without_own(part, own_pairs) if own_pairs else part
        found.update(_suppliers(part, _is_sent(part)))
    folded = findings.parent / "folded.parquet"
    if folded.exists():
        for part in read_in_parts(folded, columns[:2], coded=_CODED):
            found.update(_suppliers(part, is_among(part["grade"], _HOLDING)))
    return found


def _suppliers(part: pa.Table, some: npt.NDArray[np.bool_]) -> list[str]:
    """The suppliers of some rows; one that is not named is the empty text."""
    names, codes = names_and_codes(part["supplier"])
    return [names[place] or "" for place in np.flatnonzero(np.bincount(codes[some], minlength=len(names))).tolist()]


def _is_sent(part: pa.Table) -> npt.NDArray[np.bool_]:
    """Which findings are sent: those that hold a listing by themselves, and those with something certain."""
    alone: npt.NDArray[np.bool_] = part["stands_for"].to_numpy() == 1
    return alone & (_is_certain(part) | is_among(part["grade"], _HOLDING))


def _is_certain(part: pa.Table) -> npt.NDArray[np.bool_]:
    return np.asarray(pc.fill_null(pc.not_equal(part["suggestion"], ""), False))


def _sent(part: pa.Table, spelling: Sequence[str]) -> pa.Table:
    """The findings that are sent, with what they ask."""
    sent = _is_sent(part)
    part = part if sent.all() else part.filter(pa.array(sent))
    of_spelling = is_among(part["rule"], spelling)
    ask = np.where(of_spelling, ASKS.index("spelling"), np.where(_is_certain(part), *map(ASKS.index, ASKS[:2])))
    return part.append_column("ask", one_of(ASKS[:3], ask))


def _folded(path: Path, shifted: Sequence[str]) -> Iterator[pa.Table]:
    """The folded findings that hold a listing, some thousand at a time."""
    last: _Row | None = None
    for part in read_in_parts(path, [*_FOLDED, "supplier", "column_key"], 2 * ROWS_AT_ONCE, _CODED):
        raise_if_stopped()
        held = is_among(part["grade"], _HOLDING)
        table = part if held.all() else part.filter(pa.array(held))
        for name, text in (("suggestion", ""), ("message", ""), ("ask", "group")):
            table = table.append_column(name, everywhere(text, table.num_rows))
        table, last = _rows_once(table, shifted, last)
        if table.num_rows:
            yield table


_Row = tuple[str | None, str | None, int]  # feed, sheet, record


def _rows_once(table: pa.Table, shifted: Sequence[str], last: _Row | None) -> tuple[pa.Table, _Row | None]:
    """Findings of whole columns, and one row for each shifted one, no cell of which is asked about by itself.

    `last` is the shifted row that the part before ended with; beside the table comes the one that this part ends with.
    """
    of_rows = is_among(table["column_key"], shifted)
    if not of_rows.any():
        return table, last
    some = table.filter(pa.array(of_rows))
    firsts, rows = [], some.select(["feed", "sheet", "record"])
    for _, mine in by_texts(rows, _FEED):
        firsts.append(mine[np.unique(some["record"].to_numpy()[mine], return_index=True)[1]])
    kept = np.sort(np.concatenate(firsts))
    ends = tuple(rows.slice(some.num_rows - 1, 1).to_pylist()[0].values())
    begins = tuple(rows.slice(0, 1).to_pylist()[0].values())
    some = some.take(pa.array(kept[1:] if begins == last else kept))
    for name in ("column", "field", "stated", "derived", "rule"):
        some = some.set_column(some.schema.get_field_index(name), name, everywhere("", some.num_rows))
    message = everywhere("the row is shifted by one cell", some.num_rows)
    some = some.set_column(some.schema.get_field_index("message"), "message", message)
    alone = table.filter(pa.array(~of_rows))
    return pa.concat_tables([written_out(alone), written_out(some)]), ends


def _risky(table: pa.Table) -> set[str]:
    """The columns in which some text may begin a formula."""
    return {name for name in COLUMNS if name not in _OWN and not is_harmless(table[name])}


def _add_safe(supplier: str, rows: pa.Table, risky: set[str], add: Add) -> None:
    """Passes rows on by grade, with no text in them that a spreadsheet program would run as a formula."""
    table = written_out(rows.select(list(COLUMNS)))
    for name in risky:
        table = table.set_column(table.schema.get_field_index(name), name, neutralize(table[name]))
    grades = table["grade"].unique().to_pylist()
    for grade in (grade for grade in GRADES if grade in grades):
        add(supplier, grade, table if len(grades) == 1 else table.filter(pc.equal(table["grade"], grade)))
