"""Nights, trends and stories as text for the terminal."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from auditor.errors import printable

_HEADINGS = {
    "night": "Night",
    "records": "Listings",
    "held": "Held",
    "critical": "Critical",
    "new": "New",
    "standing": "Standing",
    "accepted": "Accepted",
    "asked": "Asked",
    "gone": "Gone",
    "changed": "Deliveries",
}


def nights_table(nights: Sequence[Mapping[str, Any]]) -> str:
    """One line a night."""
    if not nights:
        return "The ledger holds no night yet.\n"
    names = [name for name in _HEADINGS if name in nights[0]]
    rows = [[_HEADINGS[name] for name in names]]
    for night in nights:
        rows.append([str(night[name]) if name == "night" else f"{night[name]:,}" for name in names])
    widths = [max(len(row[place]) for row in rows) for place in range(len(names))]
    lines = []
    for row in rows:
        first, *others = (
            text.ljust(width) if place == 0 else text.rjust(width)
            for place, (text, width) in enumerate(zip(row, widths, strict=True))
        )
        lines.append("  ".join([first, *others]))
    if "changed" in names:
        lines += ["", "Deliveries: how many were unlike those of the nights before."]
    return "\n".join(lines) + "\n"


def story_words(story: Mapping[str, Any]) -> str:
    """The story of one finding."""
    supplier, listing = story["supplier"] or "(supplier not named)", story["listing"] or "(not named)"
    lines = [
        f"{story['rule']}, {story['grade']}, {story['state']}",
        f"{printable(supplier)}, {printable(listing)}",
        f"{story['field']} states {printable(story['stated'])!r}"
        + (f", should be {printable(story['derived'])!r}" if story["derived"] else "")
        + (f"; marking {printable(story['marking'])}" if story["marking"] else ""),
        "",
    ]
    for stay in story["stays"]:
        until = f"gone on {stay['gone']}" if stay["gone"] else "still there"
        lines.append(f"{stay['first_night']} to {stay['last_night']}, {until}")
        for change in stay["changes"]:
            lines.append(f"  {change['night']}: {change['what']} {change['before']!r} became {change['now']!r}")
    for decision in story["decisions"]:
        lines.append(_decision(decision))
    return "\n".join(lines) + "\n"


def _decision(decision: Mapping[str, Any]) -> str:
    parts = [f"{decision['taken']}: {decision['decision']}"]
    if decision["by"]:
        parts.append(f"by {printable(decision['by'])}")
    if decision["until"]:
        parts.append(f"until {decision['until']}")
    text = " ".join(parts)
    if decision["because"]:
        text += f", because: {printable(decision['because'])}"
    if decision["ended"]:
        text += f" (ended on {decision['ended']}: {decision['ended_why']})"
    return text


def forgotten_words(counts: Mapping[str, int]) -> str:
    """What was forgotten."""
    return f"Forgotten: {', '.join(f'{count:,} {what}' for what, count in counts.items())}.\n"
