"""Columns whose values say more than their header: bare markings under a name of the goods, symbols under a speed.

Those with unknown headers get the place that their values leave no doubt about.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from dataclasses import replace
from functools import cache

from auditor.feeds import column_evidence
from auditor.feeds.column_evidence import Column
from auditor.feeds.model import ColumnUse
from auditor.mapping.header_evidence import FEW, speaks
from auditor.mapping.marking_agreement import CANDIDATES, agreement
from auditor.quantities import readable_fields
from auditor.quantities.other_words import with_latin_codes
from auditor.rulebook.header_likeness import speaks_of_other_business
from auditor.rulebook.header_words import fold
from auditor.rulebook.headers import read_header
from auditor.rulebook.listing_fields import Contract
from auditor.trade.codes import LOAD_VERSIONS
from auditor.trade.patterns import Pattern
from auditor.trade.tables import default_tables

CERTAIN = 0.7  # confidence from which on `audit` uses a column without a person's word
_SHORT = 2  # letters of a header that may stand for anything
_FIRST_OF_WORDS = "\u2e80"  # from here on letters are Chinese, Japanese and Korean
_FEW, _NEARLY_ALL = 3, 0.9
_SYMBOL = re.compile(r"\(?(?:A[1-8]|[B-HJ-NP-WY])\)?", re.IGNORECASE)
_HALF = 0.5
_FASTER_KMH = 60.0  # from here on a speed in mph is told from other small numbers
_SENTENCES = Pattern(r"(?:\w{4,}|[0-9]\w?)[.!?] +[^\W\d_]")  # the end of one, and another behind it
_HARDLY_ANY = 0.2
_LONGEST_TITLE, _MANY = 90, 10  # characters; cells
_SIZES = frozenset({"marking", "size", "title"})
_NUMBERS = frozenset({"sku", "part_number"})
_ARTICLE = re.compile(r"(?=.*\d{3})[A-Za-z0-9][A-Za-z0-9._/-]{3,19}")
_BESIDE_SIZES = frozenset(
    {"load_version", "ply_rating", "tire_class", "season", "description"}
)  # told only where there are sizes
_OF_WORDS = frozenset({"season", "description"})  # which a shop uses of its goods and stores as well
_SEASONS, _LEAST_LETTERS = 2, 2  # different ones; letters of a word, one of which is a whole one in Japanese
_VERSIONS = frozenset({*LOAD_VERSIONS, "RF", "C", "LT"})
_PLY_RATING = re.compile(r"[1-9]\d?\s?P\.?R\.?", re.IGNORECASE)
_TIRE_CLASS = re.compile(r"[Cc]\s?[123]")
_LEAST_PROSE, _LEAST_WORDS = 25, 4  # characters, words
_WHOLE_LABEL = "eu_label"  # the combined group of such columns
_OF_REMARKS = 0.15  # of the cells of a column of remarks speak of a figure of the tire
_OF_ANY_REMARKS = 0.01  # where no header says that the column is of other business
_FIGURES = re.compile(r"\d[\d.,/ ]*")
_NUMBERED = re.compile(r"[A-Za-z]{0,3}[-_]?[0-9]{2,4}")  # "F001"
_FIGURE = re.compile(r"\d\s?(?:kg|lbs?|km/?h|mph|psi|bar|kPa)(?!\w)", re.IGNORECASE)
_IN_PARTS = frozenset({"service_description", "load_index"})

_Uses = list[ColumnUse | None]


def is_symbol(text: str) -> bool:
    """A speed symbol alone, those of slow machines too."""
    return _SYMBOL.fullmatch(text.strip()) is not None


def has_no_header(column: Column) -> bool:
    """Whether the column is called by its place, for the feed has no headers, or by a number of a program's own."""
    return column.header == f"column {column.position + 1}" or _NUMBERED.fullmatch(column.header.strip()) is not None


def says_much(header: str) -> bool:
    """Whether a header is more than two letters, which may stand for anything."""
    return len(header.strip()) > _SHORT


def _is_written_in_words(header: str) -> bool:
    """Whether each letter of a header stands for a word or a syllable: 备注 and 비고 are as sure as "remarks"."""
    return bool(header) and min(header) >= _FIRST_OF_WORDS


def bears_out_letters(column: Column, group: str, contract: Contract, decimal: str | None) -> bool:
    """Whether the cells say themselves what a header of one or two letters stands for.

    One letter may be short for anything; two are a usual abbreviation, of which wrong cells are to be found.
    """
    header = fold(column.header)
    if len(header) > _SHORT or column.header in contract.fields:
        return True
    if group == "description" and _is_written_in_words(column.header.strip()):
        return True
    if not column.filled:
        return len(header) == _SHORT
    least = _NEARLY_ALL if len(header) < _SHORT else _HALF
    if group == "max_speed":  # under the letters of a speed symbol
        return column.share(_is_speed) >= least
    name = contract.groups.get(group, ("",))[0]
    said = column_evidence.fields_read(column, name, None, decimal)
    filled = column.share(lambda text: not column_evidence.is_blank(text, name)) if name in readable_fields() else 0.0
    if name in readable_fields() and said.get(name, 0.0) < least * filled:
        return False
    if group == "speed_symbol":  # A8 and D of slow machines as well
        return True
    if group == "aspect_ratio" and column_evidence.uneven(column, 5.0) >= _HALF:  # they go in fives
        return False
    return speaks(column, group, [""] * len(column.cells), decimal, contract)[0] >= least


def disagrees_with_markings(column: Column, use: ColumnUse, markings: Sequence[str], decimal: str | None) -> bool:
    """Whether the cells under a single letter are mostly not what the same records' markings say.

    Two letters are a usual abbreviation, and where all cells under them are wrong, that has to be found.
    """
    if len(fold(column.header)) > 1 or use.fields[0] not in CANDIDATES:
        return False
    share, judged = agreement(column, markings, use.fields[0], decimal)
    return judged >= FEW and share < _HALF


def _is_speed(text: str) -> bool:
    return column_evidence.plain_number(text) in _speeds()


@cache
def _speeds() -> frozenset[float]:
    """The speeds of the symbols in km/h, and in mph as they are printed."""
    kmh, mph = default_tables().speed_kmh, default_tables().speed_mph_printed
    return frozenset(kmh.values()) | {mph[symbol] for symbol, speed in kmh.items() if speed >= _FASTER_KMH}


def take_bare_markings(columns: Sequence[Column], uses: _Uses) -> None:
    """Takes a column of nothing but markings for them, whatever its header says, where no other column gives them."""
    held = {use.fields[0] for use in uses if use}
    for name, test, others in (
        ("marking", column_evidence.is_marking, {"marking"}),
        ("size", column_evidence.is_size, {"marking", "size"}),
    ):
        if others & held or ("size" in held and _IN_PARTS & held):
            continue
        bare = [
            (column.share(test), -column.position, use)
            for column, use in zip(columns, uses, strict=True)
            if use is not None and use.column.lower() != "title" and column.filled >= _FEW  # a title is read whole
        ]
        share, _, use = max(bare, key=lambda one: one[:2], default=(0.0, 0, None))
        if use is not None and share >= _NEARLY_ALL:
            uses[use.position] = replace(use, fields=(name,), unit=None, confidence=max(use.confidence, 0.9))
            held.add(name)
    described = [use for use in uses if use is not None and use.fields[0] == "description" and use.confidence < 1.0]
    titles = [use for use in described if _are_titles(columns[use.position])]
    if "title" not in held and len(titles) == 1:
        uses[titles[0].position] = replace(titles[0], fields=("title",))


def _are_titles(column: Column) -> bool:
    """Whether descriptions are but titles: short, nearly each with a size, and hardly two sentences."""
    return (
        column.filled >= _FEW
        and column.share(lambda text: len(text) <= _LONGEST_TITLE) >= _NEARLY_ALL
        and (column.share(column_evidence.holds_size) >= _NEARLY_ALL)
        and column.share(_holds_sentences) <= _HARDLY_ANY
    )


def _holds_sentences(text: str) -> bool:
    return _SENTENCES.search(text) is not None


def place_by_values(columns: Sequence[Column], uses: _Uses, contract: Contract) -> None:
    """Gives columns with unknown headers the place that their values leave no doubt about."""
    tests = (
        ("marking", column_evidence.is_marking, 0.9),
        ("size", column_evidence.is_size, 0.9),
        ("service_description", column_evidence.is_service, 0.9),
        ("utqg", column_evidence.is_utqg, 0.9),
        ("gtin", column_evidence.is_gtin, 0.95),
        ("title", lambda text: column_evidence.holds_size(text) and not _holds_sentences(text), 0.8),
        ("load_version", _is_version, 1.0),
        ("ply_rating", _counts_plies, 1.0),
        ("tire_class", is_tire_class, 1.0),
        ("season", _is_season, 0.95),
        ("description", _is_prose, 0.6),
        ("description", _speaks_of_tires, _OF_REMARKS),
    )
    taken = {use.fields[0] for use in uses if use and use.confidence >= CERTAIN}
    for name, test, least in tests:
        if name in taken or (name == "size" and "marking" in taken):
            continue
        if name in _BESIDE_SIZES and not _SIZES & taken:
            continue
        shares = [
            (_share_of_said(column, test), -column.position, column)
            for column in columns
            if uses[column.position] is None
            and column.filled
            and not (name in _OF_WORDS and speaks_of_other_business(column.header, contract))
            and not (name == "season" and len(column.counts) < _SEASONS)
            and not (name == "load_version" and not _tells_versions(column))
            and not (name == "description" and _says_else(column.header, contract))
        ]
        share, _, column = max(shares, default=(0.0, 0, None), key=lambda item: item[:2])
        if column is not None and test is _speaks_of_tires and has_no_header(column):
            least = _OF_ANY_REMARKS
        if column is not None and share >= least and (name != "description" or _OF_PROSE[test](column)):
            uses[column.position] = _placed(column, name, 0.85 if column.filled >= 5 else 0.6)
            taken.add(name)
    _place_labels(columns, uses, taken, contract)
    if columns and not _NUMBERS & taken and uses[0] is None and _SIZES & taken and _numbers_articles(columns[0]):
        uses[0] = _placed(columns[0], "sku", 0.85)


def _says_else(header: str, contract: Contract) -> bool:
    """Whether a header is known to stand for something else than a text."""
    reading = read_header(header, contract)
    return reading.confidence >= CERTAIN and "description" not in reading.groups and bool(reading.groups)


def _place_labels(columns: Sequence[Column], uses: _Uses, taken: set[str], contract: Contract) -> None:
    """Whole labels in one cell under any header: "C/A/70 dB/B"."""
    fields = contract.combined[_WHOLE_LABEL]
    if taken & set(fields):
        return
    free = [column for column in columns if uses[column.position] is None and column.filled >= _FEW]
    for column in free:
        if _share_of_said(column, _is_whole_label) >= _NEARLY_ALL:
            uses[column.position] = replace(_placed(column, fields[0], 0.85), fields=fields)
            return


def _share_of_said(column: Column, test: Callable[[str], bool]) -> float:
    """The share of the cells that pass, dashes and the like set aside."""
    said = column.share(lambda text: not column_evidence.is_blank(text, "load_version"))
    return min(column.share(test) / said, 1.0) if said else 0.0


def _placed(column: Column, name: str, confidence: float) -> ColumnUse:
    return ColumnUse(column.header, column.position, (name,), None, None, {}, confidence, column.samples())


def _counts_plies(text: str) -> bool:
    """Whether a cell is a ply rating by its letters: "8PR"."""
    return _PLY_RATING.fullmatch(text.strip()) is not None


def _is_version(text: str) -> bool:
    """A load version, or C and LT, which stand in the same column of many a feed."""
    return with_latin_codes(text.upper()) in _VERSIONS


def _tells_versions(column: Column) -> bool:
    """Whether a column of such codes is none of load ranges, of which C is one as well."""
    return any(text.upper() in LOAD_VERSIONS for text in column.counts)


def _is_season(text: str) -> bool:
    """Whether a cell is a word for a season, and no letter that it may be short for."""
    if text.isascii() and len(text) <= _LEAST_LETTERS:
        return False
    found = column_evidence.readings(text, "season", None, None)
    return len(found) == 1 and found[0][0] == "season"


def is_tire_class(text: str) -> bool:
    """One of the classes of a regulation: C1, C2, C3."""
    return _TIRE_CLASS.fullmatch(text) is not None


def _is_prose(text: str) -> bool:
    """Whether a cell is a sentence or more: words, and no address."""
    return len(text) >= _LEAST_PROSE and len(text.split()) >= _LEAST_WORDS and "://" not in text


def _is_whole_label(text: str) -> bool:
    """Whether a cell says classes of fuel and wet grip, and the noise."""
    return len(column_evidence.readings(text, "fuel_class", None, None)) > 2


def _speaks_of_tires(text: str) -> bool:
    """Whether a cell is words with a figure of a tire among them: "IC 94 = 710 kg par pneu"."""
    return len(text.split()) >= _LEAST_WORDS and "://" not in text and _FIGURE.search(text) is not None


def _differ(column: Column) -> bool:
    """Whether the texts are of the tires and no notice that all of them have."""
    return column.filled >= _MANY and len(column.counts) >= _HALF * column.filled


def _is_worded(column: Column) -> bool:
    """Whether texts differ in more than their figures: "230 kg por pneu" is a column of loads."""
    templates = {_FIGURES.sub("#", text) for text in column.counts}
    return len(templates) >= max(_FEW, _HALF * len(column.counts))


_OF_PROSE: dict[Callable[[str], bool], Callable[[Column], bool]] = {_is_prose: _differ, _speaks_of_tires: _is_worded}


def _numbers_articles(column: Column) -> bool:
    """Whether the first column can but number articles: each cell another, and of digits."""
    each = len(column.counts) == column.filled == len(column.cells) >= _MANY
    return (
        each
        and (len(fold(column.header)) <= 1 or has_no_header(column))
        and column.share(lambda text: _ARTICLE.fullmatch(text) is not None) == 1.0
    )
