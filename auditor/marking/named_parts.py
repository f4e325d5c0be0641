"""The parts that go by a name or a word: load range, plies, load version, letters, index and symbol under their names.

Every reader gives the place after what it understood, or the place itself where it understood nothing.
"""

from __future__ import annotations

import re
from dataclasses import replace

from auditor.marking import letters as marks
from auditor.marking.normalise import Written
from auditor.marking.parts import PLY_AFTER_BAR, Tail, add, joins, services_at
from auditor.marking.service import DESCRIPTION, HIGHEST_INDEX, MORE, SYMBOL
from auditor.marking.worded import Worded
from auditor.trade.marking_model import ServiceDescription
from auditor.trade.patterns import Pattern


def named(text: str, position: int, tail: Tail) -> int:
    """Reads load range, ply rating, load version, letters; returns the end, or `place`."""
    if text[position] in marks.range_starts() and (behind := _load_range(text, position, tail)) is not None:
        return behind
    match = marks.PLY.match(text, position) if marks.may_count_plies(text, position) else None
    if match:
        ply = marks.plies_of(match)
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
    match = marks.REINFORCED_OR_RUN_FLAT.match(text, position) if text[position] == "R" else None
    if match:
        add(tail.versions, "XL")
        add(tail.letters, "RF")
        return match.end()
    reinforced = None if tail.among_words else marks.REINFORCED.match(text, position)
    if reinforced and not tail.services and DESCRIPTION.match(text, reinforced.end() + 1) is None:
        reinforced = None  # it may speak of the casing
    if match := reinforced:
        tail.dirty = True
        return _unless_denied(text, position, ("XL", match.end()), tail.versions, tail)
    found = marks.version_at(text, position)
    if found:
        return _unless_denied(text, position, found, tail.versions, tail)
    found = marks.word_at(text, position)
    if found:
        return _unless_denied(text, position, found, tail.letters, tail)
    return _in_words(text, position, tail)


def _load_range(text: str, position: int, tail: Tail) -> int | None:
    """Reads a load range behind its name or a bar; None where there is none."""
    match = marks.LOAD_RANGE_VERSION.match(text, position)
    if match:
        add(tail.versions, match["version"])
        return match.end()
    match = marks.LOAD_RANGE.match(text, position)
    if match is None:
        return None
    if text[position] == "/":  # `/E` without a word is as good as the letter alone
        if match["letter"] not in marks.RANGE_LETTERS:
            return position
        tail.loose.append(match["letter"])
        return match.end()
    if match["letter"] not in marks.RANGE_LETTERS:
        tail.unlisted += (("load_range", match["letter"]),)
        return match.end()
    if tail.load_range not in (None, match["letter"]):
        tail.conflict = f"it states the load ranges {tail.load_range} and {match['letter']}"
    tail.load_range = match["letter"]
    return match.end()


_LEAST_WORD = 6  # letters; behind shorter marks a NO can be a vehicle maker's


def _unless_denied(text: str, position: int, found: tuple[str, int], kept: list[str], tail: Tail) -> int:
    """Keeps what is read from `position` on, unless a "no" stands behind it: `XL: no`, "reforzado no"."""
    word, end = found
    denied = marks.DENIED.match(text, end)
    if denied and (denied["set_off"].strip() or end - position >= _LEAST_WORD):
        tail.unread.append((position, denied.end()))
        return denied.end()
    add(kept, word)
    borne_out = marks.BORNE_OUT.match(text, end)
    tail.dirty = tail.dirty or borne_out is not None
    return end if borne_out is None else borne_out.end()


_SYMBOL_IN_WORDS = Worded(
    lambda words: rf"(?P<symbol>{SYMBOL})(?![{MORE}])(?= ?[-:=(]{{0,2}} ?{marks.speed_in_words(words)})"
)


_LEAST_NAME = 6  # letters of a name that is no model's, whatever words stand around it
_MOST_ALONE = 170  # beyond, a number behind "load" is one of kilograms
_LEAST_INDEX = 40  # behind a word such as "index", which numbers other things too


def _begins_a_name(text: str, position: int) -> bool:
    """Whether a name of the load index or the speed symbol may begin here, or the "and" before it."""
    following = text[position + 1 : position + 2]
    return text[position] in marks.label_starts() and (
        following.isalnum() or following in (".", " ") or following > _NO_BLANKS
    )


def _labeled(text: str, position: int, tail: Tail) -> int:
    """Reads a load index or a speed symbol after its name, `LI 91 SI H`; returns the end, or `place`.

    Among words a short name counts for nothing: "Acme Trail IV T 225/65R17" numbers a model.
    """
    if position and text[position - 1].isalnum() and text[position] < _NO_BLANKS:
        return position
    match = marks.LABELED_INDEX.match(text, position)
    paired = match is not None and _symbol_follows(match)
    if match and (paired or _named_surely(match, tail)) and int(match["single"]) <= HIGHEST_INDEX:
        if not match["alone"] or _numbers_a_load(match):
            end = _take_index(match, tail)
            sure = paired or (match["alone"] is None and _named_surely(match, tail)) or ":" in match[0]
            tail.named_to = end if sure and end > position else tail.named_to
            return end
        return position
    match = marks.LABELED_SYMBOL.match(text, position)
    paired = tail.named_to is not None and not text[tail.named_to : position].strip(_BETWEEN)
    if match and (paired or _named_surely(match, tail)) and (not match["alone"] or _set_off(match, tail)):
        if tail.symbol not in (None, match["symbol"]):
            tail.conflict = f"it states the speed symbols {tail.symbol} and {match['symbol']}"
        tail.symbol, tail.dirty = match["symbol"], True
        return match.end()
    return position


_BETWEEN = " ,;/|"


def _symbol_follows(match: re.Match[str]) -> bool:
    """Whether the name of a speed symbol stands behind a named load index: "LI 91, SI H"."""
    text, end = match.string, match.end()
    behind = len(text) - len(text[end:].lstrip(_BETWEEN))
    return match["symbol"] is None and behind > end and marks.LABELED_SYMBOL.match(text, behind) is not None


def _numbers_a_load(match: re.Match[str]) -> bool:
    """Whether a number behind a mere word, "index" or "load", is a load index: "last 91 pieces" counts."""
    end = match.end()
    follows = _WORD.match(match.string, end)
    if not _LEAST_INDEX <= int(match["single"]) <= (_MOST_ALONE if match["dual"] is None else HIGHEST_INDEX):
        return False
    if follows is None or match["symbol"] is not None:
        return True
    known = (marks.LABELED_SYMBOL.match, marks.version_at, marks.word_at, marks.REINFORCED.match)
    return any(read(match.string, end + 1) is not None for read in known)


_WORD = Pattern(r" [^\W\d_]{2}")


def _take_index(match: re.Match[str], tail: Tail) -> int:
    """Takes a load index that goes by its name; one that was read before has to be the same."""
    single, dual = int(match["single"]), None if match["dual"] is None else int(match["dual"])
    joined = match["symbol"] is not None and joins(match)
    symbol = None if joined else match["symbol"]
    end = match.start("gap") if joined else match.end()
    tail.dirty = True
    if not tail.services:
        tail.services.append((ServiceDescription(single, dual, symbol), bool(match["gap"])))
        return end
    first = tail.services[0][0]
    if first.load_index is None:
        tail.services[0] = (replace(first, load_index=single, load_index_dual=dual), tail.services[0][1])
    elif match["alone"]:
        return match.start()
    elif single not in {one.load_index for one, _ in tail.services} | {one.load_index for one in tail.extra}:
        tail.conflict = f"it states the load indices {first.load_index} and {single}"
    if symbol is not None and tail.symbol is None:
        tail.symbol = symbol
    return end


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


_LOOSE_BAR = Pattern(r"[/._-](?=[1-9])")


_SHORT_MARK = Pattern(r"(?:XL|EL|T[LT])(?![A-Z0-9])")


def after_bar(written: Written, position: int, tail: Tail, *, adjacent: bool) -> int:
    """Reads what a bar joins to the size or to what follows it: `/91H`, `-91H`, `-16PR`, and the ply rating `/10`.

    Returns the end, or `place`.
    """
    match = PLY_AFTER_BAR.match(written.text, position) if adjacent else None
    if match:
        tail.ply, tail.dirty = tail.ply or int(match["ply"]), True
        tail.suffix = tail.suffix or match["suffix"] or ""
        return match.end()
    bar = _LOOSE_BAR.match(written.text, position)
    if bar is None:
        short = _SHORT_MARK.match(written.text, position + 1)
        return position if short is None else max(named(written.text, position + 1, tail), position)
    end = services_at(written, bar.end(), tail)
    if end == bar.end() and marks.PLY.match(written.text, end):
        end = named(written.text, end, tail)
    if end == bar.end():
        return position
    tail.dirty = True
    return end
