"""The full reading of a text: find the size, read what stands around it, let a family claim it."""

from __future__ import annotations

import re
from dataclasses import replace

from auditor.marking.apart import ready, words_cut_off
from auditor.marking.blanks_inside import without_blanks
from auditor.marking.canonical import canonical_text, in_molded_order
from auditor.marking.families import family_of
from auditor.marking.fitting import (
    closed,
    few_plies,
    is_of_a_name,
    label_class,
    lone_letters,
    low_number,
    number_of_plies,
    take_beside,
    take_turned,
    unlisted_of,
    versions_of,
    with_suffix,
    written_oddly,
)
from auditor.marking.instead import may_name_others, without_other_choice, without_others
from auditor.marking.languages import STANDS_FOR
from auditor.marking.left_open import TREAD, left_open
from auditor.marking.letters import PLY
from auditor.marking.look_alikes import bias_or_speed, drop_doubtful_symbols, with_digits
from auditor.marking.normalise import Written
from auditor.marking.other_goods import is_of_another_thing
from auditor.marking.parts import Tail, twin_indices
from auditor.marking.service import BARE, SYMBOL, description
from auditor.marking.shape import Misfit, Size
from auditor.marking.sizes import all_sizes, same_size
from auditor.marking.tail import read_tail
from auditor.marking.two_descriptions import contradiction
from auditor.marking.worded import Worded
from auditor.trade.family import Family
from auditor.trade.marking_model import Marking, ServiceDescription, Unreadable
from auditor.trade.patterns import Pattern

LONGEST = 400  # characters; no marking with its letters comes near
_EMPTY = ServiceDescription()


def read_marking(text: str) -> Marking | Unreadable:
    """Reads any text, clean or dirty.  Never raises; takes time linear in the length of the text."""
    if len(text) > LONGEST:
        return Unreadable(text[:80], 0, f"The text has {len(text)} characters; no marking is longer than {LONGEST}.")
    written = ready(text)
    found = _read(text, written)
    return without_blanks(text, written, found, lambda other: _read(text, other))


def _read(text: str, written: Written) -> Marking | Unreadable:
    sizes, misfits = all_sizes(written.text)
    if not sizes and not misfits and (cut := words_cut_off(written)) is not None:
        written = cut
        sizes, misfits = all_sizes(written.text)
    if not sizes and not misfits and (meant := with_digits(written)) is not None:
        written = meant
        sizes, misfits = all_sizes(written.text)
    if not sizes:
        return _no_size(text, written, misfits)
    return assemble(text, written, sizes)


def _no_size(text: str, written: Written, misfits: list[Misfit]) -> Unreadable:
    if misfits:
        first = misfits[0]
        reason = f"{first.reason[:1].upper()}{first.reason[1:]}."
        return _refused(text, written, first.start, reason, first.readings)
    if not written.text.strip():
        return Unreadable(text, 0, "The text is empty; expected a size such as 225/65R17 102H.")
    position = len(written.text) - len(written.text.lstrip())
    return Unreadable(
        text, written.original(position), "No size designation was found; expected one such as 225/65R17 102H."
    )


def assemble(text: str, written: Written, sizes: list[Size]) -> Marking | Unreadable:
    """Puts a marking together from the first size and what stands around it."""
    other_tires: list[tuple[int, int]] = []
    told = without_others(written, sizes) if may_name_others(written, sizes) else None
    if told is not None and told.spans:
        left = told.sizes or all_sizes(told.written.text)[0]
        if left:
            written, sizes, other_tires = told.written, left, told.spans
    size, others = sizes[0], sizes[1:]
    if is_of_another_thing(written.text, size.start, size.end):
        return _refused(text, written, size.start, f"{size.text} is the size of something else than a tire here.")
    if others:
        size, others, written = _written_twice(written, size, others)
    written, choice = without_other_choice(written, size)
    other_tires += [choice] if choice else []
    if (found := left_open(written.text, written.base, size.end, size.text)) is not None:
        return _refused(text, written, *found)
    tail = _before(written, size)
    tail.before = len(tail.services)
    read_tail(written, size.end, tail=tail)
    tail.unread += other_tires
    others, alternative = _second_sizes(written, tail, others)
    different = [other for other in others if other.text != size.text]
    if different:
        readings = tuple(dict.fromkeys(other.text for other in (size, *different)))
        place = written.original(different[0].start)
        return Unreadable(text, place, "It holds more than one size designation.", readings, refused="several")
    return build(text, written, size, tail, alternative)


def _refused(text: str, written: Written, place: int, reason: str, readings: tuple[str, ...] = ()) -> Unreadable:
    """Something like a size is there, and is not taken for one."""
    return Unreadable(text, written.original(place), reason, readings, refused="unsure")


def _written_twice(written: Written, size: Size, others: list[Size]) -> tuple[Size, list[Size], Written]:
    """The size, the others that are not the same written once more, and the text with blanks in place of those."""
    left: list[Size] = []
    text, base = written.text, written.base
    for other in others:
        if other.shape in ("numeric-inch", "alpha") and text[other.end - 2 : other.end] == " C":  # may be a load range
            other = replace(other, suffix="", text=other.text[:-1], end=other.end - 2)
        same = None if text[other.start - 1] in "([" else same_size(size, other)
        if same is None:
            left.append(other)
            continue
        size = same
        blank = " " * (other.end - other.start)
        text = text[: other.start] + blank + text[other.end :]
        base = base[: other.start] + blank + base[other.end :]
    dirty = written.dirty or len(left) < len(others)
    return size, left, replace(written, text=text, base=base, dirty=dirty)


_JUST_BEFORE = Pattern(
    rf"(?<![A-Z0-9/.,+-])(?P<single>[1-9]\d{{1,2}})(?:/(?P<dual>[1-9]\d{{1,2}}))?(?P<symbol>{SYMBOL})(?![A-Z0-9/.,+&-])"
)


# Set off from what follows, at the very beginning: `91T//WINTER 195/65R15`, `102V-XL-[245/45R19]`; or in brackets.
_SET_OFF = Pattern(
    rf" {{0,2}}(?P<single>[1-9]\d{{1,2}})(?:/(?P<dual>[1-9]\d{{1,2}}))?(?P<symbol>{SYMBOL})"
    r"(?=[/|,;]| {2}|-(?![STL](?![A-Z0-9])))"
)
_SET_OFF_BEHIND = Pattern(r"[/|,;)\]-]| {2}")


def _is_set_off(text: str, match: re.Match[str]) -> bool:
    """Whether a service description begins the text, or stands in brackets of its own."""
    before = text[: match.start()].strip()
    return not before or (before[-1] in "([" and text[match.end() : match.end() + 1] in (")", "]"))


# What stands right behind a service description, not behind the number of a model.
_TIRE_WORDS = Pattern(r" {1,2}(?:T\.?[LT]\.?|M/C|XL|REINF(?:ORCED|\.)?)(?![A-Z0-9/-])")


def _before(written: Written, size: Size) -> Tail:
    """What stands before the size.  Among words, only a service description right beside the size is one.

    "Acme Trail II 54V 90/90-21" states it so; "Acme 102T Sport 225/65R17" is a model's name.
    """
    tail = Tail()
    if not written.text[: size.start].strip():
        return tail
    read_tail(written, 0, size.start, tail=tail, head=True)
    tail.dirty = True
    if not (tail.unread and tail.services) or tail.named_to is not None:
        return tail
    *_, last = (None, *_JUST_BEFORE.finditer(written.text, 0, size.start))
    last = last or _SET_OFF.match(written.text[: size.start])
    if last is None or description(last) is None or not _may_describe(last):
        return Tail(unread=[(0, size.start)], dirty=True)
    sure = _TIRE_WORDS.match(written.text, last.end())  # `70M TT Enduro 140/80-18`
    sure = sure or _SET_OFF_BEHIND.match(written.text, last.end()) if _is_set_off(written.text, last) else sure
    beside = read_tail(written, last.end(), size.start, tail=Tail(), head=True)
    if sure is None and (beside.unread or beside.services or beside.brackets):
        return Tail(unread=[(0, size.start)], dirty=True)
    before = read_tail(written, 0, last.start(), tail=Tail(dirty=True), head=True)
    if before.services:
        return Tail(unread=[(0, size.start)], dirty=True)
    if sure is not None:
        read_tail(written, last.end(), sure.end(), tail=before)
    read_tail(written, last.end() if sure is None else sure.end(), size.start, tail=before, head=True)
    before.beside = description(last)
    before.beside_at = last.span()
    return before


def _may_describe(match: re.Match[str]) -> bool:
    """Whether a tire can have this: `12V` and `230V` are no load index with a symbol, nor is `150T` (see the tail)."""
    index = int(match["single"])
    return index >= 40 and (index <= 130 or match["dual"] is not None or match["symbol"] not in "PQRSTUHVWY")


def _second_sizes(written: Written, tail: Tail, others: list[Size]) -> tuple[list[Size], str | None]:
    """The sizes left over, and the alternative designation if one stands in brackets."""
    if not tail.brackets:
        return others, None
    alternative = None
    left = list(others)
    for start, end in tail.brackets:
        inner = [other for other in others if start <= other.start and other.end <= end]
        if len(inner) == 1 and _is_all_of(written, inner[0], start, end):
            alternative = alternative or inner[0].text
            tail.dirty = tail.dirty or end - start > inner[0].end - inner[0].start
            left.remove(inner[0])
        elif not inner:
            tail.unread.append((start - 1, end + 1))
    return left, alternative


# What a bracket may hold beside the other size that a tire goes by: its ply rating, and that it stands for it.
_STANDS_FOR = Worded(lambda words: rf" ?(?:(?:{PLY.within(words)}) ?)?(?:(?:{words(STANDS_FOR)}) ?)?")


def _is_all_of(written: Written, size: Size, start: int, end: int) -> bool:
    """Whether a stretch holds a size and nothing that says more of this tire: `(145R12 6PR equivalent)`."""
    before, after = written.text[start : size.start], written.text[size.end : end]
    return not before.strip(" =") and _STANDS_FOR.fullmatch(after) is not None


def build(text: str, written: Written, size: Size, tail: Tail, alternative: str | None) -> Marking | Unreadable:
    """Turns a size and the reading of its surroundings into a marking, or says why they do not fit together."""
    if (two := bias_or_speed(size, written)) is not None:
        return _refused(text, written, size.start, "The letter before the rim can be a B or a V.", two)
    size = with_suffix(size, written, tail)
    if tail.beside is not None:
        take_beside(tail)
    if tail.turned is not None:
        take_turned(size, tail)
    number_of_plies(size, tail)
    few_plies(size, written, tail)
    low_number(size, tail)
    drop_doubtful_symbols(written, tail, size)
    label_class(size, tail)
    service = tail.services[0][0] if tail.services else tail.bare or _EMPTY
    family = family_of(size, service, frozenset(tail.letters))
    if family is not None and is_of_a_name(tail, family):
        service, family = _EMPTY, family_of(size, _EMPTY, frozenset(tail.letters))
    if family is None:
        return _refused(text, written, size.start, f"{size.text} is of no known family.")
    service = closed(service, family, tail)
    refusal = contradiction(size, tail, family)
    if refusal:
        return _refused(text, written, size.start, *refusal)
    unread = list(tail.unread)
    load_range, symbol, lost = lone_letters(size, service, tail, family)
    if isinstance(symbol, Unreadable):
        return _refused(text, written, size.end, symbol.reason, symbol.readings)
    if symbol:
        service = replace(service, speed_symbol=symbol)
    if _may_count(tail) and unread and not TREAD.match(written.text, unread[0][0]):
        service, unread = _number_in_words(written, size, service, unread)
    versions = versions_of(size, tail)
    if len(versions) > 1:
        both = " and ".join(versions)
        return _refused(text, written, size.end, f"It states two load versions, {both}.")
    said = as_written(written, unread) + lost
    odd = tail.dirty or written.dirty or bool(said) or size.weak or written_oddly(written, size)
    tail.load_range, tail.versions = load_range, versions
    marking = _made(size, tail, family, service, alternative, tuple(said), odd)
    # Set once, before anybody sees the marking: copying it for one field would cost a quarter of the whole reading.
    object.__setattr__(marking, "canonical", canonical_text(marking))
    return marking


def _made(
    size: Size,
    tail: Tail,
    family: Family,
    service: ServiceDescription,
    alternative: str | None,
    unread: tuple[str, ...],
    nonstandard: bool,
) -> Marking:
    """The marking of parts that fit together; its canonical form is still to be made."""
    understood = [size.prefix] if size.prefix in ("IF", "VF") else []
    if size.suffix in ("SL", "FI", "TR"):
        understood.append(size.suffix)
    return Marking(
        size_family=family,
        section_width_mm=size.width_mm,
        section_width_in=size.width_in,
        aspect_ratio=size.aspect,
        construction=size.construction,
        run_flat=size.run_flat,
        rim_diameter_in=size.rim_in,
        rim_diameter_mm_marked=size.rim_mm,
        overall_diameter_in=size.overall_in,
        service=service,
        additional=tuple(one for one, _ in tail.services[1:]) + tuple(tail.extra),
        size_speed_letter=size.speed_letter,
        load_range=tail.load_range,
        ply_rating=tail.ply,
        load_version=tail.versions[0] if tail.versions else None,
        letters=in_molded_order([*understood, *tail.letters]),
        other_letters=tuple(tail.other),
        alternative=alternative,
        unread=unread,
        nonstandard=nonstandard,
        size_text=size.text,
        size_code=size.code if size.shape == "alpha" else None,
        overall_diameter_mm_marked=size.overall_mm,
        load_text=tuple(tail.load_text),
        unlisted=unlisted_of(tail, service),
    )


def _may_count(tail: Tail) -> bool:
    """Whether the only index is a bare number that words may make a count or a price."""
    if tail.bare is None or tail.services or tail.load_text:  # `91 (615 kg)` is no count
        return False
    return tail.bare.load_index_dual is None or not twin_indices(tail.bare.load_index or 0, tail.bare.load_index_dual)


def _number_in_words(
    written: Written, size: Size, service: ServiceDescription, unread: list[tuple[int, int]]
) -> tuple[ServiceDescription, list[tuple[int, int]]]:
    """A bare number followed by words not understood may be a count or a price: it is listed as unread."""
    match = BARE.search(written.text, size.end)
    if match is None:
        return service, unread
    return replace(service, load_index=None, load_index_dual=None), sorted([*unread, (match.start(), match.end())])


def as_written(written: Written, spans: list[tuple[int, int]]) -> list[str]:
    """The unread stretches as written, neighbors joined."""
    if not spans:
        return []
    joined: list[tuple[int, int]] = []
    for start, end in sorted(spans):
        if joined and not written.text[joined[-1][1] : start].strip(" "):
            joined[-1] = (joined[-1][0], end)
        else:
            joined.append((start, end))
    return [" ".join(written.base[start:end].split()) for start, end in joined]
