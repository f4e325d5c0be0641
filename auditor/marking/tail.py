"""What stands after (or before) the size, read part by part to its end: brackets, numbers, parts, and the rest."""

from __future__ import annotations

from auditor.marking import letters as marks
from auditor.marking.named_parts import after_bar, named
from auditor.marking.normalise import Written
from auditor.marking.number_pairs import FIELDS, by_blank, in_pairs, is_twin, set_apart
from auditor.marking.parts import Tail, add, keep, services_at, short
from auditor.marking.service import (
    BARE,
    DESCRIPTION,
    HIGHEST_INDEX,
    MORE,
    OPEN_SYMBOL,
    SYMBOL,
    UNLISTED,
    description,
    glued,
    unlisted,
)
from auditor.trade.marking_model import ServiceDescription
from auditor.trade.patterns import Pattern

_GAP = Pattern(r"(?:[ ,;:|]|(?<= )-(?= ))+")
_INCH_SIGNS = ('"', "\u2033", "\u201d", "'", "\u2032", "\u2019")  # `17"` is a rim, no load index
_CHUNK = Pattern(r"[^ ,;|()\[\]<>]+")
_PLIES_BEHIND_BAR = Pattern(r"/(?=(?:[468]|1[02468]|2[0-4]) ?-?P\.?R(?![A-Z0-9]))")  # "Trailer/20PR"
_BRACKET = Pattern(r"[(\[<]([^()\[\]<>]{0,80})[)\]>]")
# The symbol outside of the bracket: `[102/100]Q`.
_INDEX_IN_BRACKET = Pattern(
    rf"[(\[<] ?(?P<single>[1-9]\d{{1,2}})(?: ?/ ?(?P<dual>[1-9]\d{{1,2}}))? ?[)\]>] ?"
    rf"(?P<symbol>{SYMBOL})(?![A-Z0-9+&/])"
)


def _bracket(written: Written, position: int, tail: Tail) -> int:
    """Reads `(98Y)`, `(122/119N)`; keeps any other bracket for the caller.  Returns the end, or `place`."""
    text = written.text
    outside = _INDEX_IN_BRACKET.match(text, position)
    if outside and (one := description(outside)) is not None:
        tail.dirty = True
        keep(tail, one, apart=False)
        return outside.end()
    bracket = _BRACKET.match(text, position)
    if bracket is None:
        return position
    inner = bracket[1]
    stripped = inner.strip()
    if len(stripped) == 1 and stripped not in "BCDEFG":  # a seller's (R) is no speed symbol
        if stripped.isalnum():
            tail.unread.append(bracket.span())
        return bracket.end()
    match = DESCRIPTION.fullmatch(stripped)
    one = description(match) if match else None
    if match is not None and one is not None:
        tail.dirty = tail.dirty or " " in inner
        if tail.services:
            if one not in tail.extra:
                tail.extra.append(one)
        elif one.load_index_dual is None and one.speed_symbol in ("V", "W", "Y") and text[position] == "(":
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
        inner_tail.never_symbols = tuple(inner_tail.loose)
        tail.dirty = tail.dirty or text[position] == "<"
        _merge(tail, inner_tail)
    else:
        tail.brackets.append((bracket.start(1), bracket.end(1)))
    return bracket.end()


def _merge(tail: Tail, inner: Tail) -> None:
    for one, apart in inner.services:
        keep(tail, one, apart=apart)
    tail.extra += [one for one in inner.extra if one not in tail.extra]
    tail.load_range = tail.load_range or inner.load_range
    tail.ply = tail.ply or inner.ply
    tail.loose += inner.loose
    tail.never_symbols += inner.never_symbols
    tail.symbol = tail.symbol or inner.symbol
    if tail.turned is None and inner.turned is not None:
        tail.turned, tail.turned_at = inner.turned, inner.turned_at
    tail.unlisted += tuple(one for one in inner.unlisted if one not in tail.unlisted)
    for version in inner.versions:
        add(tail.versions, version)
    for word in inner.letters:
        add(tail.letters, word)
    for word in inner.other:
        add(tail.other, word)
    tail.load_text += inner.load_text
    tail.suffix = tail.suffix or inner.suffix
    tail.lost += inner.lost
    tail.dirty = tail.dirty or inner.dirty


def _like_a_model(text: str, position: int) -> bool:
    """Whether `150T` among words is a model's name: no road tire of so fast a symbol has so high an index alone."""
    match = DESCRIPTION.match(text, position)
    return (
        match is not None and match["dual"] is None and int(match["single"]) > 130 and match["symbol"] in "PQRSTUHVWY"
    )


def _unusual_service(written: Written, position: int, tail: Tail) -> int:
    """Reads a service description with parts that no table lists, or run on into a word; returns the end."""
    match = UNLISTED.match(written.text, position)
    if match:
        one, said = unlisted(match)
        if said and written.base[match.start("symbol")].isupper():
            tail.services.append((one, False))
            tail.unlisted += said
            tail.dirty = tail.dirty or " " in match[0]
            return match.end()
    match = _GLUED_RANGE.match(written.text, position)
    if match and (whole := description(match)) is not None:
        tail.services.append((whole, False))
        tail.loose.append(match["range"])
        tail.never_symbols += (match["range"],)
        tail.dirty = True
        return match.end()
    found = glued(written.text, position, written.base)
    if found is None:
        return position
    tail.services.append((found[0], False))
    tail.dirty = True
    tail.unread.append((found[1], _word_end(written.text, found[1])))
    return tail.unread[-1][1]


# A load range glued to the service description: `123/120QE`.
_GLUED_RANGE = Pattern(rf"(?P<single>1\d\d)/(?P<dual>[1-9]\d{{1,2}})(?P<symbol>[L-NP-T])(?P<range>[C-HJ])(?![{MORE}])")
# The symbol before both indices: `R110/108`.  With a blank, `L 156/150`, it can be a load range.
_SYMBOL_FIRST = Pattern(rf"(?P<symbol>{SYMBOL})(?P<single>[1-9]\d{{1,2}})/(?P<dual>[1-9]\d{{1,2}})(?![0-9A-Z/.,])")


# The symbol before a single index, `V91`, `H 92`; whether it is one is told by the size.
_TURNED = Pattern(
    r"(?P<symbol>[QRSTUHVWY]) ?(?P<single>[5-9]\d|1[0-3]\d)(?![0-9A-Z/.,%&+*-]| [A-Z](?![A-Z0-9])| ?(?:KG|MM|KM))"
)


def _symbol_first(text: str, position: int, tail: Tail) -> int:
    match = _SYMBOL_FIRST.match(text, position)
    if match is None or not is_twin(match) or tail.services:
        return position
    tail.services.append((ServiceDescription(int(match["single"]), int(match["dual"]), match["symbol"]), False))
    tail.dirty = True
    return match.end()


# Classes of the EU label with the noise: `C/B/71dB`, `C B 71`.
_LABEL = Pattern(
    r"[A-G](?: ?[/,|] ?| )[A-G](?: ?[/,|] ?| )(?:[A-C](?: ?[/,|(] ?| ))?[67]\d(?: ?DB)?\)?"
    r"(?![0-9A-Z/.,]|(?<=[0-9]) ?[A-Z](?![A-Z]))"
)


def _word_end(text: str, position: int) -> int:
    chunk = _CHUNK.match(text, position)
    return chunk.end() if chunk else position


def _number(written: Written, position: int, tail: Tail, *, adjacent: bool, words: bool) -> int:
    """Reads what begins with a digit: `98(Y)`, `121/118S`, and next to the size a bare load index `121/118`."""
    text = written.text
    match = OPEN_SYMBOL.match(text, position)
    if match and int(match["single"]) <= HIGHEST_INDEX:
        dual = int(match["dual"]) if match["dual"] else None
        opened = dual is None and match["symbol"] in "WY"
        tail.services.append((ServiceDescription(int(match["single"]), dual, match["symbol"], opened), False))
        tail.dirty = True
        return match.end()
    if (end := in_pairs(text, position, tail)) > position or (end := by_blank(text, position, tail)) > position:
        return end
    end = services_at(written, position, tail)
    if end > position or (adjacent and (end := set_apart(text, position, tail)) > position):
        return end
    if not words and not tail.services and (end := _unusual_service(written, position, tail)) > position:
        return end
    if marks.PLY.match(text, position):
        return position
    match = BARE.match(text, position)
    if match is None or not (adjacent or (tail.bare is None and not tail.services and is_twin(match))):
        return position
    quoted = written.base.lstrip()[:1] in _INCH_SIGNS
    if written.base[match.end() : match.end() + 1] in _INCH_SIGNS and not quoted:
        return position
    if int(match["single"]) > HIGHEST_INDEX or int(match["dual"] or 0) > HIGHEST_INDEX:
        return position
    tail.bare = ServiceDescription(int(match["single"]), int(match["dual"]) if match["dual"] else None)
    tail.dirty = tail.dirty or " " in match[0]
    return match.end()


# Among words not understood these are more likely a model's name than a mark: "Acme Roadster SL".
_NAME_LIKE = Pattern(r"(?:SL|LL|HL|EL|RF|ET|FI|ML|TT|MH)(?![A-Z0-9])")


def _next(written: Written, position: int, tail: Tail, *, adjacent: bool, glued: bool, words: bool) -> int:
    """Reads one thing at `place`; returns its end, or `place` where nothing is understood.

    `adjacent` says that nothing stands between it and the size, `glued` that no blank stands before it, `words` that
    words not understood came before.
    """
    character = written.text[position]
    end = position
    if character in "([<":
        end = _bracket(written, position, tail)
    elif character.isdigit():
        end = (
            position
            if words and _like_a_model(written.text, position)
            else _number(written, position, tail, adjacent=adjacent, words=words)
        )
    elif character in "ABCDEFG" and (label := _LABEL.match(written.text, position)):
        tail.unread.append(label.span())
        return label.end()
    elif not words and character in "LMNPQRST" and (end := _symbol_first(written.text, position, tail)) > position:
        return end
    elif adjacent and (turned := _TURNED.match(written.text, position)):
        tail.turned = ServiceDescription(int(turned["single"]), None, turned["symbol"])
        tail.turned_at = turned.span()
        return turned.end()
    elif adjacent and written.text.startswith("/ ", position) and written.text.count(" / ") >= FIELDS:
        end = set_apart(written.text, position + 2, tail)  # `205 / 55 / R16 / 91 / V`
        end = position if end == position + 2 else end
    elif character in "/-_." and (adjacent or (glued and not words)):
        end = after_bar(written, position, tail, adjacent=adjacent)
    if end == position and not (words and _NAME_LIKE.match(written.text, position)):
        end = named(written.text, position, tail)
    if end == position and not words:
        end = short(written, position, tail)
        if end == position and character == "/" and position + 1 < len(written.text):
            inner = short(written, position + 1, tail)
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
    tail.units = None
    glued = start > 0 and not head and text[start - 1] not in "([<"
    words = head
    adjacent = not head
    while position < len(text):
        gap = _GAP.match(text, position)
        if gap:
            position = gap.end()
            glued = False
            continue
        tail.among_words = words
        end = _next(within, position, tail, adjacent=adjacent, glued=glued, words=words)
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
            plies = _PLIES_BEHIND_BAR.search(text[:end], position + 1) if chunk and "PR" in chunk[0] else None
            end = plies.start() if plies else end
            if chunk and chunk[0] in ("-", "/"):
                tail.dirty = True
            elif chunk:
                tail.unread.append((position, end))
                words = True
                tail.named = tail.named or not head
            else:  # a bracket without its partner, as around a size: `(225/65R17) 102H`
                tail.dirty = True
        position = tail.end = end
        glued = True
        adjacent = False
    return tail
