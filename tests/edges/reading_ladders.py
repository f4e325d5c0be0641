"""What is read beside `decode`: clean markings the short way, sizes in titles, service descriptions in their own cell.

The short way may only leave out what the full reading would do again, so each rung of `short_way` is read both ways;
which of them are read the short way at all is pinned, too, for nothing else tells that it has become longer.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import product

from auditor.marking import ServiceText, Unreadable, decode_service, find_markings
from auditor.marking.fast import fast_marking, fast_service
from auditor.marking.reading import read_marking
from auditor.marking.service import text_of
from tests.edges.ladder import Answer, Ladder, rising, span, told, without_rung

_LETTERS = tuple("ABCDEFGHIJKLMNOPQRSTUVWXYZ")
_INDICES = rising(span(1, 50, 7), span(49, 60, 1), span(61, 300, 17), span(98, 101, 1), span(119, 124, 1))
_TAILS = ("", " XL", " C", " E", " G", " 8PR", " M+S", " M+S M+S", " TL XL", " LT", " 102H 102H")
_WIDTHS = rising(span(5, 145, 5), span(225, 985, 95), span(228, 232, 2))
_ASPECTS = rising(span(15, 110, 5), span(61, 69, 4))
_RIMS = rising(span(9, 26, 1), span(16.5, 25.5, 1))


def _short_forms() -> Iterator[tuple[str, Sequence[str]]]:
    """Every part of what the short way takes, one beyond its ends in every direction."""
    for form in ("{}/65R17 102H", "P{}/75R15", "LT{}/75R16 E", "{}/70ZR17 M/C (58W)", "{}/100-16 M/C", "{}/45-17 M/C 50P"):
        yield form.format("{x}"), _WIDTHS
    for form in ("225/{}R17 102H", "90/{}-17 M/C 50P", "130/{}-16 M/C 67H", "245/{}R17 122L", "245/{}R17 121/119J", "315/{}R22.5"):
        yield form.format("{x}"), _ASPECTS
    for form in ("225/65R{} 102H", "P205/75R{}", "LT245/75R{} E", "195/70R{}C 104/102R", "225/75R{}LT", "120/70R{} M/C",
                 "245/70R{} 136/134M", "250/60R{} 102H", "11R{} G", "31x10.50R{}LT C", "24x10.50R{}LT", "24x8.50-{}"):
        yield form.format("{x}"), _RIMS  # fmt: skip
    for form in ("225/65R17 {}H", "225/65R17 {}/100H", "LT245/75R16 {}/116S", "LT245/75R16 120/{}S", "245/70R17 {}L",
                 "245/60R17 {}J", "245/55R17 {}J", "245/70R17 {}Q", "245/40ZR19 ({}Y)", "120/70ZR17 M/C ({}W)",
                 "11R22.5 {}/142L", "31x10.50R15LT {}S", "120/70-17 M/C {}P"):
        yield form.format("{x}"), _INDICES  # fmt: skip
    for form in ("225/65R17 102{}", "245/70R17 122{}", "245/40ZR19 (98{})", "120/70R17 M/C (58{})", "LT245/75R16 120/116S {}",
                 "225/65R17 102H {}", "11R22.5 144/142L {}", "315/80R22.5 156/150L {}", "LT245/75R16 {}", "225/65{}17"):
        yield form.format("{x}"), _LETTERS  # fmt: skip
    for form in ("{}x10.50R15LT 109S", "{}x10.50R22", "{}x12.50R22LT"):
        yield form.format("{x}"), rising(span(22, 52, 1))
    for form in ("31x{}0R15LT 109S C", "28x{}0-15"):
        yield form.format("{x}"), rising(span(6.5, 19.5, 0.5))
    yield "{x}R22.5 144/142L", rising(span(6, 15, 1))
    for form in ("225/65R17 {}PR", "LT245/75R16 {}PR 120/116S"):
        yield form.format("{x}"), rising(span(1, 22, 1))
    sizes = ("225/65R17 102H", "225/65R17", "HL245/40R19 101Y", "T145/70D17 106M", "P205/75B15", "LT245/75R16 120/116S",
             "195R15C 106R", "195/70R15C 104/102R", "225/65-17", "225/65D17", "315/80R22.5 156/150L", "11R22.5 144/142L",
             "120/70D17 M/C 58W", "P120/70-17 M/C", "120/70R17C M/C", "120/70R22.5 M/C", "31x10.50R15LT 109S")  # fmt: skip
    for size in sizes:
        yield f"{size}{{x}}", _TAILS


def short_way() -> list[Ladder]:
    """What each form is read as, if the short way takes it."""
    return [
        Ladder(f"{form} by {rungs[0] or 'word'}", {"marking": form}, tuple(rungs)) for form, rungs in _short_forms()
    ]


def read_short(ladder: Ladder) -> list[Answer]:
    """Whether each rung is read the short way, and like the full way."""
    return [told([_short(ladder.listing["marking"].replace("{x}", rung))]) for rung in ladder.rungs]


def _short(text: str) -> str:
    short = fast_marking(text)
    if short is None:
        return "the full way"
    full = read_marking(text)
    return f"{short.family}" if short == full else f"otherwise than the full way: {short}, {full}"


_SERVICE_FORMS: tuple[tuple[str, Sequence[str]], ...] = (
    *((form, _INDICES) for form in (
        "{x}H", "{x}", "{x}/116S", "120/{x}S", "120/{x}", "({x}Y)", "{x} H", "{x}A8/152B", "155A8/{x}B", "{x}/119R (122/119N)",
        "121/119R ({x}/119N)", "{x} XL", "LI {x}", "{x}Q 3PMSF",
    )),
    *((form, _LETTERS) for form in (
        "102{x}", "120/116{x}", "(98{x})", "102 {x}", "102H {x}", "120/116S {x}", "{x}", "{x}102", "155A8/152{x}", "102H{x}", "155{x}8",
    )),
    *((form, ("", "102H", "99V", "XL", "SL", "XL SL", "M+S", "E", "8PR", "8PR E", "(115N)", "(112V)", "99V 98W", "C", "LR E", "TL A"))
      for form in ("102H {x}", "120/116S {x}", "112/110R {x}", "{x} 102H", "T {x}")),
    ("102H {x}PR", rising(span(1, 22, 1))),
)  # fmt: skip


def services() -> list[Ladder]:
    """Service descriptions in a cell of their own."""
    return [
        Ladder(f"{form} by {rungs[0] or 'word'}", {"service_description": form}, tuple(rungs))
        for form, rungs in _SERVICE_FORMS
    ]


def read_services(ladder: Ladder) -> list[Answer]:
    """What the cell of each rung holds."""
    form = ladder.listing["service_description"]
    return [told(_service(form.replace("{x}", rung), rung)) for rung in ladder.rungs]


def _service(text: str, rung: str) -> list[str]:
    found = decode_service(text)
    if isinstance(found, Unreadable):
        place = text[found.position :]
        return [f"or {without_rung(one, rung) if rung else one}" for one in found.readings] or [f"refused at {place!r}"[:24]]
    assert isinstance(found, ServiceText)
    said = " + ".join(text_of(one) for one in found.descriptions)
    more = [found.load_range or "", found.load_version or "", *found.letters, *found.other_letters, *found.unread]
    words = [*filter(None, more)] if more else []
    reading = " ".join([said, *(f"[{word}]" for word in words)])
    short = " the short way" if fast_service(text) is not None else ""
    return [(without_rung(reading, rung) if rung else reading) + short]


_BEFORE = ("", "Crest ", "(", "Crest&#8203;  ", "Crest &amp; Hill ", "size:", "X", "5", "/", "24/7 ")
_AFTER = ("", " tire", ")", ",", ".", " A great tire", " A", " 4 pcs", " 102H", " 102H XL", " 102", " 99V 102H", "/", "x", "5", "-2",
          ", M+S", " | M+S", ";", " &amp; 102H", "&#8203; 102H", " (98Y)225/60R16")  # fmt: skip
_SIZES = ("225/65R17", "225/65R17 102H", "LT245/75R16 E", "31x10.50R15LT", "11R22.5", "7.50-16", "7.30-18", "9.00-24", "9.00-25",
          "F78-15", "MT90B16", "130/90-16 67H", "18.4-38", "245/40ZR19 (98Y)", "195R15C", "P205/75R15")  # fmt: skip
_BETWEEN = ("", " ", "/", ", ", " or ", ")", " - ", "&#8203;", "&nbsp;", " 102H ", " E ", "(98Y)")


def found() -> list[Ladder]:
    """Sizes in titles: what stands before, after and between them climbs."""
    forms: list[tuple[str, Sequence[str]]] = []
    for size in _SIZES:
        forms += [(f"{{x}}{size} end", _BEFORE), (f"Crest {size}{{x}}", _AFTER)]
    forms += [(f"{one}{{x}}{other}", _BETWEEN) for one, other in product(_SIZES[:6], ("245/60R18", "31x10.50R15LT", "7.50-16"))]
    for far in (1, 30, 60, 84, 110):  # how far from a size its service description may stand
        forms.append((f"Crest 225/65R17{',' * far}{{x}}", ("102H", "M+S", "102H,,,,,,,,,,,,,,,,XL", "102H M+S")))
    return [Ladder(_plain(form), {"title": form}, tuple(map(_plain, rungs))) for form, rungs in forms]


def _plain(text: str) -> str:
    """A text as it stands in a pinned line, where blanks and nothing at all could not be seen."""
    return text.replace(" ", "_") or "<nothing>"


def _written(text: str) -> str:
    return text.replace("<nothing>", "").replace("_", " ")


def find_all(ladder: Ladder) -> list[Answer]:
    """Where in the title of each rung a size is found, and as what."""
    return [told(_places(_written(ladder.name.replace("{x}", rung)))) for rung in ladder.rungs]


def _places(text: str) -> list[str]:
    return [f"{_plain(text[start:end])} is {marking.canonical.replace(' ', '_')}" for start, end, marking in find_markings(text)]
