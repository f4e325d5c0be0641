"""Cuts a title or sales text into the tokens that `auditor.claims.find` reads."""

from __future__ import annotations

import re
from functools import cache

from auditor.claims.words import (
    KIND_OF_WORD,
    LETTER,
    LT_LETTER,
    NUMBER,
    QUANTITY,
    SERVICE,
    SINGLE_LETTERS,
    SIZE,
    UNITS,
)


class Token:
    """A word, size, number or quantity with its place; `role` is what the reader found it to be.

    A plain class, because one is made for every word: the last eight attributes exist on quantities only.
    """

    __slots__ = (
        "end",
        "half_step",
        "kind",
        "length",
        "plus",
        "role",
        "second",
        "second_at",
        "second_length",
        "start",
        "text",
        "unit",
        "value",
    )
    unit: str
    value: float
    second: float | None  # "1,380/1,260 kg"
    half_step: float
    plus: bool  # "300+"
    length: int  # characters of the first number; the token begins with it
    second_at: int  # where the second number begins, counted from the token's start
    second_length: int

    def __init__(self, kind: str, start: int, end: int, text: str) -> None:
        self.kind = kind
        self.start = start
        self.end = end
        self.text = text
        self.role = ""


# A number has at most six digits together: longer ones are article numbers.
_PLAIN = r"[0-9]{1,6}+(?![0-9])(?:[.,][0-9]{1,6}+(?![0-9]))*+"
_WORD = rf"[a-z]{LETTER}*+(?![0-9_])"
# Words in small letters first, the commonest case, and as many of them as follow one another; what lies between
# tokens is skipped without a match of its own.
_TOKEN = (
    r"[^\w,.;!?|\n\u2022]*+(?:"
    rf"(?<!\w)(?P<words>{_WORD}(?: {_WORD})*+)"
    rf"|(?=[0-9LSHIVPTM])(?P<size>{SIZE})"
    r"|(?=[0-9])(?:"
    rf"(?P<quantity>{QUANTITY})"
    r"|(?P<threepeak>(?<![\w+&/-])3-?(?i:PMSF)(?!\w))"
    rf"|(?P<service>(?<![\w/.,+]){SERVICE})"
    rf"|(?P<number>(?<!\w){_PLAIN}(?: ?/ ?{_PLAIN})?(?![\w/])))"
    r"|(?P<snowmark>(?<![\w+&/-])(?:M ?[+&] ?S|M/S)(?![\w+&/-]))"
    r"|(?P<terrain>(?<![\w+&/-])[AM]/T(?![\w+&/-]))"
    r"|(?P<lr>(?<![\w+&/-])LR[ -]?[B-HJ-N](?![\w+&/-]))"
    rf"|(?<!\w)(?P<capital>{LETTER}++)(?![0-9_])"
    r"|(?P<stop>[.;!?|\n\u2022]+)"
    r"|(?P<comma>,)"
    r"|(?P<filler>\w+))"
)


@cache
def _token_pattern() -> re.Pattern[str]:
    """Compiled on first use: a listing without texts should not wait for it."""
    return re.compile(_TOKEN)


@cache
def _quantity_pattern() -> re.Pattern[str]:
    return re.compile(rf"({NUMBER})(?: ?/ ?({NUMBER}))?( ?\+)?[ -]?([A-Za-z/]+)")


_LETTER_ALLOWED = re.compile(r"LT|ST|.*[0-9.](?:LT|[xX×])")
_LT_LETTER = re.compile(LT_LETTER)
_GROUPED = re.compile(r"[0-9]{1,3}(?:[,.' \u00a0\u202f][0-9]{3})+")
_NEXT_WORD = re.compile(r"([^\w]*)(\w+)")
_KIND_IN_SMALL = {word: kind for word, kind in KIND_OF_WORD.items() if kind != "xl"}  # "xl" is a marking in capitals
_BEFORE_DOT = frozenset({"max", "approx", "li"})


def tokens_of(text: str) -> list[Token]:
    """The tokens of a text in order; a run of filler is one token.  Linear in the length of the text."""
    tokens: list[Token] = []
    last = ""
    kind_of = _KIND_IN_SMALL.get
    for found in _token_pattern().finditer(text):
        if found.lastindex == 1:
            start = found.start(1)
            for word in found[1].split(" "):
                end = start + len(word)
                kind = kind_of(word, "filler")
                if kind != "filler" or last != "filler":
                    tokens.append(Token(kind, start, end, word))
                    last = kind
                start = end + 1
            continue
        kind = found.lastgroup or "filler"
        start, end = found.span(found.lastindex or 0)
        word = text[start:end]
        if kind == "capital":
            kind = KIND_OF_WORD.get(word.lower(), "filler")
            if kind == "filler" and word in SINGLE_LETTERS:
                kind = "letter"
            elif kind == "xl" and word != "XL":
                kind = "filler"
        elif kind == "threepeak":
            kind = "snowmark"
        elif kind == "terrain":
            kind = "terrain-letters"
        if kind == "filler" and last == "filler":
            continue
        if kind == "stop" and word == "." and _is_abbreviation(tokens, start, text):
            continue
        token = Token(kind, start, end, word)
        if kind == "quantity":
            _read_quantity(token)
            if _is_range(tokens, start, text):
                token.role = "range"
        elif kind == "size":
            _take_load_range_letter(token, text)
            token.text = token.text.rstrip(" ,")
        tokens.append(token)
        last = kind
    return tokens


def _is_abbreviation(tokens: list[Token], start: int, text: str) -> bool:
    """Whether a dot ends no sentence: "max. load", "2,205 lbs. (1,000 kg)", "2,778 lbs. dual"."""
    if not tokens or tokens[-1].end != start or start + 1 >= len(text):
        return False
    if tokens[-1].kind != "quantity":
        return tokens[-1].text.lower() in _BEFORE_DOT
    follows = _NEXT_WORD.match(text, start + 1)
    return follows is None or "(" in follows[1] or "/" in follows[1] or follows[2] in KIND_OF_WORD


def _read_quantity(token: Token) -> None:
    found = _quantity_pattern().match(token.text)
    if found is None:  # cannot be: the token was cut by the same shape
        token.kind = "filler"
        return
    token.unit = UNITS.get(found.group(4).lower(), "")
    token.value, token.half_step = number_of(found.group(1))
    token.length = found.end(1)
    token.second = None if found.group(2) is None else number_of(found.group(2))[0]
    token.second_at = found.start(2)
    token.second_length = found.end(2) - found.start(2)
    token.plus = found.group(3) is not None


def _is_range(tokens: list[Token], start: int, text: str) -> bool:
    """Whether a number and a dash stand directly before: "600-1,400 lb", "0-60 mph"."""
    if not tokens or tokens[-1].kind not in ("number", "quantity"):
        return False
    if len(tokens) > 1 and tokens[-2].kind == "index":
        return False  # "load index: 102 - 1,874 lb"
    return text[tokens[-1].end : start].strip() in ("-", "–", "—")


def number_of(text: str) -> tuple[float, float]:
    """The number and half of its last stated digit: `2,205` is 2205 and 0.5, `17.5` is 17.5 and 0.05."""
    if text.isdecimal():
        return float(text), 0.5
    decimals = decimals_of(text)
    if decimals == 0:
        return float("".join(c for c in text if c.isdigit())), 0.5
    return float(text.replace(",", ".")), 0.5 / 10**decimals


def decimals_of(text: str) -> int:
    """How many digits stand behind the decimal sign of a number: 0 for `2205` and `2,205`, 1 for `17,5`."""
    if text.isdecimal() or _GROUPED.fullmatch(text):
        return 0
    return len(text.replace(",", ".").partition(".")[2])


def _take_load_range_letter(token: Token, text: str) -> None:
    """ "LT245/75R16 120/116S E": a single letter after a light truck or trailer size is its load range."""
    if _LETTER_ALLOWED.match(token.text) and (found := _LT_LETTER.match(text, token.end)):
        token.end = found.end()
        token.text = text[token.start : token.end]
