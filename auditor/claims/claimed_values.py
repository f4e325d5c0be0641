"""What the claims of a title or sales text say, as numbers: the twin of `auditor.quantities.cell_values.parse_cell`."""

from __future__ import annotations

from math import nan

from auditor.claims.find import find_claims
from auditor.quantities.cell_values import BLANK, READ, Parsed, Said, code_or_number
from auditor.trade.tables import Tables

WHOLE = ("marking", "service_description")  # claims whose value is a text to decode
MOST_OCCURRENCES = 3  # claims of one field that one text may make; further ones are repetition


def parse_claims(text: str, tables: Tables) -> Parsed:
    """Reads the claims of a title or sales text."""
    if not text:
        return Parsed(BLANK)
    occurrences: dict[str, int] = {}
    said = []
    for field, stated, start, end, half_step, open_ended, _, _ in find_claims(text):
        occurrence = occurrences.get(field, 0)
        if occurrence >= MOST_OCCURRENCES:
            continue
        occurrences[field] = occurrence + 1
        whole = field in WHOLE
        value = nan if whole else code_or_number(field, stated, tables)
        words = str(stated) if whole else text[start:end]
        said.append(Said(field, occurrence, value, half_step, open_ended, words))
    return Parsed(READ, tuple(said))
