"""The shapes of inch size designations: `31x10.50R15LT`, `7.50R16LT`, `11R22.5`, `18.4-38`, `12.5/80-18`."""

from __future__ import annotations

import re

from auditor.marking.letters import LOAD_RANGE, PLY
from auditor.marking.service import LETTERS
from auditor.marking.shape import DROPPED_DOT, FREE, RIM, B, Found, Misfit, Size, read_construction, read_rim
from auditor.trade.patterns import Pattern

_SUFFIX = rf"(?:{B}-?(?P<suffix>LT|C|ST|TR(?!\d)|(?<=[0-9])SL|(?<=[0-9])FI)(?![{LETTERS}+&])(?!(?<= [LS]T)\d))?"
# Behind "41L" no "TR15" follows: that is a valve's.
_CON = r"(?P<con>Z ?R|(?<!L )(?<!L  )[SHVTQ]R|R|[HVS]?B|D|[HVS](?=\d\d)|-)"

DIAMETER = Pattern(
    rf"{FREE}(?:(?P<prefix>LT|ST|AT)[ -]?)?(?P<overall>[1-6]\d(?:[.,]\d{{1,2}})?){B}[X*]{B}"
    rf"(?P<width>\d{{1,2}}[.,]\d{{1,2}}|\d{{1,2}}(?:[ -]?1/2|½)|\d{{3,4}}|\d{{1,2}}){B}[-/]?{B}"
    rf"(?P<con>ZR|R|D|B|-|[X*]|/){B}-?{B}{RIM}{_SUFFIX}"
)
DIAMETER_WEAK = Pattern(
    rf"{FREE}(?:(?P<prefix>LT|ST|AT)[ -]?)?(?P<overall>[2-5]\d)(?P<first>{B}[-/X]?{B})"
    rf"(?P<width>\d{{1,2}}[.,]\d{{1,2}}|1\d[05]0|[789][05]0)(?P<con>{B}[-/X]?{B}R?{B})(?P<rim>1[2-8]|2[0-6])(?!\d|[.,]\d){_SUFFIX}"
)
NUMERIC = Pattern(
    rf"{FREE}(?:(?P<prefix>LT|ST|IF|VF)[ -]?)?(?P<width>(?!0)\d{{1,2}}(?:[.,]\d{{1,2}})?)(?P<low>L?)"
    rf"(?:{B}[/\\]{B}(?P<aspect>\d{{2,3}}|\d[.,]\d\d|[6-9](?=-))|/(?=-))?{B}(?:-(?= {{0,2}}R){B})?"
    rf"(?:{_CON}|(?<=[0-9]L)){B}-?{B}{RIM}{_SUFFIX}"
)
NUMERIC_NO_DOT = Pattern(
    rf"{FREE}(?P<prefix>)(?P<width>[1-4]\d00|[4-9][0-9][05]|[123]\d{{2}}){B}"
    rf"(?P<con>R|-|[X*](?=[ ]{{0,2}}(?:1[56]|2[0-4])(?!\d))){B}{RIM}{_SUFFIX}"
)
NUMERIC_PAIR = Pattern(rf"{FREE}(?P<width>[2-6]\d0)/(?P<second>[2-6]\d0)-(?P<rim>[4-8])(?![0-9.,])")
# Small tractor sizes in whole inches, where a ply rating says that a tire is meant: `6-12 4PR`.
NUMERIC_WHOLE = Pattern(rf"{FREE}(?P<width>[4-9])-(?P<rim>1[02-8])(?= {{0,2}}[1-9])")
# Sizes of all-terrain vehicles with a bar for the x: `25/8-12`; the same figures may be a date.
SLASHED = Pattern(
    rf"{FREE}(?P<overall>1[1-9]|2\d|3[0-2])/(?P<width>[6-9]|1[0-4]|(?:[3-9]|1[0-4])[.,][05]0)-(?P<rim>[4-9]|1[0-6])(?![0-9.,/-])"
)
_TRAILER_WIDTHS = frozenset({"480", "530", "570"})  # of boat and utility trailers, sold by their load range: `480-8 B`
_RANGE_ENDS = Pattern(r" [BCDE] ?(?:$|[,;|])")
_CYCLE_WIDTHS = frozenset({"225", "250", "275", "300", "325", "350", "410", "450", "460"})
# An x for the dash, as American Spanish lists have it; a bicycle's 700x20 is none of them.
_TRUCK_BY_X = frozenset(
    [(width, rim) for width in ("650", "700", "750") for rim in (15.0, 16.0)]
    + [(width, rim) for width in ("750", "825", "900", "1000", "1100", "1200") for rim in (20.0, 22.0, 24.0)]
)
_PLIES_FOLLOW = Pattern(rf" {{0,2}}[1-9]\d? ?-?P\.?R(?![{LETTERS}])")
_TIRE_FOLLOWS = Pattern(
    rf"{_PLIES_FOLLOW.source}| {{1,2}}(?:M/C {{0,2}})?[2-9]\d[B-HJ-NP-W](?![A-Z0-9])| {{1,2}}T[LT](?![A-Z])"
)
NUMERIC_X = Pattern(
    rf"{FREE}(?P<width>\d{{1,2}}[.,]\d{{1,2}}|1[024](?=[X* ]{{1,3}}1[67][.,]5)){B}[X*/]{B}"
    rf"(?P<rim>\d{{1,2}}(?:[.,]5)?)(?![.,]?\d)"
    rf"(?:{B}(?P<suffix>LT|ST)(?![A-Z]))?"
)
# The flange height behind the width and diameter of an earth-mover's rim, `14.00-25/1.5`, which is no tire's size.
# Common practice, no source.
_FLANGE = Pattern(r" ?/ ?[1-5][.,]\d{1,2}(?!\d)")
_LEAST_RIM_WITH_FLANGE = 20.0
_OFF_ROAD_RIMS = frozenset({25.0, 29.0, 33.0, 35.0, 39.0, 43.0, 45.0, 49.0, 51.0, 57.0, 63.0})


def _width_of_digits(digits: str) -> str:
    """`1050` and `105` are 10.50, `950` is 9.50: no inch size is wider than two digits."""
    if len(digits) == 4:
        return f"{digits[:2]}.{digits[2:]}"
    return f"{digits[:2]}.{digits[2]}0" if digits[0] == "1" else f"{digits[0]}.{digits[1:]}"


def _diameter(match: re.Match[str], *, weak: bool) -> Size | Misfit | None:
    rim = read_rim(match["rim"])
    written = match["width"].replace(",", ".")
    written = written.replace(" ", "").replace("-", "").replace("1/2", ".50").replace("½", ".50")
    width = _width_of_digits(written) if written.isdigit() and len(written) > 2 else written
    overall = match["overall"].replace(",", ".")
    if rim is None or rim[0] is None:
        return Misfit(match.start("rim"), f"{match['rim']} is no rim diameter code") if not weak else None
    if not rim[0] + 2 <= float(overall) or not float(width) < float(overall) / 1.2 or float(width) < 3:
        return None
    if "." in width and len(width.split(".")[1]) == 1 and not width.endswith(".0") and "." not in overall:
        width += "0"
    letters = match["con"].replace(" ", "").strip("-/X*") or "-"
    construction, _, _, con_text = read_construction(letters)
    prefix, suffix = match["prefix"] or "", match["suffix"] or ""
    return Size(
        "inch-diameter",
        match.start(),
        match.end(),
        f"{prefix}{overall}x{width}{con_text}{rim[2]}{suffix}",
        prefix,
        suffix,
        width_in=float(width),
        overall_in=float(overall),
        construction=construction,
        rim_in=rim[0],
        decimals=len(width.partition(".")[2]),
        weak=weak or match["con"].strip() in ("X", "*", "/"),
    )


def inch_diameter(text: str) -> Found:
    """`31x10.50R15LT`, `37x12.50-17`, `18x7-8`, and with a lost dot `31X1050R15`."""
    if "X" in text or "*" in text:
        for match in DIAMETER.finditer(text):
            size = _diameter(match, weak=False)
            if size is not None:
                yield size


def inch_diameter_weak(text: str) -> Found:
    """`31 10.50 15`, `31/10.50R15`, and at the very start of a text `31105015`."""
    for match in DIAMETER_WEAK.finditer(text):
        if not match["first"] and (
            not match["width"].isdigit() or (not match["con"] and text[: match.start()].strip())
        ):
            continue
        size = _diameter(match, weak=True)
        if size is not None:
            yield size


def _plausible(width: float, decimals: int, low: str, rim: float, con: str, aspect: str | None) -> bool:
    """Whether such an inch size exists; a bare pair of numbers with a dash is usually no size at all."""
    if not con:  # `11L15`, `16.5L16.1`: widths and rims of farm tires, no litres
        return 8 <= width <= 31 and rim in (14, 15, 16, 16.1, 20, 24, 25, 26, 28, 30, 32)
    if aspect is not None:
        if "." in aspect:
            return (
                decimals > 0 and width < 15 and (rim <= 8 or 12 <= rim <= 15)
            )  # 4.80/4.00-8, 4.10/3.50-4, 6.40/7.00-13
        if len(aspect) == 1:
            return decimals > 0  # 9.5/9-24; 3/8-16 is a thread
        if width >= 25 and decimals == 0:
            return rim >= 25  # 35/65-33
        whole = width >= 8 and int(aspect) >= 50 and rim >= 15 and rim % 1 != 0.5
        return decimals > 0 or whole  # 12.5/80-18, 4.25/85-18, 16/70-20
    if low:
        return rim >= 14
    if decimals:
        return 2 <= width <= 45 and rim >= 4 and width < rim * 1.3
    if rim % 1 == 0.5:
        return 7 <= width <= 24 and con in ("R", "-")  # 11R22.5, 10-16.5, 8-14.5
    return con == "R" and ((7 <= width <= 18 and rim in (15, 16, 18, 20, 22, 24)) or (width, rim) == (24, 21))  # 12R20


def _widen(width: str, rim: float, suffix: str, con: str) -> str:
    """Inch widths below the wide-base series are molded with two decimals: `7.5-16` stands for `7.50-16`."""
    whole, _, decimals = width.partition(".")
    if len(decimals) == 1 and decimals in "05" and 8 <= rim <= 20 and rim % 1 == 0:
        road = int(whole) < 10 or (decimals == "0" and int(whole) <= 14)
        if road and not (con == "-" and int(whole) >= 9 and rim >= 20):
            return f"{width}0"
    return width


def numeric_inch(text: str) -> Found:
    """`7.50R16LT`, `11R22.5`, `8.25-15TR`, `18.4-38`, `11L-15`, `12.5/80-18`, `3.25-19`."""
    for match in NUMERIC.finditer(text):
        rim = read_rim(match["rim"])
        if rim is None or rim[0] is None or (match["rim"] in DROPPED_DOT and "." in match["width"]):
            continue
        width = match["width"].replace(",", ".")
        aspect = match["aspect"].replace(",", ".") if match["aspect"] else None
        con = match["con"] or ""
        construction, letter, _, con_text = read_construction(con)
        decimals = len(width.partition(".")[2])
        if not _plausible(float(width), decimals, match["low"], rim[0], con[-1:], aspect):
            continue
        if con == "-" and rim[0] >= _LEAST_RIM_WITH_FLANGE and _FLANGE.match(text, match.end()):
            continue
        prefix, suffix = match["prefix"] or "", match["suffix"] or ""
        if aspect is None and not match["low"]:
            width = _widen(width, rim[0], suffix, con)
        ratio = f"/{aspect}" if aspect else ""
        yield Size(
            "numeric-inch",
            match.start(),
            match.end(),
            f"{prefix}{width}{match['low']}{ratio}{con_text}{rim[2]}{suffix}",
            prefix,
            suffix,
            width_in=float(width),
            # 18.4/15-26 and 4.80/4.00-8 give a second name of the width, no aspect ratio.
            aspect=float(aspect) if aspect and "." not in aspect and int(aspect) >= 25 else None,
            construction=construction,
            speed_letter=letter,
            rim_in=rim[0],
            decimals=decimals,
            code="L" if match["low"] else None,
            weak=not con,
        )


def numeric_no_dot(text: str) -> Found:
    """The dot lost: `750R16`, `1100R20`, `184-38`, `235R25`.  Read only where one size alone can be meant."""
    for match in NUMERIC_NO_DOT.finditer(text):
        rim = read_rim(match["rim"])
        if rim is None or rim[0] is None or match["rim"] in DROPPED_DOT:
            continue
        digits = match["width"]
        if match["con"] in "X*" and (digits, rim[0]) not in _TRUCK_BY_X:
            continue
        if len(digits) == 4:
            width = f"{digits[:2]}.{digits[2:]}" if 18 <= rim[0] <= 25 or rim[0] in _OFF_ROAD_RIMS else ""
        elif rim[0] in _OFF_ROAD_RIMS:
            width = f"{digits[:2]}.{digits[2]}" if digits[2] == "5" and digits[0] in "12" else ""
        elif rim[0] >= 24 and digits[0] in "12":
            width = f"{digits[:2]}.{digits[2]}"
        elif _of_two_wheeler(digits, rim[0], match):
            width = f"{digits[0]}.{digits[1:]}"
        else:
            known = 12 <= rim[0] <= 20 or (rim[0] >= 8 and _strength_follows(text, match.end()))
            ranged = match["suffix"] == "C" or _RANGE_ENDS.match(text, match.end()) is not None
            trailer = digits in _TRAILER_WIDTHS and rim[0] in (8.0, 12.0) and ranged
            width = f"{digits[0]}.{digits[1:]}" if (digits[0] in "56789" and known) or trailer else ""
        if not width:
            continue
        construction, _, _, con_text = read_construction(match["con"].replace("*", "X"))
        suffix = match["suffix"] or ""
        yield Size(
            "numeric-inch",
            match.start(),
            match.end(),
            f"{width}{con_text}{rim[2]}{suffix}",
            suffix=suffix,
            width_in=float(width),
            construction=construction,
            rim_in=rim[0],
            decimals=len(width.partition(".")[2]),
            weak=True,
        )


def _strength_follows(text: str, place: int) -> bool:
    """Whether a ply rating or a load range, in words, stands right behind: a tire is meant."""
    while text[place : place + 1] == " ":
        place += 1
    return PLY.match(text, place) is not None or LOAD_RANGE.match(text, place) is not None


def _of_two_wheeler(digits: str, rim: float, match: re.Match[str]) -> bool:
    """`275-17`, and on the small rims of scooters `350-10 51J`, where a service description or plies follow."""
    if match["con"] != "-":
        return False
    if digits in _CYCLE_WIDTHS:
        if rim in (16.0, 17.0, 18.0, 19.0, 21.0):
            return True
    elif digits not in ("400",):
        return False
    return rim in (8.0, 10.0, 12.0) and digits[1] in "05" and _TIRE_FOLLOWS.match(match.string, match.end()) is not None


def _like_a_wheel(width: str, rim: float) -> bool:
    """Whether an inch width by a rim diameter is that of a wheel (`6.5x16`, `8.25x22.5`): those go up to 13 in."""
    if float(width) >= 13:
        return False
    tenths = round(float(width) * 100) % 50
    return tenths in (0, 25) and (len(width.partition(".")[2]) < 2 or rim not in (12.0, 13.0, 14.0, 15.0, 16.0, 20.0))


def numeric_whole(text: str) -> Found:
    """`6-12 4PR` of small tractors, `480/400-8` of wheelbarrows without its dots."""
    for match in NUMERIC_WHOLE.finditer(text):
        if not _strength_follows(text, match.end()):
            continue
        yield Size(
            "numeric-inch",
            match.start(),
            match.end(),
            match[0],
            width_in=float(match["width"]),
            rim_in=float(match["rim"]),
            weak=False,
        )
    for match in NUMERIC_PAIR.finditer(text):
        first, second = (f"{match[name][0]}.{match[name][1:]}" for name in ("width", "second"))
        yield Size(
            "numeric-inch",
            match.start(),
            match.end(),
            f"{first}/{second}-{match['rim']}",
            width_in=float(first),
            rim_in=float(match["rim"]),
            decimals=2,
            weak=True,
        )


def slashed(text: str) -> Found:
    """`25/8-12`, where it is all that the text says, or a ply rating tells of a tire."""
    for match in SLASHED.finditer(text) if "/" in text else ():
        overall, width, rim = match["overall"], match["width"].replace(",", "."), match["rim"]
        if int(overall) < int(rim) + 5:
            continue
        decimals = len(width.partition(".")[2])
        written = f"{overall}x{width}-{rim}"
        alone = not text[: match.start()].strip() and not text[match.end() :].strip()
        if not decimals and not alone and PLY.search(text, match.end()) is None:
            yield Misfit(match.start(), f"{match[0].lower()} can be a date", (written,), doubt=True)
            continue
        yield Size(
            "inch-diameter",
            match.start(),
            match.end(),
            written,
            width_in=float(width),
            overall_in=float(overall),
            rim_in=float(rim),
            decimals=decimals,
            weak=True,
        )


def numeric_x(text: str) -> Found:
    """`18.4x38`, `23.5 x 25`: an x for the dash; the width has decimals, so no overall diameter is meant."""
    for match in NUMERIC_X.finditer(text):
        rim = read_rim(match["rim"])
        width = match["width"].replace(",", ".")
        if rim is None or rim[0] is None or not _plausible(float(width), 1, "", rim[0], "-", None):
            continue
        skid_steer = width in ("10", "12", "14")  # no wheels for such rims are so wide
        wheel = not match["suffix"] and not skid_steer and _like_a_wheel(width, rim[0])
        if wheel and not (_TIRE_FOLLOWS.match(text, match.end()) or _strength_follows(text, match.end())):
            wheel_or_tire = f"{match[0].lower()} can be a wheel, its width first"
            yield Misfit(match.start(), wheel_or_tire, (f"{_widen(width, rim[0], '', '-')}-{rim[2]}",), doubt=True)
            continue
        suffix = match["suffix"] or ""
        width = _widen(width, rim[0], suffix, "-")
        yield Size(
            "numeric-inch",
            match.start(),
            match.end(),
            f"{width}-{rim[2]}{suffix}",
            suffix=suffix,
            width_in=float(width),
            rim_in=rim[0],
            decimals=len(width.partition(".")[2]),
            weak=True,
        )
