"""The letters and words of a marking beside size and service description, as data.

Each entry: canonical spelling, the spellings seen (a pattern over upper-case text), and what it means.
"""

from __future__ import annotations

import re

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
LOAD_VERSIONS: tuple[tuple[str, str], ...] = (
    ("XL", r"X\.?L\.?|E\.?L\.?|REINFORCED|REINF\.?|RE-INFORCED|E?XTRA[ -]?LOAD|XLOAD"),
    ("SL", r"S\.?L\.?|STANDARD[ -]?LOAD|STD\.? LOAD"),
    ("HL", r"HL|HIGH[ -]?LOAD(?: CAPACITY)?"),
    ("LL", r"LL|LIGHT[ -]?LOAD"),
)
_END = r"(?![A-Z0-9])"
_WORD = re.compile(
    "|".join(f"(?P<L{i}>{pattern})" for i, (_, pattern, _) in enumerate(LETTERS)).join(("(?:", f"){_END}"))
)
_VERSION = re.compile("(?:" + "|".join(f"(?P<{name}>{pattern})" for name, pattern in LOAD_VERSIONS) + f"){_END}")
REINFORCED_OR_RUN_FLAT = re.compile(rf"R\.?F\.?{_END}")
LOAD_RANGE = re.compile(
    r"(?:/ ?|(?:LOAD[ -]?RANGE|LOAD|RANGE|L\.?/?R\.?)[ :=-]{0,2}/?)\"?(?P<letter>[A-HJLMN])(?![A-Z0-9]|-[0-9])"
)
LOAD_RANGE_VERSION = re.compile(rf"LOAD[ -]?RANGE[ :=-]{{0,2}}(?P<version>SL|XL|HL|LL){_END}")
PLY = re.compile(
    rf"(?P<ply>[1-9]\d?) ?-?(?:P\.?R\.?|PLY(?:[ -]?RATING|[ -]?RATED)?|PLIES){_END}|PR ?(?P<after>[1-9]\d?){_END}"
)
TREAD_TYPE = re.compile(rf"(?P<kind>[RFILEGCH])-(?P<number>[1-7][WMS]?(?:\+)?){_END}")
STARS = re.compile(r"\*{1,3}(?!\*)")
LOOSE_LETTER = re.compile(
    r"(?P<letter>[A-HJ-NP-WY])(?![A-Z0-9*]|[+&.]|/(?!(?:[468]|1[02468]|20)(?![0-9A-Z/.,]))|-[A-Z0-9])"
)
# Short groups that vehicle makers mold on tires approved by them; kept as they are.
APPROVAL = re.compile(rf"(?:[A-Z]{{1,2}}[0-9][A-Z]?|[A-Z]{{2,3}}[0-9]?|A8A|MO-[SV]|[A-Z][0-9]){_END}(?![-'&.+]?[A-Z])")
_UNIT_OF_LOAD = r"(?:KGS?|LBS?)\.?"
_PRESSURE = r"\d{2,4}(?:\.\d)? ?(?:PSI|KPA|BAR)"
_PRESSURES = rf"{_PRESSURE}(?: ?[(/] ?{_PRESSURE} ?\)?)?"
_MAXIMUM = r"(?: ?MAX(?:IMUM|\.)?)?(?: ?PRESS(?:URE|\.)?)?(?: COLD)?"
# Load per inflation in words: `MAX LOAD 1380 KG (3042 LBS) AT 550 KPA (80 PSI) COLD` (49 CFR 571.119, S6.5).
LOAD_WORDS = re.compile(
    rf"(?:(?:MAX(?:IMUM|\.)? ?LOAD:?(?: (?:SINGLE|DUAL))?:? ?)?(?:\d{{1,2}}[, ]?\d{{3}}|\d{{2,4}})(?:\.\d)? ?"
    rf"{_UNIT_OF_LOAD}"
    rf"(?: ?[(/-] ?\d{{1,2}}[, ]?\d{{2,3}} ?{_UNIT_OF_LOAD} ?\)?)?(?: ?(?:AT|@|/) ?{_PRESSURES}{_MAXIMUM})?"
    rf"|(?:MAX(?:IMUM|\.)? ?(?:INFLATION )?(?:PRESS(?:URE|\.)?)?:? ?|@ ?|AT ?)?{_PRESSURES}{_MAXIMUM}){_END}"
)
MEANINGS: dict[str, str] = {name: meaning for name, _, meaning in LETTERS}


def word_at(text: str, position: int) -> tuple[str, int] | None:
    """(canonical letters, end) of the understood letters at `place`, or None."""
    match = _WORD.match(text, position)
    if match is None or match.lastgroup is None:
        return None
    return LETTERS[int(match.lastgroup[1:])][0], match.end()


def version_at(text: str, position: int) -> tuple[str, int] | None:
    """(load version, end) of a load version at `place`, or None."""
    match = _VERSION.match(text, position)
    return (str(match.lastgroup), match.end()) if match else None
