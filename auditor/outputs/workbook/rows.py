"""The rows of the workbook's findings sheets, written as the format's XML (ECMA-376, part 1, 18.3.1), column by column.

A library writes a cell at a time, which for findings by the ten thousand takes longer than the audit itself.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from html import escape
from string import ascii_uppercase
from typing import Any

import numpy as np
import pyarrow as pa
import pyarrow.compute as pc

from auditor.rulebook.finding import GRADES

# Column, heading, width in characters.  Those for people are where decisions are written; the key finds the line again
# tomorrow.
COLUMNS: tuple[tuple[str, str, int], ...] = (
    ("grade", "Grade", 10),
    ("decision", "Decision", 11),
    ("note", "Note", 24),
    ("until", "Until", 12),
    ("by", "By", 14),
    ("supplier", "Supplier", 24),
    ("sku", "SKU", 16),
    ("marking", "Marking", 26),
    ("column", "Column", 20),
    ("stated", "Stated", 16),
    ("derived", "Should be", 16),
    ("suggestion", "Suggestion", 16),
    ("deviation", "Deviation", 11),
    ("message", "In words", 60),
    ("likely_cause", "Likely cause", 22),
    ("rule", "Finds", 36),
    ("field", "Field", 22),
    ("stands_for", "Listings", 9),
    ("evidence", "Evidence", 44),
    ("part_number", "Part number", 16),
    ("gtin", "GTIN", 16),
    ("feed", "Feed", 28),
    ("sheet", "Sheet", 12),
    ("record", "Record", 9),
    ("key", "Key", 20),
)
STYLES = (*GRADES, "decision", "plain", "wrapped", "percent")  # that the cells of a row have
FOR_PEOPLE = ("decision", "note", "until", "by")
VIEW = tuple(column for column in COLUMNS if column[0] not in FOR_PEOPLE)  # of one supplier: decisions have one place
READ = [name for name, _, _ in VIEW]
STATES = (("state", "State", 10), ("first_night", "First night", 12))  # of a run with a ledger, before the supplier
_MESSAGE_LINE = 64  # characters: letters are narrower than the digits that a width is given in, but words are not cut
_LINE_POINTS = 15  # the default height of a row
_NUMBER_CELLS = frozenset({"stated", "derived", "suggestion"})
_NUMBER = r"^-?(?:0|[1-9][0-9]{0,11})(?:\.[0-9]*[1-9])?$"
_NUMBER_LONGEST = 15  # characters: a spreadsheet program keeps 15 digits; nor does it keep zeros at the ends
CELL_LONGEST = 1_000  # the format takes 32,767, but such a cell hides its row

# What cannot stand in a cell as it is: XML's own characters, control characters and the format's way to write them
# (part 1, 22.9.2.19), and blanks at either end, which a reader may drop.
_NEEDS_CARE = "[&<>\\x00-\\x08\\x0b-\\x1f\\x{fffe}\\x{ffff}]|^[ \\t\\n]|[ \\t\\n]$|_x[0-9a-fA-F]{4}_"
_WRITTEN_CONTROL = re.compile("_(?=x[0-9a-fA-F]{4}_)")
_CONTROL = re.compile("[\x00-\x08\x0b-\x1f\ufffe\uffff]")


def with_states(columns: Sequence[tuple[str, str, int]]) -> tuple[tuple[str, str, int], ...]:
    """Some columns with what a ledger knows of each finding."""
    at = [name for name, _, _ in columns].index("supplier")
    return (*columns[:at], *STATES, *columns[at:])


def last_letter(columns: Sequence[tuple[str, str, int]]) -> str:
    """The letters of the last of some columns."""
    return _LETTERS[len(columns) - 1]


_LETTERS = (*ascii_uppercase, *(f"A{letter}" for letter in ascii_uppercase))


def rows_xml(
    part: pa.Table, first: int, styles: Mapping[str, str], columns: Sequence[tuple[str, str, int]] = COLUMNS
) -> pa.Buffer:
    """The XML of a table's rows, the first of them in row `first` (from 1) of the sheet.

    `part` has what `columns` name, but for those that people fill; `styles` maps each of STYLES to the number of that
    style in the workbook.
    """
    numbers = pc.cast(pa.array(np.arange(first, first + part.num_rows)), pa.string())
    pieces: list[Any] = ['<row r="', numbers, '" ht="', _heights(part["message"].combine_chunks()), '">']
    for letter, (name, _, _) in zip(_LETTERS, columns, strict=False):
        pieces += [f'<c r="{letter}', numbers]
        if name in FOR_PEOPLE:
            pieces.append(f'" s="{styles["decision"]}"/>')
            continue
        *cell, missing = _cell(name, part[name].combine_chunks(), styles)
        if pc.any(missing).as_py():
            start = len(pieces) - 2
            pieces[start:] = [pc.if_else(missing, "", _joined([*pieces[start:], *cell]))]
        else:
            pieces += cell
    rows = _joined([*pieces, "</row>"])
    _, offsets, texts = rows.buffers()
    return texts.slice(0, int(np.frombuffer(offsets, np.int32)[len(rows)]))


def _heights(messages: pa.Array) -> pa.Array:
    """How high the rows are, in points; a reader that does not measure texts would let the sentences overlap."""
    length = np.minimum(pc.fill_null(pc.utf8_length(messages), 0).to_numpy(), CELL_LONGEST)
    lines = np.maximum(-(-length // _MESSAGE_LINE), 1)
    return pc.cast(pa.array(lines * _LINE_POINTS), pa.string())


def _cell(name: str, values: pa.Array, styles: Mapping[str, str]) -> Iterator[Any]:
    """Texts and arrays of texts that make up the cells of a column behind their place, then which cells are empty."""
    if name == "grade":
        looks = pa.array([styles[grade] for grade in GRADES]).take(pc.index_in(values, pa.array(GRADES)))
        yield from ('" s="', looks, '" t="inlineStr"><is><t>', values, "</t></is></c>", pc.is_null(values))
    elif name in ("record", "deviation", "stands_for"):
        known = pc.fill_null(pc.is_finite(values), False)
        style = styles["percent" if name == "deviation" else "plain"]
        yield from (f'" s="{style}"><v>', pc.fill_null(pc.cast(values, pa.string()), ""), "</v></c>", pc.invert(known))
    else:
        texts = pc.fill_null(values, "")
        style = styles["wrapped" if name == "message" else "plain"]
        yield f'" s="{style}"'
        written = [' t="inlineStr"><is><t', *_escaped(_cut(texts)), "</t></is></c>"]
        if name in _NUMBER_CELLS:
            short = pc.less_equal(pc.utf8_length(texts), _NUMBER_LONGEST)
            number = pc.and_(short, pc.match_substring_regex(texts, _NUMBER))
            written = [pc.if_else(number, _joined(["><v>", texts, "</v></c>"]), _joined(written))]
        yield from (*written, pc.equal(texts, ""))


def _joined(pieces: Sequence[Any]) -> pa.Array:
    """The pieces in one text per row; a piece is a text or a column of texts."""
    merged: list[Any] = []
    for piece in pieces:
        if merged and isinstance(piece, str) and isinstance(merged[-1], str):
            merged[-1] += piece
        else:
            merged.append(piece)
    return pc.binary_join_element_wise(*merged, "")


def _cut(texts: pa.Array) -> pa.Array:
    long = pc.greater(pc.utf8_length(texts), CELL_LONGEST)
    if not pc.any(long).as_py():
        return texts
    short = pc.binary_join_element_wise(pc.utf8_slice_codeunits(texts, 0, CELL_LONGEST - 1), "…", "")
    return pc.if_else(long, short, texts)


def _escaped(texts: pa.Array) -> list[Any]:
    """The pieces that stand behind `<t`: the end of the tag, and the texts in XML."""
    careful = pc.match_substring_regex(texts, _NEEDS_CARE)
    if not pc.any(careful).as_py():
        return [">", texts]
    distinct = texts.filter(careful).dictionary_encode()
    written = pa.array([_escaped_text(text) for text in distinct.dictionary.to_pylist()], pa.string())
    closed = pc.binary_join_element_wise(">", texts, "")
    return [pc.replace_with_mask(closed, careful, written.take(distinct.indices))]


def _escaped_text(text: str) -> str:
    written = _CONTROL.sub(lambda found: f"_x{ord(found[0]):04X}_", _WRITTEN_CONTROL.sub("_x005F_", text))
    kept = ' xml:space="preserve"' if text != text.strip(" \t\n") else ""
    return f"{kept}>{escape(written, quote=False)}"
