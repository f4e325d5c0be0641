"""What became of each row of a table, aligned with its rows."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import numpy.typing as npt
import pyarrow as pa
import pyarrow.compute as pc
import pyarrow.csv
import pyarrow.parquet as pq

from auditor.rulebook.finding import GRADES

VERDICTS = ("release", "hold", "reject", "furniture")


def row_verdicts(folder: Path, count: int, released: npt.NDArray[np.int64], held: npt.NDArray[np.int64]) -> pa.Table:
    """`record`, `verdict`, worst `grade` and number of `findings` for each of `count` rows of a finished audit.

    `released` and `held` are positions of rows, from 0.
    """
    verdict = np.full(count, VERDICTS.index("furniture"), np.int8)
    verdict[released] = VERDICTS.index("release")
    verdict[held] = VERDICTS.index("hold")
    verdict[_rejected(folder)] = VERDICTS.index("reject")
    worst = np.full(count, len(GRADES), np.int8)
    number = np.zeros(count, np.int32)
    for records, grades in _graded(folder):
        np.minimum.at(worst, records, grades)
        np.add.at(number, records, 1)
    return pa.table(
        {
            "record": pa.array(np.arange(1, count + 1)),
            "verdict": pa.array(VERDICTS).take(pa.array(verdict)),
            "grade": pa.array([*GRADES, None], pa.string()).take(pa.array(worst)),
            "findings": pa.array(number),
        }
    )


def _rejected(folder: Path) -> npt.NDArray[np.int64]:
    """Positions of rows that could not be read as a listing."""
    options = pyarrow.csv.ConvertOptions(include_columns=["record"])
    parsing = pyarrow.csv.ParseOptions(newlines_in_values=True)
    records = pyarrow.csv.read_csv(folder / "rejected.csv", convert_options=options, parse_options=parsing)["record"]
    return records.cast(pa.int64()).drop_null().to_numpy() - 1


def _graded(folder: Path) -> list[tuple[npt.NDArray[np.int64], npt.NDArray[np.int8]]]:
    """Positions of rows with the places of their findings' grades; folded findings as those of their own rows."""
    found = pq.read_table(folder / "findings.parquet")
    folded = folder / "folded.parquet"
    tables = [found]
    if folded.is_file():
        tables = [found.filter(pc.equal(found["stands_for"], 1))]
        tables.append(pq.read_table(folded, columns=["record", "grade"]))
    return [(_positions(table), _places(table)) for table in tables]


def _positions(table: pa.Table) -> npt.NDArray[np.int64]:
    return table["record"].cast(pa.int64()).to_numpy() - 1


def _places(table: pa.Table) -> npt.NDArray[np.int8]:
    return pc.index_in(table["grade"].cast(pa.string()), pa.array(GRADES)).cast(pa.int8()).to_numpy()
