"""What stands beside a cell and is read with it: the unit of a number, in a column, an element or a key of its own, and
further sales texts.
"""

from __future__ import annotations

import re
from collections.abc import Sequence

import pyarrow as pa
import pyarrow.compute as pc


def measured(number: str, unit: str) -> str:
    """A number with its unit, "miles_per_hour" in words; a cell that ends otherwise has one, or is no number."""
    unit = unit.replace("_", " ")
    return f"{number.rstrip()} {unit.strip()}" if unit.strip() and number.rstrip()[-1:].isdecimal() else number


def measured_column(numbers: pa.Array, units: pa.Array) -> pa.Array:
    """The same over columns."""
    number, unit = (pc.fill_null(texts.cast(pa.string()), "") for texts in (numbers, units))
    bare, named = pc.utf8_rtrim_whitespace(number), pc.utf8_trim_whitespace(pc.replace_substring(unit, "_", " "))
    both = pc.and_(pc.match_substring_regex(bare, r"\p{Nd}$"), pc.not_equal(named, ""))
    return pc.if_else(both, pc.binary_join_element_wise(bare, named, " "), number)


def texts_in_one(first: pa.Array, further: Sequence[pa.Array]) -> pa.Array:
    """Several texts of each record as one, a line each; blank ones give none.

    Arrow's joining that leaves out nulls leaves out a whole row where all of it is null, so blank texts stay texts.
    """
    joined, *others = (pc.utf8_trim_whitespace(pc.fill_null(text.cast(pa.string()), "")) for text in (first, *further))
    for text in others:
        line = pc.if_else(pc.equal(text, ""), "", pc.binary_join_element_wise("", text, "\n"))
        joined = pc.if_else(pc.equal(joined, ""), text, pc.binary_join_element_wise(joined, line, ""))
    return joined


def without_label(column: pa.Array, label: str) -> pa.Array:
    """Cells without the name that they begin with, "Width: 205"; others as they are."""
    pattern = rf"^\s*{re.escape(label)}\s*[:=]\s*"
    return pc.replace_substring_regex(column.cast(pa.string()), pattern=pattern, replacement="", max_replacements=1)
