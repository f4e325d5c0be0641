"""Blanks and dots that shops leave out: `Winter205/55R16`, `152/148M18PR`, `315/80R22 5`.

A text is read as it stands first; only where it then holds no size are words cut off from what may be one.
"""

from __future__ import annotations

import re
from bisect import bisect_left
from collections.abc import Sequence
from dataclasses import replace
from itertools import pairwise

from auditor.marking.languages import INCHES, of
from auditor.marking.normalise import Written, normalise
from auditor.marking.service import two_words
from auditor.marking.shape import truck_alone
from auditor.trade.patterns import Pattern

# Plies glued to a speed symbol or a suffix, and a tread type or letters glued to the plies: `121Q10PR`, `16PRL5`.
_BESIDE_PLIES = Pattern(
    r"(?<=[0-9][B-Z])(?=(?:[468]|[12][02468]) ?-?P\.?R(?![^\W\d_]{3}))"
    r"|(?<=[0-9]PR)(?=(?:[A-Z]-?[1-7]|T[LT]|LT|NHS|TTF|[1-9]\d{1,2}(?:/[1-9]\d{1,2})?[F-HJ-NP-W])(?![A-Z0-9]))|(?<=[0-9]PLY)(?=[A-Z]{2,4}(?![A-Z]))"
    # a name behind the plies, where two load indices leave no doubt: `102/100R8PRVANLEY`
    r"|(?<=/1[0-9]{2}[B-Z])(?=(?:[468]|1[02468])PR[A-Z]{3})"
    r"|(?<=/1[0-9]{2}[B-Z][468]PR)(?=[A-Z]{3})|(?<=/1[0-9]{2}[B-Z]1[02468]PR)(?=[A-Z]{3})"
)
# The half of a truck's rim diameter behind a blank or a dash.
_HALF_APART = Pattern(
    r"(?:(?P<width>[1-9]\d{2}) ?[/ .-] ?(?P<aspect>\d{2})|(?<![0-9A-Z.,/])(?:8|9|1[0-3])(?:[.,]5)?) ?[-/]? ?R ?"
    r"(?P<rim>17|19|22|24)(?P<gap>[ -]| [.,]|[.,] )(?=5(?![0-9.,/A-Z%]))"
)
_TRUCK_INDEX = Pattern(r" ?1[2-7]\d(?:/1\d\d)? ?[FGJ-N](?![A-Z0-9])")
_LETTER = r"[^\W\d_]"
_GLUED_SIZE = Pattern(
    # a word, or a count, before the size
    rf"(?<={_LETTER}{{3}})(?<!P)(?<!LT)(?<!ST)(?<!HL)"
    r"(?=(?:[1-9]\d{1,2}|1[0-4]\d0)(?:[.,]\d{1,2})?[/\\][0-9]|\d{1,2}[.,]\d{1,2}[-RX]|\d{2,3}R[12]\d)"
    r"|(?<![0-9.,/][1-9]X)(?<=[1-9]X)(?=[1-9]\d\d/\d\d)"
    # a word behind it, not `R13LTB`
    rf"|(?:(?<=[0-9]R[12]\d)|(?<=[0-9] R[12]\d)|(?<=R[12]\d[.,]5))(?!LT|ST|CP)(?={_LETTER}{{3}})"
)


# Two strokes for one, `235//60//R18`, and between the parts of a list, `91T//WINTER//195/65R15`.
_DOUBLE_BARS = Pattern(r"(?<![:/])//(?!/)")
_IN_SIZE = Pattern(r"(?<=\d)//(?=\d\d(?!\d)|Z?R ?\d)")


def _bars(match: re.Match[str]) -> str:
    """One stroke and a blank inside of a size, blanks elsewhere; as long as it was."""
    return "/ " if _IN_SIZE.match(match.string, match.start()) is not None else "  "


# A size, load index, symbol and word all in one: `205/55R1691VTorvik`, with two or three digits for the index.
_ALL_GLUED = Pattern(
    rf"(?<=/\d\d)Z?R(?P<rim>1[2-9]|2[0-4])(?P<index>[4-9]\d|1[0-3]\d)(?P<symbol>[J-NP-TUHVWY])"
    rf"(?P<word>{_LETTER}{{2,24}})"
)


def _spots_in_glued(written: Written) -> list[int]:
    """Where blanks belong in a size that runs on into its index, symbol and a word, where these can be but two."""
    spots = []
    for match in _ALL_GLUED.finditer(written.text):
        if two_words(written.base, match.start("symbol"), match["symbol"] + match["word"]):
            spots += [match.start("index"), match.end("symbol")]
    return spots


# The rim's diameter in inches before the width, `16" 205/55`, `14 pouces 165/70`, or as Р16, with words between.
_IN_INCHES = rf"[\"\u2033\u201d]| ?(?i:{'|'.join(map(re.escape, of(INCHES)))})(?!{_LETTER})"
_INCHES_FIRST = Pattern(
    rf"(?<![\w.,/])(?:(?P<inches>1\d|2[0-4])(?:{_IN_INCHES})"
    r"|[РрPp](?P<code>1\d|2[0-4]))(?=[ ,][^\d]{0,24}(?<=[ ,])[1-4]\d5/[2-9][05](?![\d/]))"
)


# Commas of a row of fields, which are no decimal marks: `40118,245/40R20,99W`, `LRC,100/96,M`; and a stroke between
# blanks before a size, `0931 / 235/55R19`.
_FIELDS_OF_ROW = Pattern(
    r"(?<=[0-9]{4}),(?=[1-3]\d5/\d\d ?Z?R ?\d\d)|(?<=R[12]\d),(?=[4-9]\d[A-Z](?![A-Z0-9])|1\d\d[A-Z/]|LR[A-Z])"
    r"|(?<=,\d\d),(?=[J-NP-UHVWY](?:,|$))|(?<=,\d\d\d),(?=[F-HJ-NP-UVWY](?:,|$))|(?<=/\d\d),(?=[F-NP-S](?:,|$))"
    r"|(?<=/\d\d\d),(?=[F-NP-S](?:,|$))|(?<=[0-9] )/(?= [1-3]\d5/\d\d ?Z?R ?\d\d)"
)
_RANGE_IN_BRACKETS = Pattern(r"(?:(?<=PLY )|(?<=PR ))\((?P<range>[B-HJLMN])\)")


def ready(text: str) -> Written:
    """The text made ready for reading, with what belongs to numbers put back and plies set apart."""
    written = normalise(text)
    plain = written.text
    if "," in plain or " / " in plain:
        rows = _FIELDS_OF_ROW.sub(" ", plain)
        if rows != plain:
            plain, written = rows, Written(rows, written.base, True, written.shifts)
    if "(" in plain and (found := _RANGE_IN_BRACKETS.search(plain)):
        plain = f"{plain[: found.start()]} {found['range']} {plain[found.end() :]}"
        written = Written(plain, written.base, True, written.shifts)
    if "//" in plain:
        plain = _DOUBLE_BARS.sub(_bars, plain)
        written = Written(plain, written.base, True, written.shifts)
    if " 5" in plain or "-5" in plain or ".5" in plain or ",5" in plain:
        halves = _HALF_APART.sub(_half, plain)
        if halves != plain:
            written = Written(halves, written.base, True, written.shifts)
    if "PR" in plain or "PLY" in plain:
        return _with_blanks(written, _BESIDE_PLIES)
    return written


def words_cut_off(written: Written) -> Written | None:
    """The text with blanks between sizes and the words glued to them; None where there are none."""
    apart = _with_blanks(written, _GLUED_SIZE, _spots_in_glued(written))
    if (rim := _INCHES_FIRST.search(apart.base)) is not None:
        start, end = rim.span()
        code = f"R{rim['inches'] or rim['code']}".ljust(end - start)  # as long as it was
        apart = replace(apart, text=f"{apart.text[:start]}{code}{apart.text[end:]}", dirty=True)
    return None if apart is written else apart


def _half(match: re.Match[str]) -> str:
    """A dot for the gap, where the rim without its half is none of such a tire: `285/40R22 5` may count five."""
    alone = match["width"] is None or truck_alone(int(match["width"]), int(match["aspect"]), match["rim"] + "5")
    if not alone and _TRUCK_INDEX.match(match.string, match.end() + 1) is None:
        return match[0]
    gap: str = match["gap"]
    head = match[0][: -len(gap) - 2]
    return f"{head}{' ' * (len(gap) - 1)}{match['rim']}."  # as long as it was


def _with_blanks(written: Written, places: Pattern, more: Sequence[int] = ()) -> Written:
    """Puts a blank at each place that the pattern finds, and at more, keeping account of the places."""
    base = written.base
    spots = sorted({*(match.start() for match in places.finditer(written.text)), *more})
    # `WinterP205/75R15`: a capital behind a small letter belongs to the size.
    spots = [spot for spot in spots if not (base[spot - 1].isupper() and base[spot - 2].islower())]
    if not spots:
        return written
    edges = [0, *spots, len(written.text)]
    pairs = list(pairwise(edges))
    before = [bisect_left(spots, place) for place, _ in written.shifts]
    shifts = [(place + put, lost - put) for (place, lost), put in zip(written.shifts, before, strict=True)]
    shifts += [(spot + count, written.original(spot) - spot - count) for count, spot in enumerate(spots, 1)]
    return Written(
        " ".join(written.text[start:end] for start, end in pairs),
        " ".join(written.base[start:end] for start, end in pairs),
        True,
        tuple(sorted(shifts)),
    )
