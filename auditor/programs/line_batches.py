"""Lines of a byte stream, those that are there taken together, so that nobody waits for the next one."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from io import BufferedIOBase

MOST_BYTES = 4_000_000  # of one line; a longer one is read past
MOST_LINES = 4096  # of one batch
_READ = 1 << 20  # what is taken at once where so much is there


class TooLong:
    """Stands for a line that is longer than any listing."""


Line = bytes | type[TooLong]


def chunks_of(stream: BufferedIOBase) -> Iterator[bytes]:
    """What can be had of a stream without waiting, then the next, until it ends."""
    return iter(lambda: stream.read1(_READ), b"")


def line_batches(chunks: Iterable[bytes]) -> Iterator[list[Line]]:
    """The lines of a stream without blank ones, those of one chunk together, at most `MOST_LINES` at a time.

    A line of more than `MOST_BYTES` is given as TooLong, and never held in memory.
    """
    lines = Lines()
    for chunk in chunks:
        yield from lines.take(chunk)
    yield from lines.end()


class Lines:
    """Puts lines together from chunks that come one by one."""

    def __init__(self) -> None:
        self._rest = b""
        self._overlong = False

    def take(self, chunk: bytes) -> Iterator[list[Line]]:
        """The lines that end in a chunk, in batches."""
        *whole, self._rest = (self._rest + chunk).split(b"\n")
        lines: list[Line] = []
        for line in whole:
            if self._overlong or len(line) > MOST_BYTES:
                lines.append(TooLong)
                self._overlong = False
            elif line.strip():
                lines.append(line)
        if self._overlong or len(self._rest) > MOST_BYTES:
            self._rest, self._overlong = b"", True
        for start in range(0, len(lines), MOST_LINES):
            yield lines[start : start + MOST_LINES]

    def end(self) -> Iterator[list[Line]]:
        """The last line, where no line end stands behind it."""
        if self._overlong:
            yield [TooLong]
        elif self._rest.strip():
            yield [self._rest]
