"""`python -m tests.edges`: writes `pinned/` anew from what the audit answers now.

Read what changed before it is committed: every moved line is a listing that is judged differently from now on.
"""

from __future__ import annotations

import tempfile
from pathlib import Path

from tests.edges.cell_ladders import cells, read_all
from tests.edges.decode_ladders import decode_all, decodes
from tests.edges.ladder import PINNED, Ladder, lines_of
from tests.edges.ladders import ROOMS
from tests.edges.paths import by_feed

HEADING = "# Which value gets which answer, through both paths.  Written by `python -m tests.edges`; see tests/edges.\n"


def main() -> None:
    """Writes the pinned lines of every room."""
    PINNED.mkdir(exist_ok=True)
    for room, make in ROOMS.items():
        ladders = make()
        with tempfile.TemporaryDirectory() as folder:
            found = iter(by_feed([listing for ladder in ladders for listing in ladder.listings()], Path(folder)))
        _write(room, [(one, [one.answer(next(found), rung) for rung in one.rungs]) for one in ladders])
    _write("decodes", [(one, decode_all(one)) for one in decodes()])
    _write("cells", [(one, read_all(one)) for one in cells()])


def _write(room: str, answers: list[tuple[Ladder, list[str]]]) -> None:
    lines = [line for ladder, own in answers for line in lines_of(ladder, own)]
    (PINNED / f"{room}.txt").write_text(HEADING + "\n".join(lines) + "\n", encoding="utf-8")
    print(f"{room}: {len(answers)} ladders, {sum(len(own) for _, own in answers)} rungs, {len(lines)} lines")


if __name__ == "__main__":
    main()
