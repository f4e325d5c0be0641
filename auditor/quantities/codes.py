"""Cells of code fields: "120/116S", "LR E", "SL/4", "10PR", "500 A B", "Winterreifen", "3PMSF".

A grade that can be read but does not exist ("fuel class H", "treadwear 505") is a reading: rules judge it.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Callable, Mapping, Sequence
from functools import cache

from auditor.quantities.beside_markings import read_beside_marking
from auditor.quantities.label_codes import read_label_class, read_noise, read_tire_class
from auditor.quantities.model import BLANK, CellReading, Reading, read_as, unreadable
from auditor.quantities.other_words import in_known_words
from auditor.quantities.service_cells import read_service_cell
from auditor.quantities.size_prefixes import read_size_prefix
from auditor.quantities.units import words
from auditor.quantities.versions import TWO_WORD_VERSIONS, VERSIONS
from auditor.rulebook.built_in import load_contract
from auditor.trade.patterns import Pattern

_SYMBOL_HERE = r"[a-z][1-8]?(?![^\W\d_])"  # and neither a version nor a unit: "91 SL", "615 kg"
_SERVICE = Pattern(
    rf"""(?:li|si|ss|load\s?index|lastindex|load|index)?\s*[:=]?\s*
    (?P<open>\()?\s*(?P<single>[0-9]{{1,5}})(?:[.,]0+)?\s*(?P<symbol1>{_SYMBOL_HERE})?\s*
    (?:[/|-]\s*(?P<dual>[0-9]{{1,5}})(?:[.,]0+)?)?\s*(?P<symbol2>{_SYMBOL_HERE})?\s*\)?
    (?:\s*(?P<version>sl|xl|hl|ll|rf|reinforced|extra\sload))?""",
    re.VERBOSE,
)
_SYMBOL = Pattern(
    r"(?:speed\s?(?:symbol|rating|index)\s*[:=]?\s*|si\s*[:=]\s*)?(?P<open>\()?\s*(?P<symbol>[a-z]\s?[0-9](?![0-9])|[a-z]{1,2})\s*\)?"
)

_PREFIXES = {"c": "C", "ltc": "C", "cp": "C", "lt": "LT", "st": "ST"}  # what makes a tire strong that is no passenger's
_STRENGTH_TOKEN = Pattern(
    r"(?<![^\W_])[a-n][1-3](?![^\W_])|[0-9]+(?:[.,]0+)?|[a-z]+(?=[\u3040-\u9fff])|[^\W\d_]+|\S"  # "6PR相当"
)
_STRENGTH_NOISE = words(
    "lr load range tragfähigkeitsklasse ply plies pr p rating rated plyrating lagen tele class of tire tyre"
    " 相当 equivalent equiv"
) | frozenset("/-,;()[]:.+|=")

_CONSTRUCTIONS = {
    "r": "R", "radial": "R", "radiale": "R", "radialply": "R", "steelradial": "R", "gürtelreifen": "R",
    "radialna": "R", "radiaal": "R", "rf": "R", "zr": "ZR", "zrf": "ZR", "d": "D", "diagonal": "D",
    "diagonale": "D", "diagonaal": "D", "bias": "D", "biasply": "D", "crossply": "D", "b": "B",
    "beltedbias": "B", "biasbelted": "B", "beltedbiasply": "B",
}  # fmt: skip

_TIRE_WORDS = Pattern(
    r"\b(?:tires?|tyres?|reifen|pneus?|pneumatic[io]|neumáticos?|gomme|opony|opona|banden?|шин[аиы]|гум[аи]|ελαστικ[όά]|lasti(?:k|ği)|de|da|for|per)\b"
)

_YES = words(
    "yes y true t d i e + 1 1.0 x ✓ ✔ ☑ ● ○ ◯ 〇 ja j oui o si sí s tak vrai wahr vero marked on да так ναι evet "
    "はい あり 是 예 نعم כן có ใช่ da ano áno igen kyllä jah jā taip sim já ya var კი այո بله हाँ 有 유"
)
_NO = words(
    "no n false f 0 0.0 nein non nie nee not faux falsch falso off without unmarked ✗ ✘ ohne нет ні не όχι hayır "
    "いいえ なし 否 无 아니오 아니요 لا לא không ไม่ nu ne nem ei nē nej nei não nao tidak yok არა ոչ خیر नहीं 無 무"
)
_MUD = Pattern(r"m\s?[+&./ -]?\s?s\.?|mud\s?(?:and|&|\+)\s?snow")
_PEAK = Pattern(
    r"3\s?-?pmsf?|3\s?-?peak.*|three\s?-?peak.*|(?:mountain\s)?snow\s?flake(?:\ssymbol)?|alpine(?:\ssymbol)?"
    r"|schneeflocke.*|flocon.*"
)


def _compact(text: str) -> str:
    return "".join(character for character in text.lower() if character.isalnum())


def read_load_index(text: str, field: str) -> CellReading:
    """ "120", "120/116S", "(98Y)", "94V XL"; `149A8/146B` is one index and its symbol, not a dual index."""
    match = _SERVICE.fullmatch(text.lower().rstrip("/- "))
    # Of two tires side by side each carries less, or as much; "115 / 115R" says one load index twice.
    if match is None or (match["dual"] and int(match["dual"]) >= int(match["single"]) + (" " not in text)):
        if _SYMBOL_ALONE.fullmatch(text.lower()):
            return unreadable(f"{text!r} is a speed symbol; the cells of load index and speed symbol may be swapped.")
        return read_service_cell(text, field)
    single, dual = int(match["single"]), int(match["dual"] or 0)
    first, second = match["symbol1"], match["symbol2"]
    if (dual and (first, second) in (("s", "d"), ("e", "z"))) or (
        field == "load_index_dual" and (first or second) == "d"
    ):
        first = second = None  # single and dual mounting
    two_descriptions = bool(dual and first and second and first != second)
    alone = "load_index_dual" if field == "load_index_dual" and not match["dual"] else "load_index"
    readings: list[Reading] = []
    if single:
        readings.append(Reading(alone, float(single), 0.5))
    if dual and not two_descriptions:
        readings.append(Reading("load_index_dual", float(dual), 0.5))
    symbol = first or second
    if symbol and not _RANGE_BEHIND.fullmatch(text):
        readings.append(Reading("speed_symbol", symbol.upper(), open_ended=bool(match["open"])))
    if match["version"]:
        readings.append(_version(match["version"]))
    return read_as(*readings) if readings else BLANK


_RANGE_BEHIND = Pattern(r"[0-9]{3}/[0-9]{3}\s\(?[B-HJ-N]\)?")  # "121/118 E" may be a load range
_SYMBOL_ALONE = Pattern(r"[a-hj-npq-wy][1-8]?")


def read_speed_symbol(text: str, field: str) -> CellReading:
    """ "H", "(Y)", "98Y", "H (210 km/h)"; "210 km/h" alone is a speed."""
    lowered = " ".join(in_known_words(text.lower()).split())
    match = _SYMBOL.fullmatch(lowered)
    if match is None:
        return read_service_cell(text, field)
    symbol = match["symbol"].replace(" ", "").upper()
    return read_as(Reading("speed_symbol", symbol, open_ended=bool(match["open"])))


def _version(word: str) -> Reading:
    """A load version; `unit` is "RF" where only RF was written, since that may also mean run-flat."""
    return Reading("load_version", VERSIONS[_compact(word)], unit="RF" if _compact(word) == "rf" else None)


def read_strength(text: str, field: str) -> CellReading:
    """Load range, ply rating and load version: "LR E", "E/10", "10PR", "ten ply", "SL/4", "Extra Load"."""
    lowered = text.lower().replace("-", " ")
    if field == "load_version" and not lowered.isdecimal() and (lowered in _YES or lowered in _NO):
        return read_as(Reading("load_version", "XL" if lowered in _YES else "SL"))  # "XL: yes"
    if field == "load_version" and _compact(lowered) in _PREFIXES:
        return read_as(Reading("size_prefix", _PREFIXES[_compact(lowered)]))  # in a column of XL for passenger tires
    if _compact(lowered) in VERSIONS:
        return read_as(_version(lowered))
    for wording, short in TWO_WORD_VERSIONS:
        lowered = lowered.replace(wording, short)
    readings: dict[str, Reading] = {}
    tokens = _STRENGTH_TOKEN.findall(lowered)
    for token in tokens:
        reading = _strength(token)
        if reading is None and (
            token in _STRENGTH_NOISE or token in _DENYING or (len(token) >= _LEAST_LETTERS and token.isalpha())
        ):
            continue
        if reading is None or readings.setdefault(reading.field, reading).value != reading.value:
            return _plies_in_words(text)
    if not readings or not _DENYING.isdisjoint(tokens):
        return _denied_version(tokens, readings) or _plies_in_words(text)
    readings = {name: reading for name, reading in readings.items() if reading.value != 0.0}
    strange = any(
        len(token) >= _LEAST_LETTERS and token not in _STRENGTH_NOISE for token in tokens if not _strength(token)
    )
    return read_as(*readings.values())._replace(strange=strange) if readings else BLANK


def _denied_version(tokens: Sequence[str], readings: Mapping[str, Reading]) -> CellReading | None:
    """ "non XL", "XL: no": a standard load; None where nothing else than a version is denied."""
    if _DENYING.isdisjoint(tokens) or {*readings} != {"load_version"} or readings["load_version"].value != "XL":
        return None
    return read_as(Reading("load_version", "SL"))


_DENYING = frozenset({"no", "non", "not", "nicht", "kein", "keine", "nie", "ne", "geen", "inte", "ikke", "ei"})


def _plies_in_words(text: str) -> CellReading:
    """ "10 lonas", "zehn", "10 сл.": plies in the words of many languages."""
    # Start-up: few cells are written so, and the words are many.
    from auditor.marking.letters import plies_said

    plies = plies_said(text)
    if plies is None:
        return unreadable(f"{text!r} is no load range, ply rating or load version.")
    return read_as(Reading("ply_rating", float(plies), 0.5))


def _strength(token: str) -> Reading | None:
    if token[0].isdecimal():
        digits = re.split("[.,]", token)[0]
        return Reading("ply_rating", float(digits), 0.5) if len(digits) < 3 else None
    if token in VERSIONS:
        return _version(token)
    if token in _STRENGTH_NOISE:
        return None
    if glued := re.fullmatch(r"(?:lr|range)?([a-z])[1-3]?", token):  # E1, E2: letter and pressure variant
        return Reading("load_range", glued[1].upper())
    number = _number_words().get(token)
    return None if number is None else Reading("ply_rating", number, 0.5)


@cache
def _number_words() -> dict[str, float]:
    # Start-up: few cells are written so, and the words are many.
    from auditor.marking.languages import of
    from auditor.marking.ply_words import PLY_NUMBERS

    return {word: float(number) for number, named in PLY_NUMBERS.items() for word in of(named)}


def read_construction(text: str, field: str) -> CellReading:
    """ "R", "Radial", "ZR", "D", "bias belted".  A dash stays blank: feeds use it for "unknown" too."""
    found = {_CONSTRUCTIONS.get(word) for word in re.findall(r"[^\W\d_]+", text.lower())} - {None}
    code = _CONSTRUCTIONS.get(_compact(text)) or (found.pop() if len(found) == 1 else None)
    return unreadable(f"{text!r} is no construction.") if code is None else read_as(Reading("construction", code))


_UTQG_WORDS = Pattern(r"treadwear|traction|temperature|temp|tread|wear|utqg|\btw\b|\btr\b|\btrac\b")
_UTQG = Pattern(r"([0-9]{1,4})?(?:[\s/,;:|.=-]*([a-z]{1,3}))?(?:[\s/,;:|.=-]+([a-z]{1,2}))?")


def read_utqg(text: str, field: str) -> CellReading:
    """ "500 A B", "500AAA", "Treadwear 500 Traction AA Temperature A", or a single one of the three."""
    words = " ".join(_UTQG_WORDS.sub(" ", text.lower()).split()).strip(" /,;:|.-")
    if field in ("traction", "temperature") and re.fullmatch("[a-z]{1,3}", words):
        return read_as(Reading(field, words.upper()))
    match = _UTQG.fullmatch(words.removesuffix(".0"))
    if match is None or not words:
        return unreadable(f"{text!r} is no tire grade such as 500 A B.")
    treadwear, first, second = match[1], match[2], match[3]
    if first and not second:
        if len(first) == 1:
            return unreadable(f"{text!r} may be the traction or the temperature grade.")
        first, second = first[:-1], first[-1]
    readings = [Reading("treadwear", float(treadwear), 0.5)] if treadwear and int(treadwear) else []
    if first and second:
        readings += [Reading("traction", first.upper()), Reading("temperature", second.upper())]
    return read_as(*readings) if readings else BLANK


_LEAST_LETTERS = 4  # of a word that is known without its accents


@cache
def _season_without_accents() -> dict[str, str]:
    """Words written without their accents, "iarna", as far as they are no others."""
    found: dict[str, set[str]] = {}
    for word, season in _season_of().items():
        plain = "".join(char for char in unicodedata.normalize("NFKD", word) if not unicodedata.combining(char))
        if plain.isascii() and len(plain) >= _LEAST_LETTERS:
            found.setdefault(plain, set()).add(season)
    return {word: seasons.pop() for word, seasons in found.items() if len(seasons) == 1}


@cache
def _season_of() -> dict[str, str]:
    return {_compact(word): season for word, season in load_contract().season_words.items()}


_PARTS = re.compile(r"[/|,;()]|\s[-\u2013\u2014]\s")
_NO_SEASON_ALONE = frozenset({"snow", "as"})  # half of "mud/snow", or a word


def _season(text: str) -> str | None:
    bare = re.sub(r"\(.*?\)", " ", text.lower())
    for said in (text, _TIRE_WORDS.sub(" ", bare)):
        compact = _compact(said)
        season = _season_of().get(compact) or _season_without_accents().get(compact)
        if season is not None:
            return season
    return None


def _season_of_parts(text: str) -> str | None:
    """The one season that parts name: "Winter / Hiver", "Vinter - piggfritt"."""
    parts = [part for part in _PARTS.split(text) if _compact(part) not in _NO_SEASON_ALONE]
    found = {season for part in parts if (season := _season(part)) is not None}
    return found.pop() if len(found) == 1 else None


def read_season(text: str, field: str) -> CellReading:
    """Summer, all-season or winter, in the words of many languages."""
    season = _season(text) or _season_of_parts(text)
    return unreadable(f"{text!r} is no season.") if season is None else read_as(Reading("season", season))


def read_snow_mark(text: str, field: str) -> CellReading:
    """ "yes" or "no" for `mud_and_snow` and `severe_snow`, also where the cell names the mark itself."""
    lowered = " ".join(text.lower().replace("ì", "í").split())  # either accent, and none
    if lowered in _YES or lowered in _NO:
        return read_as(Reading(field, "yes" if lowered in _YES else "no"))
    readings: dict[str, Reading] = {}
    for part in filter(None, re.split(r"\s*[,;|/()]\s*(?!s\b)|\s+(?:and|und|\+)\s+(?!snow|s\b)", lowered)):
        answer, name = "yes", part
        named = re.fullmatch(r"(.+?)\s*[:=]?\s*\b(yes|no|ja|nein|true|false)", part)
        if named:
            name, answer = named[1], "yes" if named[2] in _YES else "no"
        if part in _NO and field in readings:  # "3PMSF (no)"
            readings[field] = Reading(field, "no")
        elif part in _YES or part in _NO:
            readings.setdefault(field, Reading(field, "yes" if part in _YES else "no"))
        elif _MUD.fullmatch(name):
            _answer(readings, "mud_and_snow", answer)
        elif _PEAK.fullmatch(name):
            _answer(readings, "severe_snow", answer)
        else:
            return unreadable(f"{text!r} does not say yes or no.")
    return read_as(*readings.values()) if readings else unreadable(f"{text!r} does not say yes or no.")


def _answer(readings: dict[str, Reading], mark: str, answer: str) -> None:
    """Puts what is said of a mark; "no" before its name stays: "No (M+S)"."""
    if mark not in readings or readings[mark].value != "no":
        readings[mark] = Reading(mark, answer)


CODES: dict[str, Callable[[str, str], CellReading]] = {
    "marking": read_beside_marking,
    "size": read_beside_marking,
    "service_description": read_beside_marking,
    "load_index": read_load_index,
    "load_index_dual": read_load_index,
    "speed_symbol": read_speed_symbol,
    "load_range": read_strength,
    "ply_rating": read_strength,
    "load_version": read_strength,
    "construction": read_construction,
    "size_prefix": read_size_prefix,
    "utqg": read_utqg,
    "treadwear": read_utqg,
    "traction": read_utqg,
    "temperature": read_utqg,
    "season": read_season,
    "mud_and_snow": read_snow_mark,
    "severe_snow": read_snow_mark,
    "tire_class": read_tire_class,
    "fuel_class": read_label_class,
    "wet_grip_class": read_label_class,
    "noise_db": read_noise,
    "noise_class": read_noise,
}
