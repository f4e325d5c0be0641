"""One ledger, one way to speak to it: SQLite from the standard library, or PostgreSQL through psycopg.

Statements are written once, in the SQL that both understand, with `?` for values.  Sets are worked on where they lie;
nothing here grows with the number of findings.
"""

from __future__ import annotations

import contextlib
import sqlite3
from collections.abc import Iterable, Iterator, Sequence
from typing import Any, Protocol

from auditor.errors import OutputError, UsageError
from auditor.ledger.place import Place

_ROWS_AT_ONCE = 10_000
_LOCK = 8_224_117  # of this program's ledgers, among the advisory locks of a PostgreSQL database
_PAGES_KIB = 65_536  # of a file that are kept in memory
_SERVER_MEMORY_MIB = 64  # that a server may take for a join, and for the night's own tables: usually far less

Row = tuple[Any, ...]


class Database(Protocol):
    """A ledger that is open."""

    @property
    def place(self) -> Place: ...

    def begin(self, wait_s: float) -> None:
        """Begins the one transaction, alone; OutputError where another run keeps it longer than `wait_s` seconds."""

    def commit(self) -> None: ...

    def rollback(self) -> None: ...

    def close(self) -> None: ...

    def run(self, sql: str, *values: Any) -> int:
        """Runs one statement; how many rows it touched."""

    def rows(self, sql: str, *values: Any) -> Iterator[Row]:
        """The rows of a query, a part at a time."""

    def load(self, table: str, columns: Sequence[str], rows: Iterable[Sequence[Any]]) -> None:
        """Adds many rows to a table."""

    def has_table(self, name: str) -> bool: ...

    def tidy(self) -> None:
        """Gives back the room of what was forgotten; outside of a transaction."""


def connect(place: Place, *, make: bool) -> Database:
    """Opens the ledger at a place; a file is made where it is missing and `make` is set.

    Raises UsageError for what is no ledger or is not there, OutputError where it cannot be opened.
    """
    return _Postgres(place) if place.path is None else _Sqlite(place, make)


def first(database: Database, sql: str, *values: Any) -> Row | None:
    """The first row of a query."""
    with contextlib.closing(database.rows(sql, *values)) as rows:  # type: ignore[type-var]
        return next(rows, None)


class _Sqlite:
    """A file."""

    def __init__(self, place: Place, make: bool) -> None:
        assert place.path is not None
        self.place = place
        if not make and not place.path.exists():
            raise UsageError(f"{place.shown}: there is no such ledger; `auditor audit --ledger` makes it.")
        try:
            place.path.parent.mkdir(parents=True, exist_ok=True)
            self._connection = sqlite3.connect(place.path, timeout=5, isolation_level=None, check_same_thread=False)
            with self._told():
                self._connection.execute("SELECT count(*) FROM sqlite_master").fetchone()
                for schema in ("main", "temp"):
                    self._connection.execute(f"PRAGMA {schema}.cache_size = -{_PAGES_KIB}")
        except (OSError, sqlite3.OperationalError) as error:
            raise OutputError(f"{place.shown}: the ledger cannot be opened ({error}); check the path.") from error

    @contextlib.contextmanager
    def _told(self) -> Iterator[None]:
        try:
            yield
        except sqlite3.OperationalError as error:
            if "locked" in str(error):
                raise OutputError(
                    f"{self.place.shown}: the ledger is kept by another run; run again when that one is done."
                ) from error
            raise OutputError(f"{self.place.shown}: the ledger cannot be used ({error}).") from error
        except sqlite3.DatabaseError as error:
            raise UsageError(f"{self.place.shown}: this is no ledger ({error}); choose another --ledger.") from error

    def begin(self, wait_s: float) -> None:
        with self._told():
            self._connection.execute(f"PRAGMA busy_timeout = {int(wait_s * 1000)}")
            self._connection.execute("BEGIN IMMEDIATE")

    def commit(self) -> None:
        with self._told():
            self._connection.execute("COMMIT")

    def rollback(self) -> None:
        if self._connection.in_transaction:
            self._connection.execute("ROLLBACK")

    def close(self) -> None:
        # an empty file stays: another run may wait for its turn to write to it
        self._connection.close()

    def run(self, sql: str, *values: Any) -> int:
        with self._told():
            return self._connection.execute(sql, values).rowcount

    def rows(self, sql: str, *values: Any) -> Iterator[Row]:
        with self._told():
            cursor = self._connection.execute(sql, values)
            while some := cursor.fetchmany(_ROWS_AT_ONCE):
                yield from some

    def load(self, table: str, columns: Sequence[str], rows: Iterable[Sequence[Any]]) -> None:
        places = ", ".join("?" * len(columns))
        with self._told():
            self._connection.executemany(f"INSERT INTO {table} ({', '.join(columns)}) VALUES ({places})", rows)

    def has_table(self, name: str) -> bool:
        return first(self, "SELECT 1 FROM sqlite_master WHERE type = 'table' AND name = ?", name) is not None

    def tidy(self) -> None:
        self.run("VACUUM")


class _Postgres:
    """A database of a PostgreSQL server."""

    def __init__(self, place: Place) -> None:
        try:
            import psycopg
        except ImportError as error:
            raise UsageError(
                "A ledger in PostgreSQL needs the extra `ledger`: pip install 'tire-listing-auditor[ledger]'."
            ) from error
        self.place = place
        self._errors = psycopg.Error
        self._lock_errors = (psycopg.errors.LockNotAvailable, psycopg.errors.QueryCanceled)
        try:
            self._connection: Any = psycopg.connect(place.url, autocommit=True, connect_timeout=10)
            self._connection.execute(f"SET temp_buffers = '{_SERVER_MEMORY_MIB}MB'")  # before the first such table
        except psycopg.Error as error:
            reason = " ".join(str(error).split())[:200]
            raise OutputError(f"{place.shown}: the ledger cannot be reached ({reason}).") from error
        self._inside = False

    @contextlib.contextmanager
    def _told(self) -> Iterator[None]:
        try:
            yield
        except self._errors as error:
            reason = " ".join(str(error).split())[:200]
            raise OutputError(f"{self.place.shown}: the ledger cannot be used ({reason}).") from error

    def begin(self, wait_s: float) -> None:
        self.run("BEGIN")
        self._inside = True
        try:
            self._connection.execute(f"SET LOCAL lock_timeout = {max(int(wait_s * 1000), 1)}")
            self._connection.execute(f"SELECT pg_advisory_xact_lock({_LOCK})")
            self._connection.execute("SET LOCAL lock_timeout = 0")
            self._connection.execute(f"SET LOCAL work_mem = '{_SERVER_MEMORY_MIB}MB'")
        except self._lock_errors as error:
            self.rollback()
            raise OutputError(
                f"{self.place.shown}: the ledger is kept by another run; run again when that one is done."
            ) from error

    def commit(self) -> None:
        self.run("COMMIT")
        self._inside = False

    def rollback(self) -> None:
        if self._inside:
            with contextlib.suppress(self._errors):  # a server that is gone has forgotten it all
                self._connection.execute("ROLLBACK")
            self._inside = False

    def close(self) -> None:
        self._connection.close()

    def run(self, sql: str, *values: Any) -> int:
        with self._told():
            return self._connection.execute(sql.replace("?", "%s"), values or None).rowcount

    def rows(self, sql: str, *values: Any) -> Iterator[Row]:
        with self._told():
            if not self._inside:
                yield from self._connection.execute(sql.replace("?", "%s"), values or None)
                return
            with self._connection.cursor(name="ledger_rows") as cursor:  # on the server, so that memory stays small
                cursor.itersize = _ROWS_AT_ONCE
                cursor.execute(sql.replace("?", "%s"), values or None)
                yield from cursor

    def load(self, table: str, columns: Sequence[str], rows: Iterable[Sequence[Any]]) -> None:
        wanted = f"COPY {table} ({', '.join(columns)}) FROM STDIN"
        with self._told(), self._connection.cursor() as cursor, cursor.copy(wanted) as copy:
            for row in rows:
                copy.write_row(row)

    def has_table(self, name: str) -> bool:
        return first(self, "SELECT 1 WHERE to_regclass(?) IS NOT NULL", name) is not None

    def tidy(self) -> None:
        self.run("VACUUM")
