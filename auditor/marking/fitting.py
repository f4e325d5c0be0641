"""Fits what stands around a size to it: suffixes, lone letters, counts of plies, and what cannot hold together."""

from __future__ import annotations

import re
from dataclasses import replace

from auditor.marking.families import family_named
from auditor.marking.normalise import Written
from auditor.marking.parts import Tail
from auditor.marking.service import text_of
from auditor.marking.shape import Size
from auditor.trade.family import Family
from auditor.trade.load_band import load_band_kg
from auditor.trade.marking_model import Marking, ServiceDescription, Unreadable
from auditor.trade.patterns import Pattern
from auditor.trade.tables import default_tables
from auditor.trade.units import MM_PER_INCH

_WITH_SUFFIX = ("metric", "numeric-mm", "numeric-inch", "inch-diameter")


def with_suffix(size: Size, written: Written, tail: Tail) -> Size:
    """LT, ST or C standing apart belongs to the size; C glued to an LT size is a load range."""
    if _is_of_a_name(size, written, tail):
        size = replace(size, prefix="", text=size.text.removeprefix(size.prefix))
    if size.code == "L" and not size.suffix and "SL" in tail.versions:  # `11L-15 SL`: farm service, no load version
        tail.versions.remove("SL")
        size = replace(size, suffix="SL", text=size.text + "SL")
    if tail.loose[:1] == ["C"] and _commercial_behind_bar(size, written):
        tail.loose.pop(0)
        tail.suffix = tail.suffix or "C"
        tail.dirty = True
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
        shapes = ("metric", "numeric-mm") if tail.suffix == "CP" else _WITH_SUFFIX
        takes = size.shape in shapes and size.rim_mm is None
        tail.dirty = True
        if takes and not size.suffix and not size.prefix:
            size = replace(size, suffix=tail.suffix, text=size.text + tail.suffix)
        elif tail.suffix not in (size.prefix, size.suffix):
            tail.lost.append(tail.suffix)
    return size


_NO_TRAILERS = frozenset("TUHVWY")  # symbols that special trailer tires do not have


def _is_of_a_name(size: Size, written: Written, tail: Tail) -> bool:
    """`Quattro ST 165/70R14 81T`: letters that stand apart, behind a name, and before no size of a trailer's tire."""
    if size.prefix != "ST" or written.text[size.start + 2 : size.start + 3] != " ":
        return False
    named = written.text[: size.start].rstrip(" ")
    symbols = {service.speed_symbol for service, _ in tail.services}
    return named[-1:].isalpha() and (size.suffix == "C" or not _NO_TRAILERS.isdisjoint(symbols))


def _commercial_behind_bar(size: Size, written: Written) -> bool:
    """`185/R14/C`: the C of a commercial size set apart as all else; ranges go with LT, ST and inch sizes."""
    if size.shape not in ("metric", "numeric-mm") or size.prefix or size.suffix:
        return False
    return re.match(r" ?/ ?C(?![A-Z0-9/])", written.text[size.end : size.end + 5]) is not None


def _is_load_range(size: Size, written: Written, tail: Tail) -> bool:
    """Whether the C after the rim is a load range: LT, ST and flotation sizes have no commercial version."""
    if size.shape == "inch-diameter":
        return True
    apart = written.text[size.end - 2] == " "
    return size.shape in ("numeric-inch", "alpha") and apart and not tail.services


_BESIDE_CONSTRUCTION = Pattern(r"(?<=[0-9]) ?(ZRF|ZR|RF|R|B|D) ?(?=[0-9])")


def written_oddly(written: Written, size: Size) -> bool:
    """Whether the size was written otherwise than the standards write it.

    The case of x and a space after VF are free, and so is one beside the construction letter: UN Regulation No. 30,
    Annex 3, prints `185/70 R 14 89 T` (from memory).
    """
    original = written.base[size.start : size.end]
    if original == size.text:
        return False
    plain = _BESIDE_CONSTRUCTION.sub(r"\1", original.replace("X", "x"))
    if size.prefix in ("IF", "VF"):
        plain = plain.replace(" ", "", 1)
    return plain != size.text


_PLIES_IN_TABLES = frozenset(range(2, 61, 2))
_NOT_PLIES = 55  # a load index from here on is no count of plies
_STRONG_TIRES = frozenset({"numeric-inch", "numeric-mm", "inch-diameter", "stated-diameter"})


_FEW_PLIES = Pattern(r"(?P<ply>[468])(?P<counted>[CKLPT])")  # capas, kat, lonas, plis, telas


def few_plies(size: Size, written: Written, tail: Tail) -> None:
    """`13.6-38 8T` counts plies: so low a number is taken for nothing else, and stands among what is unread."""
    if tail.ply is not None or not _is_heavy(size) or not _no_motorcycle(size):
        return
    for start, end in tail.unread:
        match = _FEW_PLIES.fullmatch(written.text, start, end)
        if match is not None and start > size.start:
            tail.ply, tail.dirty = int(match["ply"]), True
            tail.unread.remove((start, end))
            return


def _is_heavy(size: Size) -> bool:
    heavy = size.shape in _STRONG_TIRES or size.prefix in ("LT", "ST") or size.suffix in ("LT", "ST", "C")
    return heavy or (size.rim_in is not None and size.rim_in % 1 == 0.5)


def number_of_plies(size: Size, tail: Tail) -> None:
    """`10.00-20 16T` counts plies (telas, lonas): no inch, truck or farm tire has so low a load index.

    Any other letter after so low a number is no speed symbol either; it is left unread.
    """
    for one, _ in tail.services:
        if one.load_index is not None and one.load_index < _NOT_PLIES:
            break
    else:
        return
    if not _is_heavy(size):
        return
    for entry in list(tail.services):
        one = entry[0]
        highest = 54 if (size.rim_in or 0) >= 20 else 32
        if size.shape == "inch-diameter" and (size.rim_in or 99) <= 14 and (one.load_index or 0) >= 20:
            continue  # tires of all-terrain vehicles have few plies and low indices
        if (one.load_index or 999) > highest or one.load_index_dual is not None or not _no_motorcycle(size):
            continue
        tail.services.remove(entry)
        tail.dirty = True
        if one.load_index in _PLIES_IN_TABLES and one.speed_symbol in ("C", "K", "L", "P", "T"):
            tail.ply = tail.ply or one.load_index
        else:
            tail.lost.append(text_of(one))


def _no_motorcycle(size: Size) -> bool:
    """Motorcycle sizes are narrow, and their load indices low: `2.25-16 31L`."""
    return size.shape != "numeric-inch" or (size.width_in or 0) > 3.5


def take_beside(tail: Tail) -> None:
    """The service description before the size, where none follows it; else it is a part of a name."""
    if tail.services or tail.bare is not None:
        if tail.services and tail.services[0][0] == tail.beside:
            return
        tail.unread.append(tail.beside_at)
    elif tail.beside is not None:
        tail.services.append((tail.beside, False))
        tail.before = 1


def take_turned(size: Size, tail: Tail) -> None:
    """Takes `V91` behind a passenger size for 91V where tires of the size have such an index; else it is a name."""
    turned = tail.turned
    plain = size.shape == "metric" and size.prefix in ("", "P") and not size.suffix and (size.rim_in or 0.5) % 1 == 0
    if turned is None or not plain or tail.services or tail.bare is not None or tail.symbol is not None:
        tail.unread.append(tail.turned_at)
        return
    tables = default_tables()
    bare = Marking(family_named("metric"), section_width_mm=size.width_mm, aspect_ratio=size.aspect)
    least, most = load_band_kg(bare, MM_PER_INCH * (size.rim_in or 0.0), tables)
    load = tables.load_of(turned.load_index)
    if least is None or most is None or load is None or not least <= load <= most * _EXTRA_LOAD:
        tail.unread.append(tail.turned_at)
        return
    tail.services.append((turned, False))
    tail.dirty = True


_EXTRA_LOAD = 1.12  # about four load indices above a standard load


def lone_letters(
    size: Size, service: ServiceDescription, tail: Tail, family: Family
) -> tuple[str | None, str | Unreadable | None, list[str]]:
    """(load range, speed symbol, letters not understood) of letters standing alone after the size."""
    load_range, symbol = tail.load_range, service.speed_symbol or tail.symbol
    lost = list(tail.lost)
    known = {one.speed_symbol for one in (service, *(one for one, _ in tail.services), *tail.extra)}
    if tail.symbol is not None and service.speed_symbol is not None and tail.symbol not in known:
        both = f"It states the speed symbols {service.speed_symbol} and {tail.symbol}."
        return None, Unreadable("", 0, both), []
    found: str | None = None
    for letter in tail.loose:
        takes = _takes_load_range(family, letter, service, tail)
        doubtful = takes and symbol is None and service.load_index is None and family.name[:5] != "truck"
        if doubtful and letter in "HJLMN" and letter not in tail.never_symbols:
            readings = (f"{size.text} LR {letter}", f"{size.text} {letter}")
            return None, Unreadable("", 0, f"The {letter} can be a load range or a speed symbol.", readings), []
        if takes and load_range is None:
            load_range = letter
        elif takes and load_range == letter:
            tail.dirty = True
        elif takes:
            return None, Unreadable("", 0, f"It states the load ranges {letter} and {load_range}."), []
        elif _may_have(family, letter) and _may_be_symbol(letter, symbol or found, service, tail):
            found = letter
        elif letter in "IKQ" and load_range is None and family.bare_load_range and service.speed_symbol is not None:
            tail.unlisted += (("load_range", letter),)
        else:
            lost.append(letter)
    return load_range, found or (tail.symbol if service.speed_symbol is None else None), lost


_SLOW = frozenset({"agricultural", "off-road", "industrial"})  # symbols A1 to D, which are no letters of their own
_TRUCK = frozenset({"truck-metric", "truck-numeric"})


def _may_have(family: Family, symbol: str | None) -> bool:
    """Whether a letter that does not follow an index can be the speed symbol of such a tire (common practice)."""
    if symbol is None or symbol[0] in "ABCDE":
        return True
    if family.name in _SLOW:
        return False
    return family.name not in _TRUCK or symbol in "FGJKLMN"


def is_of_a_name(tail: Tail, family: Family) -> bool:
    """Takes a service description before the size that no such tire can have for a part of a name."""
    if not tail.before or len(tail.services) != 1 or _may_have(family, tail.services[0][0].speed_symbol):
        return False
    tail.lost.append(text_of(tail.services.pop()[0]))
    return True


def _may_be_symbol(letter: str, known: str | None, service: ServiceDescription, tail: Tail) -> bool:
    """Whether a lone letter can be the speed symbol: none is known, no index lacks it, no name follows it."""
    if known is not None or service.load_index is not None or letter in tail.never_symbols:
        return False
    return letter in "HJLMNPQSTUVWYK" and not tail.named  # an R stands for radial, or for a seller's own mark


def _takes_load_range(family: Family, letter: str, service: ServiceDescription, tail: Tail) -> bool:
    if letter not in "ABCDEFGHJLMN":
        return False
    if letter == "C" and not family.c_is_load_range:
        return family.name in ("numeric", "truck-numeric", "truck-metric")
    if family.bare_load_range:
        return True
    return family.name == "metric" and service.load_index_dual is not None and letter in "DEFG"


def unlisted_of(tail: Tail, service: ServiceDescription) -> tuple[tuple[str, str], ...]:
    """What was said and no table lists, in the order of the fields; nothing that a listed value stands for too."""
    if not tail.unlisted:
        return ()
    known = {
        "load_range": tail.load_range,
        "load_index": service.load_index,
        "load_index_dual": service.load_index_dual,
        "speed_symbol": service.speed_symbol,
    }
    return tuple(sorted((name, said) for name, said in dict(tail.unlisted).items() if known[name] is None))


def versions_of(size: Size, tail: Tail) -> list[str]:
    """The load versions stated in the size and after it, each once.  HL is above XL, and some say both."""
    if size.prefix not in ("HL", "LL"):
        return tail.versions
    versions = list(tail.versions)
    if size.prefix == "HL" and "XL" in versions:
        tail.other = ["XL", *tail.other]
        versions.remove("XL")
    if size.prefix not in versions:
        versions.insert(0, size.prefix)
    return versions


def closed(service: ServiceDescription, family: Family, tail: Tail) -> ServiceDescription:
    """The description without brackets that only a seller put there.

    Open-ended V and W are those of motorcycles (UN Regulation No. 75); other tires have an open-ended Y.
    """
    if not service.speed_open or service.speed_symbol == "Y" or family.name == "motorcycle":
        return service
    tail.dirty = True
    return replace(service, speed_open=False)


_LEAST_INDEX = 40  # the lightest tires begin about there
_LEAST_OF_CARS = 50


def low_number(size: Size, tail: Tail) -> None:
    """A number beside a size that is too low for a load index: a count, a rim, hours, volts."""
    if tail.bare is not None and (tail.bare.load_index or 0) < _LEAST_INDEX:
        tail.lost.append(text_of(tail.bare))
        tail.bare = None
    car = size.shape == "metric" and size.construction == "R" and (size.rim_in or 0) >= 12 and not size.suffix
    car = car and (size.width_mm or 0) >= 135 and (size.width_mm or 0) % 10 == 5 and "M/C" not in tail.letters
    for entry in list(tail.services):
        one = entry[0]
        least = _LEAST_OF_CARS if car else _LEAST_INDEX if one.speed_symbol == "H" else 0  # `24H` are hours
        if one.load_index is not None and one.load_index < least:
            tail.services.remove(entry)
            tail.lost.append(text_of(one))


def label_class(size: Size, tail: Tail) -> None:
    """`205/55R16 91 E` gives a class of the EU label: a letter so slow, apart, is no symbol of a passenger size."""
    if not tail.services:
        return
    one = tail.services[0][0]
    if not (tail.services[0][1] or tail.foreign_symbol) or size.shape != "metric" or size.suffix:
        return
    passenger = (
        size.width_mm is not None and size.width_mm % 10 == 5 and size.width_mm < 345 and size.prefix in ("", "P")
    )
    if passenger and one.load_index_dual is None and (one.speed_symbol or "Y")[0] in "ABCDEFG":
        tail.services[0] = (replace(one, speed_symbol=None), False)
        tail.lost.append(str(one.speed_symbol))
