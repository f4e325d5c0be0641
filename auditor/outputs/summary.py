"""`summary.json`: the audit in numbers, balanced before it is written."""

from __future__ import annotations

import json
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from auditor.errors import OutputError
from auditor.rulebook.finding import GRADES

_ENCODER = json.JSONEncoder(indent=1, sort_keys=True, ensure_ascii=False, allow_nan=False)


def write_summary(folder: Path, summary: Mapping[str, Any]) -> Path:
    """Writes `summary.json` (sorted keys, UTF-8, newline at the end).  Raises OutputError where it does not add up."""
    check_balance(summary)
    path = folder / "summary.json"
    try:
        with path.open("w", encoding="utf-8") as file:  # piece by piece: of 20,000 feeds it is 70 MB
            file.writelines(_ENCODER.iterencode(summary))
            file.write("\n")
    except OSError as error:
        raise OutputError(f"{path} could not be written ({error}); make room and run again.") from error
    return path


def check_balance(summary: Mapping[str, Any]) -> None:
    """Raises OutputError naming the first place where the summary does not balance.

    That it keeps to its schema is held by the tests, in every audit that they make: the library that checks it takes
    longer to load than a small feed takes to audit.
    """
    feeds = summary["feeds"]
    for part in (summary["totals"], *feeds):
        name = part.get("feed", "the totals")
        if part["records"] != part["released"] + part["held"] + part["rejected"] + part["furniture"]:
            raise OutputError(
                f"summary.json does not balance in {name}: {part['records']} records read,"
                f" but {part['released']} released,"
                f" {part['held']} held, {part['rejected']} rejected and {part['furniture']} that are no listings;"
                " please report this run."
            )
    for name in ("records", "released", "held", "rejected", "furniture"):
        _check_sum(name, summary["totals"][name], sum(feed[name] for feed in feeds))
    for grade in GRADES:
        total = summary["totals"]["findings"][grade]
        _check_sum(f"{grade} findings", total, sum(feed["findings"][grade] for feed in feeds))


def _check_sum(name: str, total: int, parts: int) -> None:
    if total != parts:
        raise OutputError(
            f"summary.json does not balance in {name}: {total} in total, {parts} over the feeds;"
            " please report this run."
        )
