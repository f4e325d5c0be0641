"""Whole feeds from a program: DataFrames, Arrow tables or files in, the same kind out."""

from __future__ import annotations

import sys
import tempfile
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any, Generic, TypedDict, TypeVar, Unpack, overload

from auditor.errors import UsageError
from auditor.programs.books import book_asked
from auditor.programs.request import cell_text
from auditor.rulebook.book import RuleBook

if TYPE_CHECKING:
    import pandas as pd
    import pyarrow as pa

__all__ = ["AuditResult", "audit"]

Frame = TypeVar("Frame")


@dataclass(frozen=True, slots=True)
class AuditResult(Generic[Frame]):
    """A finished audit.

    `findings` has one row per wrong cell, with the columns of the finding record.  `released` and `held` are the
    given rows, divided, with the given columns; for files they are None and stand in the output folder, as they do
    on disk.  `summary` is what `summary.json` holds, `exit_code` what the command would have ended with.
    """

    findings: Frame
    released: Frame | None
    held: Frame | None
    summary: dict[str, Any]
    exit_code: int


class BookKeywords(TypedDict, total=False):
    """The keywords of `audit` that say which rules apply; `book` stands for all of the others."""

    book: RuleBook | None  # what `load_book` gave
    rules: str | Path | None  # a folder of own rules
    policy: str | Path | None  # a policy file
    hold_from: str | None  # critical, major or minor
    market: str | None  # US, EU or all


@overload
def audit(
    data: pd.DataFrame, out: str | Path | None = None, *, workers: int = 0, **which: Unpack[BookKeywords]
) -> AuditResult[pd.DataFrame]: ...
@overload
def audit(
    data: str | Path | Sequence[str | Path],
    out: str | Path | None = None,
    *,
    workers: int = 0,
    **which: Unpack[BookKeywords],
) -> AuditResult[pa.Table]: ...
@overload
def audit(
    data: pa.Table, out: str | Path | None = None, *, workers: int = 0, **which: Unpack[BookKeywords]
) -> AuditResult[pa.Table]: ...
def audit(
    data: Any, out: str | Path | None = None, *, workers: int = 0, **which: Unpack[BookKeywords]
) -> AuditResult[Any]:
    """Audits a pandas DataFrame, an Arrow table, or feed files, by every rule, those across listings included.

    Columns may be headed as in any feed: the contract's names or their usual spellings.  With `out` the whole output
    folder of the command `audit` is written there; without it nothing is left behind.  `workers` 0 means one thread
    per core.  `rules`, `policy`, `hold_from` and `market` are as on the command line, or `book` is what `load_book`
    made of them.  For files, `findings` is an Arrow table.

    Raises UsageError for data of another kind, FeedError where no column is recognized or no file is found,
    OutputError where `out` cannot be written, RuleBookError where the rule book cannot be read.

    >>> import pandas as pd
    >>> from auditor import audit
    >>> feed = pd.DataFrame({"Size": ["225/65R17 102H", "225/65R17 102H"], "Max load (kg)": [850, 950]})
    >>> result = audit(feed)
    >>> result.findings[["record", "rule", "stated", "derived"]].to_dict("records")
    [{'record': 2, 'rule': 'load-overstated', 'stated': '950', 'derived': '850'}]
    >>> len(result.released), len(result.held)
    (1, 1)
    """
    # Start-up: the engine brings the array libraries, and its caller may only want `AuditResult`.
    from auditor.engine.progress import progress
    from auditor.engine.run import Settings, run_audit

    settings = Settings(book=book_asked(**which), workers=workers, workbook=out is not None)
    with tempfile.TemporaryDirectory(prefix="auditor-") as work, progress("none") as silent:
        paths = _paths(data, Path(work))
        folder = Path(out) if out is not None else Path(work) / "audit"
        outcome = run_audit(paths, folder, settings, silent)
        return _result(data, folder, outcome)


_NAME = "listings.parquet"
_ROW = "row of the given frame"  # carried through the audit, to divide the rows as they were given


def _paths(data: Any, work: Path) -> list[str]:
    import pyarrow as pa
    import pyarrow.parquet as pq

    if isinstance(data, str | Path):
        return [str(data)]
    if isinstance(data, Sequence) and data and all(isinstance(part, str | Path) for part in data):
        return [str(part) for part in data]
    table = data if isinstance(data, pa.Table) else _as_table(data)
    rows = pa.array([f"row {number}" for number in range(table.num_rows)], pa.string())
    pq.write_table(table.append_column(_ROW, rows), work / _NAME)
    return [str(work / _NAME)]


def _as_table(data: Any) -> Any:
    import pyarrow as pa

    pandas = sys.modules.get("pandas")  # whoever hands over a frame has loaded it; nobody else needs it
    if pandas is None or not isinstance(data, pandas.DataFrame):
        raise UsageError(
            f"audit() takes a pandas DataFrame, a pyarrow Table or feed files, not a {type(data).__name__}."
        )
    columns = [_column(str(name), data.iloc[:, position]) for position, name in enumerate(data.columns)]
    return pa.table(columns, names=[str(name) for name in data.columns])


def _column(name: str, column: Any) -> Any:
    """A column of a DataFrame for Arrow; one of mixed values becomes text, each value as a person writes it."""
    import pyarrow as pa

    if column.dtype.kind == "f":  # whole numbers with gaps are floats in pandas: 850.0 was 850
        return pa.array([cell_text(name, value) or None for value in column.tolist()], pa.string())
    try:
        return pa.Array.from_pandas(column)
    except (pa.ArrowInvalid, pa.ArrowTypeError):
        return pa.array([cell_text(name, value) for value in column.tolist()], pa.string())


def _result(data: Any, folder: Path, outcome: Any) -> AuditResult[Any]:
    import pyarrow as pa
    import pyarrow.parquet as pq

    findings = pq.read_table(folder / "findings.parquet")
    if isinstance(data, str | Path | list | tuple):
        return AuditResult(findings, None, None, outcome.summary, outcome.exit_code)
    released, held = (_rows(folder / name / _NAME) for name in ("released", "held"))
    if isinstance(data, pa.Table):
        parts = [data.take(pa.array(rows, pa.int64())) for rows in (released, held)]
        return AuditResult(findings, parts[0], parts[1], outcome.summary, outcome.exit_code)
    return AuditResult(findings.to_pandas(), data.iloc[released], data.iloc[held], outcome.summary, outcome.exit_code)


def _rows(path: Path) -> list[int]:
    """Positions of the given rows that ended up in a released or held file."""
    import pyarrow.parquet as pq

    if not path.is_file():
        return []
    return [int(text.removeprefix("row ")) for text in pq.read_table(path, columns=[_ROW])[_ROW].to_pylist()]
