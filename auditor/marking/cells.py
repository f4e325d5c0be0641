"""Cells that hold a part of a marking: a service description alone, and joining it to a size."""

from __future__ import annotations

from dataclasses import replace

from auditor.marking.canonical import canonical_text, in_molded_order, service_text
from auditor.marking.fast import fast_marking
from auditor.marking.left_open import TREAD, left_open
from auditor.marking.letters import RANGE_LETTERS
from auditor.marking.look_alikes import drop_doubtful_symbols
from auditor.marking.normalise import Written, normalise
from auditor.marking.parts import Tail
from auditor.marking.reading import as_written, read_marking
from auditor.marking.service import text_of
from auditor.marking.tail import read_tail
from auditor.trade.family import NO_FAMILY
from auditor.trade.marking_model import Marking, ServiceDescription, ServiceText, Unreadable
from auditor.trade.patterns import Pattern

LONGEST_SERVICE = 120  # characters


def decode_service(text: str) -> ServiceText | Unreadable:
    """Reads a cell that holds a service description without a size: `120/116S`, `(98Y)`, `102 H`, `98Y XL`.

    A load index without a speed symbol is read too, and a symbol alone that is no load range.  Never raises; takes time
    linear in the length of the text.
    """
    if len(text) > LONGEST_SERVICE:
        return Unreadable(
            text[:80],
            0,
            f"The text has {len(text)} characters; no service description is longer than {LONGEST_SERVICE}.",
        )
    written = normalise(text)
    start = len(written.text) - len(written.text.lstrip())
    if start == len(written.text):
        return Unreadable(text, 0, "The text is empty; expected a service description such as 102H.")
    if (doubt := left_open(written.text, written.base, start, "")) is not None:
        readings = tuple(reading.strip() for reading in doubt.readings)
        return Unreadable(text, written.original(doubt.start), doubt.reason, readings, refused="unsure")
    if (symbol := _SYMBOL_ALONE.fullmatch(written.text.strip())) is not None:
        return _of_symbol(symbol[2], is_open=bool(symbol[1]))
    tail = read_tail(written, start, tail=Tail())
    drop_doubtful_symbols(written, tail)
    if tail.turned is not None:  # without a size it may be a name
        tail.unread.append(tail.turned_at)
    tail.unread.extend((first - 1, last + 1) for first, last in tail.brackets)
    services = _described(written, tail)
    if not services:
        return Unreadable(text, written.original(start), "No service description such as 102H or 121/118S was found.")
    if tail.conflict or len(services) > 1 or len(set(tail.versions)) > 1:
        readings = tuple(text_of(one) for one in services) if len(services) > 1 else ()
        return Unreadable(text, written.original(start), "It holds two statements that cannot both hold.", readings)
    unread = tuple(as_written(written, tail.unread))
    load_range = tail.load_range
    lost = [*tail.lost, *([tail.suffix] if tail.suffix else [])]
    for letter in tail.loose:
        if load_range is None and letter in RANGE_LETTERS and services[0].speed_symbol:
            load_range = letter
        else:
            lost.append(letter)
    unlisted = tuple(sorted(dict(tail.unlisted).items()))
    parts = [service_text(services[0], tuple(tail.extra), unlisted)]
    parts += [f"{tail.ply}PR"] if tail.ply is not None else []
    parts += [f"LR {load_range}"] if load_range else [f"LR {said}" for name, said in unlisted if name == "load_range"]
    parts += tail.versions if not ("RF" in tail.letters and tail.versions == ["XL"]) else []
    parts += [*tail.letters, *tail.other, *tail.load_text]
    unread += tuple(lost)
    return ServiceText(
        descriptions=(services[0], *tail.extra),
        load_range=load_range,
        ply_rating=tail.ply,
        load_version=tail.versions[0] if tail.versions else None,
        letters=tuple(tail.letters),
        other_letters=tuple(tail.other),
        load_text=tuple(tail.load_text),
        unread=unread,
        canonical=" ".join(parts),
        unlisted=unlisted,
        nonstandard=tail.dirty or written.dirty or bool(unread) or any(c.islower() for c in text if c in _SYMBOLS),
    )


def _described(written: Written, tail: Tail) -> list[ServiceDescription]:
    """The service descriptions of a cell; a bare index counts alone, or before the name of a tread."""
    alone = not tail.unread or TREAD.match(written.text, tail.unread[0][0]) is not None
    bare = [tail.bare] if tail.bare and alone else []
    services = [one for one, _ in tail.services] or bare
    if tail.symbol is not None and not (services and services[0].speed_symbol):
        services = [replace(services[0] if services else ServiceDescription(), speed_symbol=tail.symbol), *services[1:]]
    return services


def _of_symbol(symbol: str, *, is_open: bool) -> ServiceText:
    alone = ServiceDescription(None, None, symbol, speed_open=is_open)
    return ServiceText((alone,), canonical=service_text(alone, ()))


# A speed symbol and nothing else; most of B to M may as well be a load range.
_SYMBOL_ALONE = Pattern(r"(\()?(A[1-8]|[HNP-WY])(?(1)\))")
_SYMBOLS = frozenset("abcdefghjklmnpqrstuvwy")


def service_alone(service: ServiceText) -> Marking:
    """The marking that a service description makes without a size: that of a placard, or of a cell of its own."""
    return Marking(
        size_family=NO_FAMILY,
        service=service.descriptions[0],
        additional=service.descriptions[1:],
        load_range=service.load_range,
        ply_rating=service.ply_rating,
        load_version=service.load_version,
        letters=service.letters,
        canonical=service.canonical,
        nonstandard=service.nonstandard,
        unlisted=service.unlisted,
    )


def compose(
    size: Marking,
    service: ServiceText | ServiceDescription,
) -> Marking:
    """Joins a size cell with a service description cell, or with one put together from loose index and symbol.

    What the size cell states itself goes before what the other cells state.  The family is claimed anew, because it
    can hang on the load index.  `unread` and `nonstandard` hold for both cells together.
    """
    extra: tuple[ServiceDescription, ...] = ()
    load_range, ply_rating, load_version = size.load_range, size.ply_rating, size.load_version
    unread, odd = size.unread, size.nonstandard
    letters, others, load_text, unlisted = size.letters, size.other_letters, size.load_text, size.unlisted
    if isinstance(service, ServiceText):
        main, extra = service.descriptions[0], service.descriptions[1:]
        load_range, ply_rating = load_range or service.load_range, ply_rating or service.ply_rating
        load_version = load_version or service.load_version
        letters, others = in_molded_order(letters + service.letters), _union(others, service.other_letters)
        load_text = _union(load_text, service.load_text)
        unread, odd = unread + service.unread, odd or service.nonstandard
        unlisted = tuple(sorted(dict(service.unlisted + unlisted).items()))
    else:
        main = service
    if size.service != ServiceDescription():
        main, extra = _complete(size.service, main), size.additional or extra
    joined = replace(
        size,
        service=main,
        additional=extra,
        load_range=load_range,
        ply_rating=ply_rating,
        load_version=load_version,
        letters=letters,
        other_letters=others,
        load_text=load_text,
        unread=unread,
        nonstandard=odd,
        unlisted=unlisted,
    )
    return reclaimed(joined)


def _complete(own: ServiceDescription, other: ServiceDescription) -> ServiceDescription:
    if own.load_index is None:
        own = replace(own, load_index=other.load_index, load_index_dual=other.load_index_dual)
    elif own.load_index_dual is None and other.load_index == own.load_index:
        own = replace(own, load_index_dual=other.load_index_dual)
    return own if own.speed_symbol else replace(own, speed_symbol=other.speed_symbol, speed_open=other.speed_open)


def _union(first: tuple[str, ...], second: tuple[str, ...]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(first + second))


def with_letters(size: Marking, letters: str) -> Marking:
    """The marking with the letters of its size that another cell gives; unchanged where such a size takes none.

    LT and ST stand behind sizes in inches, C behind metric ones, all others before.
    """
    text, inches = size.size_text, size.section_width_in is not None
    if letters == "C" and not inches:
        text = f"{text}C"
    elif inches and letters in ("LT", "ST"):
        text = f"{text}{letters}"
    elif not inches and letters != "C":
        text = f"{letters}{text}"
    again = decode_size(text)
    if again is None or text == size.size_text:
        return size
    version = size.load_version or again.load_version
    return reclaimed(replace(size, size_text=text, size_family=again.size_family, load_version=version))


def decode_size(text: str) -> Marking | None:
    """A size that is read as it stands."""
    found = fast_marking(text) or read_marking(text)
    return found if isinstance(found, Marking) and found.size_text == text and not found.unread else None


def reclaimed(marking: Marking) -> Marking:
    """The marking with the family that its parts call for now, and its canonical form."""
    text = " ".join(
        [marking.size_text, *(["M/C"] if "M/C" in marking.letters else []), text_of(marking.service)]
    ).strip()
    again = fast_marking(text) or read_marking(text)
    settled = replace(marking, size_family=again.size_family) if isinstance(again, Marking) else marking
    return replace(settled, canonical=canonical_text(settled))
