"""The letters and words of a marking beside size and service description, as data.

Each entry: canonical spelling, the spellings seen (a pattern over upper-case text), and what it means.
"""

from __future__ import annotations

import re
from functools import cache

from auditor.marking import languages, ply_words
from auditor.marking.normalise import TABLE, normalise
from auditor.marking.service import MORE
from auditor.marking.worded import Alternatives, Worded, first_letters
from auditor.trade.patterns import Pattern

# Sources: UN Regulations Nos. 30, 54 and 75, section 3 (markings); 49 CFR 571.139 and 574; lettering of the
# sidewall and tread types: common practice of the trade, from memory of tire and rim association yearbooks.
LETTERS: tuple[tuple[str, str, str], ...] = (
    ("M+S", r"M ?[+&./-] ?S\.?(?: ?E)?|M ?AND ?S|MUD ?(?:[+&/-]|AND) ?SNOW|M ?\+ ?S", "mud and snow"),
    (
        "3PMSF",
        r"3[ -]?PMSF?|(?:3|THREE)[ -]?PEAK(?:S|ED)?[ -]?(?:MOUNTAIN)?[ -]?SNOW ?FLAKE(?: SYMBOL)?"
        r"|MOUNTAIN[ -]?SNOW ?FLAKE|SNOW ?FLAKE|ALPINE SYMBOL",
        "three-peak mountain snowflake: passed the snow grip test",
    ),
    ("TL/TT", r"T\.?L\.?/T\.?T\.?|T\.?T\.?/T\.?L\.?", "runs with or without a tube"),
    ("TL", r"T\.?L\.?|TUBE ?-?LESS", "tubeless"),
    ("TT", r"T\.?T\.?|TUBE[ -]?TYPE", "tube type: needs an inner tube"),
    ("FRT", r"F\.?R\.?T\.?|FREE ROLLING TIRE", "free rolling tire: for trailers and undriven axles only"),
    ("ET", r"ET|EXTRA TREAD", "extra tread: special use"),
    ("POR", r"P\.?O\.?R\.?|PROFESSIONAL OFF[ -]?ROAD", "professional off-road"),
    ("MPT", r"MPT", "multi-purpose truck tire"),
    ("ML", r"ML", "mining and logging service"),
    ("MH", r"MH", "mobile home tire"),
    ("TRAILER", r"TRAILER(?: (?:USE|SERVICE|TIRE) ONLY| ONLY)?|FOR TRAILER USE ONLY", "for trailers"),
    ("M/C", r"M ?/ ?C|M\.C\.|MOTORCYCLE|MOTOR ?CYCLE", "motorcycle"),
    ("MST", r"MST", "multiservice motorcycle tire"),
    ("MOPED", r"MOPED|CYCLOMOTEUR|CICLOMOTORE", "for mopeds"),
    ("NHS", r"N\.?H\.?S\.?|NOT FOR HIGHWAY (?:SERVICE|USE)", "not for highway service"),
    ("REGROOVABLE", r"RE-?GROOVABLE", "the tread may be recut"),
    ("IMPLEMENT", r"IMPLEMENT|IMPL?\.?", "for farm implements"),
    ("FI", r"F\.?I\.?", "farm implement service"),
    ("CFO", r"CFO", "cyclic field operation: extra load at low speed in the field"),
    ("CHO", r"CHO", "cyclic harvesting operation"),
    ("NRO", r"NRO", "narrow rim option"),
    ("STEEL BELTED", r"STEEL[ -]?BELTED", "belts of steel cord"),
    ("RADIAL", r"RADIAL", "radial construction"),
    ("RUN-FLAT", r"RUN[ -]?FLATS?|RFT", "can run a distance without pressure"),
    ("BIAS", r"BIAS(?:[ -]?PLY)?", "bias construction"),
    ("TEMPORARY", r"TEMPORARY USE ONLY|TEMPORARY(?: SPARE)?|SPARE", "temporary use spare"),
    ("ORWL", r"ORWL|ROWL|OUTLINED? RAISED WHITE LETTER(?:S|ING)?", "outlined raised white letters"),
    ("OWL", r"OWL|OUTLINED? WHITE LETTER(?:S|ING)?", "outlined white letters"),
    ("RWL", r"RWL|RAISED WHITE LETTER(?:S|ING)?", "raised white letters"),
    ("OBL", r"OBL|OUTLINED? BLACK LETTER(?:S|ING)?", "outlined black letters"),
    ("RBL", r"RBL|RAISED BLACK LETTER(?:S|ING)?", "raised black letters"),
    ("SBL", r"SBL|SERRATED BLACK LETTER(?:S|ING)?", "serrated black letters"),
    ("BLT", r"BLT|BLACK LETTER(?:S|ED|ING)?", "black letters"),
    ("VSB", r"VSB|VERTICAL SERRATED BAND", "vertical serrated band"),
    ("BSW", r"BSW|B/W|BLACK ?(?:SIDE)? ?WALL|BLK", "black sidewall"),
    ("WSW", r"WSW|W/W|WHITE ?(?:SIDE)? ?WALL", "white sidewall"),
)
_REINFORCED_ELSEWHERE = tuple(
    form
    for word in (
        "усиленная",
        "усиленные",
        "усиленный",
        "усилена",
        "посилена",
        "подсилена",
        "ενισχυμένο",
        "ενισχυμένα",
        "erősített",
        "ranforsat",
        "ranforsată",
        "takviyeli",
        "güçlendirilmiş",
        "vahvistettu",
        "ojačana",
        "ojačano",
        "sustiprinta",
        "pastiprināta",
        "tugevdatud",
    )
    for form in (word, word.upper())
)
LOAD_VERSIONS: tuple[tuple[str, str], ...] = (
    ("XL", r"X\.?L\.?|E\.?L\.?|REINFORCED|REINF\.?|RE-INFORCED|E?XTRA[ -]?LOAD|XLOAD"),
    ("SL", r"S\.?L\.?|STANDARD[ -]?LOAD|STD\.? LOAD"),
    ("HL", r"HL|HIGH[ -]?LOAD(?: CAPACITY)?"),
    ("LL", r"LL|LIGHT[ -]?LOAD"),
)
_END = f"(?![{MORE}])"
# "Reinforced" right behind a service description, from memory of the languages: Spanish and Portuguese, French, German,
# Italian, Dutch, Scandinavian, Polish, Czech, Russian.  Elsewhere it may speak of the casing.
REINFORCED = Pattern(
    r"(?:REFOR[ZCÇç]AD[OA]|RENFORC[EÉé]E?|VERST[AÄä]RKT|RINFORZAT[OA]|VERSTERKT|F[OÖö]RST[AÄäÆæ]RK(?:T|ET)|WZMOCNION[AEY]"
    rf"|ZES[IÍí]LEN[AÁáEÉéYÝý]|{'|'.join(word.translate(TABLE) for word in _REINFORCED_ELSEWHERE)}){_END}"
)
_WORD = Pattern("|".join(f"(?P<L{i}>{pattern})" for i, (_, pattern, _) in enumerate(LETTERS)).join(("(?:", f"){_END}")))
_VERSION = Pattern("(?:" + "|".join(f"(?P<{name}>{pattern})" for name, pattern in LOAD_VERSIONS) + f"){_END}")
REINFORCED_OR_RUN_FLAT = Pattern(rf"R\.?F\.?{_END}")
LOAD_RANGE = Worded(
    lambda words: (
        rf"(?:/ ?|(?:LOAD-RANGE|LOAD|RANGE|L\.?/?R\.?|{words(languages.RANGE_NAMES)})[ :=-]{{0,2}}/?)\"?"
        rf"(?P<letter>[A-NQ])(?![{MORE}]|-[0-9]|(?<=M) ?[+&] ?S)"  # no M of M+S
    )
)


@cache
def range_starts() -> frozenset[str]:
    """Where a load range may begin with its name or a bar."""
    return frozenset("/LR") | first_letters(languages.RANGE_NAMES)


LOAD_RANGE_VERSION = Pattern(rf"LOAD[ -]?RANGE[ :=-]{{0,2}}(?P<version>SL|XL|HL|LL){_END}")
PLY_IN_ENGLISH = Pattern(r"[^A-Z]*(?:P\.?R\.?|PLY.*|PLIES)|(?:PR|PLY) ?[0-9]+")
RANGE_LETTERS = "ABCDEFGHJLMN"  # 49 CFR 571.119: no I, no K
MOST_PLIES = 60  # the largest earthmover tires have 58


def _ply_words(words: Alternatives) -> str:
    return rf"P\.?R\.?|PLY(?:[ -]?RATING|[ -]?RATED)?|{words(ply_words.PLIES)}"


def _number_words(words: Alternatives) -> str:
    return "|".join(rf"(?P<ply_{number}>{words(named)})" for number, named in ply_words.PLY_NUMBERS.items())


PLY = Worded(
    lambda words: (
        rf"(?:(?P<ply>[1-9]\d?)|(?=\D)(?:{_number_words(words)})) ?-?(?:{_ply_words(words)}){_END}"
        rf"|(?:PR|P\.R\.?|PLY(?: ?RATING)?|{words(ply_words.PLIES_BEFORE)}) ?(?P<after>[1-9]\d?){_END}(?![.,]\d|/\d)"
    )
)


def may_count_plies(text: str, position: int) -> bool:
    """Whether a ply rating may begin here; a cheap look before the pattern."""
    return text[position] in _ply_starts() or text[position : position + 2] in _number_starts()


@cache
def _ply_starts() -> frozenset[str]:
    return frozenset("123456789P") | first_letters(ply_words.PLIES_BEFORE)


@cache
def _number_starts() -> frozenset[str]:
    return first_letters(ply_words.PLY_NUMBERS, count=2)


def plies_of(match: re.Match[str]) -> int:
    """The number of a match of `PLY`, in figures or as a word."""
    return int(match["ply"] or match["after"] or _number_said(match))


def _number_said(match: re.Match[str]) -> str:
    return next(number for number in ply_words.PLY_NUMBERS if match[f"ply_{number}"])


_NUMBER_ALONE = Worded(_number_words)


def plies_said(text: str) -> int | None:
    """The plies that a cell counts, "10 lonas" or "zehn"; None where it counts none."""
    plain = normalise(text).text.strip()
    if (match := PLY.fullmatch(plain)) is not None:
        return plies_of(match)
    alone = _NUMBER_ALONE.fullmatch(plain)
    return None if alone is None else int(_number_said(alone))


TREAD_TYPE = Pattern(rf"(?P<kind>[RFILEGCH])-(?P<number>[1-7][WMS]?(?:\+)?){_END}")
STARS = Pattern(r"\*{1,3}(?!\*)")
LOOSE_LETTER = Pattern(rf"(?P<letter>[A-NP-WY])(?![{MORE}*]|[+&.]|/(?!(?:[468]|1[02468]|20)(?![0-9A-Z/.,]))|-[A-Z0-9])")
# Short groups that vehicle makers mold on tires approved by them; kept as they are.
APPROVAL = Pattern(rf"(?:[A-Z]{{1,2}}[0-9][A-Z]?|[A-Z]{{2,3}}[0-9]?|A8A|MO-[SV]|[A-Z][0-9]){_END}(?![-'&.+]?[A-Z])")
# Load index and speed symbol under their names.  Scripts without blanks set none behind a name either.
BEHIND_NAME = r"(?: ?[:.=-] ?| |(?<=[\u0e00-\u0e7f\u3040-\u9fff\uac00-\ud7a3]))"
LABELED_INDEX = Worded(
    lambda words: (
        rf"(?:و?(?P<name>{words(languages.INDEX_NAMES)}|(?P<alone>{words(languages.INDEX_ALONE)})){BEHIND_NAME}|LI)"
        r"(?P<single>[1-9]\d{1,2})(?: ?/ ?(?P<dual>[1-9]\d{1,2}))?(?:(?P<gap> ?)(?P<symbol>A[1-8]|[B-HJ-NP-WY]))?"
        rf"(?![{MORE}]|[.,]\d|[&+]S)"
        rf"(?! ?(?:{words(languages.KG)}|LBS?|MM|CM|%|(?:{_ply_words(words)}){_END}))"
    )
)
LABELED_SYMBOL = Worded(
    lambda words: (
        rf"(?:و|(?P<and>{words(languages.AND)}) )?"
        rf"(?P<name>{words(languages.SYMBOL_NAMES)}|(?P<alone>{words(languages.SYMBOL_ALONE)})){BEHIND_NAME}"
        rf"(?P<symbol>A[1-8]|[B-HJ-NP-WY])(?![{MORE}/+&-])"
    )
)


@cache
def label_starts() -> frozenset[str]:
    """Where a name of the load index or the speed symbol may begin."""
    return first_letters(
        languages.INDEX_NAMES,
        languages.INDEX_ALONE,
        languages.SYMBOL_NAMES,
        languages.SYMBOL_ALONE,
        languages.AND_GLUED,
        languages.AND,
    )


# What is said not to hold, and what is said to hold: `Runflat: nein`, "reforzado no", `XL = tak`.
DENIED = Worded(lambda words: rf"(?P<set_off> ?[:=] ?| )(?:{words(languages.NO)}){_END}")
BORNE_OUT = Worded(lambda words: rf"(?: ?[:=] ?| )(?:{words(languages.YES)}){_END}")
# Codes of tubes and their valves (`TR15`, `VR75`): kept, no part of size or service description.
VALVE = Pattern(rf"(?:TR|VR)-?[1-9]\d{{0,2}}A?{_END}")


def _limit(words: Alternatives) -> str:
    return rf"(?:[-:] ?)?(?:(?:{words(languages.UP_TO)}) ?)?(?:[-:] ?)?"


def _after_limit(words: Alternatives) -> str:
    return rf"(?: ?(?:{words(languages.AFTER_LIMIT)}){_END})?"


def speed_in_words(words: Alternatives) -> str:
    """A speed with its unit, and "up to" before or behind it."""
    return rf"{_limit(words)}[1-9]\d{{1,2}} ?(?:{words(languages.KMH)}|MPH){_END}{_after_limit(words)}"


LIMIT = Worded(lambda words: rf"(?:(?:[-:] ?)?(?:{words(languages.UP_TO)}) ?(?:[-:] ?)?(?=[1-9])|[-:] ?(?=[1-9]))?")
SPEED_WORDS = Worded(speed_in_words)
_PRESSURE = r"\d{2,4}(?:\.\d)? ?(?:PSI|KPA|BAR)"
_PRESSURES = rf"{_PRESSURE}(?: ?[(/] ?{_PRESSURE} ?\)?)?"
_MAXIMUM = r"(?: ?MAX(?:IMUM|\.)?)?(?: ?PRESS(?:URE|\.)?)?(?: COLD)?"


# Load per inflation in words: `MAX LOAD 1380 KG (3042 LBS) AT 550 KPA (80 PSI) COLD` (49 CFR 571.119, S6.5).
def _load_in_words(words: Alternatives) -> str:
    unit = rf"(?:{words(languages.KG)}|LBS?)\.?"
    return (
        rf"(?:(?:MAX(?:IMUM|\.)? ?LOAD:?(?: (?:SINGLE|DUAL))?:? ?|{_limit(words)})?"
        rf"(?:\d{{1,2}}[, ]?\d{{3}}|\d{{2,4}})(?:\.\d)? ?{unit}"
        rf"(?: ?[(/-] ?\d{{1,2}}[, ]?\d{{2,3}} ?{unit} ?\)?)?"
        rf"(?: ?(?:AT|@|/) ?{_PRESSURES}{_MAXIMUM})?{_after_limit(words)}"
        rf"|(?:MAX(?:IMUM|\.)? ?(?:INFLATION )?(?:PRESS(?:URE|\.)?)?:? ?|@ ?|AT ?)?{_PRESSURES}{_MAXIMUM}){_END}"
    )


LOAD_WORDS = Worded(_load_in_words)
# What every load, speed or pressure in words has.
UNIT = Worded(lambda words: rf"LB|KPA|PSI|BAR|KM|MPH|{words(languages.KG)}|{words(languages.KMH)}")
MEANINGS: dict[str, str] = {name: meaning for name, _, meaning in LETTERS}


def word_at(text: str, position: int) -> tuple[str, int] | None:
    """(canonical letters, end) of the understood letters at `place`, or None."""
    match = _WORD.match(text, position)
    if match is None or match.lastgroup is None:
        return None
    return LETTERS[int(match.lastgroup[1:])][0], match.end()


_VERSION_STARTS = frozenset("XERSHL")  # of the patterns in LOAD_VERSIONS
_GLUED_VERSION = Pattern(r"XL(?=[1-9]\d{1,2}(?:/\d{2,3})?[H-Y](?![A-Z0-9]))")  # `XL94V`


def version_at(text: str, position: int) -> tuple[str, int] | None:
    """(load version, end) of a load version at `place`, or None."""
    if text[position] not in _VERSION_STARTS:
        return None
    if _GLUED_VERSION.match(text, position):
        return "XL", position + 2
    match = _VERSION.match(text, position)
    return (str(match.lastgroup), match.end()) if match else None
