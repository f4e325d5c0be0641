"""Puts changes into JSON feeds, touching no character but those of the changed values."""

from __future__ import annotations

import json
from json.decoder import JSONDecoder
from pathlib import Path

import numpy as np

from auditor.feeds.csv_pieces import TextShape, piece_spans
from auditor.feeds.csv_units import pieces_of
from auditor.feeds.json_feed import JsonFeed
from auditor.feeds.json_values import LEVELS, deep_text
from auditor.feeds.record_spans import Marks
from auditor.feeds.spool import create_packed
from auditor.outputs.corrected.model import Change, Changes, changed_records, fits, number_or_none

_DECODER = JSONDecoder()
_BLANKS = " \t\r\n"


def apply_to_json(feed: JsonFeed, target: Path, changes: Changes) -> list[Change]:
    """Writes the feed with the changes to `target`, one object per line; returns those made, in record order."""
    made: list[Change] = []
    shape = TextShape("utf-8", ",", "", Marks(0, 0, 10, 1, feed.limits.record_bytes))
    joint = b",\n" if feed.format == "json" else b"\n"
    with feed.path.open("rb") as source, create_packed(target, feed.compression) as out:
        out.write(feed.before.encode("utf-8", "surrogateescape"))
        written = False
        for unit in feed.units():
            for start, stop, first, records in pieces_of(unit):
                source.seek(start)
                raw = source.read(stop - start)
                if not changed_records(changes, first, records):
                    out.write((joint if written else b"") + raw.rstrip(b"\n").replace(b"\n", joint))
                    written = True
                    continue
                spans = piece_spans(np.frombuffer(raw, np.uint8), shape, records, unit.careful)
                lines: list[bytes] = []
                for position, (begin, end) in enumerate(zip(spans.starts.tolist(), spans.stops.tolist(), strict=True)):
                    here_wanted = changes.get(first + position, {})
                    line, here = edit_line(raw[begin:end].rstrip(b"\n"), feed.headers, here_wanted, feed.levels)
                    lines.append(line)
                    made += here
                if lines:
                    out.write((joint if written else b"") + joint.join(lines))
                    written = True
        out.write((b"\n" if written else b"") + feed.after.encode("utf-8", "surrogateescape"))
    return made


def edit_line(
    line: bytes, headers: tuple[str, ...], changes: dict[int, Change], levels: int
) -> tuple[bytes, list[Change]]:
    """One object's text with the changes that fit put in, and those changes."""
    if not changes:
        return line, []
    try:
        text = line.decode("utf-8")
        spans = member_spans(text, levels)
    except (ValueError, RecursionError):
        return line, []
    made: list[Change] = []
    edits: list[tuple[int, int, str, Change]] = []
    for position, change in changes.items():
        if headers[position] in spans:
            start, stop = spans[headers[position]]
            old = json.loads(text[start:stop])
            if fits(deep_text(old), change) and isinstance(old, str | int | float) and not isinstance(old, bool):
                number = None if isinstance(old, str) else number_or_none(change.after.strip())
                new = json.dumps(change.after if number is None else number, ensure_ascii=False)
                edits.append((start, stop, new, change))
    for start, stop, new, change in sorted(edits, key=lambda edit: -edit[0]):
        text = text[:start] + new + text[stop:]
        made.append(change)
    return text.encode("utf-8"), sorted(made, key=lambda change: change.position)


def member_spans(text: str, levels: int = LEVELS, start: int = 0, prefix: str = "") -> dict[str, tuple[int, int]]:
    """Key to start and stop of its value's text; members of inner objects as `outer.inner`, so many levels deep.

    Raises ValueError where the text is no JSON object.
    """
    spans: dict[str, tuple[int, int]] = {}
    at = _skip(text, start)
    if text[at : at + 1] != "{":
        raise ValueError("not an object")
    at = _skip(text, at + 1)
    while text[at : at + 1] == '"':
        key, at = _DECODER.raw_decode(text, at)
        at = _skip(text, at)
        if text[at : at + 1] != ":":
            raise ValueError("no colon")
        at = _skip(text, at + 1)
        value, stop = _DECODER.raw_decode(text, at)
        if isinstance(value, dict) and levels > 1:
            spans |= member_spans(text, levels - 1, at, f"{prefix}{key}.")
        else:
            spans[prefix + key] = (at, stop)
        at = _skip(text, stop)
        if text[at : at + 1] != ",":
            break
        at = _skip(text, at + 1)
    if text[at : at + 1] != "}":
        raise ValueError("no end")
    return spans


def _skip(text: str, at: int) -> int:
    while at < len(text) and text[at] in _BLANKS:
        at += 1
    return at
