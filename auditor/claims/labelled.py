"""Labelled values in sales texts: "Load capacity: 615 kg", "<td>Wet grip</td><td>B</td>", "Pressure (psi) - 65".

A label means what a header of that name means (`auditor.rulebook.headers`), and a value what a cell below it would
(`auditor.quantities`), so that texts know every word and form that feeds do.  A line counts where all of it is read;
what is left is read as prose.  A text that says two things of one field lists what there is, and is left as it is.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Container, Sequence
from functools import lru_cache
from typing import NamedTuple

from auditor.claims.sentences import Claim
from auditor.claims.terms.words import SIZE, marked
from auditor.claims.values.look import ASPECTS, RIMS
from auditor.quantities import read_cell
from auditor.rulebook.built_in import load_contract
from auditor.rulebook.header_words import fold
from auditor.rulebook.headers import known_header, read_header
from auditor.trade.patterns import Pattern

# These are read by Python and by RE2 alike.
_DASHES, _ARROW = "\\-\u2013\u2014", "\u2192"
MAY_HOLD = f"[:=\t{_ARROW}]|->| [{_DASHES}] "
# What lines end with, the end of a sentence among it, for a line break to take its place.
ENDS_OF_LINES = (
    ("[\n\r\u2022\u00b7\u25aa\u25ba\u25cf;|]+", "\n"),
    (r"([0-9)%]|kg|km/h|mph|lbs?|psi|kPa|bar|mm|dB| [A-Z]|[A-Za-z]{4})\. +", "\\1\n"),
)
LINE = (
    f"^[ *\u2713\u2714{_DASHES}]{{0,4}}(?P<label>[^ \t:=,.(][^:=\t]{{0,48}}?)[ \t]*(?::|=|->|\t|{_ARROW}| [{_DASHES}] )"
    "[ \t]*(?P<value>[^ \t?][^?]{0,79}?)[ \t.,]*$"
)
_MAY_HOLD, _LINE = Pattern(MAY_HOLD), Pattern(LINE)
_ENDS = tuple((Pattern(pattern), instead) for pattern, instead in ENDS_OF_LINES)
_COMMA = Pattern(r",[ \t]+| / ")
_SERVICE = Pattern(r"(\d{2,3})(?:/(\d{2,3}))?[ /,-]{0,3}\(?([A-HJ-NP-WY]|A[1-8])\)?")
# What stands under a label that nobody knows, and is no load or speed: "Section height: 113 mm", "DOT: 0124".
FIGURES = '^[0-9][0-9.,/x -]{0,20}(?:mm|cm|in|inch|inches|zoll|pouces?|pulgadas?|pollici|cali|%|"|\u2033)?[.]?$'
_FIGURES = Pattern(FIGURES, re.IGNORECASE)
# Words of labels of weights, sizes and speeds that are none of the tire's.
_NOT_OF_TIRES = frozenset({"package", "packaging", "shipping", "axle", "pair", "vehicle"})
_MOST_WORDS, _SURE = 5, 0.9  # of a label; of a header
_FLAGS = frozenset({"mud_and_snow", "severe_snow"})
# What texts claim of a tire by a label.
_CLAIMED = frozenset(
    {"load_index", "load_index_dual", "speed_symbol", "service_description", "load_range", "ply_rating",
     "load_range_ply", "load_version", "construction", "rim_diameter", "overall_diameter", "max_load", "max_load_dual",
     "max_speed", "max_pressure", "tread_depth", "treadwear", "traction", "temperature", "utqg", "season",
     "mud_and_snow", "severe_snow", "fuel_class", "wet_grip_class", "noise_db", "noise_class", "eu_label", "size",
     "marking", "section_width", "generic_width", "generic_diameter", "aspect_ratio"}
)  # fmt: skip
# What stands under these labels is nothing that a text claims.
_OF_OTHERS = frozenset(
    {"brand", "model", "sku", "part_number", "gtin", "tire_weight", "revs", "measuring_rim", "rim_width_min",
     "rim_width_max", "rim_width_range", "measured_width"}
)  # fmt: skip
_LIKELY = 0.4  # of an unknown label: what it may name is left to the frames of prose
_INFLATION = "max_pressure"  # what a tire is filled to is no maximum


class Label(NamedTuple):
    """What a label names: a group of fields; "" for nothing that is known, and the unit where the label gives one."""

    group: str
    fields: tuple[str, ...] = ()
    unit: str | None = None

    @property
    def is_claimed(self) -> bool:
        """Whether what stands under it is claimed of the tire; else nothing is, and prose is not to read it."""
        return bool(self.fields)


@lru_cache(maxsize=8_192)
def label_of(text: str) -> Label | None:
    """What a label names; None for what is to be read as prose."""
    if text.count(" ") >= _MOST_WORDS:
        return None
    contract, words = load_contract(), fold(text).split()
    reading = known_header(text, contract)
    if reading is None or not _NOT_OF_TIRES.isdisjoint(words):
        return Label("")
    if len(reading.groups) != 1 or reading.confidence < _SURE:
        return None
    group = reading.groups[0]
    if group in _OF_OTHERS:
        return Label(group)
    concepts = {contract.concepts.get(word) for word in words}
    if group not in _CLAIMED or concepts >= {"single", "dual"}:
        return None  # in which order loads stand, `auditor.claims.terms.mountings` tells
    if group == _INFLATION and "max" not in concepts and not any(word.startswith(("max", "hochst")) for word in words):
        return None
    fields = contract.combined[group][:1] if group in contract.combined else contract.groups.get(group, (group,))
    return Label(group, fields, reading.units[0] if len(reading.units) == 1 else None)


@lru_cache(maxsize=8_192)
def may_be_claimed(label: str) -> bool:
    """Whether an unknown label may name something that texts claim."""
    likely = read_header(label, load_contract()).likely
    return any(score >= _LIKELY and group in _CLAIMED for group, score in likely)


def labelled_values(text: str) -> tuple[str, tuple[Claim, ...]]:
    """A text without HTML as what is left of it beside its labelled values, and what these claim."""
    if _MAY_HOLD.search(text) is None:
        return text, ()
    whole = text
    for pattern, instead in _ENDS:
        text = pattern.sub(instead, text)
    lines = text.split("\n")
    read = [claims_of_line(line) for line in lines]
    several = _said_differently([claim for claims in read if claims for claim in claims])
    if several:
        read = [None if claims and not several.isdisjoint(one.field for one in claims) else claims for claims in read]
    if all(claims is None for claims in read):
        return whole, ()
    rest = "\n".join(line if claims is None else "" for line, claims in zip(lines, read, strict=True))
    return rest, tuple(claim for claims in read if claims for claim in claims)


def _said_differently(claims: Sequence[Claim]) -> set[str]:
    """The fields of which several things are said."""
    said: dict[str, tuple[float | str, bool]] = {}
    several = set()
    for claim in claims:
        what = claim.value, claim.denied
        if said.setdefault(claim.field, what) != what:
            several.add(claim.field)
    return several


def claims_of_line(line: str) -> tuple[Claim, ...] | None:
    """What a line of labelled values claims, which may be nothing; None for a line of prose."""
    found = _LINE.match(line)
    if found is None or (label := label_of(found["label"])) is None:
        return None
    if label.is_claimed and (_LINE.match(found["value"]) or _COMMA.search(found["value"])):
        several = [_claims_of_part(part) for part in _COMMA.sub("\n", line).split("\n")]
        if len(several) > 1 and all(claims is not None for claims in several):
            return tuple(claim for claims in several if claims for claim in claims)
    return _claims(found["label"], found["value"], label)


def _claims_of_part(part: str) -> tuple[Claim, ...] | None:
    """What one of several labelled values of a line claims."""
    found = _LINE.match(part)
    label = label_of(found["label"]) if found is not None else None
    if found is None or label is None or _LINE.match(found["value"]):
        return None
    return _claims(found["label"], found["value"], label)


def _claims(name: str, value: str, label: Label) -> tuple[Claim, ...] | None:
    """What a value claims under a label; None where it is not read."""
    words = f"{name}: {value}"
    if not label.is_claimed:
        says_nothing = label.group or (_FIGURES.match(value) and not may_be_claimed(name))
        return () if says_nothing else None
    if label.group in _PARTS:
        return _PARTS[label.group](value, words)
    read = read_cell(value, label.fields[0], unit=label.unit)
    if read.status != "read":
        return None
    if len(label.fields) > 1:  # kilograms and pounds are two fields
        units = {one.unit or label.unit for one in read.readings}
        field = _field_in(label.fields, units)
        if field is None:
            return None
        read = read_cell(value, field, unit=label.unit)
    claims = []
    for one in read.readings:
        if one.field in _FLAGS:
            claims.append(Claim(one.field, 1.0, words, denied=one.value == "no"))
        elif one.field != "load_version" or one.unit != "RF":  # run-flat or reinforced
            claims.append(Claim(one.field, one.value, words, one.half_step, one.open_ended))
    return tuple(claims)


def _field_in(fields: Sequence[str], units: set[str | None]) -> str | None:
    """The first field in the unit of a value, or the first of all where no field is in it; None without a unit."""
    if None in units:
        return None
    specs = load_contract().fields
    return next((field for field in fields if specs[field].unit in units), fields[0])


def _service(value: str, words: str) -> tuple[Claim, ...] | None:
    found = _SERVICE.fullmatch(value)
    if found is None:
        return None
    index, dual, symbol = found.groups()
    return (Claim("service_description", f"{index}/{dual}{symbol}" if dual else index + symbol, words),)


def _size(value: str, words: str) -> tuple[Claim, ...] | None:
    whole = marked(value).strip()
    return (Claim("marking", whole, words),) if SIZE.fullmatch(whole) else None


_PARTS_OF_SIZES = Pattern(r"(?P<number>[0-9]{2,3})(?:[.,]0)? ?(?P<unit>[^\W\d]{2,8}|[%\"\u2033])?")


def _part(field: str, one_of: Container[float], unit: str) -> Callable[[str, str], tuple[Claim, ...] | None]:
    """A reader of a part of the size, in a unit or without one."""

    def read(value: str, words: str) -> tuple[Claim, ...] | None:
        found = _PARTS_OF_SIZES.fullmatch(value)
        if found is None or (found["unit"] and load_contract().units.get(fold(found["unit"])) != unit):
            return None
        number = float(found["number"])
        return (Claim(field, number, words, 0.5),) if number in one_of else None

    return read


_WIDTHS_MM = frozenset(map(float, range(105, 1000, 5)))
_PARTS: dict[str, Callable[[str, str], tuple[Claim, ...] | None]] = {
    "service_description": _service,
    "size": _size,
    "marking": _size,
    "section_width": _part("section_width_mm", _WIDTHS_MM, "mm"),
    "generic_width": _part("section_width_mm", _WIDTHS_MM, "mm"),
    "aspect_ratio": _part("aspect_ratio", ASPECTS, "%"),
    "generic_diameter": _part("rim_diameter_in", RIMS, "in"),
}
