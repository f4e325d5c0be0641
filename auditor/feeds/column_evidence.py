"""What a column's values say about what it holds, whatever its header says."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from functools import lru_cache
from operator import itemgetter

from auditor.marking import Unreadable, decode
from auditor.quantities import read_cell, readable_fields
from auditor.quantities.other_words import in_known_words

DISTINCT_TRIED = 300  # distinct values of a column that are looked at
_SIZE_LIKE = re.compile(r"\d.*[xX/R\-.]\s?\d")
_SIZE_WITHIN = re.compile(
    r"\d{2,3}[/x.]\d{2,3}\S*\s?Z?R?F?\s?\d{2}"
    r"|(?<![\d.,])\d{1,2}[.,]\d{1,2}\s?[-R]\s?\d{2}(?![\d,])"  # "2.75-18", "9.5R17.5"
    r"|(?<![\w.,])\d{2,3}\s?R\s?\d{2}(?:[.,]5)?C?(?![\w,])"  # "185R14C", "11R22.5"
)
_SERVICE = re.compile(
    r"\(?\d{2,3}(\s?/\s?\d{2,3})?\s?[A-HJ-NP-WY]\d?\)?"
    r"(\s?/\s?\d{2,3}\s?[A-HJ-NP-WY]\d?|\s+[A-Z]{1,2})?"  # a second one, of another speed, or a load range
)
_UTQG = re.compile(r"\d{2,4}\s*[-/ ,]?\s*(AA|A|B|C)\s*[-/ ,]?\s*[ABC]")
_NUMBER = re.compile(r"(?:max\.?|[~≤<])?\s*(\d[\d.,' \u00a0]*)\s*[^\d\s]{0,3}[^\d]{0,9}", re.IGNORECASE)
_SHORT = 24  # characters; a longer text is no number with a word beside it
_DIGITS = re.compile(r"\d{8}|\d{12,14}")


@dataclass(slots=True)
class Column:
    """A sampled column: its texts in record order, and how often each distinct non-blank text occurs."""

    position: int
    header: str
    cells: Sequence[str]
    counts: Counter[str] = field(default_factory=Counter)
    _usual: list[tuple[str, int]] = field(default_factory=list)

    def __post_init__(self) -> None:
        self.counts = Counter([text for cell in self.cells if (text := cell.strip())])
        by_text = sorted(self.counts.items())
        self._usual = sorted(by_text, key=itemgetter(1), reverse=True)[:DISTINCT_TRIED]

    @property
    def filled(self) -> int:
        """Number of cells that are not blank."""
        return sum(self.counts.values())

    def usual(self) -> list[tuple[str, int]]:
        """The most frequent distinct texts, in a fixed order."""
        return self._usual

    def share(self, test: Callable[[str], bool]) -> float:
        """Share of filled cells, among the most frequent texts, that pass; 0 for an empty column."""
        usual = self.usual()
        total = sum(count for _, count in usual)
        return sum(count for text, count in usual if test(text)) / total if total else 0.0

    def samples(self) -> tuple[str, ...]:
        """Three distinct texts, the first ones in the feed."""
        return tuple(list(self.counts)[:3])


@lru_cache(maxsize=1 << 14)
def decoded(text: str) -> object | None:
    """The marking that a text is, None where it is none or holds other words."""
    if len(text) > 60 or not _SIZE_LIKE.search(text):
        return None
    marking = decode(text)
    if isinstance(marking, Unreadable) or marking.unread:
        return None
    return marking


def is_marking(text: str) -> bool:
    """Size and service description in one text."""
    marking = decoded(text)
    return marking is not None and marking.service.load_index is not None  # type: ignore[attr-defined]


def is_size(text: str) -> bool:
    """A size designation, with or without a service description."""
    return decoded(text) is not None


def looks_like_size(text: str) -> bool:
    """Something with the shape of a size in it, however misspelled."""
    return _SIZE_LIKE.search(text) is not None


def is_service(text: str) -> bool:
    """A service description alone: "102H", "120/116S", "(98Y)", "155A8/152B"."""
    return _SERVICE.fullmatch(text) is not None


def is_gtin(text: str) -> bool:
    """A GTIN of 8, 12, 13 or 14 digits with the right check digit (GS1 General Specifications, 7.9)."""
    if not _DIGITS.fullmatch(text):
        return False
    weighted = sum(int(digit) * (3 if position % 2 else 1) for position, digit in enumerate(reversed(text)))
    return weighted % 10 == 0


def is_utqg(text: str) -> bool:
    """Treadwear, traction and temperature in one text: "500 A A"."""
    return _UTQG.fullmatch(text.strip().upper()) is not None


def holds_size(text: str) -> bool:
    """A longer text with a size somewhere in it, as titles have."""
    return len(text) > 16 and " " in text and _SIZE_WITHIN.search(text) is not None


@lru_cache(maxsize=1 << 15)
def readings(text: str, name: str, unit: str | None, decimal: str | None) -> tuple[tuple[str, object, str | None], ...]:
    """Field, value and unit of everything a cell says, read as field `name`; empty where it is unreadable."""
    if name not in readable_fields():
        return ()
    found = read_cell(text, name, unit=unit, decimal=decimal)
    return tuple((reading.field, reading.value, reading.unit) for reading in found.readings)


def readable_share(column: Column, name: str, decimal: str | None = None) -> float:
    """Share of filled cells that `name` can be read from; blanks such as "N/A" are set aside."""
    if name not in readable_fields():
        return 1.0
    good = bad = 0
    for text, count in column.usual():
        status = read_cell(text, name, decimal=decimal).status
        good += count if status == "read" else 0
        bad += count if status == "unreadable" else 0
    return good / (good + bad) if good + bad else 1.0


def fields_read(column: Column, name: str, unit: str | None, decimal: str | None) -> dict[str, float]:
    """Every field that the cells yield when read as `name`, with its share of the filled cells."""
    if name not in readable_fields():
        return {}
    shares: Counter[str] = Counter()
    usual = column.usual()
    for text, count in usual:
        found = readings(text, name, unit, decimal)
        for other in (found[0][0],) if len(found) == 1 else dict.fromkeys(reading[0] for reading in found):
            shares[other] += count
    total = sum(count for _, count in usual) or 1
    return {other: count / total for other, count in shares.items()}


def units_written(column: Column, name: str) -> dict[str, float]:
    """Units that the cells themselves carry, with their share of those that say anything."""
    shares: Counter[str] = Counter()
    usual = [(text, count) for text, count in column.usual() if not is_blank(text, name)]
    for text, count in usual:
        for unit in dict.fromkeys(reading[2] for reading in readings(text, name, None, None) if reading[2]):
            shares[unit] += count
    total = sum(count for _, count in usual) or 1
    return {unit: count / total for unit, count in shares.items()}


def numbers(column: Column, decimal: str | None = None) -> list[tuple[float, int]]:
    """Plain numbers among the frequent texts, with their counts; units and words around them are ignored."""
    found: list[tuple[float, int]] = []
    for text, count in column.usual():
        value = plain_number(text, decimal)
        if value is not None:
            found.append((value, count))
    return found


@lru_cache(maxsize=1 << 15)
def is_blank(text: str, name: str) -> bool:
    """Whether a cell says nothing of a field: "N/A", a dash."""
    return read_cell(text, name).status == "blank"


# Of two letters one of which is a no: tak, da, igen, evet; не, ні.
_YES_LETTERS, _NO_LETTERS = frozenset("yjosdtie+дт"), frozenset("nн-")
_FLAGS = frozenset(
    ["y", "n", "yes", "no", "ja", "nein", "oui", "non", "si", "sí", "s", "sì", "tak", "nie", "true", "false", "да",
     "нет"]
)  # fmt: skip


def of_flags(column: Column) -> bool:
    """Whether the cells are but yes and no."""
    said = {text.lower() for text in column.counts}
    if len(said) == 2 and said & _NO_LETTERS:
        return said <= _FLAGS | _YES_LETTERS | _NO_LETTERS
    return len(said) <= 2 and said <= _FLAGS


def uneven(column: Column, step: float = 2.0) -> float:
    """The share of the numbers that are no multiple of a step."""
    found = numbers(column)
    total = sum(count for _, count in found)
    return sum(count for value, count in found if value % step) / total if total else 0.0


def plain_number(text: str, decimal: str | None = None) -> float | None:
    """The number in a short text such as "850", "1.360,5" or "225 mm"; None where there is none or several."""
    match = _NUMBER.fullmatch(text.strip())
    if match is None and len(text) <= _SHORT and any(map(str.isdecimal, text)):
        match = _NUMBER.fullmatch(in_known_words(text.lower()).strip())  # "ca. 8,2 kg", "約6.4kg"
    if match is None:
        return None
    digits = re.sub(r"[' \u00a0]", "", match[1]).rstrip(".,")
    if decimal == ",":
        digits = digits.replace(".", "").replace(",", ".")
    elif decimal == ".":
        digits = digits.replace(",", "")
    elif re.fullmatch(r"\d{1,3}([.,]\d{3})+", digits):
        digits = re.sub(r"[.,]", "", digits)
    else:
        digits = digits.replace(",", ".")
    try:
        return float(digits)
    except ValueError:
        return None


def decimal_mark(column: Column) -> str | None:
    """The decimal mark that the column's numbers show, None where they show none or both."""
    comma = point = 0
    for text, count in column.usual():
        if len(text) > 24 or ("," not in text and "." not in text):
            continue
        match = re.search(r"\d+(?:[.,]\d+)+", text)
        if not match or re.search(r"\d\.\d+\.|/|x|-", text):
            continue
        number = match[0]
        last = max(number.rfind(","), number.rfind("."))
        mixed = "," in number and "." in number
        if mixed or len(number) - last - 1 != 3:
            comma += count if number[last] == "," else 0
            point += count if number[last] == "." else 0
    if comma > 4 * point:
        return ","
    return "." if point > 4 * comma else None
