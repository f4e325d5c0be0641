"""Claims in letters and words: load range, speed symbol, load index, load version, snow marks, season."""

from __future__ import annotations

from auditor.claims.claimed_quantities import ENDS, PLAIN, PLIES, following, kind_at, previous
from auditor.claims.tokens import Token

HIGHEST_INDEX = 279
# (field, value, place of the first token, place of the last token)
Found = tuple[str, float | str, int, int]
_REFUSED = frozenset({"no", "beyond", "other", "more-of-them"})
_BESIDE_SIZE = frozenset({"size", "service", "lr", "letter", "quantity", "xl", "terrain-letters"})
_WHOLE_TIRE = frozenset({"construction", "carcass", "casing"})
_NOT_RATED = _REFUSED | {"filler", "casing", "terrain", "terrain-letters"}
_COUNT = {
    "six": 6,
    "eight": 8,
    "ten": 10,
    "twelve": 12,
    "fourteen": 14,
    "sixteen": 16,
    "eighteen": 18,
    "twenty": 20,
}
_MARK_WORDS = PLAIN | {
    "snowmark",
    "peak",
    "mountain",
    "snowflake",
    "three",
    "mud",
    "snow",
    "number",
    "rated",
    "symbol",
}


def load_range(tokens: list[Token], index: int) -> Found | None:
    """ "Load Range E", at the word load; "LRE" and "LR E", at that token."""
    token = tokens[index]
    letter = index
    if token.kind == "load":
        if kind_at(tokens, index + 1) != "range" or token.text.lower() != "load":
            return None
        letter = following(tokens, index + 1)
        if kind_at(tokens, letter) != "letter" or tokens[letter].text not in "BCDEFGHJLMN":
            return None
    if kind_at(tokens, previous(tokens, index)) in _REFUSED or _listed(tokens, letter):
        return None
    return "load_range", tokens[letter].text[-1], index, letter


def _listed(tokens: list[Token], position: int) -> bool:
    """Whether another letter follows: "load range C, D and E" lists what there is."""
    after = following(tokens, position)
    if kind_at(tokens, after) == "comma":
        after = following(tokens, after)
    return kind_at(tokens, after) in ("letter", "lr") and kind_at(tokens, after + 1) not in ("rated", "speed")


def letter_rated(tokens: list[Token], index: int) -> Found | None:
    """ "E-rated" (load range), "V-rated" and "H-rated (130 mph)" (speed), "H speed rating"; at the letter."""
    letter = tokens[index].text
    if kind_at(tokens, previous(tokens, index)) in _REFUSED | {"letter"}:
        return None
    if kind_at(tokens, index + 1) == "speed" and kind_at(tokens, index + 2) in ("rated", "index", "symbol"):
        if kind_at(tokens, following(tokens, index + 2)) == "letter":
            return None
        return "speed_symbol", letter, index, index + 2
    if kind_at(tokens, index + 1) != "rated" or tokens[index + 1].text.lower() != "rated":
        return None
    after = following(tokens, index + 1)
    speed_follows = kind_at(tokens, after) == "quantity" and tokens[after].unit in ("mph", "kmh")
    if letter in "QRSTUVWY" or speed_follows:
        return "speed_symbol", letter, index, index + 1
    if letter in "BCDEFGHJKLMN" and _is_whole_tire(tokens, index, letter):
        return "load_range", letter, index, index + 1
    return None


def _is_whole_tire(tokens: list[Token], index: int, letter: str) -> bool:
    """Whether "E-rated" speaks of the tire: "E-rated construction", "E-rated tire", or what ends the stretch soon.

    From H on, a letter is as likely a speed symbol, and "B-rated" may be any grade.
    """
    word = tokens[index + 2].text.lower() if index + 2 < len(tokens) else ""
    if word in ("tire", "tyre"):
        return letter in "CDEFG"
    if word in _WHOLE_TIRE:
        return letter < "H" or kind_at(tokens, index - 1) == "load"
    after = kind_at(tokens, following(tokens, index + 1))
    return letter in "CDEFG" and after not in _NOT_RATED


def speed_symbol(tokens: list[Token], index: int) -> Found | None:
    """ "speed rating H", "Speed index: V"; at the word speed."""
    word = tokens[index].text.lower()
    position = following(tokens, index)
    named = word.endswith("index")
    while kind_at(tokens, position) in ("rated", "index", "symbol"):
        named = True
        position = following(tokens, position)
    if not named or kind_at(tokens, position) != "letter":
        return None
    if kind_at(tokens, previous(tokens, index)) in _REFUSED or _listed(tokens, position):
        return None
    if kind_at(tokens, position + 1) in ("rated", "speed"):
        return None
    return "speed_symbol", tokens[position].text, index, position


def load_index(tokens: list[Token], index: int) -> list[Found]:
    """ "load index 120/116", "LI 102", "load index 102H"; at the word index."""
    first = index
    if tokens[index].text.lower() == "index":
        while kind_at(tokens, first - 1) in ("speed", "load"):
            first -= 1
        if kind_at(tokens, first) != "load":
            return []
    position = following(tokens, index)
    while kind_at(tokens, position) in ("speed", "rated"):
        position = following(tokens, position)
    kind = kind_at(tokens, position)
    if kind_at(tokens, previous(tokens, first)) in _REFUSED or kind not in ("number", "service"):
        return []
    if kind_at(tokens, following(tokens, position)) in ("number", "service"):
        return []  # "load index 102 to 106"
    if kind == "service":
        return [("service_description", tokens[position].text, first, position)]
    parts = tokens[position].text.replace(" ", "").split("/")
    if len(parts) > 2 or not all(part.isdecimal() and len(part) <= 3 and int(part) <= HIGHEST_INDEX for part in parts):
        return []
    fields = ("load_index", "load_index_dual")
    return [(field, float(part), first, position) for field, part in zip(fields, parts, strict=False)]


def load_version(tokens: list[Token], index: int) -> Found | None:
    """ "XL" beside a size, "Extra Load", "(Reinforced)", "Standard Load"."""
    kind = tokens[index].kind
    before = kind_at(tokens, previous(tokens, index))
    if before in _REFUSED:
        return None
    if kind in ("extra", "standard"):
        return _worded_version(tokens, index)
    after = kind_at(tokens, following(tokens, index))
    if kind == "xl" and kind_at(tokens, index + 1) in ("tire", "rated"):
        return "load_version", "XL", index, index
    in_background = before in _BESIDE_SIZE or (
        before == "comma" and kind_at(tokens, previous(tokens, index) - 1) in ("size", "service")
    )
    written_out = kind == "xl" or tokens[index].text[:1] == "R"
    if in_background and written_out and after not in ("filler", "casing", "load") and after not in _REFUSED:
        return "load_version", "XL", index, index
    return None


def _worded_version(tokens: list[Token], index: int) -> Found | None:
    load = index + 1
    if kind_at(tokens, load) != "load" or tokens[load].text.lower() != "load":
        return None
    capital = tokens[index].text[0].isupper() and tokens[load].text[0].isupper()
    after = kind_at(tokens, following(tokens, load))
    if after in ("load", "range", "index", "rated", "max") or after in _REFUSED:
        return None
    if not capital and (after == "filler" or tokens[index].kind == "standard"):
        return None
    return "load_version", "XL" if tokens[index].kind == "extra" else "SL", index, load


def plies_in_words(tokens: list[Token], index: int) -> Found | None:
    """ "ten ply", at the number word; "ply rating 10", at the word ply."""
    if kind_at(tokens, previous(tokens, index)) in _REFUSED | {"number", "count"}:
        return None
    if tokens[index].kind == "count":
        if kind_at(tokens, index + 1) != "ply" or kind_at(tokens, following(tokens, index + 1)) in (
            "casing",
            "other",
            "beyond",
        ):
            return None
        return "ply_rating", float(_COUNT[tokens[index].text.lower()]), index, index + 1
    position = following(tokens, index)
    if kind_at(tokens, position) == "rated":
        position = following(tokens, position)
    if kind_at(tokens, position) != "number" or not tokens[position].text.isdecimal():
        return None
    value = float(tokens[position].text)
    if value not in PLIES or kind_at(tokens, following(tokens, position)) in ("number", "casing"):
        return None
    return "ply_rating", value, index, position


def snow_mark(tokens: list[Token], index: int, text: str) -> Found | None:
    """3PMSF and M+S in letters or words, "yes" or, where negated, "no"; at the first word of the mark."""
    kind = tokens[index].kind
    if kind == "snowmark":
        field = "severe_snow" if tokens[index].text[0] == "3" else "mud_and_snow"
        last = index
    elif kind == "mud":
        last = index + 1 if kind_at(tokens, index + 1) == "snow" else index + 2
        if kind_at(tokens, last) != "snow":
            return None
        between = text[tokens[index].end : tokens[last].start].strip().lower()
        if between not in ("and", "&", "+", "und"):
            return None
        field = "mud_and_snow"
    else:
        if kind_at(tokens, index - 1) in ("mountain", "peak", "three"):
            return None  # read at the first word
        last = index
        while kind_at(tokens, last + 1) in ("peak", "mountain", "snowflake"):
            last += 1
        if tokens[last].kind != "snowflake":
            return None
        field = "severe_snow"
    answer = _yes_or_no(tokens, index, last)
    return (field, answer, index, last) if answer else None


def terrain(tokens: list[Token], index: int, text: str) -> Found | None:
    """ "A/T", "M/T", "all-terrain", "mud terrain"; at the letters or the word terrain."""
    first = index
    if tokens[index].kind == "terrain":
        first = index - 1
        if kind_at(tokens, first) not in ("all", "mud") or text[tokens[first].end : tokens[index].start] not in (
            "-",
            " ",
        ):
            return None
    if kind_at(tokens, previous(tokens, first)) in _REFUSED:
        return None
    return "all_terrain", "yes", first, index


def _yes_or_no(tokens: list[Token], first: int, last: int) -> str:
    """ "yes", "no" where a negation stands in the same stretch, "" where another tire is spoken of."""
    position = first - 1
    while position >= 0 and tokens[position].kind in _MARK_WORDS:
        position -= 1
    before = kind_at(tokens, position)
    after = following(tokens, last)
    while kind_at(tokens, after) in ("symbol", "rated"):
        after = following(tokens, after)
    if before in ("other", "beyond", "only") or kind_at(tokens, after) in ("other", "only"):
        return ""
    if before == "no":
        return "no"
    if kind_at(tokens, after) == "no":
        return "no" if kind_at(tokens, after + 1) in ("", "stop", "comma") else ""
    return "yes"


def season(tokens: list[Token], index: int, text: str) -> Found | None:
    """ "winter tire", "snow tires", "all-season", "Sommerreifen"; "summer" alone only beside the size."""
    kind = tokens[index].kind
    before = kind_at(tokens, previous(tokens, index))
    if before in _REFUSED:
        return None
    if kind in ("winter-tire", "summer-tire", "all-season-tire"):
        return "season", kind.removesuffix("-tire"), index, index
    if kind == "all":
        if kind_at(tokens, index + 1) != "season":
            return None
        last = tokens[index + 1]
        hyphened = text[tokens[index].end : last.start] == "-"
        after = kind_at(tokens, following(tokens, index + 1))
        if after in _REFUSED or (after == "filler" and not hyphened and not last.text[0].isupper()):
            return None  # "all season long"
        return "season", "all-season", index, index + 1
    value = "summer" if kind == "summer" else "winter"
    if kind_at(tokens, index + 1) == "tire":
        return "season", value, index, index + 1
    if kind != "snow" and before == "size" and kind_at(tokens, following(tokens, index)) in ("", *ENDS - {"filler"}):
        return "season", value, index, index
    return None
