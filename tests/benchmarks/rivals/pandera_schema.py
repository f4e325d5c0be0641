"""A pandera schema with one vectorised check per column, validated lazily."""

from __future__ import annotations

import numpy as np
import pandas as pd
import pandera.pandas as pandera

from tests.benchmarks.rivals.common import task, write_answer
from tests.benchmarks.rivals.pandas_common import expected_values, read, stated_values
from tests.benchmarks.tables import FIELDS, TOL


def schema(expected: pd.DataFrame) -> pandera.DataFrameSchema:
    """A schema whose checks compare each column with what the markings of the same rows say."""

    def check(field: str) -> pandera.Check:
        def agrees(cells: pd.Series) -> pd.Series:
            return ~((stated_values(cells) - expected.loc[cells.index, field]).abs() > TOL[field]).fillna(False)

        return pandera.Check(agrees, name=field)

    return pandera.DataFrameSchema({field: pandera.Column(None, check(field), nullable=True) for field in FIELDS})


def failures(feed: pd.DataFrame, expected: pd.DataFrame) -> pd.DataFrame:
    """The failure cases as pandera reports them."""
    try:
        schema(expected).validate(feed, lazy=True)
    except pandera.errors.SchemaErrors as found:
        return found.failure_cases
    return pd.DataFrame(columns=["index", "check", "failure_case"])


if __name__ == "__main__":
    given = task()
    feed = read(given)
    expected = expected_values(feed["marking"])
    cases = failures(feed, expected)
    cases = cases[cases["check"].isin(FIELDS)]
    order = cases["check"].map({field: i for i, field in enumerate(FIELDS)})
    cases = cases.assign(order=order, index=cases["index"].astype(int)).sort_values(["index", "order"])
    values = expected.to_numpy()[cases["index"].to_numpy(), cases["order"].to_numpy(dtype=np.int64)]
    columns = {"row": cases["index"], "field": cases["check"], "stated": cases["failure_case"].astype(str)}
    write_answer({name: column.tolist() for name, column in columns.items()} | {"expected": values}, given.out)
