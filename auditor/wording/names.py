"""Names behind sets of bits: each set is looked at once, however many findings have it."""

from __future__ import annotations

from collections.abc import Callable


class NamesOf(dict[int, tuple[str, ...]]):
    """Names behind sets of bits, each made out once."""

    def __init__(self, make: Callable[[int], tuple[str, ...]]) -> None:
        super().__init__()
        self._make = make

    def __missing__(self, bits: int) -> tuple[str, ...]:
        self[bits] = self._make(bits)
        return self[bits]
