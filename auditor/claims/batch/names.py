"""The brands and models of a block as arrays of tokens: the twin of `auditor.claims.terms.names`."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
import pyarrow as pa
import pyarrow.compute as pc

from auditor.claims.batch.arrays import Ints, any_of_each, gathered, told_apart, union_of_each
from auditor.claims.batch.pieces import without_html
from auditor.claims.batch.vocabulary import FOLDED, IDS, Tokens, Vocabulary
from auditor.claims.terms.names import (
    ENDS_IN_CODE,
    FILLS,
    LONGEST_NAME,
    MOST_OF_NAME,
    SIGN,
    in_name,
    is_name,
    measures,
)

NONE = -1  # no token


@dataclass(slots=True)
class Names:
    """The brands or the models of a block: the tokens of each, without their case, and each own one's; -1 for none."""

    tokens: Tokens  # names x MOST_OF_NAME
    places: Ints
    hides: npt.NDArray[np.bool_]  # whether words of a name mean something elsewhere
    model: bool


def names_in(vocabulary: Vocabulary, column: pa.StringArray, places: Ints, *, model: bool) -> Iterator[Names]:
    """The names of a column of brands or models, in each way that texts have them; see `names.names_of`."""
    read = without_html(column)
    short = pc.utf8_length(column).to_numpy() <= LONGEST_NAME
    if (names := _named(vocabulary, read, short, places, before_sign=False, model=model)) is not None:
        yield names
    coded = short & pc.match_substring_regex(column, f"^(?:{ENDS_IN_CODE})$").to_numpy(zero_copy_only=False)
    if coded.any():
        signed = pc.if_else(pa.array(coded), pc.binary_join_element_wise(read, SIGN, ""), "")
        if (names := _named(vocabulary, signed, coded, places, before_sign=True, model=model)) is not None:
            yield names


def _named(
    vocabulary: Vocabulary,
    texts: pa.StringArray,
    some: npt.NDArray[np.bool_],
    places: Ints,
    *,
    before_sign: bool,
    model: bool,
) -> Names | None:
    """The names among some texts, each as `auditor.claims.terms.names.name_of` has it; None where there is none."""
    flat, bounds = vocabulary.cut(texts)
    if before_sign:
        ends = np.flatnonzero(np.diff(bounds))
        flat = np.delete(flat, bounds[1:][ends] - 1)
        bounds = bounds - np.append(0, np.cumsum(np.diff(bounds) > 0))
    first, of = told_apart(read := vocabulary.plain(flat))
    kinds = np.array([in_name(vocabulary.text(one), vocabulary.lexicon) for one in read[first].tolist()], np.int64)[of]
    counts = np.diff(bounds)
    hides = any_of_each(kinds & FILLS == 0, bounds)
    measured = np.append(False, measures(kinds[:-1], kinds[1:]))[: len(kinds)]
    measured[bounds[:-1][counts > 0]] = False
    named = some & (counts <= MOST_OF_NAME) & (hides | model) & ~any_of_each(measured, bounds)
    names = np.flatnonzero(named & is_name(union_of_each(kinds, bounds), before_sign=before_sign))
    if not len(names):
        return None
    numbers = np.full(len(texts), -1, np.int64)
    numbers[names] = np.arange(len(names))
    folded = np.where(flat > IDS, -(flat >> 32), vocabulary.table[FOLDED][flat & IDS])
    tokens = np.full((len(names), MOST_OF_NAME), NONE, np.int64)
    tokens[np.arange(MOST_OF_NAME) < counts[names, None]] = gathered(folded, bounds, names)[0]
    return Names(tokens, numbers[places], hides[names], model)
