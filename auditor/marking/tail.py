"""What stands after (or before) the size: service descriptions, load range, letters, brackets, and the rest."""

from __future__ import annotations

import re
from dataclasses import dataclass, field

from auditor.marking import letters as marks
from auditor.marking.normalise import Written, zeros_for_letters
from auditor.marking.service import BARE, DESCRIPTION, HIGHEST_INDEX, OPEN_SYMBOL, description
from auditor.trade.marking_model import ServiceDescription

_GAP = re.compile(r"(?:[ ,;:|]|(?<= )-(?= ))+")
_JOIN = re.compile(r" ?[/+] ?")
_CHUNK = re.compile(r"[^ ,;|()\[\]]+")
_BRACKET = re.compile(r"[(\[]([^()\[\]]{0,80})[)\]]")
_SPACED_SYMBOL = re.compile(r"(?<=\d) (?=[A-Z])")


@dataclass(slots=True)
class Tail:
    """Collects what is read; `dirty` is set by forms that the canonical conventions do not have."""

    services: list[tuple[ServiceDescription, bool]] = field(default_factory=list)  # (description, written apart)
    extra: list[ServiceDescription] = field(default_factory=list)
    bare: ServiceDescription | None = None
    load_range: str | None = None
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
    end: int = 0


def _add(items: list[str], item: str) -> None:
    if item not in items:
        items.append(item)


def _services_at(written: Written, position: int, tail: Tail) -> int:
    """Reads a service description and those joined to it by `/` or `+`; returns the end, or `place`."""
    text = written.text
    match = DESCRIPTION.match(text, position)
    one = description(match) if match else None
    if match is None or one is None:
        return position
    if match["bar"] not in (None, "/") or match["gap"] or " " in match[0] or written.base[match.end() - 1].islower():
        tail.dirty = True
    _keep(tail, one, apart=bool(match["gap"]))
    end = match.end()
    while True:
        join = _JOIN.match(text, end)
        following = DESCRIPTION.match(text, join.end()) if join else None
        more = description(following) if following else None
        if join is None or following is None or more is None:
            return _second_symbol(text, end, one, tail)
        if more not in tail.extra:
            tail.extra.append(more)
        end = following.end()


_SECOND_SYMBOL = re.compile(r"/(?P<symbol>A[1-8]|[BDE])(?![A-Z0-9])")


def _second_symbol(text: str, position: int, one: ServiceDescription, tail: Tail) -> int:
    """`142A8/B`: the same index at both symbols, as farm tire lists have it."""
    match = _SECOND_SYMBOL.match(text, position)
    if match is None or one.load_index_dual is not None or (one.speed_symbol or "Y")[0] not in "ABD":
        return position
    tail.extra.append(ServiceDescription(one.load_index, None, match["symbol"]))
    tail.dirty = True
    return match.end()


def _keep(tail: Tail, one: ServiceDescription, *, apart: bool) -> None:
    if any(known == one for known, _ in tail.services):
        tail.dirty = True
        return
    tail.services.append((one, apart))


def _bracket(written: Written, position: int, tail: Tail) -> int:
    """Reads `(98Y)`, `(122/119N)`; keeps any other bracket for the caller.  Returns the end, or `place`."""
    text = written.text
    bracket = _BRACKET.match(text, position)
    if bracket is None:
        return position
    inner = bracket[1]
    stripped = inner.strip()
    match = DESCRIPTION.fullmatch(stripped)
    one = description(match) if match else None
    if match is not None and one is not None:
        tail.dirty = tail.dirty or " " in inner
        if tail.services:
            if one not in tail.extra:
                tail.extra.append(one)
        elif one.load_index_dual is None and one.speed_symbol in ("V", "W", "Y"):
            opened = ServiceDescription(one.load_index, None, one.speed_symbol, True)
            tail.services.append((opened, False))
        else:
            tail.dirty = True
            tail.services.append((one, False))
        return bracket.end()
    if not stripped:
        return bracket.end()
    inner_tail = read_tail(written, bracket.start(1), bracket.end(1), tail=Tail())
    if not inner_tail.unread and not inner_tail.brackets and not inner_tail.bare:
        _merge(tail, inner_tail)
    else:
        tail.brackets.append((bracket.start(1), bracket.end(1)))
    return bracket.end()


def _merge(tail: Tail, inner: Tail) -> None:
    for one, apart in inner.services:
        _keep(tail, one, apart=apart)
    tail.extra += [one for one in inner.extra if one not in tail.extra]
    tail.load_range = tail.load_range or inner.load_range
    tail.ply = tail.ply or inner.ply
    tail.loose += inner.loose
    for version in inner.versions:
        _add(tail.versions, version)
    for word in inner.letters:
        _add(tail.letters, word)
    for word in inner.other:
        _add(tail.other, word)
    tail.load_text += inner.load_text
    tail.suffix = tail.suffix or inner.suffix
    tail.lost += inner.lost
    tail.dirty = tail.dirty or inner.dirty


def _named(text: str, position: int, tail: Tail) -> int:
    """Reads load range, ply rating, load version, letters; returns the end, or `place`."""
    match = marks.LOAD_RANGE_VERSION.match(text, position)
    if match:
        _add(tail.versions, match["version"])
        return match.end()
    match = marks.LOAD_RANGE.match(text, position)
    if match and text[position] == "/":  # `/E` without a word is as good as the letter alone
        tail.loose.append(match["letter"])
        return match.end()
    if match:
        if tail.load_range not in (None, match["letter"]):
            tail.conflict = f"it states the load ranges {tail.load_range} and {match['letter']}"
        tail.load_range = match["letter"]
        return match.end()
    match = marks.PLY.match(text, position)
    if match:
        ply = int(match["ply"] or match["after"])
        if ply > 40:
            return position
        tail.ply = tail.ply or ply
        return match.end()
    if text[position] == "/" and position + 1 < len(text):
        inner = _named(text, position + 1, tail)
        return inner if inner > position + 1 else position
    match = marks.REINFORCED_OR_RUN_FLAT.match(text, position)
    if match:
        _add(tail.versions, "XL")
        _add(tail.letters, "RF")
        return match.end()
    found = marks.version_at(text, position)
    if found:
        _add(tail.versions, found[0])
        return found[1]
    found = marks.word_at(text, position)
    if found:
        _add(tail.letters, found[0])
        return found[1]
    match = marks.LOAD_WORDS.match(text, position)
    if match and match.end() > position:
        tail.load_text.append(" ".join(match[0].split()))
        return match.end()
    return position


_LOOSE_BAR = re.compile(r"[/-](?=[1-9])")
_PLY_AFTER_BAR = re.compile(r"/(?P<ply>[468]|1[02468]|20)(?![0-9A-Z/.,])")


def _after_bar(written: Written, position: int, tail: Tail) -> int:
    """Reads what a bar joins to the size: `/91H`, `-91H`, and the ply rating `/10`; returns the end, or `place`."""
    match = _PLY_AFTER_BAR.match(written.text, position)
    if match:
        tail.ply, tail.dirty = tail.ply or int(match["ply"]), True
        return match.end()
    bar = _LOOSE_BAR.match(written.text, position)
    end = _services_at(written, bar.end(), tail) if bar else position
    if bar is None or end == bar.end():
        return position
    tail.dirty = True
    return end


_SUFFIX = re.compile(r"(LT|ST|CP)(?![A-Z0-9&+/])")


def _short(written: Written, position: int, tail: Tail) -> int:
    """Reads what is only a letter or two: tread type, stars, load range letter, approval marks."""
    text = written.text
    match = marks.TREAD_TYPE.match(text, position)
    if match:
        _add(tail.letters, match[0])
        return match.end()
    match = marks.STARS.match(text, position)
    if match:
        _add(tail.other, match[0])
        return match.end()
    match = _SUFFIX.match(text, position)
    if match:
        if tail.suffix not in ("", match[1]):
            tail.lost.append(match[1])
        tail.suffix = tail.suffix or match[1]
        return match.end()
    match = marks.LOOSE_LETTER.match(text, position)
    if match and written.base[position].isupper():
        tail.loose.append(match["letter"])
        ply = _PLY_AFTER_BAR.match(text, match.end())  # `E/10`, load range and ply rating
        if ply:
            tail.ply = tail.ply or int(ply["ply"])
            tail.dirty = True
        return ply.end() if ply else match.end()
    match = marks.APPROVAL.match(text, position)
    if match and written.base[position : match.end()].isupper() and zeros_for_letters(match[0]) == match[0]:
        if _SUFFIX.fullmatch(match[0]):  # `LT/`: no maker's mark, and in the canonical form it would be the size's own
            tail.lost.append(match[0])
        else:
            _add(tail.other, match[0])
        return match.end()
    return position


def _like_a_model(text: str, position: int) -> bool:
    """Whether `150T` among words is a model's name: no road tire of so fast a symbol has so high an index alone."""
    match = DESCRIPTION.match(text, position)
    return (
        match is not None and match["dual"] is None and int(match["single"]) > 130 and match["symbol"] in "PQRSTUHVWY"
    )


def _number(written: Written, position: int, tail: Tail, *, adjacent: bool) -> int:
    """Reads what begins with a digit: `98(Y)`, `121/118S`, and next to the size a bare load index `121/118`."""
    text = written.text
    match = OPEN_SYMBOL.match(text, position)
    if match and int(match["single"]) <= HIGHEST_INDEX:
        tail.services.append((ServiceDescription(int(match["single"]), None, match["symbol"], True), False))
        tail.dirty = True
        return match.end()
    end = _services_at(written, position, tail)
    if end > position or not adjacent:
        return end
    match = BARE.match(text, position)
    if match is None or int(match["single"]) > HIGHEST_INDEX or int(match["dual"] or 0) > HIGHEST_INDEX:
        return position
    tail.bare = ServiceDescription(int(match["single"]), int(match["dual"]) if match["dual"] else None)
    tail.dirty = tail.dirty or " " in match[0]
    return match.end()


# Among words not understood these are more likely a model's name than a mark: "Acme Roadster SL".
_NAME_LIKE = re.compile(r"(?:SL|LL|HL|EL|RF|ET|FI|ML|TT|MH)(?![A-Z0-9])")


def _next(written: Written, position: int, tail: Tail, *, adjacent: bool, words: bool) -> int:
    """Reads one thing at `place`; returns its end, or `place` where nothing is understood.

    `adjacent` says that nothing stands between it and the size, `words` that words not understood came before.
    """
    character = written.text[position]
    end = position
    if character in "([":
        end = _bracket(written, position, tail)
    elif character.isdigit():
        end = (
            position
            if words and _like_a_model(written.text, position)
            else _number(written, position, tail, adjacent=adjacent)
        )
    elif character in "/-" and adjacent:
        end = _after_bar(written, position, tail)
    if end == position and not (words and _NAME_LIKE.match(written.text, position)):
        end = _named(written.text, position, tail)
    if end == position and not words:
        end = _short(written, position, tail)
        if end == position and character == "/" and position + 1 < len(written.text):
            inner = _short(written, position + 1, tail)
            end = inner if inner > position + 1 else position
    return end


def read_tail(
    written: Written, start: int, stop: int | None = None, *, tail: Tail, strict: bool = False, head: bool = False
) -> Tail:
    """Reads `written` from `start` to `stop` into `tail`.

    `strict` ends at the first thing not understood (for sizes inside a sales text); otherwise it is listed as
    unread.  `head` says that the stretch stands before the size, where lone letters and numbers mean nothing.
    """
    text = written.text if stop is None else written.text[:stop]
    within = written if stop is None else Written(text, written.base[:stop], written.dirty)
    position = tail.end = start
    glued = start > 0 and not head and text[start - 1] not in "(["
    words = head
    adjacent = not head
    while position < len(text):
        gap = _GAP.match(text, position)
        if gap:
            position = gap.end()
            glued = False
            continue
        end = _next(within, position, tail, adjacent=adjacent, words=words)
        if strict and tail.brackets:
            tail.brackets = []
            return tail
        if end > position:
            tail.dirty = tail.dirty or (glued and text[position].isalnum())
        elif strict:
            return tail
        else:
            chunk = _CHUNK.match(text, position)
            end = chunk.end() if chunk else position + 1
            if chunk:
                tail.unread.append((position, end))
                words = True
            else:  # a bracket without its partner, as around a size: `(225/65R17) 102H`
                tail.dirty = True
        position = tail.end = end
        glued = True
        adjacent = False
    return tail
