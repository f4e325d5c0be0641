"""Repeated mistakes as people read them: their order, what likely slipped, and `repeated.csv`."""

from __future__ import annotations

import csv
from collections.abc import Iterable, Mapping, Sequence
from pathlib import Path
from typing import Any

from auditor.errors import OutputError
from auditor.outputs.findings import neutralize_text
from auditor.outputs.languages import Wordings
from auditor.rulebook.finding import GRADES
from auditor.wording.whole_columns import factor_text, is_scientific, unit_key

COLUMNS = (
    "supplier",
    "feed",
    "sheet",
    "column",
    "field",
    "rule",
    "grade",
    "cause",
    "count",
    "share",
    "deviation",
    "factor",
    "folded",
    "says",
    "example_1",
    "example_2",
    "example_3",
    "key",
)


def worst_first(groups: Iterable[dict[str, Any]]) -> list[dict[str, Any]]:
    """Groups by danger: grade, then how many listings, then how far off, then where they stand."""

    def rank(group: dict[str, Any]) -> tuple[Any, ...]:
        place = (group["supplier"], group["feed"], group["sheet"] or "", group["column"], group["rule"], group["cause"])
        return GRADES.index(group["grade"]), -group["count"], -abs(group["deviation"] or 0.0), place, group["key"]

    return sorted(groups, key=rank)


def slip(group: Mapping[str, Any], words: Wordings) -> str:
    """What likely slipped, in a few words: "pounds written as kilograms"."""
    texts = words.slips
    stated = group["stated"] or (group["examples"][0]["stated"] if group["examples"] else "") or ""
    if is_scientific(stated):
        return texts["spreadsheet"].format(stated=stated.strip())
    if group["cause"] == "column-shifted" and not group["column"]:
        return texts["shifted-rows"]
    if group["cause"] == "unclear" and group["factor"] is not None:
        return texts["same-factor"].format(factor=words.figure(factor_text(group["factor"])))
    if group["cause"] != "unclear":
        key = unit_key(group["cause"], group["field"]).replace(" ", "-")
        return texts.get(key, texts.get(group["cause"], words.cause(group["cause"])))
    if group["stated"]:
        return texts["same-value"].format(stated=_short(group["stated"]))
    if group["reason"]:
        return texts["unreadable"].format(reason=_short(group["reason"]))
    return texts[group["direction"] or "unclear"]


def where(group: Mapping[str, Any], words: Wordings) -> str:
    """The column that a repeated mistake is made in, or the one from which on rows are shifted."""
    if group.get("shift"):
        return f"from {group['shift']['column']} on"
    return group["column"] or words.field(group["field"])


def how_far(group: Mapping[str, Any], words: Wordings) -> str:
    """How far the worst value is off; "" where that cannot be said."""
    deviation = group["deviation"]
    if deviation is None or not group["direction"]:
        return ""
    if group["direction"] == "above":
        return words.slips["times"].format(times=words.figure(factor_text(1 + deviation)))
    return words.slips["percent"].format(percent=max(1, round(100 * (1 + deviation))))


def in_a_sentence(group: Mapping[str, Any], words: Wordings) -> str:
    """A group of single findings in one sentence."""
    far = how_far(group, words)
    said = slip(group, words)
    share = f", {group['share']:.0%} of the column" if group["share"] else ""
    return f"{said[:1].upper()}{said[1:]}: {group['count']:,} listings{share}{', ' + far if far else ''}."


def _short(text: str, longest: int = 60) -> str:
    text = " ".join(text.split())
    return text if len(text) <= longest else text[: longest - 1] + "…"


def write_repeated(folder: Path, groups: Sequence[Mapping[str, Any]]) -> Path:
    """Writes `repeated.csv`: all repeated mistakes, worst first."""
    path = folder / "repeated.csv"
    try:
        with path.open("w", encoding="utf-8", errors="replace", newline="") as file:
            writer = csv.writer(file, lineterminator="\n")
            writer.writerow(COLUMNS)
            for group in groups:
                writer.writerow([neutralize_text(cell) for cell in _cells(group)])
    except OSError as error:
        raise OutputError(f"{path} could not be written ({error}); make room and run again.") from error
    return path


def _cells(group: Mapping[str, Any]) -> list[str]:
    examples = [_example(one) for one in group["examples"]]
    known = {
        **{name: "" if value is None else str(value) for name, value in group.items()},
        "folded": "yes" if group["folded"] else "no",
        **{f"example_{number}": text for number, text in enumerate((*examples, "", "", ""), 1)},
    }
    return [known[name] for name in COLUMNS]


def _example(one: Mapping[str, Any]) -> str:
    listing = one["sku"] or one["part_number"] or one["gtin"] or f"record {one['record']}"
    should = f" for {one['derived']}" if one["derived"] else ""
    return " ".join(f"{listing}: {one['stated']}{should}, {one['marking']}".split())
