"""Service descriptions: load index, or single/dual, plus speed symbol; a second one in brackets or joined.

Source of the form: UN Regulation No. 30, paragraphs 2.28 and 3.1; UN Regulation No. 54, paragraphs 2.26 and 3.1.
"""

from __future__ import annotations

import re

from auditor.trade.marking_model import ServiceDescription
from auditor.trade.patterns import Pattern

SYMBOL = r"A[1-8]|[B-HJ-NP-WY]"
# What goes on with a word: digits and letters of the alphabets that leave blanks between words (`154 līdz` is no 154L).
LETTERS = "A-Z\u00c0-\u00d6\u00d8-\u024f\u0370-\u052f\u1e00-\u1fff"
MORE = f"0-9{LETTERS}"
# `60K miles` is how far a tire is warranted to run.
_NO_DISTANCE = r"(?!(?<=K)[ -]?(?:MI\b|MILE|KM\b|KILO|WARRANT|TREADWEAR))"
# The symbol ends the description: `102 M+S` is an index and a mark, `58 M/C` likewise.
DESCRIPTION = Pattern(
    rf"(?P<single>[1-9]\d{{1,2}})(?: ?(?P<bar>[/\\-]|(?<=[0-9]{{3}})\.(?=[0-9]{{3}})) ?(?P<dual>[1-9]\d{{1,2}}))?"
    rf"(?P<gap> ?[/-]?)(?P<symbol>{SYMBOL}){_NO_DISTANCE}"
    rf"(?!(?!(?:XL|EL)(?![A-Z])|M ?\+ ?S)[{MORE}]|[&+]S|(?:[.-]|(?<=M)/)[CS](?![A-Z0-9])"
    rf"|\.[A-Z]| ?PLY(?! \d| ?RATING)| ?P\.?R(?![{MORE}]| \d)"
    r"|(?<= [B-Y])/[TP](?![A-Z0-9/])|(?<= T)/L(?![A-Z0-9/])"  # `112 H/T`, `115 T/L`: a tread, and tubeless
    rf"|(?<= [B-Y])-(?!(?:XL|EL|RF|T[LT]|M)(?![A-Z]))[{LETTERS}])"  # `99 S-line`
)
# What has the form of a service description, but an index or a symbol that no table lists: `302H`, `102X`, `102I`.
UNLISTED = Pattern(
    rf"(?P<single>[1-9]\d{{1,2}})(?:/(?P<dual>[1-9]\d{{1,2}}))? ?(?P<symbol>{SYMBOL}|(?<=\d)[IOXZ])"
    rf"(?![{MORE}]|[&+]S|[/.-][CS](?![A-Z0-9])|\.[A-Z]| ?PLY(?! \d| ?RATING)| ?P\.?R(?![{MORE}]| \d))"
)
# A service description glued to the next word: `102HABC`, `93VDEB`.
GLUED = Pattern(
    r"(?P<single>[5-9]\d|1\d\d)(?:/(?P<dual>[5-9]\d|1\d\d))?(?P<symbol>[F-HJ-NP-WY])(?P<word>[^\W\d_]{2,24})"
)
# Where letter and word can be one longer word (`102HANDLING`, `91SNOWY`), the letter is no symbol; no word begins so:
_TWO_WORDS = Pattern(
    r"F[^AEIOULRY]|G[^AEIOULRNHY]|[HLMN][^AEIOUY]|[JY][^AEIOU]|K[^AEIOULRNWHY]|P[^AEIOULRHNSTY]"
    r"|R[^AEIOUHY]|S[BDFGJRSX]|T[^AEIOURWHSY]|V[^AEIOULRY]|W[^AEIOUHRY]|Q[^U]"
)
# Numbers are glued to units, counts and words too (`100PCS`, `100STK`, `60MPH`); these are none of a description.
_NO_DESCRIPTION = Pattern(
    r"FT|GAL|GRM|HRS|KAT|KGS|KIT|KMH|KPA|KPH|KW|LBS|LETO|LATO|LTR|LTS|LUX|MAX|MOTO|MPH|MTR|MTRS|MUD|NEW"
    r"|NIEVE|PAIR|PAR|PARS|PCE|PCS|PIA|PLN|PLUS|PLY|PNEU|PRO|PSI|PZAS|RAIN|RIN|ROAD|ROK|ROKU|RUB|RUN|SET"
    r"|SETS|SNOW|STCK|STK|STUD|STUK|SUV|SZT|TIRE|TOP|TRAC|TRY|TUBE|TYRE|UAH|UDS|UNI|UNID|USD|VAN|VER|WATT"
    r"|WET|WIDE|YEAR"
)
OPEN_SYMBOL = Pattern(r"(?P<single>[1-9]\d{1,2})(?: ?/ ?(?P<dual>[1-9]\d{1,2}))? ?\( ?(?P<symbol>[J-NP-WYH]) ?\)")
# Behind a number by itself these make it a price, a count or a measure of something else.
_COUNTED = (
    r"EUROS?|EUR|USD|GBP|PLN|CZK|HUF|RON|LEI|SEK|NOK|DKK|KR|CHF|RU[BR]|UAH|GRN|BYN|TRY|BGN|RSD|DIN|ILS|NIS|AED|SAR|JPY|KRW"
    r"|CNY|RMB|THB|VND|IDR|MNT|KZT|BRL|ARS|MXN|CLP|COP|PEN|AUD|CAD|NZD|ZAR|P[CT]S|PCE?|SZT|STK?|KS|BUC|DB|GAB|VNT|TK|ADET"
    r"|UDS?|PZ|HP|PS|KW|CV|NM|MIN|HRS?|OFF|[CD]M|INCH|CALI|ZOLL"
)
BARE = Pattern(
    r"(?P<single>[1-9]\d{1,2})(?: ?/ ?(?P<dual>[1-9]\d{1,2}))?"
    rf"(?![0-9A-Z.,]| ?(?:KG|LBS?|KPA|PSI|MM|KM|MPH|-?PLY|-?P\.?R|{_COUNTED})\b)"
)

HIGHEST_INDEX = 279


def unlisted(match: re.Match[str]) -> tuple[ServiceDescription, tuple[tuple[str, str], ...]]:
    """What a match of `UNLISTED` gives: the description of what the tables list, and the rest as said."""
    said: list[tuple[str, str]] = []
    listed: dict[str, int | None] = {}
    for name, text in (("load_index", match["single"]), ("load_index_dual", match["dual"])):
        number = None if text is None else int(text)
        listed[name] = number if number is None or number <= HIGHEST_INDEX else None
        if number is not None and number > HIGHEST_INDEX:
            said.append((name, text))
    symbol: str | None = match["symbol"]
    if symbol is not None and symbol in "IOXZ":
        said.append(("speed_symbol", symbol))
        symbol = None
    return ServiceDescription(listed["load_index"], listed["load_index_dual"], symbol), tuple(said)


def two_words(base: str, position: int, run: str) -> bool:
    """Whether a run of letters at `position` of the text as written is a symbol and a word, and no word or unit."""
    if _NO_DESCRIPTION.fullmatch(run):
        return False
    if begins_a_word(base, position + 1) and base[position].isupper():  # "VTorvik"
        return True
    return base[position : position + 2].isupper() and (len(run) < 5 or _TWO_WORDS.match(run) is not None)


def begins_a_word(base: str, position: int) -> bool:
    """Whether a capital with small letters behind it stands there."""
    return base[position : position + 1].isupper() and base[position + 1 : position + 2].islower()


def glued(text: str, position: int, base: str) -> tuple[ServiceDescription, int] | None:
    """(description, end) of one that runs on into the next word, or None where the whole is a unit or a count.

    `base` is the text as written.
    """
    match = GLUED.match(text, position)
    if match is None or not two_words(base, match.start("symbol"), match["symbol"] + match["word"]):
        return None
    dual = None if match["dual"] is None else int(match["dual"])
    return ServiceDescription(int(match["single"]), dual, match["symbol"]), match.end("symbol")


def description(match: re.Match[str]) -> ServiceDescription | None:
    """The service description of a match of `DESCRIPTION`; None where the index is in no table.

    `10/32 A/T` is a tread depth.
    """
    single = int(match["single"])
    dual = int(match["dual"]) if match["dual"] else None
    if single > HIGHEST_INDEX or (dual is not None and (dual > HIGHEST_INDEX or (dual == 32 and single < 32))):
        return None
    return ServiceDescription(single, dual, match["symbol"])


def text_of(service: ServiceDescription, said: tuple[tuple[str, str], ...] = ()) -> str:
    """Canonical text of one service description; empty when nothing is stated.  `said` is what no table lists."""
    if not said and service.load_index is not None and service.load_index_dual is None:
        plain = f"{service.load_index}{service.speed_symbol or ''}"
        return f"({plain})" if service.speed_open else plain
    more = dict(said)
    single = more.get("load_index") or ("" if service.load_index is None else str(service.load_index))
    dual = more.get("load_index_dual") or ("" if service.load_index_dual is None else str(service.load_index_dual))
    text = single + (f"/{dual}" if single and dual else "") + (more.get("speed_symbol") or service.speed_symbol or "")
    return f"({text})" if service.speed_open and single else text


def additional_text(main: ServiceDescription, additional: tuple[ServiceDescription, ...]) -> str:
    """Canonical text of what follows the governing description.

    Slow machines' tires carry `155A8/152B`; all others have the second description in brackets, `(122/119N)`.
    """
    text = ""
    for position, extra in enumerate(additional):
        joined = (
            position == 0
            and main.load_index is not None
            and main.speed_symbol is not None
            and main.speed_symbol[0] in "ABCDE"
            and main.load_index_dual is None
            and extra.load_index_dual is None
        )
        text += f"/{text_of(extra)}" if joined else f" ({text_of(extra)})"
    return text
