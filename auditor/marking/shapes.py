"""The shapes size designations are written in: metric, numeric and letter codes.

Each reader walks over a normalised text and yields what it finds, strict or dirty; families decide what it is.
Blanks are limited in every pattern, so that the time is linear in the length of the text.
"""

from __future__ import annotations

import re

from auditor.marking.letters import PLY
from auditor.marking.service import LETTERS
from auditor.marking.shape import (
    DOT_OR_EXTRA_DIGIT,
    DROPPED_DOT,
    FREE,
    RIM,
    B,
    Found,
    Misfit,
    Size,
    read_construction,
    read_rim,
    truck_alone,
)
from auditor.trade.patterns import Pattern

_NO_LABEL = (
    r"(?!/[A-G]/|[ /,|]{1,2}[A-G][ /,|(]{1,2}[67]\d(?![0-9A-CE-Z]))"  # classes and noise of the EU label: `C B 70`
)
_SUFFIX = rf"(?:{B}-?(?P<suffix>LT|CP|C{_NO_LABEL}|ST|TR(?!\d))(?![{LETTERS}+&])(?!(?<= [LS]T)\d))?"
_CON = r"(?P<con>Z ?R ?F(?= ?\d)|Z ?R|R ?F(?= ?\d)|[SHVQTUWY]?R|RC(?=\d\d)|[HV]?B|D|[SHVC](?=\d\d)|-)"

METRIC = Pattern(
    rf"{FREE}(?:(?P<prefix>P|LT|ST|T|HL|LL|IF|VF)[ -]?)?(?P<width>[1-9]\d{{1,3}}){B}[/\\]{B}(?P<aspect>\d{{2,3}})"
    rf"{B}[-/]?{B}{_CON}{B}-?{B}{RIM}{_SUFFIX}"
)
_INDEX_ON = r"\d{1,2}(?:/\d{2,3})?[/-]?[J-NP-UHVWY](?![A-Z0-9])"  # `205/55/16/91V`
METRIC_WEAK = Pattern(
    rf"{FREE}(?:(?P<prefix>P|LT|ST|T|HL)[ -]?)?(?P<width>[1-9]\d{{2}}|[6-9][05](?=/))"
    rf"(?P<first>{B}[-/\\._X|*]?{B})(?P<aspect>\d{{2}}|100(?=[/X]))"
    rf"(?P<con>{B}[-/\\._X|*]?{B}(?:ZRF|ZR|RF|R|D)?{B}[-/\\._|]?{B})"
    rf"(?P<rim>(?:175|195|225|245)(?!\d)|\d{{2}}(?:[.,]5(?!\d))?)(?![.,*]\d|[/-]\d(?!{_INDEX_ON}))"
    rf"(?! ?-?P\.?R(?![{LETTERS}]|\d)| ?-?PL[YI]| ?[CM]M(?![A-Z])){_SUFFIX}"
)
RIM_FIRST = Pattern(  # `R15 195/65`, `R16C 195/75`; the rim must not follow once more
    rf"(?<![A-Z0-9])(?P<con>Z?R){B}(?P<rim>1\d|2[0-4]|17[.,]5|19[.,]5|22[.,]5)(?P<suffix>C?)[ ,]{{1,2}}"
    rf"(?P<prefix>)(?P<width>[1-4]\d5)[/ ](?P<aspect>[2-9][05])(?![0-9.,/-]|{B}-?{B}Z?R|{B}-?\d\d(?![0-9A-Z/]))"
)
# The rim diameter under its name: Portuguese aro, Spanish rin, English rim, French jante, Italian cerchio, Indonesian
# ring, whose motorcycle sizes are written so.
RIM_SLASHED = Pattern(  # `13/165/70`
    r"(?<![\w.,/-])(?P<con>)(?P<rim>1[2-9]|2[0-4])(?P<suffix>)/(?P<prefix>)(?P<width>1[2-9]5|2\d5|3[0-3]5)/(?P<aspect>[2-9][05])"
    r"(?![0-9.,/-])"
)
RIM_NAMED = Pattern(
    rf"{FREE}(?P<prefix>P|LT|)(?P<width>[1-4]\d5|[6-9]0|1\d0)/(?P<aspect>[2-9][05])(?P<con>){B}-?{B}"
    rf"(?:ARO|RING?|RIM|JANTE|CERCHIO){B}(?P<rim>1\d|2[0-4])(?![0-9.,/-])(?P<suffix>(?<=[0-9])C(?![A-Z]))?"
)
NUMERIC_MM = Pattern(
    rf"{FREE}(?:(?P<prefix>ST|LT)[ -]?)?(?P<width>[12]\d5|250(?=-15)|300(?=-15))(?:/-|/(?=R))?{B}"
    rf"(?P<con>ZR|[SHVQT]?R|D|-){B}{RIM}{_SUFFIX}"
)
STATED = Pattern(
    rf"{FREE}(?P<width>[12]\d5)[-/](?P<overall>[5-9]\d{{2}}){B}R{B}(?P<rim>\d{{3}})(?: ?(?P<a>A))?(?![A-Z0-9])"
)
# Farm sizes on rims in millimetres, the metric names of inch sizes: `530R610` is 21.3R24.
FARM = Pattern(rf"{FREE}(?P<width>[2-9]\d0)(?P<con>{B}R{B}|-)(?P<rim>[5-9]\d\d|1[0-2]\d\d)(?![0-9.,/-])")
FARM_RIMS = frozenset({508, 559, 610, 660, 711, 762, 813, 864, 914, 965, 1016, 1067, 1118, 1168, 1219})  # 20 to 48 in
# `1220x400-533`: diameter, width and rim of wide profile truck tires, in mm (Russian standards, from memory).
WIDE = Pattern(
    rf"{FREE}(?P<overall>[89]\d{{2}}|1[0-6]\d{{2}}){B}[X*]{B}(?P<width>[3-9]\d{{2}}){B}-{B}(?P<rim>\d{{3}})(?![0-9.,/-])"
)
_WIDE_RIMS = frozenset({457, 508, 533, 635})
ALPHA = Pattern(
    rf"{FREE}(?:(?P<prefix>ST|LT)[ -]?)?(?P<code>[A-HJ-N])(?P<r>R?)(?P<aspect>78|70|60|50){B}(?P<con>[SHV]R|[-BD ])?"
    rf"{B}(?P<rim>1[2-6]){_SUFFIX}"
)
ALPHA_CYCLE = Pattern(
    rf"{FREE}(?P<code>M[HJLMNPRTUV]){B}(?P<aspect>[789][05]){B}-?(?P<con>[HV]?[BR]|[SHV]|-|){B}(?P<rim>1[5-9]|2[0-3])(?!\d)"
)


# `205/55R16/17` fits one of two rims; behind LT and ST a ply rating may stand so.
_OTHER_RIM = Pattern(r"/(1[3-9]|2[0-4])(?![0-9A-Z.,/])")


_LEAST_WEAK_ASPECT = 25
_LEAST_TRUCK = 245  # mm; narrower tires for 22.5 in rims are rare
_AS_FAST_AS_CARS = Pattern(r"[\s,]*[0-9]{2,3}\s?[P-UHVWY]\b")  # behind a size; trucks end at N, 140 km/h
_DIGIT_BEFORE = Pattern(r"(?<![0-9A-Z.,])[1-9] $")


def _metric(match: re.Match[str], shape: str, *, weak: bool) -> Size | Misfit | None:
    width, aspect = match["width"], match["aspect"]
    rim = read_rim(match["rim"])
    if weak and (int(aspect) < _LEAST_WEAK_ASPECT or PLY.match(match.string, match.start("rim")) is not None):
        return None  # `825-20-14`, `900-20 14 lonas`: inch sizes with their plies
    if weak and (rim is None or rim[0] is None or not 10 <= rim[0] <= 30 or width[-1] not in "05"):
        return None
    if len(width) == 2 and (width[0] < "6" or width[1] not in "05" or int(aspect) < 50):
        return None  # 35/65-33 is an inch size
    if len(width) == 2 and width[1] == "5" and _DIGIT_BEFORE.search(match.string, 0, match.start()):
        return Misfit(match.start(), f"a digit stands apart from the width {width}")  # `1 95/65R15`
    if len(aspect) == 3 and aspect > "105" and rim is not None and (rim[0] or 9) <= 8:
        return None  # 480/400-8 lacks its dots
    if match["rim"] in DOT_OR_EXTRA_DIGIT and not truck_alone(int(width), int(aspect), match["rim"]):
        before = f"{match['prefix'] or ''}{width}/{aspect}{match['con'].replace(' ', '')}"
        readings = tuple(before + code for code in DOT_OR_EXTRA_DIGIT[match["rim"]])
        return Misfit(match.start("rim"), f"{match['rim']} can be the rim diameter of more than one size", readings)
    if rim is None:
        return Misfit(match.start("rim"), f"{match['rim']} is no rim diameter")
    if (doubt := _doubtful_rim(match, rim[0])) is not None:
        return Misfit(match.start("rim"), doubt)
    if match["rim"] in ("15.3", "15,3") and width in ("100", "115", "125"):
        text = f"{width[:2]}.{width[2]}/{aspect}-15.3"
        return Misfit(match.start("width"), f"no tire for a 15.3 in rim is {width} mm wide", (text,))
    letters = match["con"].translate({ord(c): None for c in " \\._X|*"}) if weak else match["con"]
    suffix = match["suffix"] or ""
    if letters in ("C", "RC"):  # `205/75C16`, `215/65RC16`
        letters, suffix = "R", suffix or "C"
    if width[-1] not in "05" or not 60 <= int(width) <= 1300:
        return Misfit(match.start("width"), f"no metric size is {width} mm wide")
    if not (aspect[-1] in "05" or aspect in ("82", "92", "78")) or not 20 <= int(aspect) <= 105:
        return None if weak else Misfit(match.start("aspect"), f"no size has an aspect ratio of {aspect}")
    if weak:
        letters = letters.replace("-", "").replace("/", "")
    construction, letter, run_flat, con_text = read_construction(letters)
    prefix = match["prefix"] or ""
    start = match.start()
    if prefix and _is_a_name(match, prefix, rim[0]):
        prefix, start = "", match.start("width")
    # A passenger-like size whose construction letter was lost is taken as radial: in the widths that end in 5
    # nothing else is made today, and neither rim, load nor speed hangs on it (common practice, no source).
    if weak and not letters and width[-1] == "5" and len(width) == 3 and not prefix.startswith("S"):
        construction, con_text = "R", "R"
    return Size(
        shape,
        start,
        match.end(),
        f"{prefix}{width}/{aspect}{con_text}{rim[2]}{suffix}",
        prefix,
        suffix,
        width_mm=float(width),
        aspect=float(aspect),
        construction=construction,
        run_flat=run_flat,
        speed_letter=letter,
        rim_in=rim[0],
        rim_mm=rim[1],
        weak=weak,
    )


def _doubtful_rim(match: re.Match[str], rim_in: float | None) -> str | None:
    """Why a rim diameter cannot be the whole of what was meant."""
    if rim_in is not None and rim_in < 10 and not _of_small_rims(match, rim_in):
        return f"no tire of such a width has a rim diameter of {match['rim']}; a digit of it may be missing"
    if rim_in == 22 and _lost_its_half(match):
        return "no tire of such a size has a rim diameter of 22; 22.5 may be meant"
    other = _OTHER_RIM.match(match.string, match.end("rim"))
    if other is not None and not {match["prefix"], match["suffix"]} & {"LT", "ST"}:
        return f"it gives the rim diameters {match['rim']} and {other[1]}"
    return None


def _lost_its_half(match: re.Match[str]) -> bool:
    """Whether only trucks have a tire so high or so wide: `315/80R22`, unless it is said to be faster than they are."""
    width, aspect = int(match["width"]), int(match["aspect"])
    plain = not match["prefix"] and not match["suffix"] and match["con"].strip(" -/") in ("R", "")
    wide = plain and width >= _LEAST_TRUCK and width % 10 == 5 and aspect >= 45 and truck_alone(width, aspect, "225")
    return wide and _AS_FAST_AS_CARS.match(match.string, match.end()) is None


def _of_small_rims(match: re.Match[str], rim: float) -> bool:
    """Whether a metric tire can be for a rim below 10 in: those of scooters, karts and fork lifts (common practice).

    `225/65R'7` lost a digit, and so may have `145/70R 8`, where something stands in its place.
    """
    in_place = match.start("rim") == match.end("con") or not match["con"].endswith("R")
    quad = rim >= 6 and match["con"].strip() == "-"  # 145/70-6 of small all-terrain vehicles
    return in_place and int(match["width"]) <= (200 if rim >= 8 else 165 if quad else 130)


def _is_a_name(match: re.Match[str], prefix: str, rim_in: float | None) -> bool:
    """Whether letters apart before the size belong to a name: "Roadking T 215/75R17.5", "G2 HL 385/65R22.5".

    High and light load versions are those of passenger tires.
    """
    if match.start("width") == match.end("prefix"):
        return False
    truck = rim_in is not None and rim_in % 1 == 0.5
    return (prefix in ("HL", "LL") and truck) or (prefix == "T" and match.string[: match.start()].strip() != "")


def metric(text: str) -> Found:
    """`225/65R17` with any prefix or suffix, spaces and a stray separator allowed."""
    if "/" in text or "\\" in text:
        for match in METRIC.finditer(text):
            size = _metric(match, "metric", weak=False)
            if size is not None:
                yield size


def metric_weak(text: str) -> Found:
    """`225 65 17`, `225-65-17`, `225/65/17`, `22565R17`, and at the very start of a text `2256517`."""
    for match in METRIC_WEAK.finditer(text):
        bare = not match["first"] and not match["con"]
        if bare and text[: match.start()].strip() and not _beyond_chance(match):
            continue
        if "." in match["first"] and not ("." in match["con"] or "R" in match["con"]):
            continue
        if len(match["width"]) == 2 and match["con"].strip(" ") not in ("/", "X"):
            continue
        if match["rim"] in DROPPED_DOT and not match["con"].strip():
            continue  # `31580225` is an article's number
        size = _metric(match, "metric", weak=True)
        if size is not None:
            yield size


def _beyond_chance(match: re.Match[str]) -> bool:
    """Whether seven digits among words, `2256518`, make a common size: one article number in some 4,000 does."""
    width, aspect, rim = int(match["width"]), int(match["aspect"]), match["rim"]
    common = width % 10 == 5 and 135 <= width <= 335 and aspect % 5 == 0 and 25 <= aspect <= 85
    return (
        common and len(rim) == 2 and 13 <= int(rim) <= 23 and not match.string[match.end() : match.end() + 1].isalnum()
    )


def rim_first(text: str) -> Found:
    """`R15 195/65`, `195/65 aro 15`: the rim diameter before the width, or under its name."""
    for pattern in (RIM_FIRST, RIM_SLASHED, RIM_NAMED):
        for match in pattern.finditer(text):
            size = _metric(match, "metric", weak=True)
            if isinstance(size, Size):
                yield size


def numeric_mm(text: str) -> Found:
    """`155R13`, `165SR13`, `195R15C`, `165-13`, `165R400`: millimetre width, no aspect ratio."""
    for match in NUMERIC_MM.finditer(text):
        rim = read_rim(match["rim"])
        if rim is None:
            continue
        if rim[0] is not None and (match["rim"] in DROPPED_DOT or not 10 <= rim[0] <= 17):
            continue
        if match["con"] == "-" and match["width"] in ("225", "275") and (rim[0] or 0) >= 16:
            continue  # 2.75-17 of motorcycles without its dot
        construction, letter, run_flat, con_text = read_construction(match["con"])
        prefix, suffix = match["prefix"] or "", match["suffix"] or ""
        yield Size(
            "numeric-mm",
            match.start(),
            match.end(),
            f"{prefix}{match['width']}{con_text}{rim[2]}{suffix}",
            prefix,
            suffix,
            width_mm=float(match["width"]),
            construction=construction,
            run_flat=run_flat,
            speed_letter=letter,
            rim_in=rim[0],
            rim_mm=rim[1],
        )


def millimetres(text: str) -> Found:
    """`205-640R440A`: width, overall diameter and rim; `530R610`, `400-965`: width and rim of farm tires, all in mm."""
    for match in STATED.finditer(text) if "-" in text or "/" in text else ():
        rim = read_rim(match["rim"])
        if rim is None or rim[1] is None or not rim[1] + 80 <= int(match["overall"]):
            continue
        yield Size(
            "stated-diameter",
            match.start(),
            match.end(),
            f"{match['width']}-{match['overall']}R{match['rim']}{match['a'] or ''}",
            width_mm=float(match["width"]),
            overall_mm=float(match["overall"]),
            construction="R",
            rim_mm=rim[1],
        )
    for match in WIDE.finditer(text) if "X" in text or "*" in text else ():
        overall, width, rim_mm = (int(match[name]) for name in ("overall", "width", "rim"))
        if rim_mm in _WIDE_RIMS and rim_mm + width <= overall <= rim_mm + 2.2 * width:
            yield Size(
                "farm-mm",
                match.start(),
                match.end(),
                f"{overall}X{width}-{rim_mm}",
                width_mm=float(width),
                overall_mm=float(overall),
                construction="D",
                rim_mm=float(rim_mm),
            )
    if "0R" not in text and "0-" not in text and "0 " not in text:
        return
    for match in FARM.finditer(text):
        if int(match["rim"]) not in FARM_RIMS or not 200 <= int(match["width"]) <= 900:
            continue
        construction, _, _, con_text = read_construction(match["con"].strip())
        yield Size(
            "farm-mm",
            match.start(),
            match.end(),
            f"{match['width']}{con_text}{match['rim']}",
            width_mm=float(match["width"]),
            construction=construction,
            rim_mm=float(match["rim"]),
            weak=False,
        )


def alpha(text: str) -> Found:
    """Letter codes for the width: `F78-15ST`, `GR70-15`, `ER70VR15` with a speed; motorcycles `MT90B16`."""
    for match in ALPHA.finditer(text):
        letters = (match["con"] or "-").strip() or "-"
        construction, speed, _, con_text = read_construction("R" if match["r"] and len(letters) == 1 else letters)
        dash = con_text if speed or not match["r"] else "-"
        prefix, suffix = match["prefix"] or "", match["suffix"] or ""
        yield Size(
            "alpha",
            match.start(),
            match.end(),
            f"{prefix}{match['code']}{match['r']}{match['aspect']}{dash}{match['rim']}{suffix}",
            prefix,
            suffix,
            aspect=float(match["aspect"]),
            construction=construction,
            speed_letter=speed,
            rim_in=float(match["rim"]),
            code=match["code"],
        )
    for match in ALPHA_CYCLE.finditer(text) if "M" in text else ():
        construction, letter, _, con_text = read_construction(match["con"].strip() or "-")
        yield Size(
            "alpha",
            match.start(),
            match.end(),
            f"{match['code']}{match['aspect']}{con_text}{match['rim']}",
            aspect=float(match["aspect"]),
            construction=construction,
            speed_letter=letter,
            rim_in=float(match["rim"]),
            code=match["code"],
        )
