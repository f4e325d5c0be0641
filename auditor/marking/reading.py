"""The full reading of a text: find the size, read what stands around it, let a family claim it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from auditor.marking.canonical import canonical_text, in_molded_order
from auditor.marking.families import family_of
from auditor.marking.normalise import Written, normalise
from auditor.marking.service import BARE, DESCRIPTION, text_of
from auditor.marking.shape import Found, Misfit, Size
from auditor.marking.shapes import alpha, metric, metric_weak, numeric_mm, stated_diameter
from auditor.marking.shapes_inch import inch_diameter, inch_diameter_weak, numeric_inch, numeric_no_dot, numeric_x
from auditor.marking.tail import Tail, read_tail
from auditor.trade.family import Family
from auditor.trade.marking_model import Marking, ServiceDescription, Unreadable

LONGEST = 400  # characters; no marking with its letters comes near
STRONG: tuple[Callable[[str], Found], ...] = (
    metric,
    inch_diameter,
    stated_diameter,
    alpha,
    numeric_mm,
    numeric_inch,
)
WEAK: tuple[Callable[[str], Found], ...] = (inch_diameter_weak, metric_weak, numeric_x, numeric_no_dot)
_EMPTY = ServiceDescription()


def find_sizes(text: str, readers: tuple[Callable[[str], Found], ...]) -> tuple[list[Size], list[Misfit]]:
    """The sizes in a normalised text in order, none overlapping another, and what only looked like one."""
    sizes: list[Size] = []
    misfits: list[Misfit] = []
    for reader in readers:
        for found in reader(text):
            if isinstance(found, Misfit):
                misfits.append(found)
            elif not any(found.start < known.end and known.start < found.end for known in sizes) and _ends_well(
                text, found.end
            ):
                sizes.append(found)
    sizes.sort(key=lambda size: size.start)
    return sizes, misfits


def _ends_well(text: str, end: int) -> bool:
    """Whether what is glued to the size is a service description or understood letters, not more of a number."""
    if end >= len(text) or not text[end].isalnum():
        return True
    if text[end].isdigit():
        return DESCRIPTION.match(text, end) is not None or BARE.match(text, end) is not None
    glued = read_tail(Written(text[: end + 24], text[: end + 24], False), end, tail=Tail(), strict=True)
    return glued.end > end


def read_marking(text: str) -> Marking | Unreadable:
    """Reads any text, clean or dirty.  Never raises; takes time linear in the length of the text."""
    if len(text) > LONGEST:
        return Unreadable(text[:80], 0, f"The text has {len(text)} characters; no marking is longer than {LONGEST}.")
    written = normalise(text)
    sizes, misfits = find_sizes(written.text, STRONG)
    if not sizes and not misfits:
        sizes, _ = find_sizes(written.text, WEAK)
    if not sizes:
        return _no_size(text, written, misfits)
    return assemble(text, written, sizes)


def _no_size(text: str, written: Written, misfits: list[Misfit]) -> Unreadable:
    if misfits:
        first = misfits[0]
        reason = f"{first.reason[:1].upper()}{first.reason[1:]}."
        return Unreadable(text, written.original(first.start), reason, first.readings)
    if not written.text.strip():
        return Unreadable(text, 0, "The text is empty; expected a size such as 225/65R17 102H.")
    position = len(written.text) - len(written.text.lstrip())
    return Unreadable(
        text, written.original(position), "No size designation was found; expected one such as 225/65R17 102H."
    )


def assemble(text: str, written: Written, sizes: list[Size]) -> Marking | Unreadable:
    """Puts a marking together from the first size and what stands around it."""
    size = sizes[0]
    tail = Tail()
    if written.text[: size.start].strip():
        read_tail(written, 0, size.start, tail=tail, head=True)
        if tail.unread and tail.services:  # "Acme 102T 225/65R17": more likely the model's name
            tail = Tail(unread=[(0, size.start)])
        tail.dirty = True
    read_tail(written, size.end, tail=tail)
    others, alternative = _second_sizes(written, tail, sizes[1:])
    different = [other for other in others if other.text != size.text]
    if different:
        readings = tuple(dict.fromkeys(other.text for other in (size, *different)))
        return Unreadable(
            text, written.original(different[0].start), "It holds more than one size designation.", readings
        )
    return build(text, written, size, tail, alternative)


def _second_sizes(written: Written, tail: Tail, others: list[Size]) -> tuple[list[Size], str | None]:
    """The sizes left over, and the alternative designation if one stands in brackets."""
    alternative = None
    left = list(others)
    for start, end in tail.brackets:
        inner = [other for other in others if start <= other.start and other.end <= end]
        if len(inner) == 1 and written.text[start:end].strip() == written.text[inner[0].start : inner[0].end]:
            alternative = alternative or inner[0].text
            left.remove(inner[0])
        elif not inner:
            tail.unread.append((start - 1, end + 1))
    return left, alternative


def build(text: str, written: Written, size: Size, tail: Tail, alternative: str | None) -> Marking | Unreadable:
    """Turns a size and the reading of its surroundings into a marking, or says why they do not fit together."""
    size = _with_suffix(size, written, tail)
    service = tail.services[0][0] if tail.services else tail.bare or _EMPTY
    letters = frozenset(tail.letters)
    family = family_of(size, service, letters)
    if family is None:
        return Unreadable(text, written.original(size.start), f"{size.text} is of no known family.")
    refusal = _contradiction(size, tail, family)
    if refusal:
        return Unreadable(text, written.original(size.start), *refusal)
    unread = list(tail.unread)
    load_range, symbol, lost = _lone_letters(size, service, tail, family)
    if isinstance(symbol, Unreadable):
        return replace(symbol, text=text, position=written.original(size.end))
    if symbol:
        service = replace(service, speed_symbol=symbol)
    if tail.bare is not None and not tail.services and unread and unread[0][0] <= tail.end:
        service, unread = _number_in_words(written, size, service, unread)
    version = tail.versions[0] if tail.versions else size.prefix if size.prefix in ("HL", "LL") else None
    if len(set(tail.versions)) > 1:
        both = " and ".join(tail.versions)
        return Unreadable(text, written.original(size.end), f"It states two load versions, {both}.")
    understood = [size.prefix] if size.prefix in ("IF", "VF") else []
    if size.suffix in ("SL", "FI", "TR"):
        understood.append(size.suffix)
    texts = as_written(written, unread) + lost
    marking = Marking(
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
        load_range=load_range,
        ply_rating=tail.ply,
        load_version=version,
        letters=in_molded_order([*understood, *tail.letters]),
        other_letters=tuple(tail.other),
        alternative=alternative,
        unread=tuple(texts),
        nonstandard=tail.dirty or written.dirty or bool(texts) or size.weak or _written_oddly(written, size),
        size_text=size.text,
        size_code=size.code if size.shape == "alpha" else None,
        overall_diameter_mm_marked=size.overall_mm,
        load_text=tuple(tail.load_text),
    )
    # Set once, before anybody sees the marking: copying it for one field would cost a quarter of the whole reading.
    object.__setattr__(marking, "canonical", canonical_text(marking))
    return marking


def _with_suffix(size: Size, written: Written, tail: Tail) -> Size:
    """LT, ST or C standing apart belongs to the size; C glued to an LT size is a load range."""
    if size.suffix == "C" and (size.prefix or _is_load_range(size, written, tail)):
        end = len(written.text[: size.end - 1].rstrip(" -"))
        tail.dirty = tail.dirty or end == size.end - 1
        if size.prefix in ("", "LT", "ST", "AT") and tail.load_range in (None, "C"):
            tail.load_range = "C"
        else:
            tail.lost.append("C")
        size = replace(size, suffix="", text=size.text[:-1], end=end)
    if size.prefix and size.suffix and size.suffix not in ("C", "SL", "FI"):
        tail.dirty = True
        if size.suffix != size.prefix:
            tail.lost.append(size.suffix)
        size = replace(size, suffix="", text=size.text[: -len(size.suffix)])
    if tail.suffix:
        takes = size.shape in ("metric", "numeric-mm", "numeric-inch", "inch-diameter") and size.rim_mm is None
        tail.dirty = True
        if takes and not size.suffix and not size.prefix:
            size = replace(size, suffix=tail.suffix, text=size.text + tail.suffix)
        elif tail.suffix not in (size.prefix, size.suffix):
            tail.lost.append(tail.suffix)
    return size


def _is_load_range(size: Size, written: Written, tail: Tail) -> bool:
    """Whether the C after the rim is a load range: LT, ST and flotation sizes have no commercial version."""
    if size.shape == "inch-diameter":
        return True
    apart = written.text[size.end - 2] == " "
    return size.shape in ("numeric-inch", "alpha") and apart and not tail.services


def _written_oddly(written: Written, size: Size) -> bool:
    """Whether the size was written otherwise than its canonical form, the case of x and a space after VF aside."""
    original = written.base[size.start : size.end]
    if original == size.text:
        return False
    plain = original.replace("X", "x")
    if size.prefix in ("IF", "VF"):
        plain = plain.replace(" ", "", 1)
    return plain != size.text


def _contradiction(size: Size, tail: Tail, family: Family) -> tuple[str, tuple[str, ...]] | None:
    """(reason, possible readings) when two parts of the marking cannot both hold."""
    if tail.conflict:
        return f"The marking contradicts itself: {tail.conflict}.", ()
    several = [one for one, _ in tail.services]
    if len(several) > 1 and not family.two_descriptions:
        readings = tuple(f"{size.text} {text_of(one)}" for one in several)
        return "It holds two service descriptions.", readings
    first, apart = tail.services[0] if tail.services else (_EMPTY, False)
    letter = first.speed_symbol
    if apart and letter and not tail.load_range:
        light = (
            family.name in ("lt-metric", "flotation", "special-trailer", "numeric", "commercial") and letter in "BCDEFG"
        )
        if light or (family.name in ("truck-metric", "truck-numeric") and letter in "FGHJ"):
            index = text_of(replace(first, speed_symbol=None))
            readings = (f"{size.text} {index}{letter}", f"{size.text} {index} LR {letter}")
            return f"{letter} after the load index can be a speed symbol or a load range.", readings
    return None


def _lone_letters(
    size: Size, service: ServiceDescription, tail: Tail, family: Family
) -> tuple[str | None, str | Unreadable | None, list[str]]:
    """(load range, speed symbol, letters not understood) of letters standing alone after the size."""
    load_range, symbol = tail.load_range, service.speed_symbol
    lost = list(tail.lost)
    found: str | None = None
    for letter in tail.loose:
        takes = _takes_load_range(family, letter, service, tail)
        if takes and symbol is None and service.load_index is None and letter in "HJLMN" and family.name[:5] != "truck":
            readings = (f"{size.text} LR {letter}", f"{size.text} {letter}")
            return None, Unreadable("", 0, f"{letter} can be a load range or a speed symbol.", readings), []
        if takes and load_range is None:
            load_range = letter
        elif takes and load_range == letter:
            tail.dirty = True
        elif takes:
            return None, Unreadable("", 0, f"It states the load ranges {letter} and {load_range}."), []
        elif symbol is None and found is None and letter in "HJLMNPQRSTUVWYK" and service.load_index is None:
            found = letter
        else:
            lost.append(letter)
    return load_range, found, lost


def _takes_load_range(family: Family, letter: str, service: ServiceDescription, tail: Tail) -> bool:
    if letter not in "ABCDEFGHJLMN":
        return False
    if letter == "C" and not family.c_is_load_range:
        return family.name in ("numeric", "truck-numeric", "truck-metric")
    if family.bare_load_range:
        return True
    return family.name == "metric" and service.load_index_dual is not None and letter in "DEFG"


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
    joined: list[tuple[int, int]] = []
    for start, end in sorted(spans):
        if joined and not written.text[joined[-1][1] : start].strip(" "):
            joined[-1] = (joined[-1][0], end)
        else:
            joined.append((start, end))
    return [" ".join(written.base[start:end].split()) for start, end in joined]
