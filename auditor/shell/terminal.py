"""The end of a run in 80 columns: what happened, what to look at first, where the report is."""

from __future__ import annotations

import io
from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Any

from auditor.errors import printable
from auditor.outputs.audit_result import RuleCard
from auditor.outputs.headline import (
    counted,
    decisions_in_words,
    deliveries_in_words,
    grade_of_rule,
    in_one_sentence,
    offers_in_one_sentence,
    safety_loosened,
    states_in_words,
    unknown_offers,
    unread_first,
)
from auditor.rulebook.finding import GRADES

if TYPE_CHECKING:
    from rich.console import RenderableType
    from rich.table import Table

_MOST_SUPPLIERS = 12
_MOST_RULES = 8
_STYLE = {"critical": "bold red", "major": "yellow", "minor": "dim"}


def end_of_run(
    summary: Mapping[str, Any],
    rules: Mapping[str, RuleCard],
    folder: str | Path,
    width: int = 80,
    color: bool = False,
) -> str:
    """The text that ends a run.  Counts come from the summary; tables are capped and say so."""
    parts: list[RenderableType] = [
        *_unread(summary),
        *map(printable, deliveries_in_words(summary)),
        *filter(None, [states_in_words(summary)]),
        in_one_sentence(summary),
        *_loosened(summary),
        "",
        _suppliers(summary),
    ]
    parts += _left_over("suppliers", len(summary["by_supplier"]), _MOST_SUPPLIERS)
    if any(row["findings"] for row in summary["by_rule"].values()):
        parts += ["", _rules(summary, rules)]
        parts += _left_over("rules", sum(1 for row in summary["by_rule"].values() if row["findings"]), _MOST_RULES)
    parts += _columns(summary) + _offers(summary) + _not_told(summary) + _map_warnings(summary) + _unreadable(summary)
    decided = decisions_in_words(summary)
    parts += ["", *map(printable, decided)] if decided else []
    parts += ["", f"Report: {folder}/report.html"]
    return render(parts, width, color)


def _unread(summary: Mapping[str, Any]) -> list[RenderableType]:
    """What nobody compared with anything, before anything else."""
    unread = summary["unread_columns"]
    if not unread:
        return []
    lines = [
        indented(
            f"{printable(column['header'])!r}: {printable(column['why'])} To read it, {printable(column['takes'])}."
        )
        for column in unread[:5]
    ]
    return [printable(unread_first(summary)), *lines, *_left_over("columns not read", len(unread), 5)]


def _loosened(summary: Mapping[str, Any]) -> list[RenderableType]:
    said = safety_loosened(summary["loosened_safety"])
    return [printable(said)] if said else []


def indented(text: str) -> RenderableType:
    """The text two columns in, its wrapped lines too."""
    from rich.padding import Padding
    from rich.text import Text

    return Padding(Text(text), (0, 0, 0, 2))


def render(parts: list[RenderableType], width: int, color: bool) -> str:
    """Renders parts (texts and tables) one below the other, without trailing blanks."""
    from rich.console import Console
    from rich.text import Text

    stream = io.StringIO()
    console = Console(
        file=stream,
        width=width,
        force_terminal=color,
        color_system="standard" if color else None,
        legacy_windows=False,
        highlight=False,
        emoji=False,
        markup=False,
    )
    for part in parts:
        console.print(Text(part) if isinstance(part, str) else part)
    return "\n".join(line.rstrip() for line in stream.getvalue().splitlines()) + "\n"


def _table(*headings: str) -> Table:
    """A plain table: the first column gives way, all others are as wide as their numbers."""
    from rich import box
    from rich.table import Table

    table = Table(box=box.SIMPLE_HEAD, padding=(0, 1), pad_edge=False, show_edge=False, header_style="bold")
    for position, heading in enumerate(headings):
        table.add_column(
            heading, justify="left" if position == 0 else "right", no_wrap=position > 0, overflow="ellipsis"
        )
    return table


def _suppliers(summary: Mapping[str, Any]) -> Table:
    from rich.text import Text

    table = _table("Supplier", "Listings", "Held", "Critical", "Major", "Minor")
    ranked = sorted(
        summary["by_supplier"].items(),
        key=lambda item: (-item[1]["critical"], -item[1]["held"], -item[1]["major"], item[0]),
    )
    for name, row in ranked[:_MOST_SUPPLIERS]:
        grades = [Text(_count(row[grade]), style=_STYLE[grade] if row[grade] else "") for grade in GRADES]
        table.add_row(Text(_short(name or "(not named)", 32)), f"{row['records']:,}", _count(row["held"]), *grades)
    return table


def _rules(summary: Mapping[str, Any], rules: Mapping[str, RuleCard]) -> Table:
    from rich.text import Text

    table = _table("What to look at first", "Findings", "Grade")
    last = len(rules)

    grades = {name: grade_of_rule(name, summary, rules) for name in summary["by_rule"]}

    def rank(item: tuple[str, dict[str, Any]]) -> tuple[int, int, int, str]:
        name, row = item
        order = rules[name].order if name in rules else last
        return GRADES.index(grades[name]), -row["findings"], order, name

    found = sorted(((name, row) for name, row in summary["by_rule"].items() if row["findings"]), key=rank)
    for name, row in found[:_MOST_RULES]:
        grade = grades[name]
        table.add_row(Text(name), f"{row['findings']:,}", Text(grade, style=_STYLE[grade]))
    return table


def _offers(summary: Mapping[str, Any]) -> list[RenderableType]:
    sentence = offers_in_one_sentence(summary)
    if not sentence:
        return []
    return ["", sentence, *(indented(printable(line)) for line in unknown_offers(summary))]


def _columns(summary: Mapping[str, Any]) -> list[RenderableType]:
    found = summary["column_findings"]
    if not found:
        return []
    lines = [
        indented(f"{printable(column['feed'])}, column {printable(column['column'])!r}: {printable(column['message'])}")
        for column in found[:5]
    ]
    return ["", "Whole columns to ask about:", *lines, *_left_over("columns", len(found), 5)]


def _not_told(summary: Mapping[str, Any]) -> list[RenderableType]:
    told = sorted(
        ((rule, count) for rule, count in summary["could_not_tell"].items() if count),
        key=lambda item: (-item[1], item[0]),
    )
    if not told:
        return []
    shown = ", ".join(f"{rule} {count:,}" for rule, count in told[:4])
    more = f", and {counted(len(told) - 4, 'other rule')}" if len(told) > 4 else ""
    return ["", f"Could not tell (input missing or unreadable): {shown}{more}."]


def _map_warnings(summary: Mapping[str, Any]) -> list[RenderableType]:
    said = [
        f"Look at {printable(feed['feed'])}: {printable(line)}"
        for feed in summary["feeds"]
        for line in feed["map"].get("warnings", ())
    ]
    return ["", *said[:5], *_left_over("feeds to look at", len(said), 5)] if said else []


def _unreadable(summary: Mapping[str, Any]) -> list[RenderableType]:
    return [
        f"Not audited: {printable(feed['feed'])}: {printable(feed['reason'])}" for feed in summary["unreadable_feeds"]
    ]


def _left_over(what: str, there_are: int, shown: int) -> list[RenderableType]:
    return [f"({there_are - shown:,} more {what} in the report)"] if there_are > shown else []


def _count(count: int) -> str:
    return f"{count:,}" if count else "."


def _short(text: str, longest: int) -> str:
    clean = printable(text)
    return clean if len(clean) <= longest else clean[: longest - 1] + "…"
