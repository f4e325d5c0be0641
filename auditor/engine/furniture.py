"""Rows of a feed that are no listings: repeated headers, unit rows, section headings, page and total lines, blanks.

They are counted, and neither released, held nor rejected.  A row with a readable size, load, index or article number is
never one: what is in doubt stays a listing.
"""

from __future__ import annotations

import re
from bisect import bisect_right
from collections.abc import Sequence, Set
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Any

import numpy as np
import numpy.typing as npt
import pyarrow as pa
import pyarrow.compute as pc

from auditor.feeds.model import Block, Feed, Rejected, WorkUnit
from auditor.judging.block.feed_plan import FeedPlan
from auditor.rulebook.header_words import BESIDE, UNIT, UNKNOWN, kind_beside_units, may_be_row_of_units
from auditor.rulebook.listing_fields import Contract

_SIZES = ("marking", "size", "section_width_mm", "title")  # the first that a feed has tells rows that may be furniture
_NEVER = "max_load", "load_index", "max_speed", "gtin", "part_number", "sku", "service_description"
_ARTICLES = frozenset({"sku", "part_number"})
_DIGIT = "[0-9]"
_SIZE_LIKE = r"[0-9]{2,3}\s?[/x]\s?[0-9]{2}|[0-9]\s?Z?[rR]\s?[0-9]{2}"
_WORDED = r"(?:^|[^\p{L}\p{N}])\p{L}{3,}(?:[^\p{L}\p{N}]|$)"  # a word by itself
_OF_WORDS = 0.2  # share of article numbers with a blank up to which words among them are a heading
_NUMBERED = 0.5  # share of article numbers with a digit from which on a word among them is none
_SHORT = 2  # letters of what may be a code
_OF_SENTENCES = " .,:!?&/+-–—@'’()%"  # signs that stand in a heading or a notice
_PARTS = re.compile(r"[;,\t|]")


@dataclass(frozen=True, slots=True)
class Furniture:
    """How the furniture of one feed is known."""

    headers: tuple[str, ...]  # of the columns that are read, in small letters
    fields: tuple[str, ...]  # of the same columns
    all_headers: frozenset[str]
    first: int  # which of them tells rows that may be furniture; -1 where none does
    units: frozenset[str]  # folded
    beside_units: frozenset[str]  # folded
    line: str  # pattern of page and total lines
    others: tuple[int, ...]  # positions of columns that are not read

    def set_aside(self, block: Block, feed: Feed, unit: WorkUnit) -> Block:
        """The block without its furniture, which stands among what is rejected, marked as such."""
        if block.rejected:
            numbers = {(_piece(unit, one.record), one.record) for one in block.rejected if one.record is not None}
            block = replace(block, rejected=tuple(self._marked(one, unit, numbers) for one in block.rejected))
        if self.first < 0 or not len(block.records):
            return block
        maybe = np.flatnonzero(self._without_a_size(block.columns[self.first]))
        if not len(maybe):
            return block
        found = maybe[self._furniture(block, maybe, feed, unit)]
        if not len(found):
            return block
        aside = tuple(
            Rejected(feed.name, feed.sheet, number, None, "The row is no listing.", "", True)
            for number in block.records[found].tolist()
        )
        keep = np.ones(len(block.records), dtype=np.bool_)
        keep[found] = False
        columns = [column.filter(pa.array(keep)) for column in block.columns]
        rejected = tuple(sorted((*block.rejected, *aside), key=lambda one: (one.record is None, one.record or 0)))
        return replace(block, columns=columns, records=block.records[keep], rejected=rejected)

    def _without_a_size(self, column: Any) -> npt.NDArray[np.bool_]:
        """Where the column that gives the size holds no digit, or its own header."""
        texts = column.dictionary if pa.types.is_dictionary(column.type) else column
        none = pc.invert(pc.fill_null(pc.match_substring_regex(texts, _DIGIT), False))
        if re.search(_DIGIT, self.headers[self.first]):
            header = pc.equal(pc.utf8_lower(pc.utf8_trim_whitespace(texts)), self.headers[self.first])
            none = pc.or_(none, pc.fill_null(header, False))
        if pa.types.is_dictionary(column.type):
            none = none.take(column.indices)
        return np.asarray(pc.fill_null(none, True).to_numpy(zero_copy_only=False), dtype=np.bool_)

    def _furniture(self, block: Block, rows: npt.NDArray[np.int64], feed: Feed, unit: WorkUnit) -> Any:
        """Which of some rows of a block are furniture."""
        take = pa.array(rows)
        cells = [_plain(column.take(take)) for column in block.columns]
        filled = np.stack([_true(pc.not_equal(column, "")) for column in cells])
        count = filled.sum(axis=0)
        digits = np.stack([_true(pc.match_substring_regex(column, _DIGIT)) for column in cells])
        pairs = zip(cells, self.headers, strict=True)
        heads = np.stack([_true(pc.is_in(column, pa.array(_beginnings(head)))) for column, head in pairs])
        kinds = np.stack([self._beside_units(column) for column in cells])
        lines = np.stack([_true(pc.match_substring_regex(column, self.line)) for column in cells])
        known = np.stack([np.full(len(rows), self._never(name)) for name in self.fields]) & digits & ~lines
        known &= ~self._headings(cells, filled, block)
        known |= np.stack([_true(pc.match_substring_regex(column, _SIZE_LIKE)) for column in cells])
        known |= filled & np.array([[self._names(place, block)] for place in range(len(cells))]) & ~heads & ~lines
        header = (heads.sum(axis=0) == count) & (count >= min(2, len(cells)))
        unit_row = _are_units(np.where(heads & (kinds <= UNKNOWN), BESIDE, kinds), filled)
        line = lines.any(axis=0) & (filled.sum(axis=0) <= np.maximum(len(cells) // 2, 1))
        found = (header | unit_row | line) & ~known.any(axis=0)
        bare_row = (count <= 1) | (~digits.any(axis=0) & self._one_text(cells, filled))
        maybe = np.flatnonzero(bare_row & ~found & ~known.any(axis=0))
        if len(maybe):
            found[maybe[self._empty_elsewhere(cells, maybe, feed, unit, block.records[rows])]] = True
        return found

    def _headings(self, cells: Sequence[Any], filled: npt.NDArray[np.bool_], block: Block) -> npt.NDArray[np.bool_]:
        """Which article numbers are but headings with a figure: "SERIES 22.5 - DRIVE", alone among bare numbers."""
        found = np.zeros(filled.shape, dtype=np.bool_)
        alone = filled.sum(axis=0) == 1
        for place, column in enumerate(cells):
            if self.fields[place] in _ARTICLES and alone.any():
                blank = _true(pc.match_substring(_plain(block.columns[place]), " "))
                worded = _true(pc.match_substring_regex(column, _WORDED)) & _true(pc.match_substring(column, " "))
                found[place] = worded & alone & (blank.mean() <= _OF_WORDS)
        return found

    def _beside_units(self, column: Any) -> npt.NDArray[np.int8]:
        """What each cell is in a row of units, however it is written: "km/h", "Km/H." or "[kg]"."""
        texts = column.dictionary_encode()
        of_texts = [kind_beside_units(text, self.units, self.beside_units) for text in texts.dictionary.to_pylist()]
        kinds: npt.NDArray[np.int8] = np.array(of_texts, dtype=np.int8)[texts.indices.to_numpy(zero_copy_only=False)]
        return kinds

    def _never(self, name: str) -> bool:
        return name.startswith(_NEVER)

    def _names(self, place: int, block: Block) -> bool:
        """Whether a column numbers articles by words, so that no word in it is a heading."""
        if self.fields[place] not in _ARTICLES:
            return False
        texts = pc.drop_null(_plain(block.columns[place]))
        texts = texts.filter(pc.not_equal(texts, ""))
        with_digit = _true(pc.match_substring_regex(texts, _DIGIT))
        return len(with_digit) > 0 and with_digit.mean() < _NUMBERED

    def _one_text(self, cells: Sequence[Any], filled: npt.NDArray[np.bool_]) -> npt.NDArray[np.bool_]:
        """Rows whose filled cells all hold one text, as a heading over all columns does."""
        texts = np.stack([np.asarray(column.to_pylist(), dtype=object) for column in cells])
        first = texts[filled.argmax(axis=0), np.arange(texts.shape[1])]
        found: npt.NDArray[np.bool_] = ((texts == first) | ~filled).all(axis=0)
        return found

    def _empty_elsewhere(
        self, cells: Sequence[Any], maybe: npt.NDArray[np.int64], feed: Feed, unit: WorkUnit, records: Any
    ) -> npt.NDArray[np.bool_]:
        """Of some rows, those that say nothing more in the columns that are not read, or in one of these but words."""
        heading = {record: _first_text(cells, row) for record, row in zip(records[maybe].tolist(), maybe, strict=True)}
        empty = dict.fromkeys(heading, True)
        for block in feed.blocks(unit, self.others) if self.others else ():
            rows = np.flatnonzero(np.isin(block.records, list(heading)))
            for column in block.columns:
                texts = _plain(column.take(pa.array(rows))).to_pylist()
                for record, text in zip(block.records[rows].tolist(), texts, strict=True):
                    if not heading[record] and _is_worded(text):
                        heading[record] = text
                    empty[record] &= text in ("", heading[record])
        return np.array(list(empty.values()), dtype=np.bool_)

    def _marked(self, one: Rejected, unit: WorkUnit, rejected: Set[tuple[int, int]]) -> Rejected:
        """A rejected record, marked where it is furniture.

        A lone text may be a heading only where the lines beside it are whole: else it is a piece of a broken record.
        Lines beside it are those of its piece, which ends where it does however units are parted.
        """
        piece = _piece(unit, one.record or 0)
        beside = one.record is None or {(piece, one.record - 1), (piece, one.record + 1)} & rejected
        told = one.byte_offset is not None  # else no line of a text was rejected, but what is damaged
        return replace(one, furniture=True) if told and self._is_line(one, not beside) else one

    def _is_line(self, one: Rejected, alone: bool) -> bool:
        parts = [part.strip().strip('"').strip() for part in _PARTS.split(one.text.rstrip("\r\n"))]
        filled = [part.casefold() for part in parts if part]
        if not filled:
            return not one.text.strip(" \t\r\n;,|\"'") and not one.reason.startswith("A quote")
        if len(filled) >= 2 and all(part in self.all_headers for part in filled):
            return True
        if all(kind_beside_units(part, self.units, self.beside_units) > UNKNOWN for part in filled):
            return True
        letters = all(char.isalpha() or char in _OF_SENTENCES for char in filled[0]) and any(
            map(str.isalpha, filled[0])
        )
        heading = len(filled) == 1 and len(parts) <= max(len(self.all_headers), 1) and letters
        return (heading and alone) or re.search(self.line, filled[0]) is not None


def _piece(unit: WorkUnit, record: int) -> int:
    """The first record of the piece of a text that a record stands in."""
    firsts = unit.cuts[1::2]
    return firsts[max(bisect_right(firsts, record) - 1, 0)] if firsts else 0


def furniture_of(feed: Feed, plan: FeedPlan, contract: Contract) -> Furniture:
    """What furniture of a feed looks like."""
    uses = [use for use in plan.uses if use.position >= 0]
    fields = tuple(use.fields[0] for use in uses)
    first = next((fields.index(name) for name in _SIZES if name in fields), -1)
    taken = {use.position for use in uses}
    return Furniture(
        tuple(use.column.strip().casefold() for use in uses),
        fields,
        frozenset(part for header in feed.headers for part in _beginnings(header.strip().casefold())),
        first,
        frozenset(contract.units),
        contract.beside_units,
        _page_line(contract),
        tuple(position for position in range(len(feed.headers)) if position not in taken),
    )


@lru_cache(maxsize=8)
def _page_line(contract: Contract) -> str:
    """The pattern of lines of a page."""
    words = "|".join(re.escape(word) for word in sorted(contract.furniture, key=len, reverse=True))
    signs = r"[\s\d:.,/#=()-]"
    return rf"^\W*(?:{words})(?:{signs}|of|von|de|di|sur|van|na|z)*(?:[^\s\d:.,/#=()-]{{0,16}}{signs}*){{0,3}}$"


def _plain(column: Any) -> Any:
    """Cells as small letters without blanks around them; what is missing is blank."""
    texts = column.cast(pa.string()) if pa.types.is_dictionary(column.type) else column
    return pc.fill_null(pc.utf8_lower(pc.utf8_trim_whitespace(texts)), "")


def _true(mask: Any) -> npt.NDArray[np.bool_]:
    return np.asarray(pc.fill_null(mask, False).to_numpy(zero_copy_only=False), dtype=np.bool_)


def _are_units(kinds: npt.NDArray[np.int8], filled: npt.NDArray[np.bool_]) -> npt.NDArray[np.bool_]:
    """Whether each column of the kinds of cells is a row of units, or of words beside units alone."""
    counts = [((kinds == kind) & filled).sum(axis=0) for kind in range(UNIT + 1)]
    known: npt.NDArray[np.bool_] = (counts[BESIDE] + counts[UNIT] > 0) & may_be_row_of_units(counts)
    return known


def _beginnings(header: str) -> list[str]:
    """A header, and the parts that it begins with: what stands behind may be the unit from a row of its own."""
    words = header.split(" ")
    return [" ".join(words[: count + 1]) for count in range(len(words)) if words[count]]


def _is_worded(text: str) -> bool:
    """Whether a text is words, as headings are and no cell of a listing that has but this one."""
    words = sum(len(word) > _SHORT and word.isalpha() for word in text.split())
    figures = any(map(str.isdecimal, text))
    return words > int(figures) and (not figures or re.search(_SIZE_LIKE, text) is None)


def _first_text(cells: Sequence[Any], row: int) -> str:
    return next((text for column in cells if (text := column[int(row)].as_py())), "")
