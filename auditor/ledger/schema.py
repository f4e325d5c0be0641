"""The tables of a ledger, by version: the same in SQLite and PostgreSQL.

A finding that stands is one row without an end (`until`).  When what is known of it changes, or it is gone, its row
ends and perhaps another begins: a night costs what changed in it, the past can be told, and a night can be taken back.
"""

from __future__ import annotations

from auditor.errors import UsageError
from auditor.ledger.database import Database, first

# Texts are never null: two of them can be compared without a third answer.  Nights are ISO dates, so they sort.
_FIRST = (
    "CREATE TABLE ledger_nights (night TEXT PRIMARY KEY, before TEXT NOT NULL, program TEXT NOT NULL,"
    " rules TEXT NOT NULL, records BIGINT NOT NULL, held BIGINT NOT NULL, critical BIGINT NOT NULL,"
    " new BIGINT NOT NULL, standing BIGINT NOT NULL, accepted BIGINT NOT NULL, asked BIGINT NOT NULL,"
    " gone BIGINT NOT NULL, changed BIGINT NOT NULL)",
    "CREATE TABLE ledger_suppliers (night TEXT NOT NULL, supplier TEXT NOT NULL, records BIGINT NOT NULL,"
    " held BIGINT NOT NULL, critical BIGINT NOT NULL, new BIGINT NOT NULL, standing BIGINT NOT NULL,"
    " accepted BIGINT NOT NULL, asked BIGINT NOT NULL, gone BIGINT NOT NULL, PRIMARY KEY (night, supplier))",
    # `file` is the name of the file without dates and counters, by which a feed of several is told from the others
    "CREATE TABLE ledger_feeds (id INTEGER PRIMARY KEY, name TEXT NOT NULL UNIQUE, file TEXT NOT NULL)",
    # `fresh` is 0 where the very file of an earlier night came again; `columns` is JSON: field -> header
    "CREATE TABLE ledger_deliveries (feed INTEGER NOT NULL, night TEXT NOT NULL, supplier TEXT NOT NULL,"
    " records BIGINT NOT NULL, held BIGINT NOT NULL, map TEXT NOT NULL, columns TEXT NOT NULL,"
    " sha256 TEXT NOT NULL, fresh INTEGER NOT NULL, changes INTEGER NOT NULL, PRIMARY KEY (feed, night))",
    "CREATE TABLE ledger_findings (key TEXT NOT NULL, since TEXT NOT NULL, first_night TEXT NOT NULL,"
    " until TEXT NOT NULL, ended TEXT NOT NULL, feed INTEGER NOT NULL, supplier TEXT NOT NULL,"
    " listing TEXT NOT NULL, rule TEXT NOT NULL, grade INTEGER NOT NULL, field TEXT NOT NULL,"
    " stated TEXT NOT NULL, derived TEXT NOT NULL, marking TEXT NOT NULL, in_column TEXT NOT NULL,"
    " in_group TEXT NOT NULL, PRIMARY KEY (key, since))",
    # a decision on a whole column or a repeated mistake asks for its members
    "CREATE INDEX ledger_columns ON ledger_findings (in_column) WHERE in_column <> ''",
    "CREATE INDEX ledger_groups ON ledger_findings (in_group) WHERE in_group <> ''",
    # `night` is that of the report a decision was read from, `taken` the last night when it was; `listing_cells`
    # is JSON, of a listing whose finding was said to be wrong
    "CREATE TABLE ledger_decisions (key TEXT NOT NULL, number INTEGER NOT NULL, decision TEXT NOT NULL,"
    " because TEXT NOT NULL, until TEXT NOT NULL, said_by TEXT NOT NULL, marking TEXT NOT NULL,"
    " grade INTEGER NOT NULL, night TEXT NOT NULL, taken TEXT NOT NULL, source TEXT NOT NULL,"
    " ended TEXT NOT NULL, ended_why TEXT NOT NULL, listing_cells TEXT NOT NULL, PRIMARY KEY (key, number))",
)
MIGRATIONS: tuple[tuple[str, ...], ...] = (_FIRST,)  # each takes a ledger from one version to the next


def version_of(database: Database) -> int:
    """The version of a ledger; 0 for an empty place.

    Raises UsageError for tables of others, and for a ledger that a newer program has written.
    """
    if not database.has_table("ledger_about"):
        if database.has_table("sqlite_sequence") or not _empty(database):
            raise UsageError(
                f"{database.place.shown}: this database holds other things and no ledger; choose another --ledger."
            )
        return 0
    found = first(database, "SELECT version FROM ledger_about")
    version = int(found[0]) if found else 0
    if version > len(MIGRATIONS):
        raise UsageError(
            f"{database.place.shown}: the ledger is of version {version}, this program knows up to"
            f" {len(MIGRATIONS)}; use the newer program that wrote it."
        )
    return version


def _empty(database: Database) -> bool:
    """Whether a file holds nothing; a database of a server may hold what it likes beside a ledger."""
    return database.place.path is None or first(database, "SELECT 1 FROM sqlite_master") is None


def bring_up(database: Database) -> None:
    """Makes the tables that are missing, within the transaction that is open."""
    version = version_of(database)
    if version == len(MIGRATIONS):
        return
    if version == 0 and not database.has_table("ledger_about"):
        database.run("CREATE TABLE ledger_about (version INTEGER NOT NULL)")
        database.run("INSERT INTO ledger_about (version) VALUES (0)")
    for statements in MIGRATIONS[version:]:
        for statement in statements:
            database.run(statement)
    database.run("UPDATE ledger_about SET version = ?", len(MIGRATIONS))
