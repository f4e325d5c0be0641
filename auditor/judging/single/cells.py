"""One cell or text of one listing, read into the statements that it makes; kept by text and place."""

from __future__ import annotations

from functools import lru_cache
from pathlib import Path
from typing import NamedTuple

from auditor.judging.statements import Slot
from auditor.marking.store import SERVICE_MARK
from auditor.quantities.cell_values import BLANK, SHORT, parse_cell
from auditor.quantities.own_measures import OwnKind
from auditor.rulebook.book import RuleBook
from auditor.trade.tables import Tables

Stated = tuple[float, float, bool, str]  # value, half of its last digit, whether it says "or more", its words
_SHORT_TEXT = 2_000  # characters, up to which what was read of a text is kept


class Statement(NamedTuple):
    """One value that a cell or text states."""

    field: str
    slot: Slot
    alone: tuple[Slot]  # the slot as all slots of its field, as it mostly is
    stated: Stated


class ReadCell(NamedTuple):
    """What one cell or text states."""

    status: int
    reason: str = ""  # why it cannot be read
    said: tuple[Statement, ...] = ()
    markings: tuple[str, ...] = ()  # keys of the marking store that a text quotes


NOTHING_SAID = ReadCell(BLANK)


def read_cell_at(text: str, position: int, field: str, tables: Tables, own: OwnKind | None) -> ReadCell:
    """What a cell of a field with quantities or codes states; kept where it is short."""
    read = _cell_kept if len(text) <= SHORT else _cell_kept.__wrapped__
    return read(text, position, field, tables, own)


@lru_cache(maxsize=16_384)
def _cell_kept(text: str, position: int, field: str, tables: Tables, own: OwnKind | None) -> ReadCell:
    parsed = parse_cell(text, field, tables, own=own)
    statements = []
    for said in parsed.said:  # a part of a combined cell names the cell
        slot = Slot(position, said.field, field, said.occurrence)
        stated = (said.value, said.half_step, said.open_ended, said.words or text)
        statements.append(Statement(said.field, slot, (slot,), stated))
    return ReadCell(parsed.status, parsed.reason, tuple(statements))


def read_text_at(text: str, position: int, field: str, own: tuple[str, ...], book: RuleBook) -> ReadCell:
    """What a title or description claims, beside the listing's own marking and names; kept where it is short.

    A listing that was corrected is asked about again with the same texts.
    """
    if not text:
        return NOTHING_SAID
    read = _text_kept if len(text) <= _SHORT_TEXT else _text_kept.__wrapped__
    return read(text, position, field, own, book.tables, book.own.folder)


@lru_cache(maxsize=1_024)
def _text_kept(
    text: str, position: int, field: str, own: tuple[str, ...], tables: Tables, folder: Path | None
) -> ReadCell:
    # Start-up: the lexicon and the patterns of texts cost time that a listing without texts saves.
    from auditor.claims.own_cells import own_of_cells
    from auditor.claims.terms.lexicon import lexicon_of
    from auditor.claims.texts import parse_claims

    quoted = own_of_cells(*own)
    parsed = parse_claims(text, lexicon_of(folder), tables, quoted, field == "title")
    statements, markings = [], []
    for said in parsed.said:
        slot = Slot(position, said.field, field, said.occurrence)
        words = "" if said.words in quoted.signs else said.words or text
        marks = said.field in ("marking", "service_description")
        statements.append(
            Statement("" if marks else said.field, slot, (slot,), (said.value, said.half_step, said.open_ended, words))
        )
        if marks:
            mark = SERVICE_MARK if said.field == "service_description" else ""
            key = quoted.signs.get(said.words, said.words)
            markings.append(mark + key if key else "")
    return ReadCell(parsed.status, parsed.reason, tuple(statements), tuple(markings))
