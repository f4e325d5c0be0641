"""A night's findings against those of the nights before: what is new, what stands, what is gone.

Everything is said in sets: tonight's findings lie in a table of their own for as long as the transaction lasts, and
a few joins tell what changed.  Only that is written.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterable, Iterator, Sequence
from typing import Any

from auditor.ledger.database import Database, first

STATES = ("new", "standing", "accepted", "asked")
ROW = ("run", "record", "key", "feed", "supplier", "listing", "rule", "grade", "field", "stated", "derived",
       "marking", "in_column", "in_group")  # fmt: skip
_KEPT = ROW[2:]  # what a finding's row in the ledger holds of them
_MAY_CHANGE = ("feed", "supplier", "listing", "grade", "marking", "in_column", "in_group")
FOLDED_FROM = 1 << 30  # the first number of findings that are folded: their states are asked for by column
_VOID = ("gone", "another marking", "graded up")  # why a night ends a decision

_TABLES = (
    "CREATE TEMP TABLE tonight (n INTEGER PRIMARY KEY, run INTEGER, record BIGINT, key TEXT,"
    " feed INTEGER, supplier TEXT, listing TEXT, rule TEXT, grade INTEGER, field TEXT, stated TEXT, derived TEXT,"
    " marking TEXT, in_column TEXT, in_group TEXT, chosen INTEGER)",
    "CREATE TEMP TABLE tonight_feeds (feed INTEGER PRIMARY KEY, changes INTEGER)",
    "CREATE TEMP TABLE tonight_listings (feed INTEGER, listing TEXT)",
)
_IN_FORCE = (  # a decision of this night for a finding: taken on its marking and on no milder grade, not past its end
    "d.key = t.key AND d.ended = '' AND d.marking = t.marking AND d.grade <= t.grade AND (d.until = '' OR d.until >= ?)"
)


def take_back(database: Database, night: str) -> None:
    """Makes the ledger what it was before a night, which is its last one; decisions taken since then stay."""
    database.run("DELETE FROM ledger_findings WHERE since = ?", night)
    database.run("UPDATE ledger_findings SET until = '', ended = '' WHERE until = ?", night)
    database.run(
        "UPDATE ledger_decisions SET ended = '', ended_why = '' WHERE ended = ? AND ended_why IN (?, ?, ?)"
        " AND key NOT IN (SELECT key FROM ledger_decisions WHERE ended = '')",
        night,
        *_VOID,
    )
    for table in ("ledger_nights", "ledger_suppliers", "ledger_deliveries"):
        database.run(f"DELETE FROM {table} WHERE night = ?", night)


def lay_out(database: Database) -> None:
    """Makes the tables that hold tonight."""
    for statement in _TABLES:
        database.run(statement)


def load(database: Database, start: int, rows: Iterable[Sequence[Any]]) -> None:
    """Takes tonight's findings in, in the order in which their states are asked for later; `rows` are as ROW names."""
    numbered = ((start + number, *row, 1) for number, row in enumerate(rows))
    database.load("tonight", ("n", *ROW, "chosen"), numbered)


def settle(database: Database, night: str) -> None:
    """Writes into the ledger what changed with tonight's findings, and which decisions are void by it."""
    database.run("CREATE INDEX tonight_key ON tonight (key)")
    database.run("CREATE INDEX tonight_listing ON tonight_listings (feed, listing)")
    if database.place.path is None:  # the server knows nothing of what was just loaded
        for table in ("tonight", "tonight_feeds", "tonight_listings"):
            database.run(f"ANALYZE {table}")
    _choose_one_of_each(database)
    _match(database, night)
    if database.place.path is None:
        database.run("ANALYZE tonight_states")
    _write_what_changed(database, night)
    _end_what_is_gone(database, night)
    _end_decisions(database, night)


def _choose_one_of_each(database: Database) -> None:
    """Of findings with one key (a listing that stands twice) the ledger keeps one, whatever their order."""
    database.run(
        "UPDATE tonight SET chosen = 0 WHERE n IN (SELECT n FROM (SELECT n, row_number() OVER (PARTITION BY key"
        " ORDER BY marking, derived, grade, feed, in_column, in_group, listing, supplier, n) AS place FROM tonight"
        " WHERE key IN (SELECT key FROM tonight GROUP BY key HAVING count(*) > 1)) ranked WHERE place > 1)"
    )


def _match(database: Database, night: str) -> None:
    """Finds for each of tonight's findings what the ledger knows of it; `step` is 1 for a change, 2 for a new one."""
    differs = " OR ".join(f"o.{name} <> t.{name}" for name in _MAY_CHANGE)
    step = f"CASE WHEN t.chosen = 0 THEN 0 WHEN o.key IS NULL THEN 2 WHEN {differs} THEN 1 ELSE 0 END"
    state = (
        "CASE WHEN d.decision IN ('accept', 'wrong') THEN 'accepted' WHEN d.decision = 'ask' THEN 'asked'"
        " WHEN o.key IS NULL THEN 'new' ELSE 'standing' END"
    )
    database.run(
        "CREATE TEMP TABLE tonight_states (n INTEGER PRIMARY KEY, run INTEGER, record BIGINT, grade INTEGER,"
        " supplier TEXT, in_column TEXT, first_night TEXT, state TEXT, step INTEGER)"
    )
    database.run(
        "INSERT INTO tonight_states SELECT t.n, t.run, t.record, t.grade, t.supplier, t.in_column,"
        f" coalesce(o.first_night, ?), {state}, {step} FROM tonight t"
        " LEFT JOIN ledger_findings o ON o.key = t.key AND o.until = ''"
        f" LEFT JOIN ledger_decisions d ON {_IN_FORCE}",
        night,
        night,
    )


def _write_what_changed(database: Database, night: str) -> None:
    """Begins a row for what is new, and for what stands and is known otherwise from tonight on; ends its old one."""
    database.run(
        "UPDATE ledger_findings SET until = ?, ended = 'changed' WHERE until = '' AND key IN"
        " (SELECT t.key FROM tonight_states s JOIN tonight t ON t.n = s.n WHERE s.step = 1)",
        night,
    )
    database.run(
        f"INSERT INTO ledger_findings (since, first_night, until, ended, {', '.join(_KEPT)})"
        f" SELECT ?, s.first_night, '', '', {', '.join(f't.{name}' for name in _KEPT)}"
        " FROM tonight_states s JOIN tonight t ON t.n = s.n WHERE s.step > 0",
        night,
    )


def _end_what_is_gone(database: Database, night: str) -> None:
    """What is not there tonight although its feed is; of a feed that holds only changes, its listing has to be."""
    database.run(
        "UPDATE ledger_findings SET until = ?, ended = 'gone' WHERE until = ''"
        " AND NOT EXISTS (SELECT 1 FROM tonight t WHERE t.key = ledger_findings.key)"
        " AND (feed IN (SELECT feed FROM tonight_feeds WHERE changes = 0)"
        " OR (feed IN (SELECT feed FROM tonight_feeds WHERE changes = 1) AND EXISTS (SELECT 1 FROM tonight_listings l"
        " WHERE l.feed = ledger_findings.feed AND l.listing = ledger_findings.listing)))",
        night,
    )


def _end_decisions(database: Database, night: str) -> None:
    """A decision goes with its finding, its marking and its grade."""
    gone = "NOT EXISTS (SELECT 1 FROM ledger_findings o WHERE o.key = ledger_decisions.key AND o.until = '')"
    here = "EXISTS (SELECT 1 FROM tonight t WHERE t.key = ledger_decisions.key)"
    same = "SELECT 1 FROM tonight t WHERE t.key = ledger_decisions.key AND t.marking = ledger_decisions.marking"
    for why, where in zip(
        _VOID,
        (
            gone,
            f"{here} AND NOT EXISTS ({same})",
            f"EXISTS ({same}) AND NOT EXISTS ({same} AND t.grade >= ledger_decisions.grade)",
        ),
        strict=True,
    ):
        database.run(f"UPDATE ledger_decisions SET ended = ?, ended_why = ? WHERE ended = '' AND {where}", night, why)


def states(database: Database) -> Iterator[tuple[str, str]]:
    """(state, first night) of every finding that was loaded, in that order."""
    yield from database.rows("SELECT state, first_night FROM tonight_states WHERE n < ? ORDER BY n", FOLDED_FROM)


def let_through(database: Database) -> Iterator[tuple[int, int, int, str]]:
    """(feed of the run, record, worst grade that is not accepted, supplier) of records with an accepted finding."""
    if first(database, "SELECT 1 FROM tonight_states WHERE state = 'accepted'") is None:
        return
    yield from database.rows(
        "SELECT run, record, min(CASE WHEN state = 'accepted' THEN 99 ELSE grade END), min(supplier)"
        " FROM tonight_states GROUP BY run, record"
        " HAVING max(CASE WHEN state = 'accepted' THEN 1 ELSE 0 END) = 1 ORDER BY run, record"
    )


def counted_by_supplier(database: Database, night: str) -> dict[str, dict[str, int]]:
    """How many findings of each state, and how many are gone, by supplier."""
    counts: dict[str, dict[str, int]] = {}
    for supplier, state, count in database.rows(
        "SELECT supplier, state, count(*) FROM tonight_states GROUP BY supplier, state"
    ):
        counts.setdefault(supplier, {})[state] = count
    for supplier, count in database.rows(
        "SELECT supplier, count(*) FROM ledger_findings WHERE until = ? AND ended = 'gone' GROUP BY supplier", night
    ):
        counts.setdefault(supplier, {})["gone"] = count
    return counts


def wrong_without_listing(database: Database, most: int = 1_000) -> list[tuple[int, int, str]]:
    """(feed of the run, record, key) of findings that were said to be wrong and whose listing is not kept yet."""
    rows = database.rows(
        "SELECT t.run, t.record, t.key FROM ledger_decisions d JOIN tonight t ON t.key = d.key"
        " AND t.marking = d.marking WHERE d.decision = 'wrong' AND d.ended = '' AND d.listing_cells = ''"
        " ORDER BY t.run, t.record"
    )
    return [(run, record, key) for (run, record, key), _ in zip(rows, range(most), strict=False)]


def keep_listing(database: Database, key: str, cells: str) -> None:
    """Keeps the whole listing that a finding was said to be wrong of, as JSON."""
    database.run(
        "UPDATE ledger_decisions SET listing_cells = ? WHERE key = ? AND decision = 'wrong' AND ended = ''"
        " AND listing_cells = ''",
        cells,
        key,
    )


def standing_since(database: Database, night: str) -> dict[str, tuple[str, int]]:
    """Supplier -> (first night of what stands and is not accepted, nights since then before tonight)."""
    found: dict[str, tuple[str, int]] = {}
    rows = database.rows(
        "SELECT supplier, min(first_night) FROM tonight_states WHERE state IN ('standing', 'asked') AND first_night < ?"
        " GROUP BY supplier",
        night,
    )
    for supplier, since in list(rows):
        nights = first(database, "SELECT count(*) FROM ledger_nights WHERE night >= ? AND night < ?", since, night)
        found[supplier] = (since, int(nights[0]) if nights else 0)
    return found


def repeated_by_state(database: Database, night: str) -> dict[str, dict[str, Any]]:
    """Repeated mistake -> `states` (state -> members), `first_night` of the oldest, and the `nights_before` tonight."""
    found: dict[str, dict[str, Any]] = {}
    for key, state, count, first_night in database.rows(
        "SELECT key, state, count(*), min(first_night) FROM (SELECT CASE WHEN t.in_column <> '' THEN t.in_column"
        " ELSE t.in_group END AS key, s.state AS state, s.first_night AS first_night FROM tonight_states s"
        " JOIN tonight t ON t.n = s.n WHERE t.in_column <> '' OR t.in_group <> '') members GROUP BY key, state"
    ):
        one = found.setdefault(key, {"states": dict.fromkeys(STATES, 0), "first_night": first_night})
        one["states"][state] = count
        one["first_night"] = min(one["first_night"], first_night)
    before = [
        name for (name,) in database.rows("SELECT night FROM ledger_nights WHERE night < ? ORDER BY night", night)
    ]
    for one in found.values():
        one["nights_before"] = len(before) - bisect_left(before, one["first_night"])
    return found


def columns_by_state(database: Database) -> dict[str, list[tuple[str, int, int, str]]]:
    """Column finding -> (state, members, first of their records, first night of the oldest), in the order of STATES."""
    found: dict[str, list[tuple[str, int, int, str]]] = {}
    for key, state, count, record, night in database.rows(
        "SELECT in_column, state, count(*), min(record), min(first_night) FROM tonight_states"
        " WHERE in_column <> '' GROUP BY in_column, state"
    ):
        found.setdefault(key, []).append((state, count, record, night))
    for rows in found.values():
        rows.sort(key=lambda row: STATES.index(row[0]))
    return found
