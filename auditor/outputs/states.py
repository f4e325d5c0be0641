"""What a ledger knows of findings, as people read it: what is new tonight, what stands since when."""

from __future__ import annotations

import datetime
from collections.abc import Mapping
from typing import Any

NEW = "new"


def day_in_words(night: str) -> str:
    """The name of a night as people write a date; "" for none."""
    if not night:
        return ""
    day = datetime.date.fromisoformat(night)
    return f"{day.day} {day.strftime('%B')} {day.year}"


def new_among(group: Mapping[str, Any]) -> int:
    """How many findings of a repeated mistake are new; without a ledger none is known to be."""
    return int(group.get("states", {}).get(NEW, 0))


def state_of_group(group: Mapping[str, Any]) -> str:
    """The state of a repeated mistake in a few words; "" without a ledger."""
    states = {name: count for name, count in group.get("states", {}).items() if count}
    if not states:
        return ""
    if set(states) == {NEW}:
        return NEW
    since = f"since {day_in_words(group['first_night'])}"
    if len(states) == 1:
        return f"{next(iter(states))} {since}"
    counted = [f"{states.pop(NEW):,} {NEW}"] if NEW in states else []
    counted += [f"{count:,} {name}" for name, count in states.items()]
    return f"{', '.join(counted)} {since}"


def counted(summary: Mapping[str, Any]) -> dict[str, int]:
    """Findings by state, without those that are gone; nothing without a ledger."""
    return {name: count for name, count in summary.get("states", {}).items() if name != "gone"}


def leads_with_new(summary: Mapping[str, Any]) -> bool:
    """Whether outputs begin with what is new: there was a night before, and something came since."""
    return bool(summary.get("night_before")) and bool(summary.get("states", {}).get(NEW))
