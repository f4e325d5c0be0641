"""What stands after (or before) the size: service descriptions, load range, letters, brackets, and the rest."""

from __future__ import annotations

import re
from dataclasses import dataclass, field

from auditor.marking import letters as L
from auditor.marking import service as S
from auditor.marking.model import ServiceDescription
from auditor.marking.normalise import Written, zeros_for_letters

_GAP = re.compile(r"[ ,;:|]+")
_JOIN = re.compile(r" ?[/+] ?")
_CHUNK = re.compile(r"[^ ,;|()\[\]]+")
_BRACKET = re.compile(r"[(\[]([^()\[\]]{0,80})[)\]]")
_SPACED_SYMBOL = re.compile(r"(?<=\d) (?=[A-Z])")


@dataclass(slots=True)
class Tail:
    """Collects what is read; `dirty` is set by forms that the canonical conventions do not have."""

    services: list[tuple[ServiceDescription, bool]] = field(
        default_factory=list
    )  # (description, written apart)
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


def _services_at(written: Written, place: int, tail: Tail) -> int:
    """Reads a service description and those joined to it by `/` or `+`; returns the end, or `place`."""
    text = written.text
    match = S.DESCRIPTION.match(text, place)
    one = S.description(match) if match else None
    if match is None or one is None:
        return place
    if match["bar"] not in (None, "/") or match["gap"] or " " in match[0] or written.base[match.end() - 1].islower():
        tail.dirty = True
    _keep(tail, one, apart=bool(match["gap"]))
    end = match.end()
    while True:
        join = _JOIN.match(text, end)
        following = S.DESCRIPTION.match(text, join.end()) if join else None
        more = S.description(following) if following else None
        if join is None or following is None or more is None:
            return _second_symbol(text, end, one, tail)
        if more not in tail.extra:
            tail.extra.append(more)
        end = following.end()


_SECOND_SYMBOL = re.compile(r"/(?P<symbol>A[1-8]|[BDE])(?![A-Z0-9])")


def _second_symbol(text: str, place: int, one: ServiceDescription, tail: Tail) -> int:
    """`142A8/B`: the same index at both symbols, as farm tire lists have it."""
    match = _SECOND_SYMBOL.match(text, place)
    if match is None or one.load_index_dual is not None or (one.speed_symbol or "Y")[0] not in "ABD":
        return place
    tail.extra.append(ServiceDescription(one.load_index, None, match["symbol"]))
    tail.dirty = True
    return match.end()


def _keep(tail: Tail, one: ServiceDescription, *, apart: bool) -> None:
    if any(known == one for known, _ in tail.services):
        tail.dirty = True
        return
    tail.services.append((one, apart))


def _bracket(text: str, place: int, tail: Tail) -> int:
    """Reads `(98Y)`, `(122/119N)`; keeps any other bracket for the caller.  Returns the end, or `place`."""
    bracket = _BRACKET.match(text, place)
    if bracket is None:
        return place
    inner = bracket[1]
    stripped = inner.strip()
    match = S.DESCRIPTION.fullmatch(stripped)
    one = S.description(match) if match else None
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
    inner_tail = read_tail(
        Written(text[: bracket.end(1)], text[: bracket.end(1)], False), bracket.start(1), tail=Tail()
    )
    if not inner_tail.unread and not inner_tail.brackets and not inner_tail.other and not inner_tail.bare:
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
    tail.load_text += inner.load_text
    tail.suffix = tail.suffix or inner.suffix
    tail.lost += inner.lost
    tail.dirty = tail.dirty or inner.dirty


def _named(text: str, place: int, tail: Tail) -> int:
    """Reads load range, ply rating, load version, letters; returns the end, or `place`."""
    match = L.LOAD_RANGE_VERSION.match(text, place)
    if match:
        _add(tail.versions, match["version"])
        return match.end()
    match = L.LOAD_RANGE.match(text, place)
    if match:
        if tail.load_range not in (None, match["letter"]):
            tail.conflict = f"it states the load ranges {tail.load_range} and {match['letter']}"
        tail.load_range = match["letter"]
        return match.end()
    match = L.PLY.match(text, place)
    if match:
        ply = int(match["ply"] or match["after"])
        if ply > 40:
            return place
        tail.ply = tail.ply or ply
        return match.end()
    if text[place] == "/" and place + 1 < len(text):
        inner = _named(text, place + 1, tail)
        return inner if inner > place + 1 else place
    match = L.REINFORCED_OR_RUN_FLAT.match(text, place)
    if match:
        _add(tail.versions, "XL")
        _add(tail.letters, "RF")
        return match.end()
    found = L.version_at(text, place)
    if found:
        _add(tail.versions, found[0])
        return found[1]
    found = L.word_at(text, place)
    if found:
        _add(tail.letters, found[0])
        return found[1]
    match = L.LOAD_WORDS.match(text, place)
    if match and match.end() > place:
        tail.load_text.append(" ".join(match[0].split()))
        return match.end()
    return place


_LOOSE_BAR = re.compile(r"[/-](?=[1-9])")
_PLY_AFTER_BAR = re.compile(r"/(?P<ply>[468]|1[02468]|20)(?![0-9A-Z/])")


def _after_bar(written: Written, place: int, tail: Tail) -> int:
    """Reads what a bar joins to the size: `/91H`, `-91H`, and the ply rating `/10`; returns the end, or `place`."""
    match = _PLY_AFTER_BAR.match(written.text, place)
    if match:
        tail.ply, tail.dirty = tail.ply or int(match["ply"]), True
        return match.end()
    bar = _LOOSE_BAR.match(written.text, place)
    end = _services_at(written, bar.end(), tail) if bar else place
    if bar is None or end == bar.end():
        return place
    tail.dirty = True
    return end


_SUFFIX = re.compile(r"(LT|ST|CP)(?![A-Z0-9&+/])")


def _short(written: Written, place: int, tail: Tail) -> int:
    """Reads what is only a letter or two: tread type, stars, load range letter, approval marks."""
    text = written.text
    match = L.TREAD_TYPE.match(text, place)
    if match:
        _add(tail.letters, match[0])
        return match.end()
    match = L.STARS.match(text, place)
    if match:
        _add(tail.other, match[0])
        return match.end()
    match = _SUFFIX.match(text, place)
    if match:
        if tail.suffix not in ("", match[1]):
            tail.lost.append(match[1])
        tail.suffix = tail.suffix or match[1]
        return match.end()
    match = L.LOOSE_LETTER.match(text, place)
    if match and written.base[place].isupper():
        tail.loose.append(match["letter"])
        return match.end()
    match = L.APPROVAL.match(text, place)
    if match and written.base[place : match.end()].isupper() and zeros_for_letters(match[0]) == match[0]:
        _add(tail.other, match[0])
        return match.end()
    return place


def read_tail(
    written: Written,
    start: int,
    stop: int | None = None,
    *,
    tail: Tail,
    strict: bool = False,
    head: bool = False,
) -> Tail:
    """Reads `written` from `start` to `stop` into `tail`.

    `strict` ends at the first thing not understood (for sizes inside a sales text); otherwise it is listed as
    unread.  `head` says that the stretch stands before the size, where lone letters and numbers mean nothing.
    """
    text = written.text if stop is None else written.text[:stop]
    place = tail.end = start
    glued = start > 0 and not head and text[start - 1] not in "(["
    words = head  # a word was met: short letter groups no longer count as marks
    first = True
    while place < len(text):
        gap = _GAP.match(text, place)
        if gap:
            place = gap.end()
            glued = False
            continue
        end = place
        if text[place] in "([":
            end = _bracket(text, place, tail)
        elif text[place].isdigit():
            opened = S.OPEN_SYMBOL.match(text, place)
            if opened and int(opened["single"]) <= S.HIGHEST_INDEX:
                end = opened.end()
                tail.services.append(
                    (ServiceDescription(int(opened["single"]), None, opened["symbol"], True), False)
                )
                tail.dirty = True
            if end == place:
                end = _services_at(written, place, tail)
            if end == place and first and not head:
                bare = S.BARE.match(text, place)
                if (
                    bare
                    and int(bare["single"]) <= S.HIGHEST_INDEX
                    and int(bare["dual"] or 0) <= S.HIGHEST_INDEX
                ):
                    tail.bare = ServiceDescription(
                        int(bare["single"]), int(bare["dual"]) if bare["dual"] else None
                    )
                    tail.dirty = tail.dirty or glued or " " in bare[0]
                    end = bare.end()
        elif text[place] in "/-" and first and not head:
            end = _after_bar(written, place, tail)
        if end == place:
            end = _named(text, place, tail)
        if end == place and not words:
            end = _short(written, place, tail)
        if end > place and glued and text[place].isalnum():
            tail.dirty = True
        if end == place:
            if strict:
                return tail
            chunk = _CHUNK.match(text, place)
            end = chunk.end() if chunk else place + 1
            tail.unread.append((place, end))
            words = True
        place = tail.end = end
        glued = True
        first = False
    return tail
