"""What rules are about, and which one speaks where several fail on one cell."""

from __future__ import annotations

# The order of subjects is the order in which findings of one record are listed.
SUBJECTS = (
    "marking",
    "columns",
    "load",
    "speed",
    "size",
    "load range",
    "pressure",
    "quantities",
    "us grading",
    "season",
    "eu label",
    "texts",
    "identity",
    "peers",
    "substitutes",
)
GROUPS = ("marking", "units", "plausibility")  # which rule speaks where two of one grade meet on a cell
