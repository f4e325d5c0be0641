"""`python -m tests.edges`: writes `pinned/` anew from what the audit answers now.

Read what changed before it is committed: every moved line is a listing that is judged differently from now on.
"""

from __future__ import annotations

import tempfile
from pathlib import Path

from tests.edges.ladder import PINNED, lines_of
from tests.edges.ladders import ROOMS
from tests.edges.paths import by_feed

HEADING = "# Which value gets which answer, through both paths.  Written by `python -m tests.edges`; see tests/edges.\n"


def main() -> None:
    """Writes the pinned lines of every room."""
    PINNED.mkdir(exist_ok=True)
    for room, make in ROOMS.items():
        ladders = make()
        with tempfile.TemporaryDirectory() as folder:
            found = by_feed([listing for ladder in ladders for listing in ladder.listings()], Path(folder))
        lines, start = [], 0
        for ladder in ladders:
            end = start + len(ladder.rungs)
            lines += lines_of(
                ladder, [ladder.answer(*pair) for pair in zip(found[start:end], ladder.rungs, strict=True)]
            )
            start = end
        (PINNED / f"{room}.txt").write_text(HEADING + "\n".join(lines) + "\n", encoding="utf-8")
        print(f"{room}: {len(ladders)} ladders, {start} rungs, {len(lines)} lines")


if __name__ == "__main__":
    main()
