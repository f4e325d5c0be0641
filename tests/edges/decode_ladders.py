"""Markings in which one number or letter climbs, and what `decode` reads at each rung: family and canonical form.

The grids are as wide as the shapes of sizes are, with every rim that a shape tells apart.  Most of what stands in
them is no size at all, and that it is none is pinned too.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import product

import auditor
from tests.edges.ladder import Answer, Ladder, rising, span, told, without_rung

_LETTERS = tuple("ABCDEFGHIJKLMNOPQRSTUVWXYZ")
_RIMS = rising(span(1, 70, 1), span(9.5, 32.5, 1), span(16.1, 16.3, 0.1))
_INCHES = rising(span(1, 50, 0.5), span(1.75, 19.75, 0.5), span(6.1, 31.1, 1), span(13.6, 23.6, 0.8))
_MARKS = """
    XL|RF|HL|SL|LL|EL|REINFORCED|EXTRA LOAD|M+S|M&S|3PMSF|POR|MPT|TL|TT|TUBELESS|ROF|RFT|SSR|BSW|OWL|FRT|M/C|MST|MOPED
    |CFO|CHO|IMPLEMENT|FI|NHS|DOT|STUDDABLE|ZP|RUNFLAT|MO|AO|*|N0|C|LT|ST|CP|TR|A/T|M/T|RADIAL|(98Y)|(115N)|+104S
"""
GRIDS: dict[str, Sequence[str]] = {
    "millimeters": rising(span(50, 1350, 10), span(55, 405, 10), span(221, 229, 1)),
    "widths that end in 0 or 5": rising(span(95, 405, 5)),
    "aspects": rising(span(10, 110, 1)),
    "rims": _RIMS,
    "rims, and without their dot": (*_RIMS, *rising(span(100, 560, 5), span(141, 149, 1))),
    "rims after loose parts": rising(span(5, 35, 1), span(195, 245, 10)),
    "inches": _INCHES,
    "inches without their dot": tuple(str(number) for number in (*range(100, 1000, 5), *range(1000, 2000, 50))),
    "diameters in inches": rising(span(8, 70, 0.5)),
    "widths after a diameter": (
        *rising(span(2, 30, 0.5)),
        "10.25",
        *(str(number) for number in (95, 950, 105, 1050, 125, 1250, 700, 705, 150, 1550)),
    ),
    "letters": _LETTERS,
    "aspects of codes": rising(span(40, 100, 1)),
    "rims of codes": rising(span(8, 26, 1)),
    "indices": rising(span(0, 300, 1)),
    "symbols": (*_LETTERS, *(f"A{number}" for number in range(1, 10))),
    "ply ratings": rising(span(1, 60, 1)),
    "counts": rising(span(1, 40, 1)),
    "marks": tuple(mark.strip() for mark in _MARKS.strip().split("|")),
    "constructions": (
        "R",
        "ZR",
        "B",
        "D",
        "-",
        "SR",
        "HR",
        "VR",
        "ZRF",
        "RF",
        "RC",
        "VB",
        "SD",
        "QX",
        "SRX",
        "RR",
        "XR",
    ),
    "look-alikes": (
        "1",
        "l",
        "I",
        "i",
        "0",
        "O",
        "o",
        "5",
        "S",
        ".",
        ",",
        "'",
        "`",
        "\u00bd",
        "\u00b7",
        "\u0660",
        "\uff11",
    ),
    "other sizes": (
        *("150/70-17", "150/70R17", "150/70ZR17", "150/70B17", "150/70SR17", "P150/70R17", "LT150/70R17", "150/70R17C"),
        *(
            "160/70R17",
            "150/75R17",
            "150/70R18",
            "F60-15",
            "FR60-15",
            "G60-15",
            "F70-15",
            "31x10.50R15LT",
            "31x10.50-15",
        ),
        *("31x11.50R15LT", "32x10.50R15LT", "7.50-16", "7.50R16", "7.50-16C", "7.50-17", "7.00-16", "205-640R440A"),
    ),
    "parts of names": ("P", "LT", "ST", "T", "HL", "winterP", "winterLT", "WINTERP", "WinterP", "wP", "W", "IF", "VF"),
    "loads and pressures": rising(span(0, 100, 10), span(100, 3000, 100)),
}
_INCH_RIMS = (4, 6, 8, 9, *range(10, 23), 24, 25, 26, 28, 33, 38, 14.5, 16.5, 17.5, 19.5, 22.5)
FORMS = {
    "millimeters": """
        {x}/65R17 102H | P{x}/75R15 | LT{x}/75R16 E | ST{x}/75R15 | T{x}/70D17 | {x}/65R16C | VF{x}/80R46 |
        {x}/80R22.5 | {x}/70-16 67H | {x}/70-12 51P | {x}/70-14 51P | {x}/70-10 | {x}/75-12 | {x}/75-15 | {x}/70R20 |
        {x}/70R24
    """,
    "aspects": """
        Crest 225{x}18 | Crest 225{x}18 tire |
        225/{x}R17 102H | 315/{x}R22.5 156/150L | 130/{x}-16 67H | 130/{x}-16 | 385/{x}R20 160K | 520/{x}R38 |
        12.5/{x}-18 | 35/{x}-33 | 4.25/{x}-18
    """,
    "rims, and without their dot": """
        225/65R{x} | 245/70R{x} | 245/65R{x} | 385/65R{x}
        | 295/60R{x} | 295/55R{x} | 290/60R{x} | 355/60R{x} | 355/55R{x} | 385/50R{x} | 380/50R{x} |
        315/70R{x} | 315/65R{x} | 155R{x} | 195R{x}C | 250-{x} | 300-{x} | 220/55R{x} | 205-640R{x}A |
        205-{x}R440A
    """,
    "rims": """
        P205/75R{x} | LT245/75R{x} E | ST225/75R{x} | T145/70D{x} | 215/65R{x}C | 130/90-{x} 67H | 130/90-{x} |
        150/80-{x} | 160/80-{x} | 200/70-{x} | 225/75-{x} | 750/65R{x} | 250/80-{x} | 360/70R{x} | 275/70R{x} 148K
        | 275/70R{x} 121K | 275/55R{x} 148K | 245/70R{x} 122/120J | 245/70R{x} 122/120Q | 7.50-{x} | 7.50R{x}LT |
        11R{x} | 12R{x} | 10-{x} | 18.4-{x} | 18.4R{x} | 26.5R{x} | 8.25-{x}TR | 4.80-{x} | 6.50-{x} | 8.15-{x} |
        11L-{x} | 3.50-{x} | 2.75-{x} | 5.00-{x} | 18.00-{x} | 12.00-{x} | 13.00-{x} | 18.4x{x} | 12.5/80-{x} |
        4.25/85-{x} | 16/70-{x} | 35/65-{x} | 4.80/4.00-{x} | 18.4-{x} 155A8 | 6.50-{x} 110A5 | 31x10.50R{x}LT |
        28x9-{x} | 18x7-{x} | 20.5x8.0-{x} | 31 10.50 {x} | 31/10.50R{x} | 310500{x} |
        Crest 22565{x} | Crest 22565{x} tire | 480/400-{x} | 4.80/4.00-{x} 4PR | 6-{x} 4PR |
        102H 225/70R{x} | 150K 12R{x} | 138A8 12.5/80-{x} | 31x10.50R{x}LT 24T | 11L{x} | 16.5L{x} |
        350-{x} 51J | 400-{x} 55J
    """,
    "rims after loose parts": """
        225 65 {x} | 225-65-{x} | 225/65/{x} | 22565{x} | 225.65.{x} | 2256{x}17
    """,
    "widths that end in 0 or 5": """
        Crest {x}6518 | Crest {x}6518 tire |
        {x} 65 17 | {x}6517 | {x}-65-17 | {x}R13 | {x}-15 | {x}D15 | {x}R15C | {x}SR15
    """,
    "inches": """
        {x}L-15 | {x}/80-18 | {x}/65-33 | {x}/85-18 | {x}/70-20 | {x}/90-10 | {x}/4.00-8 |
        {x}-16LT
    """,
    "inches without their dot": """
        {x}/400-8 | 480/{x}-8 | {x}R15 | {x}R16 | {x}R17 | {x}R20 | {x}R24 | {x}R25 | {x}R34 |
        {x}R38 | {x}-15 | {x}-25 | {x}-38
    """,
    "diameters in inches": """
        {x}x10.50R15LT | {x}x9-15 | {x}x7-8 | {x}x8.0-10 | {x}x8.0-12 | {x} 10.50 15 | {x}/10.50R15
    """,
    "widths after a diameter": """
        31x{x}R15LT | 28x{x}-15 | 18x{x}-8 | 31 {x} 15 | 31/{x}R15
    """,
    "letters": """
        {x}78-15 | {x}R78-15 | M{x}90B16 | M{x}90-16 | MT90{x}16 | F78{x}15 | ST {x}78-15
    """,
    "aspects of codes": """
        F{x}-15 | MT{x}B16 | MU{x}-16
    """,
    "rims of codes": """
        F78-{x} | MT90B{x} | FR70-{x} | F78-{x}ST
    """,
    "indices": """
        225/65R17 {x}H | 225/65R17 {x} | LT245/75R16 {x}/116S | LT245/75R16 120/{x}S | LT245/75R16 120/{x} |
        130/90-16 {x}H | 3.50-18 {x}P | 315/80R22.5 {x}/150L | 250/70R16 {x}J | 360/80R24 {x} | 300/70R20 {x} |
        275/70R16 {x}K | 225/70R15C 112/110R ({x}N) | 520/85R38 155A8/{x}B |
        520/85R38 155A8/{x}A8 | LT245/75R16 {x}S/116S | LT245/75R16 120S/{x}S | 315/80R22.5 156L/{x}L |
        225/70R15C 112/110R 115N {x}N | 225/70R15C 112/110R 115/{x}N | 520/85R38 {x}A8 | 235/75R15 {x}S |
        10-16.5 {x}A3 | 245/70R16 {x} | {x}H 225/65R17 | {x}H 225/65R17 99V | {x}/116S LT245/75R16 E | {x}L 11R22.5 |
        {x}A8 520/85R38 152B | {x} 225/65R17 99V | Crest {x}V 90/90-21 |
        Crest {x}T Sport 225/65R17
    """,
    "symbols": """
        225/65R17 102{x} | 225/65R17 102 {x} | 225/65R17 {x} | 225/65{x}17 | 225/65{x}R17 | 245/40ZR19 (98{x}) |
        LT245/75R16 120/116{x} | LT245/75R16 120/116 {x} | LT245/75R16 {x} | LT245/75R16 LR{x} | LT245/75R16 LR
        {x} | 315/80R22.5 156/150{x} | 315/80R22.5 156/150 {x} | 11R22.5 {x} | 11R22.5 144/142 {x} | 520/85R38
        155{x} | ST225/75R15 {x} | 31x10.50R15LT {x} | 130/90-16 67{x} | 3.50-18 56{x} | 5.00-16 80{x} |
        215/65R16C 109/107 {x} | 7.50-16 {x} | 7.50R16 112/107 {x} | 250/70R20 149{x} | 225/65R17 102/100 {x} |
        250/80-18 120{x} | 102{x} 225/65R17 | 144{x} 11R22.5 | 155{x} 520/85R38 | 102{x} 225/65R17 99V |
        144/142{x} 11R22.5 G | LT245/75R16 120{x}/116{x} | 520/85R38 155{x}/152{x} | 11R22.5 144{x}/142L |
        LT245/75R16 120/116S{x} | LT245/75R16 120/116{x}E | 225/65R17 102H{x} name | 225/65R17102{x} |
        Crest 54{x} 90/90-21 | Crest 102{x} Sport 225/65R17 | 70{x} TT Enduro 140/80-18 |
        225/70R15C 112/110R 115{x} | 520/85R38 155A8 152{x}
    """,
    "ply ratings": """
        225/65R17 102H {x}PR | LT245/75R16 {x}PR | LT245/75R16 {x} PLY | 7.50-16 {x} PLY RATING | LT245/75R16 E
        {x}PR | 10-16.5 {x}PR
    """,
    "counts": """
        225/65R17 102H {x} | {x} 225/65R17 102H | 225/65R17 {x} 102H | LT245/75R16 120/116S E {x} | 130/90-16 67H
        {x}
    """,
    "marks": """
        HL245/40R19 101Y {x} | HL245/40R19 101Y XL {x} | LL245/40R19 101Y {x} | 245/40R19 98Y XL {x} |
        225/65R17 102H M+S {x} | 130/90-16 67H TL {x} |
        225/65R17 102H {x} | {x} 225/65R17 102H | 225/65R17 {x} 102H | LT245/75R16 120/116S E {x} | 130/90-16 67H
        {x}
    """,
    "constructions": """
        205/60{x}15 91H | 205/60{x}15 | 215/65{x}16C | 155{x}13 | 11{x}22.5 | 31x10.50{x}15 | 7.50{x}16 | 130/90{x}16 |
        2056015{x} | 205/60 {x} 15
    """,
    "look-alikes": """
        225/65R{x}7 102H | 225/65R17 {x}02H | 22{x}/65R17 102H | 7{x}50-16 | 31x10{x}50R15 | 11R22{x} | 11R22{x}5 |
        225/6{x}R17 102H | 195R{x}5C | 225/65R17 10{x}H
    """,
    "other sizes": """
        150/70R17 / {x} | 150/70-17 {x} | P150/70R17 / {x} | 150/70R17C / {x} | F60-15 / {x} | FR60-15 {x} |
        31x10.50R15LT / {x} | 7.50-16 / {x} | 7.50R16 ({x}) | 150/70SR17 = {x} | 150/70R17 69H / {x} 69H |
        150/70R17 69H / {x} 70H
    """,
    "parts of names": """
        {x}205/75R15 | Crest {x}205/75R15 | {x}245/75R16 120/116S | Crest{x} 205/75R15 | {x} 205/75R15
    """,
    "loads and pressures": """
        225/65R17 102H MAX LOAD {x} KG | 225/65R17 102H {x} KPA | 225/65R17 102H {x} PSI | 225/65R17 102H {x} LBS
    """,
}


def decoded(form: str, rung: str) -> list[str]:
    """What a marking is read as, in a few words: `{x}` where the rung stands in it, `=` for all of it as written."""
    marking = auditor.decode(form.replace("{x}", rung))
    if isinstance(marking, auditor.Unreadable):
        return ["or " + without_rung(reading, rung) for reading in marking.readings]
    canonical = without_rung(marking.canonical, rung)
    words = [f"{marking.family}: {'=' if canonical == form else canonical}"]
    if marking.nonstandard:
        words.append("written otherwise")
    if marking.unread:
        words.append(f"unread {without_rung(' '.join(marking.unread), rung)}")
    if marking.letters:
        words.append(f"letters {without_rung(' '.join(marking.letters), rung)}")
    return words


def _by_decimals(rungs: Sequence[str]) -> tuple[str, ...]:
    """Whole numbers, then halves, then others, those that end in 5 together: so are sizes told apart."""

    def group(rung: str) -> tuple[int, int, float]:
        whole, _, decimals = rung.partition(".")
        last = "05".find((decimals or whole)[-1])
        return len(decimals), -last if decimals or len(whole) > 2 else 0, float(rung)

    return tuple(sorted(rungs, key=group))


def _forms() -> Iterator[tuple[str, str]]:
    """Every form with the name of its grid."""
    for grid, forms in FORMS.items():
        for form in forms.split("|"):
            yield " ".join(form.split()), grid
    for sign, rim in product("-Rx", _INCH_RIMS):
        yield f"{{x}}{sign}{rim}", "inches"


def decodes() -> list[Ladder]:
    """Every form with every value of its grid."""
    ladders = []
    for form, grid in _forms():
        rungs = GRIDS[grid]
        numbers = all(rung[0].isdecimal() for rung in rungs)
        ladders.append(Ladder(f"{form} by {grid}", {"marking": form}, _by_decimals(rungs) if numbers else tuple(rungs)))
    return ladders


def decode_all(ladder: Ladder) -> list[Answer]:
    """What the marking of each rung is read as."""
    form = ladder.listing["marking"]
    return [told(decoded(form, rung)) for rung in ladder.rungs]
