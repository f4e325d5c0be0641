"""`python -m tests.trials [KIND]`: what becomes of listings, texts and feeds that others wrote."""

from __future__ import annotations

import argparse
from pathlib import Path

from tests.trials import beside, feeds, listings, texts, wild

_KINDS = ("listings", "texts", "titles_beside", "pages", "wild", "feeds", "weigh")


def main() -> None:
    """Prints the figures of the trials asked for."""
    parser = argparse.ArgumentParser(prog="python -m tests.trials", description=__doc__)
    parser.add_argument("kind", nargs="?", choices=_KINDS, default="listings")
    parser.add_argument("folder", nargs="?", type=Path, default=feeds.FOLDER, help="feeds in place of the tests' own")
    parser.add_argument("--file", type=Path, action="append", help="trial files in place of the tests' own")
    parser.add_argument("--details", action="store_true", help="name every row that was missed, accused or not read")
    parser.add_argument("--write", action="store_true", help="keep the figures of texts, or the weights of cues")
    options = parser.parse_args()
    if options.kind == "feeds":
        print(feeds.report(feeds.measure(options.folder), options.details))
        return
    if options.kind == "weigh":
        from tests.trials import weigh  # a library that nothing else needs

        print(weigh.run(options.file or texts.files(), save=options.write))
        return
    if options.kind in ("titles_beside", "pages"):
        files = options.file or beside.files(options.kind)
        print(beside.report(beside.measure(listings.read(files)), options.details))
        return
    kind = {"listings": listings, "texts": texts, "wild": wild}[options.kind]
    files = options.file or ([] if kind is wild else kind.files())
    if not files:
        parser.error("shop texts are no part of the project: name a file of them with --file.")
    if kind is texts and options.write and not options.file:
        texts.write_results(texts.measure(listings.read(files)))
        return
    print(kind.report(kind.measure(listings.read(files)), options.details))


main()
