"""What sentences of columns say, as rows of numbers, and what the readings of a snapshot say."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
import numpy.typing as npt
import pyarrow as pa

from auditor.claims.batch.arrays import Growing, Ints, gathered, hashes, mix, starts_of, told_apart
from auditor.claims.terms.words import OWN, OWN_SERVICE
from auditor.claims.texts import MOST_OCCURRENCES
from auditor.claims.titled import repeated
from auditor.columns.value_cache import TextSnapshot
from auditor.quantities.cell_values import BLANK, READ, Said


@dataclass(slots=True)
class ClaimValues:
    """What one (field, occurrence) says in every reading of a snapshot."""

    value: npt.NDArray[np.float64]
    half_step: npt.NDArray[np.float64]
    open_ended: npt.NDArray[np.bool_]
    places: npt.NDArray[np.intp]  # of the words of each
    texts: list[str]

    def words(self, codes: npt.NDArray[Any]) -> pa.Array:
        """The words of the claims of some readings, "" where they are the listing's own marking."""
        texts = ["" if words in (OWN, OWN_SERVICE) else words for words in self.texts]
        return pa.array(texts, pa.string()).take(pa.array(self.places[codes]))

    @property
    def distinct_words(self) -> tuple[pa.Array, npt.NDArray[np.intp]]:
        """The distinct words, and for every reading the place of its own among them."""
        return pa.array(self.texts, pa.string()), self.places


class Sayings:
    """What sentences say, as rows of numbers; saying 0 says nothing."""

    def __init__(self) -> None:
        self._rows = Growing(np.int64, np.float64, np.float64, np.bool_, np.int64)
        self._ends = Growing(np.int64)
        self._ends.add((0,))
        self._numbers: dict[tuple[Said, ...], int] = {}
        self._fields: dict[str, int] = {}
        self._words: dict[str, int] = {"": 0}
        self.said: list[tuple[Said, ...]] = []  # by number
        self.repeated = Growing(np.bool_, np.bool_, np.bool_, np.bool_)  # of the own marking; see `titled.Repeated`
        self.number(())

    def __len__(self) -> int:
        return len(self._ends)

    def number(self, said: tuple[Said, ...]) -> int:
        """The number of what is said."""
        found = self._numbers.get(said)
        if found is None:
            found = self._numbers[said] = len(self._numbers)
            self.said.append(said)
            self.repeated.add(repeated(said))
            for one in said:
                field = self._fields.setdefault(one.field, len(self._fields))
                words = self._words.setdefault(one.words, len(self._words))
                self._rows.add((field, one.value, one.half_step, one.open_ended, words))
            self._ends.add((len(self._rows),))
        return found

    def readings(self, blank: npt.NDArray[np.bool_], of: Ints, sayings: Ints) -> tuple[Ints, TextSnapshot]:
        """The reading of every text, 0 for no text and 1 for one that says nothing, and what the readings say.

        `of` are the texts of the sayings, in text order.
        """
        codes = np.where(blank, 0, 1)
        starts = starts_of(of)
        count, first = 2, np.zeros(0, np.int64)
        if len(starts):
            first, ids = told_apart(hashes(mix(sayings), starts))
            codes[of[starts]] = ids + 2
            count += len(first)
        status = np.full(count, READ, np.int8)
        status[0] = BLANK
        ends = np.append(starts[1:], len(of))
        lengths = (ends - starts)[first] if len(starts) else np.zeros(0, np.int64)
        bounds = np.concatenate([[0], np.cumsum(lengths)]).astype(np.int64)
        taken = np.arange(bounds[-1]) + np.repeat(starts[first] - bounds[:-1], lengths)
        rows, row_bounds = gathered(np.arange(len(self._rows)), self._ends.columns[0], sayings[taken])
        reading = np.repeat(np.repeat(np.arange(2, count), lengths), np.diff(row_bounds))
        return codes, TextSnapshot(
            pa.repeat(pa.scalar("", pa.string()), count), status, [""] * count, self._values(reading, rows, count)
        )

    def _values(self, reading: Ints, rows: Ints, count: int) -> dict[tuple[str, int], ClaimValues]:
        """By field and occurrence what readings say, as `auditor.claims.texts.said_of` counts occurrences."""
        field, value, half_step, open_ended, words = (column[rows] for column in self._rows.columns)
        order = np.lexsort((reading, field))
        starts = starts_of((field * count + reading)[order])
        turn = np.arange(len(order)) - np.repeat(starts, np.diff(np.append(starts, len(order))))
        names, texts = list(self._fields), list(self._words)
        values: dict[tuple[str, int], ClaimValues] = {}
        for occurrence in range(MOST_OCCURRENCES):
            of_turn = order[turn == occurrence]
            cuts = np.append(starts_of(field[of_turn]), len(of_turn))
            for start, end in zip(cuts[:-1].tolist(), cuts[1:].tolist(), strict=True):
                at = of_turn[start:end]
                used, places = np.unique(words[at], return_inverse=True)
                one = ClaimValues(
                    np.full(count, np.nan), np.zeros(count), np.zeros(count, np.bool_), np.zeros(count, np.intp),
                    ["", *(texts[word] for word in used.tolist())],
                )  # fmt: skip
                there = reading[at]
                one.value[there], one.half_step[there] = value[at], half_step[at]
                one.open_ended[there], one.places[there] = open_ended[at], places + 1
                values[(names[field[at[0]]], occurrence)] = one
        return values
