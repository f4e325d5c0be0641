"""The finding record: its columns, its grades, its causes.  One row per disagreement, one per wrong cell."""

from __future__ import annotations

from typing import Literal, get_args

Grade = Literal["critical", "major", "minor"]
GRADES: tuple[Grade, ...] = get_args(Grade)  # worst first

COLUMNS: tuple[tuple[str, str], ...] = (
    ("feed", "string"),
    ("sheet", "string"),
    ("record", "int64"),
    ("supplier", "string"),
    ("sku", "string"),
    ("part_number", "string"),
    ("gtin", "string"),
    ("key", "string"),
    ("rule", "string"),
    ("grade", "string"),
    ("field", "string"),
    ("column", "string"),
    ("stated", "string"),
    ("derived", "string"),
    ("deviation", "float64"),
    ("marking", "string"),
    ("evidence", "string"),
    ("likely_cause", "string"),
    ("suggestion", "string"),
    ("message", "string"),
    ("stands_for", "int64"),
)

Cause = Literal[
    "unit-swapped",
    "single-dual-swapped",
    "digits-transposed",
    "digit-missing",
    "digit-added",
    "neighboring-row",
    "decimal-slip",
    "per-pair",
    "column-shifted",
    "rounded",
    "converted-badly",
    "copied-from-another-size",
    "index-not-load",
    "unclear",
]
CAUSES: tuple[Cause, ...] = get_args(Cause)
