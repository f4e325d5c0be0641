"""The parts that may stand after a size, each with its reader: service descriptions, load range, plies, letters.

Every reader gives the place after what it understood, or the place itself where it understood nothing.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field, replace

from auditor.marking import letters as marks
from auditor.marking.normalise import Written, zeros_for_letters
from auditor.marking.service import DESCRIPTION, HIGHEST_INDEX, MORE, SYMBOL, description
from auditor.marking.worded import Worded
from auditor.trade.marking_model import ServiceDescription
from auditor.trade.patterns import Pattern

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
    foreign_symbol: bool = False  # a letter of another alphabet: the Cyrillic В can be a V as well as a B
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
    behind = match.end()
    named = None
    if match["gap"] == " " and text[behind : behind + 1] == " ":
        named = marks.LABELED_SYMBOL.match(text, behind + 1)
    if named is not None and named["symbol"] != one.speed_symbol:
        keep(tail, replace(one, speed_symbol=None), apart=True)  # "91 y velocidad W": the letter joins the two
        tail.dirty = True
        return match.end()
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
    if any(known == one for known, _ in tail.services):
        tail.dirty = True
        return
    tail.services.append((one, apart))


def named(text: str, position: int, tail: Tail) -> int:
    """Reads load range, ply rating, load version, letters; returns the end, or `place`."""
    match = marks.LOAD_RANGE_VERSION.match(text, position)
    if match:
        add(tail.versions, match["version"])
        return match.end()
    match = marks.LOAD_RANGE.match(text, position)
    if match and text[position] == "/":  # `/E` without a word is as good as the letter alone
        if match["letter"] not in marks.RANGE_LETTERS:
            return position
        tail.loose.append(match["letter"])
        return match.end()
    if match and match["letter"] not in marks.RANGE_LETTERS:
        tail.unlisted += (("load_range", match["letter"]),)
        return match.end()
    if match:
        if tail.load_range not in (None, match["letter"]):
            tail.conflict = f"it states the load ranges {tail.load_range} and {match['letter']}"
        tail.load_range = match["letter"]
        return match.end()
    match = marks.PLY.match(text, position) if text[position] in marks.PLY_STARTS else None
    if match:
        ply = int(match["ply"] or match["after"])
        if ply > marks.MOST_PLIES:
            return position
        tail.ply = tail.ply or ply
        tail.dirty = tail.dirty or marks.PLY_IN_ENGLISH.fullmatch(match[0]) is None
        return match.end()
    if text[position] == "/" and position + 1 < len(text):
        inner = named(text, position + 1, tail)
        return inner if inner > position + 1 else position
    if _begins_a_name(text, position) and (end := _labeled(text, position, tail)) > position:
        return end
    match = marks.REINFORCED_OR_RUN_FLAT.match(text, position)
    if match:
        add(tail.versions, "XL")
        add(tail.letters, "RF")
        return match.end()
    if tail.services and not tail.among_words and (match := marks.REINFORCED.match(text, position)):
        add(tail.versions, "XL")
        tail.dirty = True
        return match.end()
    found = marks.version_at(text, position)
    if found:
        add(tail.versions, found[0])
        return found[1]
    found = marks.word_at(text, position)
    if found:
        add(tail.letters, found[0])
        return found[1]
    return _in_words(text, position, tail)


_SYMBOL_IN_WORDS = Worded(
    lambda words: rf"(?P<symbol>{SYMBOL})(?![{MORE}])(?= ?[-:=(]{{0,2}} ?{marks.speed_in_words(words)})"
)


_LEAST_NAME = 6  # letters of a name that is no model's, whatever words stand around it
_LEAST_INDEX = 40  # behind a word such as "index", which numbers other things too


def _begins_a_name(text: str, position: int) -> bool:
    """Whether a name of the load index or the speed symbol may begin here; none is a letter alone."""
    following = text[position + 1 : position + 2]
    return text[position] in marks.label_starts() and (
        following.isalnum() or following == "." or following > _NO_BLANKS
    )


def _labeled(text: str, position: int, tail: Tail) -> int:
    """Reads a load index or a speed symbol after its name, `LI 91 SI H`; returns the end, or `place`.

    Among words a short name counts for nothing: "Acme Trail IV T 225/65R17" numbers a model.
    """
    if position and text[position - 1].isalnum() and text[position] < _NO_BLANKS:
        return position
    match = marks.LABELED_INDEX.match(text, position)
    if match and not tail.services and _named_surely(match, tail) and int(match["single"]) <= HIGHEST_INDEX:
        if match["alone"] and int(match["single"]) < _LEAST_INDEX:
            return position
        dual = None if match["dual"] is None else int(match["dual"])
        described = ServiceDescription(int(match["single"]), dual, match["symbol"])
        tail.services.append((described, bool(match["gap"])))
        tail.dirty = True
        return match.end()
    match = marks.LABELED_SYMBOL.match(text, position)
    if match and tail.symbol is None and _named_surely(match, tail) and (not match["alone"] or _set_off(match, tail)):
        tail.symbol, tail.dirty = match["symbol"], True
        return match.end()
    return position


def _set_off(match: re.Match[str], tail: Tail) -> bool:
    """Whether a bare word for speed names a symbol: behind a load index without one, or with a colon.

    "Acme Speed V" is a model.
    """
    lacks = bool(tail.services) and tail.services[-1][0].speed_symbol is None
    return lacks or ":" in match[0] or "=" in match[0]


_NO_BLANKS = "\u0e00"  # Thai and the scripts behind it set no blanks between words


def _named_surely(match: re.Match[str], tail: Tail) -> bool:
    name = match["name"] or ""
    return not tail.among_words or len(name) >= _LEAST_NAME or name[:1] >= _NO_BLANKS


def _in_words(text: str, position: int, tail: Tail) -> int:
    """Reads loads, speeds and pressures written out, `T - up to 190 km/h`; returns the end, or `place`."""
    if tail.units is None:
        tail.units = marks.UNIT.search(text) is not None
    if not tail.units:
        return position
    match = marks.LOAD_WORDS.match(text, position) or marks.SPEED_WORDS.match(text, position)
    if match and match.end() > position:
        stated = match[0][marks.LIMIT.match(match[0]).end() :]  # type: ignore[union-attr]  # it matches nothing too
        tail.dirty = tail.dirty or len(stated) != len(match[0])
        tail.load_text.append(" ".join(stated.split()))
        return match.end()
    match = None if tail.among_words else _SYMBOL_IN_WORDS.match(text, position)
    if match is None or tail.symbol is not None or (position and text[position - 1].isalnum()):
        return position
    tail.symbol, tail.dirty = match["symbol"], True
    return match.end()


_LOOSE_BAR = Pattern(r"[/_-](?=[1-9])")
_PLY_AFTER_BAR = Pattern(r"/(?P<ply>[468]|1[02468]|20)(?P<suffix>LT)?(?![0-9A-Z/.,])")


def after_bar(written: Written, position: int, tail: Tail, *, adjacent: bool) -> int:
    """Reads what a bar joins to the size or to what follows it: `/91H`, `-91H`, `-16PR`, and the ply rating `/10`.

    Returns the end, or `place`.
    """
    match = _PLY_AFTER_BAR.match(written.text, position) if adjacent else None
    if match:
        tail.ply, tail.dirty = tail.ply or int(match["ply"]), True
        tail.suffix = tail.suffix or match["suffix"] or ""
        return match.end()
    bar = _LOOSE_BAR.match(written.text, position)
    if bar is None:
        return position
    end = services_at(written, bar.end(), tail)
    if end == bar.end() and marks.PLY.match(written.text, end):
        end = named(written.text, end, tail)
    if end == bar.end():
        return position
    tail.dirty = True
    return end


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
    if match:
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
        ply = _PLY_AFTER_BAR.match(text, match.end())  # `E/10`, load range and ply rating
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
