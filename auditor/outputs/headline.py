"""What a night was, in one sentence: the same at the head of the report, the workbook and in the terminal."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from auditor.outputs.audit_result import RuleCard
from auditor.rulebook.finding import GRADES


def in_one_sentence(summary: Mapping[str, Any]) -> str:
    """The run in one sentence."""
    totals = summary["totals"]
    feeds, records = len(summary["feeds"]), totals["records"] - totals.get("furniture", 0)
    critical = totals["listings_with"]["critical"]
    dispositions = f"{totals['released']:,} released, {totals['held']:,} held"
    start = f"{counted(feeds, 'feed')}, {counted(records, 'listing')}: {dispositions}"
    rejected = f", {totals['rejected']:,} rejected" if totals["rejected"] else ""
    if critical:
        danger = f"; {critical:,} could hurt someone if believed."
    elif summary["unread_columns"] or summary["unreadable_feeds"]:
        danger = "; nothing dangerous in what was read, but not all was read."
    else:
        danger = "; none of them dangerous."
    return start + rejected + danger


def unread_first(summary: Mapping[str, Any], most: int = 3) -> str:
    """The columns that matter and were not read, in one sentence; empty where there are none."""
    unread = summary["unread_columns"]
    if not unread:
        return ""
    named = [f"{column['header']!r} in {_feed(column)}" for column in unread[:most]]
    more = f" and {len(unread) - most:,} more" if len(unread) > most else ""
    return f"NOT READ: {counted(len(unread), 'column')} that may hold a danger: {', '.join(named)}{more}."


def states_in_words(summary: Mapping[str, Any]) -> str:
    """What is new and what stands, in one sentence; empty for a run without a ledger."""
    states = summary.get("states")
    if states is None:
        return ""
    after = f"after {summary['night_before']}" if summary["night_before"] else "the first one"
    others = [f"{states[name]:,} {name}" for name in ("accepted", "asked") if states[name]]
    counts = [
        f"{states['new']:,} findings new",
        f"{states['standing']:,} standing",
        *others,
        f"{states['gone']:,} gone",
    ]
    return f"Night {summary['night']}, {after}: {', '.join(counts)}."


def deliveries_in_words(summary: Mapping[str, Any]) -> list[str]:
    """Deliveries that are unlike those before, a sentence each: what sets the exit code first."""
    entries = sorted(summary.get("delivery_changed", ()), key=lambda entry: not entry["sets_exit_code"])
    return [f"DELIVERY CHANGED: {_whose(entry)} {entry['said']}." for entry in entries]


def _whose(entry: Mapping[str, Any]) -> str:
    supplier, feed = entry["supplier"], entry["feed"]
    same = _bare(supplier) == _bare(feed)  # a supplier that nobody named goes by the file
    return str(feed) if same or not supplier else f"{feed} ({supplier})"


def _bare(name: str) -> str:
    return "".join(char for char in name.casefold() if char.isalnum())


def decisions_in_words(summary: Mapping[str, Any]) -> list[str]:
    """What became of the decisions in an earlier workbook, a sentence each."""
    decisions = summary.get("decisions", {})
    said = [f"Decision not taken: {one}" for one in decisions.get("refused", ())]
    if decisions.get("taken"):
        said.append(f"{counted(decisions['taken'], 'decision')} taken from the earlier workbook.")
    said += [f"Decision replaced: {one}" for one in decisions.get("replaced", ())]
    if "kept_workbook" in summary:
        said.append(f"The earlier workbook holds decisions; it is kept as {summary['kept_workbook']}.")
    return said


def _feed(column: Mapping[str, Any]) -> str:
    return f"{column['feed']} ({column['sheet']})" if column["sheet"] else str(column["feed"])


def safety_loosened(said: Sequence[str]) -> str:
    """What own rules or a policy take from safety, in one sentence; empty where they take nothing."""
    return f"Safety is loosened by own rules or policy: {'; '.join(said)}." if said else ""


def offers_in_one_sentence(summary: Mapping[str, Any]) -> str:
    """What became of the tires that feeds offer in place of others; empty where nothing is offered."""
    told = [feed["substitutes"] for feed in summary["feeds"] if "substitutes" in feed]
    if not told and "pairs_file" not in summary:
        return ""
    yes, no, untold = (sum(one[name] for one in told) for name in ("yes", "no", "cannot_tell"))
    return (
        f"Offered instead of other tires: {yes:,} the same or higher in every point, {no:,} lacking something, "
        f"{untold:,} that the markings do not settle."
    )


def unknown_offers(summary: Mapping[str, Any], most: int = 5) -> list[str]:
    """For each feed once: the SKUs that it offers and no feed of the run has."""
    lines = []
    for feed in summary["feeds"]:
        told = feed.get("substitutes", {})
        if told.get("unknown"):
            lines.append(_unknown(f"{feed['feed']} offers", told["unknown"], told["unknown_examples"]))
    pairs = summary.get("pairs_file")
    if pairs and pairs["unknown"]:
        lines.append(_unknown(f"{pairs['file']} begins with", pairs["unknown"], pairs["unknown_examples"]))
    left = len(lines) - most
    return [*lines[:most], *([f"and {counted(left, 'other feed')} do so too"] if left > 0 else [])]


def _unknown(who: str, count: int, examples: Sequence[str]) -> str:
    more = ", ..." if count > len(examples) else ""
    return f"{who} {counted(count, 'SKU')} that no feed of this run has: {', '.join(examples)}{more}"


def grade_of_rule(name: str, summary: Mapping[str, Any], rules: Mapping[str, RuleCard]) -> str:
    """How bad a rule's findings are: as the rule book says, and those of whole columns as what they stand for."""
    grade = str(summary["by_rule"][name]["grade"])
    if name not in rules or not rules[name].whole_column:
        return grade
    found = [str(group["grade"]) for group in summary["repeated"] if group["folded"]]
    return min(found, key=GRADES.index, default=grade)


def counted(count: int, word: str) -> str:
    """A number of things: `1 feed`, `2 feeds`."""
    return f"{count:,} {word}" if count == 1 else f"{count:,} {word}s"
