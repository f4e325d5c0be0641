"""What is read beside `decode`: clean markings the short way, sizes in titles, service descriptions in their own cell.

The short way may only leave out what the full reading would do again, so each rung of `short_way` is read both ways;
which of them are read the short way at all is pinned, too, for nothing else tells that it has become longer.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import product

from auditor.marking import ServiceText, Unreadable, decode, decode_service, find_markings
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


# Every part of what the short way takes, and beyond its ends in every direction.
_SHORT_FORMS: tuple[tuple[Sequence[str], str], ...] = (
    (
        _WIDTHS,
        "{x}/65R17 102H | P{x}/75R15 | LT{x}/75R16 E | {x}/70ZR17 M/C (58W) | {x}/100-16 M/C | {x}/45-17 M/C 50P",
    ),
    (
        _ASPECTS,
        """225/{x}R17 102H | 90/{x}-17 M/C 50P | 130/{x}-16 M/C 67H | 245/{x}R17 122L | 245/{x}R17 121/119J |
        315/{x}R22.5""",
    ),
    (
        _RIMS,
        """225/65R{x} 102H | P205/75R{x} | LT245/75R{x} E | 195/70R{x}C 104/102R | 225/75R{x}LT | 120/70R{x} M/C |
        245/70R{x} 136/134M | 250/60R{x} 102H | 11R{x} G | 31x10.50R{x}LT C | 24x10.50R{x}LT | 24x8.50-{x}""",
    ),
    (
        _INDICES,
        """225/65R17 {x}H | 225/65R17 {x}/100H | LT245/75R16 {x}/116S | LT245/75R16 120/{x}S | 245/70R17 {x}L |
        245/60R17 {x}J | 245/55R17 {x}J | 245/70R17 {x}Q | 245/40ZR19 ({x}Y) | 120/70ZR17 M/C ({x}W) |
        11R22.5 {x}/142L | 31x10.50R15LT {x}S | 120/70-17 M/C {x}P""",
    ),
    (
        _LETTERS,
        """225/65R17 102{x} | 245/70R17 122{x} | 245/40ZR19 (98{x}) | 120/70R17 M/C (58{x}) | LT245/75R16 120/116S {x} |
        225/65R17 102H {x} | 11R22.5 144/142L {x} | 315/80R22.5 156/150L {x} | LT245/75R16 {x} | 225/65{x}17""",
    ),
    (rising(span(22, 52, 1)), "{x}x10.50R15LT 109S | {x}x10.50R22 | {x}x12.50R22LT"),
    (rising(span(6.5, 19.5, 0.5)), "31x{x}0R15LT 109S C | 28x{x}0-15"),
    (rising(span(6, 15, 1)), "{x}R22.5 144/142L"),
    (rising(span(1, 22, 1)), "225/65R17 {x}PR | LT245/75R16 {x}PR 120/116S"),
    (
        _TAILS,
        """225/65R17 102H{x} | 225/65R17{x} | HL245/40R19 101Y{x} | T145/70D17 106M{x} | P205/75B15{x} |
        LT245/75R16 120/116S{x} | 195R15C 106R{x} | 195/70R15C 104/102R{x} | 225/65-17{x} | 225/65D17{x} |
        315/80R22.5 156/150L{x} | 11R22.5 144/142L{x} | 120/70D17 M/C 58W{x} | P120/70-17 M/C{x} | 120/70R17C M/C{x} |
        120/70R22.5 M/C{x} | 31x10.50R15LT 109S{x}""",
    ),
)


def _split(forms: str) -> list[str]:
    return [" ".join(form.split()) for form in forms.split(" |")]


def short_way() -> list[Ladder]:
    """What each form is read as, if the short way takes it."""
    return [
        Ladder(f"{form} by {rungs[0] or 'word'}", {"marking": form}, tuple(rungs))
        for rungs, forms in _SHORT_FORMS
        for form in _split(forms)
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


_AMONG = (
    "",
    "102H",
    "99V",
    "XL",
    "SL",
    "XL SL",
    "M+S",
    "E",
    "8PR",
    "8PR E",
    "(115N)",
    "(112V)",
    "99V 98W",
    "C",
    "LR E",
)
_SERVICE_FORMS: tuple[tuple[Sequence[str], str], ...] = (
    (
        _INDICES,
        """{x}H | {x} | {x}/116S | 120/{x}S | 120/{x} | ({x}Y) | {x} H | {x}A8/152B | 155A8/{x}B | {x}/119R (122/119N) |
        121/119R ({x}/119N) | {x} XL | LI {x} | {x}Q 3PMSF | {x}S/116S |
        120S/{x}S | 112/110R 115/{x}N | 112/110R 115N {x}N""",
    ),
    (
        _LETTERS,
        """102{x} | 120/116{x} | (98{x}) | 102 {x} | 102H {x} | 120/116S {x} | {x} | {x}102 | 155A8/152{x} | 102H{x} |
        155{x}8 | 120{x}/116{x} | 155{x}/152{x} | 112/110R 115{x}""",
    ),
    (_AMONG, "102H {x} | 120/116S {x} | 112/110R {x} | {x} 102H | T {x}"),
    (rising(span(1, 22, 1)), "102H {x}PR"),
)


def services() -> list[Ladder]:
    """Service descriptions in a cell of their own."""
    return [
        Ladder(f"{form} by {rungs[0] or 'word'}", {"service_description": form}, tuple(rungs))
        for rungs, forms in _SERVICE_FORMS
        for form in _split(forms)
    ]


def read_services(ladder: Ladder) -> list[Answer]:
    """What the cell of each rung holds."""
    form = ladder.listing["service_description"]
    return [told(_service(form.replace("{x}", rung), rung)) for rung in ladder.rungs]


def _service(text: str, rung: str) -> list[str]:
    found = decode_service(text)
    if isinstance(found, Unreadable):
        place = text[found.position :]
        return [f"or {without_rung(one, rung) if rung else one}" for one in found.readings] or [
            f"refused at {place!r}"[:24]
        ]
    assert isinstance(found, ServiceText)
    said = " + ".join(text_of(one) for one in found.descriptions)
    more = [found.load_range or "", found.load_version or "", *found.letters, *found.other_letters, *found.unread]
    words = [*filter(None, more)] if more else []
    reading = " ".join([said, *(f"[{word}]" for word in words)])
    short = " the short way" if fast_service(text) is not None else ""
    return [(without_rung(reading, rung) if rung else reading) + short]


def _or_nothing(texts: str) -> tuple[str, ...]:
    """Some texts, in which `_` is a blank, and none at all."""
    return ("<nothing>", *texts.split())


_BEFORE = _or_nothing("Crest_ ( Crest&#8203;__ Crest_&amp;_Hill_ size: X 5 / 24/7_ winter winterP WinterLT WINTERP")
_AFTER = _or_nothing(
    """_tire ) , . _A_great_tire _A _4_pcs _102H _102H_XL _102 _99V_102H / x 5 -2 ,_M+S _|_M+S ; _&amp;_102H
    &#8203;_102H _(98Y)225/60R16"""
)
_BETWEEN = _or_nothing("_ / ,_ _or_ ) _-_ &#8203; &nbsp; _102H_ _E_ (98Y)")
_SIZES = _split(
    """225/65R17 | 225/65R17 102H | LT245/75R16 E | 31x10.50R15LT | 11R22.5 | 7.50-16 | 7.30-18 | 9.00-24 | 9.00-25 |
    F78-15 | MT90B16 | 130/90-16 67H | 18.4-38 | 245/40ZR19 (98Y) | 195R15C | P205/75R15"""
)


def found() -> list[Ladder]:
    """Sizes in titles: what stands before, after and between them climbs."""
    forms: list[tuple[str, Sequence[str]]] = []
    for size in _SIZES:
        forms += [(f"{{x}}{size} end", _BEFORE), (f"Crest {size}{{x}}", _AFTER)]
    forms += [
        (f"{one}{{x}}{other}", _BETWEEN)
        for one, other in product(_SIZES[:6], ("245/60R18", "31x10.50R15LT", "7.50-16"))
    ]
    for far in (1, 30, 60, 84, 110):  # how far from a size its service description may stand
        forms.append((f"Crest 225/65R17{',' * far}{{x}}", ("102H", "M+S", "102H,,,,,,,,,,,,,,,,XL", "102H_M+S")))
    return [Ladder(_plain(form), {"title": form}, tuple(rungs)) for form, rungs in forms]


def _plain(text: str) -> str:
    """A text as it stands in a pinned line, where blanks and nothing at all could not be seen."""
    return text.replace(" ", "_") or "<nothing>"


def _written(text: str) -> str:
    return text.replace("<nothing>", "").replace("_", " ")


def find_all(ladder: Ladder) -> list[Answer]:
    """Where in the title of each rung a size is found, and as what."""
    return [told(_places(_written(ladder.name.replace("{x}", rung)))) for rung in ladder.rungs]


def _places(text: str) -> list[str]:
    return [
        f"{_plain(text[start:end])} is {marking.canonical.replace(' ', '_')}"
        for start, end, marking in find_markings(text)
    ]


# Texts that are refused, for every reason there is: where in the text, in which words, with which readings.
_REFUSED = _or_nothing(
    """_ tba ?? 17 102H 17X 223/65R17 225/63R17 225/65R27 385/65R15.3 1310/65R17 55/65R17 225/110R17 225/15R17
    225/65R17_235/65R17 225/65R17_or_225/60R17 225/65R17_XL_SL 225/65R17_302H 225/65R17_102H_99V 102H_225/65R17_99V
    225/65R17_102H_XL_LL LT245/75R16_120/116S_C_E LT245/75R16_E_8PR 225/65R17_102/116H 11R22.5_144/142L_146/143L
    225_65_27 2256517_2256018 150/70R17_150/75R17 F78-15_G78-15 31x10.50R15_32x10.50R15 7.50-16_7.50-17 22565
    225/65R17102 22565R1 P225 225/ /65R17 R17 225/R17 480/400 31x10.50 102H_XL_SL 120/116S_C_E 98W_99V 102H_99V
    <long> 225/65R17<long> 102H<long>"""
)
_AROUND = ("{x}", "__{x}", "&#8203;Crest_{x}", "{x}_&amp;_more")


def refused() -> list[Ladder]:
    """Texts that are no marking, and no service description, with what may stand around them."""
    return [Ladder(f"{kind} {form}", {kind: form}, _REFUSED) for kind in ("marking", "service") for form in _AROUND]


def refuse_all(ladder: Ladder) -> list[Answer]:
    """Why the text of each rung is refused."""
    ((kind, form),) = ladder.listing.items()
    read = decode if kind == "marking" else decode_service
    texts = (_written(form.replace("{x}", rung)).replace("<long>", "," * 401) for rung in ladder.rungs)
    return [told(_reason(read(text))) for text in texts]


def _reason(found: object) -> list[str]:
    if not isinstance(found, Unreadable):
        return []
    return [_plain(" or ".join([f"at {found.position}: {found.reason}", *found.readings])).replace("|", "<bar>")]
