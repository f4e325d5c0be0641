"""`auditor map FEED`: a proposed feed map, for a person to correct and save."""

from __future__ import annotations

import argparse
import sys

EPILOG = """\
Save what it prints as a .toml file in a folder of its own, correct it, and name
that folder with `auditor audit --maps`. Every line carries its confidence."""


def arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("feed", metavar="FEED", help="a feed file, a folder or an archive")


def run(options: argparse.Namespace) -> int:
    # Start-up: `auditor map --help` must not load the array libraries.
    from auditor.feeds.locate import find_feeds
    from auditor.mapping.opening import propose_for
    from auditor.mapping.proposal_text import format_proposal

    texts = [
        format_proposal(feed, proposal)
        for located in find_feeds([options.feed])
        for feed, proposal in propose_for(located)
    ]
    sys.stdout.write("\n".join(texts))
    return 0
