"""The reading and the vectorised steps that the pandas rivals share."""

from __future__ import annotations

import numpy as np
import pandas as pd

from tests.benchmarks.rivals.common import Task, write_answer
from tests.benchmarks.tables import (
    COLUMNS,
    FIELDS,
    FLOTATION,
    LB_PER_KG,
    LOAD_KG,
    METRIC,
    MM_PER_INCH,
    MPH_PER_KMH,
    NUMBER,
    SPEED_KMH,
    TOL,
)


def read(task: Task) -> pd.DataFrame:
    """The needed columns as text."""
    if task.is_parquet:
        return pd.read_parquet(task.feed, columns=list(COLUMNS))
    return pd.read_csv(task.feed, usecols=list(COLUMNS), dtype=str, keep_default_na=False)


def expected_values(marking: pd.Series) -> pd.DataFrame:
    """What each marking says about the seven fields; `nan` where it says nothing."""
    metric, flotation = marking.str.extract(METRIC), marking.str.extract(FLOTATION)
    kg = _numbers(metric["li"].fillna(flotation["li"])).map(LOAD_KG)
    kmh = metric["sp"].fillna(flotation["sp"]).map(SPEED_KMH)
    columns = {
        "max_load_kg": kg,
        "max_load_lb": kg * LB_PER_KG,
        "max_speed_kmh": kmh,
        "max_speed_mph": kmh * MPH_PER_KMH,
        "section_width_mm": _numbers(metric["w"]).fillna(_numbers(flotation["wi"]) * MM_PER_INCH),
        "aspect_ratio": _numbers(metric["a"]),
        "rim_diameter_in": _numbers(metric["r"]).fillna(_numbers(flotation["r"])),
    }
    return pd.DataFrame(columns, dtype="float64")


def stated_values(cells: pd.Series) -> pd.Series:
    """The number in each cell, `nan` where there is none."""
    return _numbers(cells.str.extract(NUMBER)[0].str.replace(",", "", regex=False)).astype("float64")


def answer(feed: pd.DataFrame, out: str) -> None:
    """Compares the seven columns with the markings and writes what disagrees."""
    expected = expected_values(feed["marking"])
    parts = []
    for order, field in enumerate(FIELDS):
        apart = (stated_values(feed[field]) - expected[field]).abs() > TOL[field]
        rows = np.flatnonzero(apart.to_numpy(dtype=bool))
        wrong = {"row": rows, "field": field, "order": order}
        cells = {"stated": feed[field].to_numpy()[rows], "expected": expected[field].to_numpy()[rows]}
        parts.append(pd.DataFrame(wrong | cells))
    found = pd.concat(parts).sort_values(["row", "order"], kind="stable")
    write_answer({name: found[name].tolist() for name in ("row", "field", "stated", "expected")}, out)


def _numbers(texts: pd.Series) -> pd.Series:
    return pd.to_numeric(texts, errors="coerce")
