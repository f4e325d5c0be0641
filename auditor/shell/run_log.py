"""What a run tells a machine: its events as lines of JSON on the error stream."""

from __future__ import annotations

import sys
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any


def log(event: str, **values: object) -> None:
    """One event as a line."""
    # Start-up: a run that draws tables logs nothing.
    from auditor.engine.progress import log_line

    log_line(sys.stderr, event=event, **values)


def log_finished(summary: Mapping[str, Any], exit_code: int, out: str | Path, quiet: bool) -> None:
    """Everything that was not read, by name, then the end of the run, with the reason of its exit code.

    A quiet run tells of what went wrong alone; of feeds that could not be read, others told when it happened.
    """
    if quiet:
        for feed in summary["unreadable_feeds"]:
            log("unreadable", **feed)
    for column in summary["unread_columns"]:
        log("unread column", **column)
    for change in summary.get("delivery_changed", ()):
        if change["sets_exit_code"] or not quiet:
            log("delivery changed", **change)
    for sentence in summary.get("decisions", {}).get("refused", ()):
        log("decision refused", message=sentence)
    if quiet:
        return
    for entry in summary.get("skipped", ()):
        log("skipped", **entry)
    for feed in summary["feeds"]:
        for line in feed["map"].get("warnings", ()):
            log("warning", feed=feed["feed"], message=line)
    totals = {name: count for name, count in summary["totals"].items() if isinstance(count, int)}
    counts = {name: len(summary.get(name, ())) for name in ("unreadable_feeds", "unread_columns", "skipped")}
    loosened = {"loosened_safety": summary["loosened_safety"]} if summary["loosened_safety"] else {}
    log(
        "finished",
        exit_code=exit_code,
        reason=exit_reason(summary, exit_code),
        feeds=len(summary["feeds"]),
        **totals,
        **counts,
        **loosened,
        **{name: summary[name] for name in ("night", "states", "kept_workbook") if name in summary},
        report=f"{out}/report.html",
    )


def exit_reason(summary: Mapping[str, Any], exit_code: int) -> str:
    """Why a finished run ends with its exit code, in one sentence."""
    return " ".join(_reasons(summary)) if exit_code else "Every listing is released."


def _reasons(summary: Mapping[str, Any]) -> Iterator[str]:
    # Start-up: only the end of a run needs its words.
    from auditor.outputs.headline import counted

    if lost := len(summary["unreadable_feeds"]):
        yield f"{counted(lost, 'feed')} could not be read."
    if unread := len(summary["unread_columns"]):
        yield f"{counted(unread, 'column')} that {'matters' if unread == 1 else 'matter'} {_was(unread)} not read."
    if changed := sum(one["sets_exit_code"] for one in summary.get("delivery_changed", ())):
        yield f"{counted(changed, 'change')} of deliveries passed a limit of the policy."
    if refused := len(summary.get("decisions", {}).get("refused", ())):
        yield f"{counted(refused, 'decision')} of a workbook {_was(refused)} refused."
    held, rejected = summary["totals"]["held"], summary["totals"]["rejected"]
    if held or rejected:
        yield f"{counted(held, 'listing')} {_was(held)} held and {counted(rejected, 'record')} rejected."


def _was(count: int) -> str:
    return "was" if count == 1 else "were"
