"""Whole feeds from a program: any table or files in, the same kind out."""

from __future__ import annotations

import tempfile
import warnings
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING, Any, Generic, Literal, TypedDict, TypeVar, Unpack, overload

from auditor.errors import FeedError, UnreadColumnWarning, UsageError
from auditor.programs.books import book_asked
from auditor.rulebook.book import RuleBook

if TYPE_CHECKING:
    from auditor.engine.run import RunOutcome, Settings
    from auditor.mapping.maps import MapBook
    from auditor.programs.tabular import Tabular

__all__ = ["AuditResult", "UnreadColumn", "audit"]

Frame = TypeVar("Frame")

_NAME = "listings.parquet"  # of a table's feed


class UnreadColumn(TypedDict):
    """A column that looks as if it mattered and was not read."""

    feed: str
    column: str  # its header
    why: str  # a sentence
    takes: str  # what it would take to read it


@dataclass(frozen=True, slots=True)
class AuditResult(Generic[Frame]):
    """A finished audit.

    `findings` has one row per wrong cell, with the columns of the finding record.  `verdicts` has one row per given
    row, in their order (and with the index of a pandas frame): `record` (from 1), `verdict` (release, hold, reject
    for a row that could not be read as a listing, furniture for one that is none), `grade` (the worst one, missing
    where nothing was found) and `findings` (their number).  `released` and `held` are the given rows, divided, with
    the given columns.  For files these three are None and stand in the output folder, as they do on disk.
    `unread_columns` are columns of which nothing is said although they look as if they mattered.  `summary` is what
    `summary.json` holds, `exit_code` what the command would have ended with.
    """

    findings: Frame
    released: Frame | None
    held: Frame | None
    verdicts: Frame | None
    unread_columns: tuple[UnreadColumn, ...]
    summary: dict[str, Any]
    exit_code: Literal[0, 1, 3, 5]


class AuditKeywords(TypedDict, total=False):
    """The keywords of `audit`; each means what it means on the command line.

    * `rules`: a folder of own rules, `policy`: a policy file, `hold_from`: critical, major or minor, `market`: US, EU
      or all; or in place of these four `book`, what `load_book` made of them.
    * `maps`: a folder of feed maps, or one map; a single one holds for a table whatever it is called.
    * `limits`: what a feed may cost, by the names of `--limit`, in bytes unless named otherwise.
    * `workers`: how many parts are audited at once; 0, the usual, is one per core.
    * `cluster`: the address of a Dask scheduler whose workers audit in place of this machine's cores (extra
      `cluster`); `cluster_folder`: a folder that all of them reach, for the parts of the run (the usual: beside `out`).
    * `pairs`: a CSV file with `sku` and `substitute_sku`: tires that are offered in place of others.
    * `ledger`: what is remembered from night to night, a file or the URL of a database; `night`: what tonight is
      called, an ISO date (the usual: today).
    """

    rules: str | Path | None
    policy: str | Path | None
    hold_from: str | None
    market: str | None
    book: RuleBook | None
    maps: str | Path | None
    limits: Mapping[str, int] | None
    workers: int
    cluster: str | None
    cluster_folder: str | Path | None
    pairs: str | Path | None
    ledger: str | Path | None
    night: str | None


_BOOK = ("rules", "policy", "hold_from", "market", "book")  # what says which rules apply

Paths = str | Path | Iterable[str | Path]


@overload
def audit(data: Paths, out: str | Path | None = None, **how: Unpack[AuditKeywords]) -> AuditResult[Any]: ...
@overload
def audit(data: Frame, out: str | Path | None = None, **how: Unpack[AuditKeywords]) -> AuditResult[Frame]: ...
def audit(data: Any, out: str | Path | None = None, **how: Unpack[AuditKeywords]) -> AuditResult[Any]:
    """Audits a table or feed files by every rule, those across listings included.

    A table is a pandas or Polars frame (a lazy one too), a DuckDB relation, an Arrow table, record batch, reader or
    data set, or anything else with Arrow's C stream interface, which is answered with Arrow tables.  Files are
    paths, globs or URLs, one or many; their findings are an Arrow table.  Columns may be headed as in any feed: the
    contract's names, their usual spellings, or as a map says.  With `out` the whole output folder of the command
    `audit` is written there; without it nothing is left behind.  Keywords: see `AuditKeywords`.  The logger
    `auditor` tells what is being done, and warns of what was lost.

    Warns with UnreadColumnWarning where a column of a table was left unread that looks as if it mattered.
    Raises UsageError for data of another kind or an unknown limit, FeedError where no column of a table is
    recognized or no file is found, OutputError where `out` cannot be written, RuleBookError where the rule book or a
    map cannot be read.

    >>> import pandas as pd
    >>> from auditor import audit
    >>> feed = pd.DataFrame({"Size": ["225/65R17 102H", "225/65R17 102H"], "Max load (kg)": [850, 950]}, index=[7, 8])
    >>> result = audit(feed)
    >>> result.findings[["record", "rule", "stated", "derived"]].to_dict("records")
    [{'record': 2, 'rule': 'load-overstated', 'stated': '950', 'derived': '850'}]
    >>> result.verdicts["verdict"].to_dict()
    {7: 'release', 8: 'hold'}
    >>> len(result.released), len(result.held)
    (1, 1)
    """
    unknown = set(how) - set(AuditKeywords.__annotations__)
    if unknown:
        raise UsageError(
            f"audit() has no keyword {sorted(unknown)[0]!r}; it has {', '.join(AuditKeywords.__annotations__)}."
        )
    # Start-up: the engine brings the array libraries, and its caller may only want `AuditResult`.
    from auditor.engine.progress import logged_progress
    from auditor.engine.run import run_audit
    from auditor.engine.workers.cluster.settings import cluster_settings
    from auditor.outputs.remote_folder import built_here

    given = _given(data)
    settings = _settings(how, for_table=not isinstance(given, list), workbook=out is not None)
    with tempfile.TemporaryDirectory(prefix="auditor-") as work, logged_progress() as told:
        place = how.get("cluster_folder")
        asked = out if out is not None else Path(work) / "audit"
        cluster = cluster_settings(how.get("cluster"), None if place is None else str(place), asked)
        settings = replace(settings, cluster=cluster)
        if isinstance(given, list):
            with built_here(asked, told.stage) as folder:
                outcome = run_audit(given, folder, settings, told)
            return _of_files(folder, outcome)
        # Start-up: calls about files need none of this.
        from auditor.programs.spooled import spool

        headers = spool(given.table, Path(work) / _NAME)
        with built_here(asked, told.stage) as folder:
            outcome = run_audit([str(Path(work) / _NAME)], folder, settings, told)
        return _of_table(given, folder, outcome, headers)


def _settings(how: AuditKeywords, *, for_table: bool, workbook: bool) -> Settings:
    """How the run is made that some keywords ask for."""
    # Start-up: the engine brings the array libraries, and its caller may only want `AuditResult`.
    from auditor.engine.run import Settings
    from auditor.feeds.model import limits_of
    from auditor.ledger.night import settings_of

    pairs, ledger, night = how.get("pairs"), how.get("ledger"), how.get("night")
    book = book_asked(**{name: how[name] for name in _BOOK if name in how})  # type: ignore[literal-required]
    return Settings(
        book=book,
        workers=how.get("workers", 0),
        maps=_maps(how.get("maps"), book, for_table=for_table),
        limits=limits_of(how.get("limits") or {}),
        workbook=workbook,
        pairs=None if pairs is None else Path(pairs),
        named=not for_table,
        night=night or "",
        ledger=None if ledger is None else settings_of(str(ledger), night),
    )


def _given(data: Any) -> Tabular | list[str]:
    """What was given: a table, or names of files."""
    if isinstance(data, str | Path):
        return [str(data)]
    # Start-up: files need none of this.
    from auditor.programs.tabular import tabular

    table = tabular(data)
    if table is not None:
        return table
    if isinstance(data, Iterable) and not isinstance(data, Mapping | bytes):
        paths = list(data)
        if paths and all(isinstance(path, str | Path) for path in paths):
            return [str(path) for path in paths]
    raise UsageError(
        "audit() takes a table (pandas, Polars, DuckDB, Arrow) or the paths of feed files, "
        f"not a {type(data).__name__}; for one listing or a few there are audit_listing() and audit_listings()."
    )


def _maps(given: str | Path | None, book: RuleBook, *, for_table: bool) -> MapBook | None:
    if given is None:
        return None
    # Start-up: few calls bring maps.
    from auditor.mapping.maps import MapBook, load_map, load_maps
    from auditor.rulebook.book import contract_in_force

    contract, path = contract_in_force(book), Path(given)
    if path.is_dir():
        return load_maps(path, contract)
    found = load_map(path, contract)
    return MapBook((replace(found, files=(_NAME,)) if for_table else found,))


def _of_files(folder: Path, outcome: RunOutcome) -> AuditResult[Any]:
    import pyarrow.parquet as pq

    findings = pq.read_table(folder / "findings.parquet")
    return AuditResult(findings, None, None, None, _unread(outcome, {}), outcome.summary, _code(outcome))


def _of_table(given: Tabular, folder: Path, outcome: RunOutcome, headers: Mapping[str, str]) -> AuditResult[Any]:
    """The result on a table; `headers` are the given headers of columns that had to be renamed."""
    # Start-up: calls about files need none of this.
    from auditor.programs.row_verdicts import row_verdicts
    from auditor.programs.spooled import findings_of, rows_in, without_row

    unreadable = outcome.summary["unreadable_feeds"]
    if unreadable:
        raise FeedError(f"The table was not audited: {without_row(unreadable[0]['reason'])}")
    findings = findings_of(folder, headers)
    released, held = (rows_in(folder / name / _NAME) for name in ("released", "held"))
    verdicts = given.dressed(row_verdicts(folder, given.table.num_rows, released, held))
    if given.index is not None:
        verdicts = verdicts.set_axis(given.index)
    unread = _unread(outcome, headers)
    for column in unread:
        warnings.warn(f"{column['column']!r} was not read: {column['why']}", UnreadColumnWarning, stacklevel=3)
    return AuditResult(
        given.dressed(findings),
        given.rows(released),
        given.rows(held),
        verdicts,
        unread,
        outcome.summary,
        _code(outcome),
    )


def _unread(outcome: RunOutcome, headers: Mapping[str, str]) -> tuple[UnreadColumn, ...]:
    return tuple(
        UnreadColumn(
            feed=one["feed"], column=headers.get(one["header"], one["header"]), why=one["why"], takes=one["takes"]
        )
        for one in outcome.summary["unread_columns"]
    )


def _code(outcome: RunOutcome) -> Any:
    return outcome.exit_code
