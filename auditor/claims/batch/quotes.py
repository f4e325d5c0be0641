"""What texts quote of cells that give a marking, a size or a service description, each distinct cell read once."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt
import pyarrow as pa

from auditor.claims.batch.arrays import Growing, Ints, first_of_each
from auditor.claims.batch.pieces import without_html
from auditor.claims.batch.quoted_cells import are_filled
from auditor.claims.batch.vocabulary import BITS, DESCRIBES, IDS, LETTER, OPENS, SIZED, Vocabulary
from auditor.columns.known_keys import KnownKeys

MOST_CELLS = 65_536  # kept; a feed with more hardly has the same twice
_NONE = pa.array([], pa.string())


class Quotes:
    """Cells met before, and the tokens of a vocabulary by which texts quote each."""

    def __init__(self, vocabulary: Vocabulary, most: int | None = None) -> None:
        """At most so many cells are kept: beyond that they are begun anew."""
        self.vocabulary = vocabulary
        self._most = MOST_CELLS if most is None else most
        self._begin()

    def __len__(self) -> int:
        return len(self._cells)

    def _begin(self) -> None:
        self._cells = KnownKeys.of(_NONE)
        self._rows = Growing(*[np.int64] * 5)

    def of(self, cells: pa.StringArray) -> tuple[Ints, ...]:
        """Of each cell the tokens of size, other size, service description and load range, -1 for none; whether filled.

        The twin of `auditor.claims.terms.own.quoted`.
        """
        places = self._cells.places(cells)
        if (places < 0).any():
            unseen = cells.filter(pa.array(places < 0)).unique()
            if len(self._cells) + len(unseen) > self._most:
                self._begin()
                unseen = cells.unique()
            self._rows.add_all(_read(self.vocabulary, unseen))
            self._cells = self._cells.with_more(unseen)
            places = self._cells.places(cells)
        return tuple(column[places] for column in self._rows.columns)


def _read(vocabulary: Vocabulary, cells: pa.StringArray) -> list[npt.NDArray[np.int64]]:
    flat, bounds = vocabulary.cut(without_html(cells))
    bits = vocabulary.table[BITS][flat & IDS]
    size = first_of_each(bits & SIZED > 0, bounds)
    bracketed = np.zeros(len(flat), np.bool_)
    bracketed[1:] = (bits[1:] & SIZED > 0) & (bits[:-1] & OPENS > 0)
    bracketed[size[size >= 0]] = False
    other = first_of_each(bracketed, bounds)
    service = first_of_each((bits & DESCRIBES > 0) & (bits & SIZED == 0), bounds)
    behind = np.minimum(service + 1, max(len(flat) - 1, 0))
    goes_on = (service >= 0) & (service + 1 < bounds[1:])
    padded, lettered = np.append(flat, -1), np.append(bits & LETTER > 0, False)
    letter = np.where(goes_on & lettered[behind], behind, -1)
    filled = are_filled(cells)
    return [*(np.where(filled, padded[at], -1) for at in (size, other, service, letter)), filled.astype(np.int64)]
