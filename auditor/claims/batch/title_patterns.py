"""Which titles of a column hold the patterns by which `auditor.claims.titled` tells which of them to read."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt
import pyarrow as pa
import pyarrow.compute as pc

from auditor.claims.batch.arrays import Ints
from auditor.claims.batch.vocabulary import Vocabulary
from auditor.claims.titled import arrow, is_plain, rim_pattern


def matches(texts: pa.StringArray, some: Ints, pattern: str) -> npt.NDArray[np.bool_]:
    """Which of some texts hold a pattern of `titled`."""
    found = pc.match_substring_regex(texts.take(pa.array(some)), arrow(pattern))
    there: npt.NDArray[np.bool_] = found.to_numpy(zero_copy_only=False)
    return there


def hold_rim(texts: pa.StringArray, some: Ints, size: Ints, vocabulary: Vocabulary) -> npt.NDArray[np.bool_]:
    """Which of some titles name the rim of their own size, a token."""
    used, places = np.unique(size[some], return_inverse=True)
    patterns = [rim_pattern(vocabulary.tokens[one] if one >= 0 else "") for one in used.tolist()]
    distinct_patterns = {pattern: number for number, pattern in enumerate(dict.fromkeys(patterns))}
    of = np.array([distinct_patterns[pattern] for pattern in patterns], np.int64)[places]
    found = np.zeros(len(some), np.bool_)
    for pattern, number in distinct_patterns.items():
        at = np.flatnonzero(of == number)
        found[at] = matches(texts, some[at], pattern)
    return found


def are_plain(size: Ints, vocabulary: Vocabulary) -> npt.NDArray[np.bool_]:
    """Which sizes, tokens, may have lost letters."""
    used, places = np.unique(size, return_inverse=True)
    plain = [one >= 0 and is_plain(vocabulary.tokens[one]) for one in used.tolist()]
    return np.array(plain, np.bool_)[places]
