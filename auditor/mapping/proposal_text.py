"""A proposal as a feed map file that a person can correct and save; confidence and samples are comments."""

from __future__ import annotations

import json
from collections.abc import Sequence
from pathlib import PurePosixPath

from auditor.feeds.csv_feed import CsvFeed
from auditor.feeds.model import ColumnUse, Feed
from auditor.mapping.proposal import Proposal

_SHOWN = 40  # characters of a sample


def format_proposal(feed: Feed, proposal: Proposal) -> str:
    """The proposed feed map as TOML.  Same feed, same text."""
    total, placed = len(feed.headers), len(proposal.mapping.columns)
    lines = [
        f"# Proposed feed map for {_plain(_title(feed))}: {placed} of {total} columns placed,"
        f" from {proposal.records:,} sampled records.",
        "# Correct it where it is wrong, save it as a .toml file in a folder of its own, and name that folder",
        "# with `auditor audit --maps`.",
        "",
        f"files = [{_text(_pattern(feed.name))}]",
        *_top(feed, proposal),
        '# supplier = "..."',
        "",
        *_dialect(feed),
    ]
    usual = _usual_decimal(proposal)
    for use in proposal.mapping.columns:
        lines += _column(feed, use, usual)
    if proposal.unsure:
        lines += ["# Not certain; take the number signs away where it is right.", ""]
        for use in proposal.unsure:
            lines += [f"# {line}" if line else line for line in _column(feed, use, usual)]
    lines += _not_placed(proposal)
    return "\n".join(lines).rstrip("\n") + "\n"


def _title(feed: Feed) -> str:
    return f"{feed.name}, sheet {feed.sheet}" if feed.sheet else feed.name


def _pattern(name: str) -> str:
    """The file name with its digits as wildcards, for tomorrow's file is named by another date."""
    bare = PurePosixPath(name).name
    kept: list[str] = []
    for char in bare:
        if char in "[]*?":
            char = "?"
        if char.isdigit():
            char = "*"
        if char != "*" or kept[-1:] != ["*"]:
            kept.append(char)
    pattern = "".join(kept)
    return pattern if sum(char.isalpha() for char in pattern.split(".")[0]) >= 2 else bare


def _top(feed: Feed, proposal: Proposal) -> list[str]:
    lines = [f"sheet = {_text(feed.sheet)}"] if feed.sheet else []
    decimal = _usual_decimal(proposal)
    return [*lines, f"decimal = {_text(decimal)}"] if decimal else lines


def _usual_decimal(proposal: Proposal) -> str | None:
    """The decimal mark of most columns; the others name their own."""
    marks = [use.decimal for use in proposal.mapping.columns if use.decimal]
    return max(sorted(set(marks)), key=marks.count) if marks else None


def _dialect(feed: Feed) -> list[str]:
    if not isinstance(feed, CsvFeed):
        return []
    dialect = feed.dialect
    return [
        "[text]",
        f"encoding = {_text(feed.wide_encoding or dialect.encoding)}",
        f"delimiter = {_text(dialect.delimiter)}",
        f"header_row = {dialect.header_row}",
        "",
    ]


def _column(feed: Feed, use: ColumnUse, usual: str | None) -> list[str]:
    lines = ["[[column]]", f"header = {_text(use.column)}"]
    occurrence = feed.headers[: use.position].count(use.column) + 1
    if occurrence > 1:
        lines.append(f"occurrence = {occurrence}")
    if len(use.fields) == 1:
        lines.append(f"field = {_text(use.fields[0])}")
    else:
        lines.append(f"fields = [{', '.join(map(_text, use.fields))}]")
    if use.decimal and use.decimal != usual:
        lines.append(f"decimal = {_text(use.decimal)}")
    if use.unit:
        lines.append(f"unit = {_text(use.unit)}")
    if use.unit_column is not None:
        lines.append(f"unit_column = {_text(feed.headers[use.unit_column])}")
    if use.label:
        lines.append(f"label = {_text(use.label)}")
    if use.translate:
        pairs = ", ".join(f"{_text(code)} = {_text(value)}" for code, value in sorted(use.translate.items()))
        lines.append(f"translate = {{ {pairs} }}")
    samples = ", ".join(_sample(text) for text in use.samples) or "every sampled cell is blank"
    return [*lines, f"# confidence {use.confidence:.2f}; {samples}", ""]


def _not_placed(proposal: Proposal) -> list[str]:
    reasons = {item.position: f"{item.why} To read it, {item.takes}." for item in proposal.mapping.left_out}
    if not proposal.unplaced:
        return []
    lines = ["# Not placed: these columns are carried through untouched."]
    for use in proposal.unplaced:
        samples = ", ".join(_sample(text) for text in use.samples) or "blank"
        why = reasons.get(use.position)
        lines.append(f"#   {_plain(use.column) or '(no header)'}: {samples}" + (f"  ({_plain(why)})" if why else ""))
    return lines


def _sample(text: str) -> str:
    short = text if len(text) <= _SHOWN else text[: _SHOWN - 3] + "..."
    return _text(short)


def _text(text: str) -> str:
    """A TOML basic string; JSON's escapes are TOML's, save DEL."""
    return json.dumps(text, ensure_ascii=False).replace("\x7f", "\\u007F")


def _plain(text: str | Sequence[str]) -> str:
    """Text for a comment: control characters would end or spoil it."""
    return "".join(char if char.isprintable() else " " for char in str(text))
