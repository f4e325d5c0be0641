"""`python -m tests.edges`: writes `pinned/` anew from what the audit answers now, and prints what moved.

Read it before it is committed: every moved line is a listing that is judged differently from now on.
`python -m tests.edges --look` writes nothing.
"""

from __future__ import annotations

import argparse
import tempfile
from difflib import unified_diff
from pathlib import Path

from tests.edges.ladder import PINNED, lines_of
from tests.edges.ladders import ALONE, ROOMS
from tests.edges.paths import by_feed

HEADING = "# Which values get which answer, through both paths.  Written by `python -m tests.edges`; see tests/edges.\n"


def main() -> None:
    """Writes the pinned lines of every room."""
    parser = argparse.ArgumentParser(prog="python -m tests.edges", description=__doc__)
    parser.add_argument("--look", action="store_true", help="only print what moved")
    parser.add_argument("rooms", nargs="*", default=[*ROOMS, *ALONE], help="only these rooms (default: all)")
    given = parser.parse_args()
    look = given.look
    PINNED.mkdir(exist_ok=True)
    for room in given.rooms:
        path = PINNED / f"{room}.txt"
        now = HEADING + "\n".join(_lines(room)) + "\n"
        before = path.read_text(encoding="utf-8") if path.exists() else ""
        print(
            *unified_diff(before.splitlines(), now.splitlines(), f"{room} before", f"{room} now", lineterm=""), sep="\n"
        )
        if not look:
            path.write_text(now, encoding="utf-8")


def _lines(room: str) -> list[str]:
    if room in ALONE:
        make, answer = ALONE[room]
        return [line for ladder in make() for line in lines_of(ladder, answer(ladder))]
    ladders = ROOMS[room]()
    with tempfile.TemporaryDirectory() as folder:
        found = iter(by_feed([listing for ladder in ladders for listing in ladder.listings()], Path(folder)))
    return [line for one in ladders for line in lines_of(one, [one.answer(next(found), rung) for rung in one.rungs])]


if __name__ == "__main__":
    main()
