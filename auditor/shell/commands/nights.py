"""`auditor nights`: what the ledger tells of the nights so far."""

from __future__ import annotations

import argparse
import json
import sys
from typing import Any

from auditor.errors import UsageError

EPILOG = """\
  auditor nights --ledger nights.db
  auditor nights --ledger nights.db --supplier "Tannery Row Tire"
  auditor nights --ledger nights.db --finding 3f0c...
  auditor nights --ledger nights.db --wrong > cases.jsonl
  auditor nights --ledger nights.db --forget-before 2026-01-01

--forget-before keeps the first night of what still stands, decisions in force
and the last night."""

_FORMATS = ("text", "json")


def arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--ledger", metavar="PLACE", required=True, help="the ledger: a file, or a database URL")
    parser.add_argument("--supplier", metavar="NAME", help="one supplier's nights")
    parser.add_argument("--finding", metavar="KEY", help="the story of one finding")
    parser.add_argument("--wrong", action="store_true", help="what was said to be wrong, as cases (JSON lines)")
    parser.add_argument("--forget-before", metavar="DATE", help="forget what ended before this night")
    parser.add_argument("--format", metavar="FORMAT", default="text", help="text or json")


def run(options: argparse.Namespace) -> int:
    # Start-up: `auditor nights --help` needs no database.
    from auditor.ledger.night import opened
    from auditor.ledger.schema import version_of
    from auditor.rulebook.files import nearest

    if options.format not in _FORMATS:
        raise UsageError(
            f"--format {options.format} is none of {', '.join(_FORMATS)}; {nearest(options.format, _FORMATS)}"
        )
    wishes = [options.supplier, options.finding, options.forget_before, options.wrong or None]
    if sum(wish is not None for wish in wishes) > 1:
        raise UsageError("nights takes one of --supplier, --finding, --wrong and --forget-before.")
    with opened(options.ledger) as database:
        if not version_of(database):
            raise UsageError(f"{database.place.shown}: the ledger holds no night yet; audit first.")
        data, text = _told(options, database)
    if options.format == "json" and not options.wrong:
        sys.stdout.write(json.dumps(data, ensure_ascii=False, indent=1) + "\n")
    else:
        sys.stdout.write(text)
    return 0


def _told(options: argparse.Namespace, database: Any) -> tuple[Any, str]:
    """What was asked for, as data and as text."""
    # Start-up: `auditor nights --help` draws nothing.
    from auditor.ledger import telling
    from auditor.shell.night_words import forgotten_words, nights_table, story_words

    if options.finding is not None:
        story = telling.story(database, options.finding)
        return story, story_words(story)
    if options.supplier is not None:
        trend = telling.supplier_trend(database, options.supplier)
        return trend, nights_table(trend)
    if options.wrong:
        cases = list(telling.said_to_be_wrong(database))
        return cases, "".join(json.dumps(case, ensure_ascii=False) + "\n" for case in cases)
    if options.forget_before is not None:
        counts = _forget(options.forget_before, database)
        return counts, forgotten_words(counts)
    nights = telling.nights(database)
    return nights, nights_table(nights)


def _forget(night: str, database: Any) -> dict[str, int]:
    # Start-up: few calls forget.
    from auditor.ledger.asked import date_of
    from auditor.ledger.telling import forget_before
    from auditor.programs.books import load_book

    if date_of(night) is None:
        raise UsageError(f"--forget-before {night} is no date; write it as 2026-03-31.")
    database.begin(load_book().night["wait_seconds"])
    counts = forget_before(database, night)
    database.commit()
    database.tidy()
    return counts
