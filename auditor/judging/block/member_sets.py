"""One small set per record: which of some numbered members belong to it, in as many words of 64 bits as they need."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

import numpy as np
import numpy.typing as npt

Words = npt.NDArray[np.uint64]
_BITS = 64


class MemberSets:
    """Sets of member numbers, one per record; however many members there are, none is left out."""

    __slots__ = ("words",)

    def __init__(self, words: Sequence[Words]) -> None:
        """`words` are columns: bit b of column w stands for member 64 w + b."""
        self.words = words

    @classmethod
    def empty(cls, members: int, count: int) -> MemberSets:
        """`count` sets with room for `members`."""
        return cls([np.zeros(count, dtype=np.uint64) for _ in range(max(1, -(-members // _BITS)))])

    @classmethod
    def of(cls, sets: Sequence[Iterable[int]], members: int) -> MemberSets:
        """The given sets of numbers below `members`."""
        made = cls.empty(members, len(sets))
        for position, numbers in enumerate(sets):
            for number in numbers:
                made.words[number // _BITS][position] |= _bit(number)
        return made

    @classmethod
    def single(cls, numbers: npt.NDArray[np.int64], members: int) -> MemberSets:
        """For every number the set of it alone."""
        bits = np.uint64(1) << (numbers % _BITS).astype(np.uint64)
        words = range(max(1, -(-members // _BITS)))
        return cls([np.where(numbers // _BITS == word, bits, np.uint64(0)) for word in words])

    def put(self, member: int, where: npt.NDArray[np.bool_]) -> None:
        """Adds a member to the flagged records' sets."""
        self.words[member // _BITS][where] |= _bit(member)

    def holding(self, member: int) -> npt.NDArray[np.bool_]:
        """Which sets hold a member; none where there is no room for it."""
        if member // _BITS >= len(self.words):
            return np.zeros(len(self.words[0]), dtype=np.bool_)
        held: npt.NDArray[np.bool_] = (self.words[member // _BITS] & _bit(member)) != 0
        return held

    def at(self, rows: npt.NDArray[np.int64] | slice) -> MemberSets:
        """The sets of some records."""
        return MemberSets([word[rows] for word in self.words])

    def united(self, starts: npt.NDArray[np.int64]) -> MemberSets:
        """One set for each stretch of records, from each start to the next: what any of them holds."""
        if not len(starts):
            return self.at(starts)
        return MemberSets([np.bitwise_or.reduceat(word, starts) for word in self.words])

    def __and__(self, other: MemberSets) -> MemberSets:
        return MemberSets([one & two for one, two in zip(self.words, other.words, strict=True)])

    def __sub__(self, other: MemberSets) -> MemberSets:
        return MemberSets([one & ~two for one, two in zip(self.words, other.words, strict=True)])

    def numbers(self, rows: npt.NDArray[np.int64]) -> list[int]:
        """The sets of some records as whole numbers, bit m for member m."""
        parts = [word[rows].tolist() for word in self.words]
        return [sum(bits << (_BITS * place) for place, bits in enumerate(one)) for one in zip(*parts, strict=True)]


def _bit(member: int) -> np.uint64:
    return np.uint64(1 << member % _BITS)
