"""pandas, row by row: `DataFrame.apply` with Python's `re`."""

from __future__ import annotations

import re

import pandas as pd

from tests.benchmarks.rivals.common import task, write_answer
from tests.benchmarks.rivals.pandas_common import read
from tests.benchmarks.tables import (
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

_METRIC, _FLOTATION, _NUMBER = re.compile(METRIC), re.compile(FLOTATION), re.compile(NUMBER)


def expected_values(marking: str) -> dict[str, float]:
    """What one marking says about the seven fields."""
    metric = _METRIC.match(marking)
    found = metric or _FLOTATION.match(marking)
    if found is None:
        return {}
    group = found.groupdict()
    values: dict[str, float] = {}
    if kg := LOAD_KG.get(int(group["li"])):
        values |= {"max_load_kg": kg, "max_load_lb": kg * LB_PER_KG}
    if kmh := SPEED_KMH.get(group["sp"]):
        values |= {"max_speed_kmh": kmh, "max_speed_mph": kmh * MPH_PER_KMH}
    if metric:
        values |= {"section_width_mm": float(group["w"]), "aspect_ratio": float(group["a"])}
    else:
        values["section_width_mm"] = float(group["wi"]) * MM_PER_INCH
    values["rim_diameter_in"] = float(group["r"])
    return values


def findings(row: pd.Series) -> list[tuple[int, str, str, float]]:
    """The cells of one listing that disagree with its marking."""
    expected = expected_values(row["marking"])
    found = []
    for field in FIELDS:
        number = _NUMBER.match(row[field] or "") if field in expected else None
        if number and abs(float(number[1].replace(",", "")) - expected[field]) > TOL[field]:
            found.append((row.name, field, row[field], float(expected[field])))
    return found


if __name__ == "__main__":
    given = task()
    feed = read(given)
    feed = feed.astype(object).where(feed.notna(), "")
    every = [finding for findings_of_row in feed.apply(findings, axis=1) for finding in findings_of_row]
    names = ("row", "field", "stated", "expected")
    write_answer({name: [finding[i] for finding in every] for i, name in enumerate(names)}, given.out)
