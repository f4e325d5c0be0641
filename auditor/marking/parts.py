"""The parts that may stand after a size, each with its reader: service descriptions, load range, plies, letters.

Every reader gives the place after what it understood, or the place itself where it understood nothing.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field, replace

from auditor.marking import letters as marks
from auditor.marking.normalise import Written, zeros_for_letters
from auditor.marking.service import DESCRIPTION, HIGHEST_INDEX, description
from auditor.trade.marking_model import ServiceDescription
from auditor.trade.patterns import Pattern
from auditor.trade.tables import default_tables

_JOIN = Pattern(r" ?[/+] ?")


@dataclass(slots=True)
class Tail:
    """Collects what is read; `dirty` is set by forms that the canonical conventions do not have."""

    services: list[tuple[ServiceDescription, bool]] = field(default_factory=list)  # (description, written apart)
    extra: list[ServiceDescription] = field(default_factory=list)
    bare: ServiceDescription | None = None
    load_range: str | None = None
    symbol: str | None = None  # said with its speed: `T - up to 190 km/h`
    unlisted: tuple[tuple[str, str], ...] = ()  # (field, as said) of what no table lists
    never_symbols: tuple[str, ...] = ()  # loose letters that can be a load range only
    loose: list[str] = field(default_factory=list)  # single letters whose meaning hangs on the family
    ply: int | None = None
    versions: list[str] = field(default_factory=list)
    letters: list[str] = field(default_factory=list)
    other: list[str] = field(default_factory=list)
    load_text: list[str] = field(default_factory=list)
    brackets: list[tuple[int, int]] = field(default_factory=list)  # inner spans not understood yet
    unread: list[tuple[int, int]] = field(default_factory=list)
    lost: list[str] = field(default_factory=list)  # understood, but not fitting this size
    conflict: str = ""  # why two parts cannot both hold
    dirty: bool = False
    suffix: str = ""  # LT, ST or C standing apart from the size
    beside: ServiceDescription | None = None  # right before the size, after words
    beside_at: tuple[int, int] = (0, 0)
    turned: ServiceDescription | None = None  # symbol before index, `V91`, right behind the size
    turned_at: tuple[int, int] = (0, 0)
    foreign_symbol: bool = False  # a letter of another alphabet
    named_to: int | None = None  # where a load index ends that surely goes by its name
    before: int = 0  # how many of the service descriptions stand before the size
    named: bool = False  # words that are not understood follow the size
    end: int = 0
    among_words: bool = False  # words that are not understood came before, or the size is still to come
    units: bool | None = None  # whether the text names a unit of load, speed or pressure; None when not looked for


def add(items: list[str], item: str) -> None:
    if item not in items:
        items.append(item)


def _apart_in_no_standard(match: re.Match[str]) -> bool:
    """Whether something but a bar and one blank before the symbol stands between index and symbol."""
    before_symbol = match[0][: match.start("gap") - match.start()]
    return match["bar"] not in (None, "/") or match["gap"].strip() != "" or " " in before_symbol


def services_at(written: Written, position: int, tail: Tail) -> int:
    """Reads a service description and those joined to it by `/` or `+`; returns the end, or `place`."""
    text = written.text
    match = DESCRIPTION.match(text, position)
    one = description(match) if match else None
    if match is None or one is None:
        return position
    if written.base[match.end() - 1].islower() or (not match[0].isalnum() and _apart_in_no_standard(match)):
        tail.dirty = True
    small = written.base[match.end() - 1]
    if tail.services and ((one.load_index in _HOURS and small == "h") or small in _OF_PRICES):
        return position  # "91V, in 72h"
    if joins(match):
        keep(tail, replace(one, speed_symbol=None), apart=True)
        return match.start("gap")
    tail.foreign_symbol = not written.base[match.end() - 1].isascii()
    keep(tail, one, apart=bool(match["gap"]))
    end = match.end()
    while True:
        join = _JOIN.match(text, end)
        following = DESCRIPTION.match(text, join.end()) if join else None
        more = description(following) if following else None
        if join is None or following is None or more is None:
            return _dual_behind(text, end, one, tail) or _second_symbol(text, end, one, tail)
        tail.dirty = tail.dirty or " " in join[0]
        if _both_of_twin(one, more, tail):  # `110R/108R`
            tail.services[-1] = (replace(one, load_index_dual=more.load_index), tail.services[-1][1])
            tail.dirty = True
            return following.end()
        if more not in tail.extra:
            tail.extra.append(more)
        end = following.end()


_HOURS = frozenset({24, 48, 72, 96})
_OF_PRICES = ("k", "e")  # "180k" are thousands, "189 e" is in euros, behind a service description in capitals


def joins(match: re.Match[str]) -> bool:
    """Whether the letter behind a load index is no symbol but the "and" before a named one: "91 y velocidad W"."""
    if match["gap"] != " " or match["symbol"] not in _JOINING or match.string[match.end() : match.end() + 1] != " ":
        return False
    behind = marks.LABELED_SYMBOL.match(match.string, match.start("symbol"))
    return behind is not None and behind["and"] == match["symbol"]


_JOINING = frozenset("YEU")


def _both_of_twin(one: ServiceDescription, more: ServiceDescription, tail: Tail) -> bool:
    """Whether two descriptions of one symbol are the single and the dual index of one, with the symbol at both."""
    if one.load_index_dual is not None or more.load_index_dual is not None or not tail.services:
        return False
    if one.speed_symbol != more.speed_symbol or (one.speed_symbol or "A")[0] in "ABD" or tail.services[-1][0] != one:
        return False
    return twin_indices(one.load_index or 0, more.load_index or 0)


def twin_indices(single: int, dual: int) -> bool:
    """Whether the second index lies below the first as a dual one does, by up to a third of the load."""
    return 80 <= single <= HIGHEST_INDEX and 1 <= single - dual <= 12


_DUAL_BEHIND = Pattern(r" ?/ ?(?P<dual>[1-9]\d{1,2})(?![0-9A-Z.,/])")


def _dual_behind(text: str, position: int, one: ServiceDescription, tail: Tail) -> int:
    """`120S/116`: the dual index behind the symbol; 0 where there is none."""
    match = _DUAL_BEHIND.match(text, position)
    if match is None or not _both_of_twin(one, ServiceDescription(int(match["dual"]), None, one.speed_symbol), tail):
        return 0
    tail.services[-1] = (replace(one, load_index_dual=int(match["dual"])), tail.services[-1][1])
    tail.dirty = True
    return match.end()


_SECOND_SYMBOL = Pattern(r"/(?P<symbol>A[1-8]|[BDE])(?![A-Z0-9])")


def _second_symbol(text: str, position: int, one: ServiceDescription, tail: Tail) -> int:
    """`142A8/B`: the same index at both symbols, as farm tire lists have it."""
    match = _SECOND_SYMBOL.match(text, position)
    if match is None or one.load_index_dual is not None or (one.speed_symbol or "Y")[0] not in "ABD":
        return position
    tail.extra.append(ServiceDescription(one.load_index, None, match["symbol"]))
    tail.dirty = True
    return match.end()


def keep(tail: Tail, one: ServiceDescription, *, apart: bool) -> None:
    for place, (known, _) in enumerate(tail.services):
        more, less = (known, one) if one.speed_symbol is None else (one, known)  # `102H (load index 102)`
        again = less.speed_symbol is None and less.load_index == more.load_index
        if known == one or (again and less.load_index_dual in (None, more.load_index_dual)):
            tail.services[place] = (more, tail.services[place][1])
            tail.dirty = True
            return
    tail.services.append((one, apart))


PLY_AFTER_BAR = Pattern(r"/(?P<ply>[468]|1[02468]|20)(?P<suffix>LT)?(?![0-9A-Z/.,])")
_PLY_APART = Pattern(r" ?[;,|] ?(?P<ply>[1-9]\d?)(?= ?(?:[;,|]|$))")  # `E;10`, where the one means the other
_SUFFIX = Pattern(r"(LT|ST|CP)(?![A-Z0-9&+/])")


def short(written: Written, position: int, tail: Tail) -> int:
    """Reads what is only a letter or two: tread type, stars, load range letter, approval marks."""
    text = written.text
    match = marks.TREAD_TYPE.match(text, position)
    if match:
        add(tail.letters, match[0])
        return match.end()
    match = marks.STARS.match(text, position)
    if match:
        add(tail.other, match[0])
        return match.end()
    match = _SUFFIX.match(text, position)
    if match and (written.base[position : match.end()].isupper() or not text[:position].rstrip()[-1:].isdigit()):
        if tail.suffix not in ("", match[1]):
            tail.lost.append(match[1])
        tail.suffix = tail.suffix or match[1]
        return match.end()
    match = marks.VALVE.match(text, position)
    if match:
        add(tail.other, match[0])
        return match.end()
    match = marks.LOOSE_LETTER.match(text, position)
    if match and written.base[position].isupper():
        tail.loose.append(match["letter"])
        # Glued to the size (`145R12R`) or behind other letters and words it can be a load range only.
        if (position and text[position - 1].isalnum()) or tail.versions or tail.other or set(tail.letters) - {"M/C"}:
            tail.never_symbols += (match["letter"],)
        ply = PLY_AFTER_BAR.match(text, match.end())  # `E/10`, load range and ply rating
        if ply is None and (apart := _PLY_APART.match(text, match.end())) is not None:
            ply = apart if default_tables().ply_of(match["letter"]) == int(apart["ply"]) else None
        if ply:
            tail.ply = tail.ply or int(ply["ply"])
            tail.dirty = True
        return ply.end() if ply else match.end()
    match = marks.APPROVAL.match(text, position)
    if match and written.base[position : match.end()].isupper() and zeros_for_letters(match[0]) == match[0]:
        glued = position > 0 and text[position - 1].isalnum()
        if glued and match[0].startswith(("LT", "ST", "C")):  # `R13LTB`: how the letters go apart cannot be told
            return position
        if _SUFFIX.fullmatch(match[0]):  # `LT/`: no maker's mark, and in the canonical form it would be the size's own
            tail.lost.append(match[0])
        else:
            add(tail.other, match[0])
        return match.end()
    return position
