"""Cuts a title or sales text into the tokens that `auditor.claims` reads."""

from __future__ import annotations

import re
from dataclasses import dataclass

from auditor.claim_words import (
    KIND_OF_WORD,
    LETTERS,
    LT_LETTER,
    NUMBER,
    QUANTITY,
    SERVICE,
    SINGLE_LETTERS,
    SIZE,
    UNITS,
)


@dataclass(slots=True)
class Token:
    """A word, size, number or quantity with its place; `role` is what the reader found it to be."""

    kind: str
    start: int
    end: int
    text: str
    role: str = ""
    unit: str = ""
    value: float = 0.0
    second: float | None = None  # "1,380/1,260 kg"
    half_step: float = 0.0
    plus: bool = False  # "300+"


_TOKEN = re.compile(
    rf"(?P<size>{SIZE})"
    rf"|(?P<quantity>{QUANTITY})"
    r"|(?P<snowmark>(?<![\w+&/-])(?:3-?(?i:PMSF)(?!\w)|(?:M ?[+&] ?S|M/S)(?![\w+&/-])))"
    r"|(?P<lr>(?<![\w+&/-])LR[ -]?[B-HJ-N](?![\w+&/-]))"
    rf"|(?P<service>(?<![\w/.,+]){SERVICE})"
    r"|(?P<number>(?<!\w)\d++(?:[.,]\d+)*+(?: ?/ ?\d++(?:[.,]\d+)*+)?(?![\w/]))"
    rf"|(?P<word>(?<![\w])[{LETTERS}]++(?![\d_]))"
    r"|(?P<stop>[.;!?|\n\u2022]+)"
    r"|(?P<comma>,)"
    r"|(?P<filler>\w+)"
)
_LETTER_ALLOWED = re.compile(r"LT|ST|.*[0-9.](?:LT|[xX×])")
_LT_LETTER = re.compile(LT_LETTER)
_QUANTITY = re.compile(rf"({NUMBER})(?: ?/ ?({NUMBER}))?( ?\+)?[ -]?([A-Za-z/]+)")
_GROUPED = re.compile(r"\d{1,3}(?:[,.' \u00a0\u202f]\d{3})+")
_BEFORE_DOT = frozenset({"max", "lb", "lbs", "approx", "kg", "psi", "li", "mph"})


def tokens_of(text: str) -> list[Token]:
    """The tokens of a text in order; a run of filler is one token.  Linear in the length of the text."""
    tokens: list[Token] = []
    last = ""
    for found in _TOKEN.finditer(text):
        kind = found.lastgroup or "filler"
        if kind == "word":
            word = found.group()
            kind = KIND_OF_WORD.get(word.lower(), "filler")
            if kind == "filler" and word in SINGLE_LETTERS:
                kind = "letter"
            elif kind == "xl" and word != "XL":
                kind = "filler"
        if kind == "filler" and last == "filler":
            continue
        start, end = found.span()
        if kind == "stop" and text[start:end] == "." and _is_abbreviation(tokens, start, text):
            continue
        token = Token(kind, start, end, found.group())
        if kind == "quantity":
            _read_quantity(token, text)
        elif kind == "size":
            _take_load_range_letter(token, text)
            token.text = token.text.rstrip(" ,")
        tokens.append(token)
        last = kind
    return tokens


def _is_abbreviation(tokens: list[Token], start: int, text: str) -> bool:
    if not tokens or tokens[-1].end != start or start + 1 >= len(text):
        return False
    if tokens[-1].kind == "quantity" and text[start + 1 : start + 3].strip()[:1].isupper():
        return False  # "1,030 kg. Tested ..." ends a sentence
    before = tokens[-1]
    word = before.unit if before.kind == "quantity" else before.text.lower()
    return word in _BEFORE_DOT


def _read_quantity(token: Token, text: str) -> None:
    found = _QUANTITY.match(token.text)
    if found is None:  # cannot be: the token was cut by the same shape
        token.kind = "filler"
        return
    token.unit = UNITS.get(found.group(4).lower(), "")
    token.value, token.half_step = number_of(found.group(1))
    if found.group(2) is not None:
        token.second = number_of(found.group(2))[0]
    token.plus = found.group(3) is not None
    before = text[max(0, token.start - 2) : token.start].rstrip()
    if before[-1:] in ("-", "–", "—") and (before[:1].isdigit() or len(before) == 1):
        token.role = "range"  # "600-1,400 lb", "0-60 mph"


def number_of(text: str) -> tuple[float, float]:
    """The number and half of its last stated digit: `2,205` is 2205 and 0.5, `1.030` is 1030, `17.5` is 17.5 and 0.05."""
    if _GROUPED.fullmatch(text):
        return float("".join(c for c in text if c.isdigit())), 0.5
    plain = text.replace(",", ".")
    _, dot, decimals = plain.partition(".")
    return float(plain), 0.5 / 10 ** len(decimals) if dot else 0.5


def _take_load_range_letter(token: Token, text: str) -> None:
    """ "LT245/75R16 120/116S E": a single letter after a light truck or trailer size is its load range."""
    if _LETTER_ALLOWED.match(token.text) and (found := _LT_LETTER.match(text, token.end)):
        token.end = found.end()
        token.text = text[token.start : token.end]
