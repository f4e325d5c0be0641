"""`auditor decide`: takes decisions of the staff into the ledger."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path
from typing import TYPE_CHECKING

from auditor.errors import UsageError

if TYPE_CHECKING:
    from auditor.ledger.asked import AskedDecision

EPILOG = """\
FILE is a report.xlsx with decisions in it, also as another program saved it, or
the decisions.json saved from a report's page.

  auditor decide audit/report.xlsx --ledger nights.db
  auditor decide --ledger nights.db --key 3f0c... --accept \\
      --because "checked on the sidewall" --until 2026-04-30 --by "M. Aalto"

An accepted finding no longer holds its listing, until its end. A critical one
needs a reason, an end and a name, and lasts for the days that the policy says.
"wrong" says that the auditor erred; it is accepted under the same limits.

Exit code 0: all were taken; 2: some were refused, each is named; 4: the ledger
could not be written."""

_KINDS = ("accept", "ask", "wrong")


def arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("files", nargs="*", metavar="FILE", type=Path, help="workbooks, or files saved from the page")
    parser.add_argument("--ledger", metavar="PLACE", required=True, help="the ledger: a file, or a database URL")
    parser.add_argument("--key", metavar="KEY", help="one finding, or one group, by its key")
    parser.add_argument("--accept", action="store_true", help="the finding holds its listing no longer")
    parser.add_argument("--ask", action="store_true", help="the supplier is asked; the listing stays held")
    parser.add_argument("--wrong", action="store_true", help="the auditor erred")
    parser.add_argument("--because", metavar="TEXT", default="", help="why")
    parser.add_argument("--until", metavar="DATE", default="", help="the last night of the decision, 2026-04-30")
    parser.add_argument("--by", metavar="NAME", default="", help="who decides")
    parser.add_argument("--rules", metavar="DIR", type=Path, help="a folder of own rules, with their policy")
    parser.add_argument("--policy", metavar="FILE", type=Path, help="a policy file, for its limits")


def run(options: argparse.Namespace) -> int:
    # Start-up: `auditor decide --help` needs no database.
    from auditor.ledger.asked import DecisionLimits
    from auditor.ledger.decisions import TakenDecisions, take_decisions
    from auditor.ledger.deliveries import last_night
    from auditor.ledger.night import opened
    from auditor.ledger.schema import bring_up
    from auditor.programs.books import load_book

    asked = _asked(options)
    limits = load_book(options.rules, options.policy).night
    with opened(options.ledger) as database:
        database.begin(limits["wait_seconds"])
        bring_up(database)
        night = last_night(database)
        if night is None:
            raise UsageError(f"{database.place.shown}: the ledger holds no night yet; audit first.")
        done: TakenDecisions = take_decisions(database, asked, night, DecisionLimits(limits["accept_critical_days"]))
        database.commit()
    for sentence in done.replaced:
        print(sentence)
    print(_counted(done.taken, done.findings, len(done.refused)))
    for sentence in done.refused:
        print(f"auditor: {sentence}", file=sys.stderr)
    return 2 if done.refused else 0


def _asked(options: argparse.Namespace) -> list[AskedDecision]:
    # Start-up: `auditor decide --help` reads no workbook.
    from auditor.ledger.asked import AskedDecision
    from auditor.outputs.decision_files import read_decisions

    kinds = [kind for kind in _KINDS if getattr(options, kind)]
    single = (options.because, options.until, options.by, *kinds)
    if options.key is None:
        if any(single):
            raise UsageError("--accept, --ask, --wrong, --because, --until and --by go with --key KEY.")
        if not options.files:
            raise UsageError(
                "decide needs a report.xlsx, a decisions.json, or --key KEY with --accept, --ask or --wrong."
            )
        return [one for path in options.files for one in read_decisions(path)]
    if options.files:
        raise UsageError("decide takes either files or one --key, not both.")
    if len(kinds) != 1:
        raise UsageError("--key needs one of --accept, --ask and --wrong.")
    return [AskedDecision(f"--key {options.key}", options.key, kinds[0], options.because, options.until, options.by)]


def _counted(taken: int, findings: int, refused: int) -> str:
    decisions = "1 decision" if taken == 1 else f"{taken:,} decisions"
    about = "1 finding" if findings == 1 else f"{findings:,} findings"
    return f"{decisions} taken, on {about}; {refused:,} refused."
