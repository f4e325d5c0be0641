"""`auditor map FEED`: a proposed feed map, for a person to correct and save."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path

from auditor.errors import FeedError

EPILOG = """\
Save what it prints as a .toml file in a folder of its own, correct it, and name
that folder with `auditor audit --maps`. Every line carries its confidence."""


def arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--rules", metavar="DIR", type=Path, help="a folder of own rules: its fields count")
    parser.add_argument("feed", metavar="FEED", help="a feed file, a folder or an archive")


def run(options: argparse.Namespace) -> int:
    # Start-up: `auditor map --help` must not load the array libraries.
    from auditor.engine.losses import reason_of
    from auditor.feeds.locate import find_feeds
    from auditor.mapping.opening import propose_for
    from auditor.mapping.proposal_text import format_proposal
    from auditor.programs.books import load_book
    from auditor.rulebook.book import contract_in_force

    contract = contract_in_force(load_book(options.rules))
    code = 0
    texts: list[str] = []
    for located in find_feeds([options.feed]):
        try:
            proposed = propose_for(located, contract=contract)
            texts += [format_proposal(feed, proposal) for feed, proposal in proposed]
        except Exception as error:
            code = FeedError.exit_code
            print(f"auditor: {located.name}: {reason_of(located.name, error)}", file=sys.stderr)
    sys.stdout.write("\n".join(texts))
    return code
