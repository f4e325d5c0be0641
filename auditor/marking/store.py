"""One row per distinct marking text: its facts and its words.  The same rows serve one listing and a whole feed."""

from __future__ import annotations

from collections.abc import Hashable
from dataclasses import replace
from functools import lru_cache
from typing import Any, NamedTuple

from auditor.marking import (
    Marking,
    ServiceDescription,
    Unreadable,
    compose,
    decode,
    decode_service,
    service_alone,
    with_letters,
)
from auditor.marking.words import MarkingWords, marking_words
from auditor.trade.facts import NO_FACTS, REFUSED_FACTS, fact_row
from auditor.trade.formulas import is_like_a_description
from auditor.trade.marking_model import may_be_a_fact
from auditor.trade.tables import Tables

NO_WORDS = MarkingWords()
# Keys that are no marking as written begin with a mark.  A feed may hold these characters too, but they count as white
# space, so that no marking begins with one once the blanks around it are taken off.
SERVICE_MARK = "\x1e"  # begins the key of a cell that holds a service description alone
SHORT_KEY = 120  # characters
_ANY_UNREAD = "0"  # stands for all that may be a fact and is like no service description
JOIN_MARK = (
    "\x1f"  # begins a joined key: the lengths of its texts, indices, symbol, letters of the size; then the texts
)


class MarkingRow(NamedTuple):
    """What is kept of a marking: its numbers, its words, and what rules make of the numbers."""

    facts: tuple[float, ...]
    words: MarkingWords
    made: dict[Any, Any]  # by the function that made it; as long as the row is kept, it need not be made again
    mark: int = 0  # the same for texts that say the same in other words; 0 where the text is the canonical form


def _row(facts: tuple[float, ...], words: MarkingWords, mark: int = 0) -> MarkingRow:
    return MarkingRow(facts, words, {}, mark)


NO_ROW = _row(NO_FACTS, NO_WORDS)


def read_row(key: str, tables: Tables) -> MarkingRow:
    """Reads one key: a marking as written, a service description, or the joined parts of several cells."""
    if not key or key == SERVICE_MARK:
        return NO_ROW
    if key.startswith(JOIN_MARK):
        return _joined_row(key, tables)
    if key.startswith(SERVICE_MARK):
        return _service_row(key[1:], tables)
    found = decode(key)
    if isinstance(found, Unreadable):
        words = MarkingWords(reason=_reason(found))
        return _row(REFUSED_FACTS[found.refused], words, _mark((found.refused, words.reason)))
    if found.canonical == key:
        return _row(fact_row(found, tables), marking_words(found))
    return _kept_row(_essence(found), tables)


@lru_cache(maxsize=4_096)
def _kept_row(essence: Marking, tables: Tables) -> MarkingRow:
    """The row of a marking as titles write it: hardly two titles are alike, but many have the same marking."""
    return _row(fact_row(essence, tables), marking_words(essence), _mark(essence))


def _essence(marking: Marking) -> Marking:
    """A marking without words not understood of which neither facts nor words ask anything."""
    if not marking.unread:
        return marking
    left = dict.fromkeys(
        piece if is_like_a_description(piece) else _ANY_UNREAD for piece in marking.unread if may_be_a_fact(piece)
    )
    return replace(marking, unread=tuple(left))


def _mark(told: Hashable) -> int:
    """A mark of 64 bits, other than 0."""
    return hash(told) or 1


@lru_cache(maxsize=2_048)
def read_short_row(key: str, tables: Tables) -> MarkingRow:
    """`read_row` for keys of at most SHORT_KEY characters, kept: marking, title and text often quote the same."""
    return read_row(key, tables)


def _reason(found: Unreadable) -> str:
    reason = found.reason.rstrip(".")
    if found.readings:
        reason += f"; it could be {' or '.join(found.readings[:4])}"
    return as_clause(reason)


def as_clause(sentence: str) -> str:
    """A sentence as a part of another one: no full stop, and a small letter first where a word begins, not "LT185"."""
    sentence = sentence.rstrip(".")
    return sentence if sentence[1:2].isupper() or sentence[1:2].isdigit() else sentence[:1].lower() + sentence[1:]


def _service_row(text: str, tables: Tables) -> MarkingRow:
    found = decode_service(text)
    if isinstance(found, Unreadable):
        return _row(NO_FACTS, MarkingWords(reason=_reason(found)))
    beyond = [said for name, said in found.unlisted if name != "load_range"]
    if beyond:  # a cell of its own is called unreadable, so that it is told of
        return _row(NO_FACTS, MarkingWords(reason=f"no published table lists {' or '.join(beyond)}"))
    bare = service_alone(found)
    return _row(fact_row(bare, tables), marking_words(bare))


def joined_key(size: str, service: str, indices: tuple[float, float], symbol: str, prefix: str) -> str:
    """The key of a marking joined from cells; indices, single and dual, may be missing (NaN)."""
    numbers = ["" if number != number else f"{number:g}" for number in indices]
    head = ",".join((str(len(size)), str(len(service)), *numbers, symbol, prefix))
    return f"{JOIN_MARK}{head},{size}{service}"


def _joined_row(key: str, tables: Tables) -> MarkingRow:
    size_length, service_length, index, dual, symbol, prefix, texts = key[1:].split(",", 6)
    size, service = texts[: int(size_length)], texts[int(size_length) :]
    assert len(service) == int(service_length)
    base = decode(size)
    if isinstance(base, Unreadable):
        return _row(NO_FACTS, MarkingWords(reason=_reason(base)))
    joined = with_letters(base, prefix) if prefix else base
    if service:
        described = decode_service(service)
        if not isinstance(described, Unreadable):
            joined = compose(joined, described)
    if index or dual or symbol:
        own = joined.service
        joined = compose(
            joined,
            ServiceDescription(
                _whole(index) if own.load_index is None else own.load_index,
                _whole(dual) if own.load_index_dual is None else own.load_index_dual,
                symbol or own.speed_symbol,
                own.speed_open,
            )
            if own != ServiceDescription()
            else ServiceDescription(_whole(index), _whole(dual), symbol or None),
        )
    return _row(fact_row(joined, tables), marking_words(joined))


def _whole(text: str) -> int | None:
    try:
        return int(float(text))
    except (ValueError, OverflowError):
        return None
