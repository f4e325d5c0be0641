"""Labelled values in a column of sales texts: `auditor.claims.labelled`, each distinct line once."""

from __future__ import annotations

from collections.abc import Callable
from typing import NamedTuple

import numpy as np
import numpy.typing as npt
import pyarrow as pa
import pyarrow.compute as pc

from auditor.claims.batch.arrays import Ints, starts_of
from auditor.claims.labelled import (
    ENDS_OF_LINES,
    FIGURES,
    GOES_ON,
    LINE,
    MAY_HOLD,
    ROW_OF_NAMES,
    SIZED,
    TITLE_MAY_HOLD,
    claims_of_line,
    labelled_values,
)
from auditor.claims.labels import ALONE, AROUND, ON, Label, is_label, label_of, may_be_claimed
from auditor.claims.sentences import Claim

_MOST_LINES = 30_000  # kept
_PROSE, _NOTHING = -1, 0  # the numbers of a line of prose, and of one that claims nothing

_UNLABELLED, _CLAIMED, _OF_OTHERS, _UNKNOWN = range(4)  # kinds of labels


class LabelledColumn(NamedTuple):
    """A column of texts without its labelled values, and what these claim."""

    rest: pa.StringArray
    of: Ints  # the text of each, in their order
    sayings: Ints


class LabelledLines:
    """What distinct lines claim, as numbers of sayings, and a bit for each field of them."""

    def __init__(self, number: Callable[[tuple[Claim, ...]], int]) -> None:
        """`number` gives the number of what is claimed."""
        self._number = number
        self._known: dict[str, tuple[int, int]] = {}
        self._bits: dict[str, int] = {}

    def of(self, texts: pa.StringArray, *, title: bool) -> LabelledColumn:
        """Texts without HTML as what is left of them, and what their labelled values claim."""
        nothing = LabelledColumn(texts, np.zeros(0, np.int64), np.zeros(0, np.int64))
        rows = np.flatnonzero(
            pc.match_substring_regex(texts, TITLE_MAY_HOLD if title else MAY_HOLD).to_numpy(zero_copy_only=False)
        )
        if not len(rows):
            return nothing
        some = texts.take(pa.array(rows))
        for pattern, instead in ENDS_OF_LINES:
            some = pc.replace_substring_regex(some, pattern, instead)
        lists = pc.split_pattern(some, "\n")
        lines, bounds = lists.flatten(), lists.offsets.to_numpy().astype(np.int64)
        numbers, bits = self._numbers(lines, bounds)
        tables = pc.match_substring_regex(lines, ROW_OF_NAMES).to_numpy(zero_copy_only=False) & (numbers == _PROSE)
        numbers[tables] = _NOTHING
        hits = np.flatnonzero(numbers != _PROSE)
        if not len(hits):
            return nothing
        of = np.searchsorted(bounds, hits, side="right") - 1
        starts = starts_of(of)
        told = of[starts]
        twice = told[
            (np.bitwise_or.reduceat(bits[hits], starts) != np.add.reduceat(bits[hits], starts))
            | np.logical_or.reduceat(tables[hits], starts)
        ]
        blanked = pc.if_else(pa.array(numbers != _PROSE), "", lines)
        left = pc.binary_join(pa.ListArray.from_arrays(lists.offsets, blanked), "\n").take(pa.array(told))
        left = pc.replace_substring(left, f"\n{ON}", "")
        rest, sayings, owner = left.to_numpy(zero_copy_only=False), numbers[hits], rows[of]
        if len(twice):
            once = ~np.isin(of, twice)
            sayings, owner = sayings[once], owner[once]
            for one in twice.tolist():
                row = int(rows[one])
                rest[np.searchsorted(told, one)], claims = labelled_values(texts[row].as_py(), title=title)
                if claims:
                    sayings, owner = np.append(sayings, self._number(claims)), np.append(owner, row)
            order = np.argsort(owner, kind="stable")
            sayings, owner = sayings[order], owner[order]
        saying = np.flatnonzero(sayings != _NOTHING)
        held = np.zeros(len(texts), np.bool_)
        held[rows[told]] = True
        rest = pc.replace_with_mask(texts, pa.array(held), pa.array(rest, pa.string()))
        return LabelledColumn(rest, owner[saying], sayings[saying])

    def _numbers(self, lines: pa.StringArray, bounds: Ints) -> tuple[Ints, npt.NDArray[np.uint64]]:
        """The number of what each line claims, and its fields' bits."""
        numbers, bits = np.full(len(lines), _PROSE, np.int64), np.zeros(len(lines), np.uint64)
        found = pc.extract_regex(lines, LINE)
        names = pc.struct_field(found, "label").dictionary_encode()
        labels = [label_of(name) for name in names.dictionary.to_pylist()]
        kinds = np.array([_kind(label) for label in labels] + [_UNLABELLED], np.int64)
        codes = names.indices.fill_null(len(labels)).to_numpy(zero_copy_only=False)
        kind = kinds[codes]
        some = np.flatnonzero(kind == _OF_OTHERS)
        if len(some):
            values = pc.struct_field(found, "value").take(pa.array(some))
            tells = pc.or_(pc.equal(values, ""), pc.match_substring_regex(values, SIZED))
            numbers[some[~tells.to_numpy(zero_copy_only=False)]] = _NOTHING
        unknown = np.flatnonzero(kind == _UNKNOWN)
        if len(unknown):
            values = pc.struct_field(found, "value").take(pa.array(unknown))
            figures = pc.match_substring_regex(values, FIGURES, ignore_case=True).to_numpy(zero_copy_only=False)
            unknown = unknown[figures]
            used, of_label = np.unique(codes[unknown], return_inverse=True)
            doubtful = [may_be_claimed(names.dictionary[one].as_py()) for one in used.tolist()]
            numbers[unknown[~np.array(doubtful, np.bool_)[of_label]]] = _NOTHING
        places = np.flatnonzero(kind == _CLAIMED)
        if len(places):
            numbers[places], bits[places] = self._read(lines.take(pa.array(places)))
        told = codes < len(labels)
        going_on = np.flatnonzero(pc.starts_with(lines, GOES_ON).to_numpy(zero_copy_only=False))
        while len(untold := going_on[told[going_on] & ~told[going_on - 1]]):
            told[untold] = False
        numbers[~told], bits[~told] = _PROSE, 0
        self._read_on_two_lines(lines, bounds, numbers, bits)
        return numbers, bits

    def _read_on_two_lines(
        self, lines: pa.StringArray, bounds: Ints, numbers: Ints, bits: npt.NDArray[np.uint64]
    ) -> None:
        """Puts the numbers of labels that are lines of their own, and of their values in the next line."""
        filled = np.flatnonzero(pc.match_substring_regex(lines, r"\S").to_numpy(zero_copy_only=False))
        first, second = filled[:-1], filled[1:]
        ends = bounds[np.searchsorted(bounds, first, side="right")]
        some = (second < ends) & (numbers[first] == _PROSE) & (numbers[second] == _PROSE)
        first, second = first[some], second[some]
        names = pc.utf8_trim(lines.take(pa.array(first)), AROUND)
        alone = pc.match_substring_regex(names, f"^(?:{ALONE})$").to_numpy(zero_copy_only=False)
        first, second, coded = first[alone], second[alone], names.filter(pa.array(alone)).dictionary_encode()
        known = np.array([is_label(name) for name in coded.dictionary.to_pylist()], np.bool_)
        some = np.flatnonzero(known[coded.indices.to_numpy(zero_copy_only=False)])
        if not len(some):
            return
        first, second = first[some], second[some]
        values = pc.utf8_trim(lines.take(pa.array(second)), AROUND)
        names = coded.cast(pa.string()).take(pa.array(some))
        number, held = self._read(pc.binary_join_element_wise(names, values, ": "))
        there = number != _PROSE
        first, second, number, held = first[there], second[there], number[there], held[there]
        begins = np.append(True, first[1:] != second[:-1])  # of runs in which a value is the next label
        turn = np.arange(len(first)) - np.maximum.accumulate(np.where(begins, np.arange(len(first)), 0))
        once = turn % 2 == 0
        numbers[first[once]], numbers[second[once]], bits[second[once]] = _NOTHING, number[once], held[once]

    def _read(self, lines: pa.StringArray) -> tuple[Ints, npt.NDArray[np.uint64]]:
        """The number of what each of some lines claims, and its fields' bits."""
        distinct = lines.dictionary_encode()
        read = [self._line(line) for line in distinct.dictionary.to_pylist()]
        of_line = distinct.indices.to_numpy(zero_copy_only=False)
        numbers = np.array([number for number, _ in read], np.int64)
        return numbers[of_line], np.array([bits for _, bits in read], np.uint64)[of_line]

    def _line(self, line: str) -> tuple[int, int]:
        found = self._known.get(line)
        if found is None:
            if len(self._known) >= _MOST_LINES:
                self._known.clear()
            claims = claims_of_line(line)
            bits = 0
            for claim in claims or ():
                bits |= 1 << self._bits.setdefault(claim.field, len(self._bits))
            number = _PROSE if claims is None else self._number(claims) if claims else _NOTHING
            found = self._known[line] = number, bits
        return found


def _kind(label: Label | None) -> int:
    if label is None:
        return _UNLABELLED
    return _CLAIMED if label.is_claimed else _OF_OTHERS if label.group else _UNKNOWN
