"""Labelled values in sales texts: "Load capacity: 615 kg", "<td>Wet grip</td><td>B</td>", "Pressure (psi) - 65".

A label means what a header of that name means (`auditor.rulebook.headers`), and a value what a cell below it would
(`auditor.quantities`), so that texts know every word and form that feeds do.  A line counts where all of it is read;
what is left is read as prose.  A text that says two things of one field lists what there is, and is left as it is.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Container, Iterator, Sequence
from functools import lru_cache
from itertools import pairwise

from auditor.claims.labels import (
    ANSWERED,
    AROUND,
    BOTH,
    FLAGS,
    INFLATION,
    ON,
    RUN_FLAT,
    SEASON,
    SEVERAL,
    Label,
    is_label,
    label_of,
    may_be_claimed,
    parts_of,
)
from auditor.claims.sentences import Claim
from auditor.claims.terms.words import SIZE, marked
from auditor.claims.values.look import ASPECTS, RIMS
from auditor.quantities import Reading, read_cell
from auditor.rulebook.built_in import load_contract
from auditor.rulebook.header_words import fold
from auditor.trade.patterns import Pattern

_Claims = tuple[Claim, ...]
# These are read by Python and by RE2 alike.
_DASHES, _ARROW = "\\-\u2013\u2014", "\u2192"
_ANSWER = "(?i:no|nein|non|nee|nie|yes|ja|oui|si|tak)"
_NAME = "([^:=\n/]{1,24})"
MAY_HOLD = f"[:=|\t\n{_ARROW}]|->| [{_DASHES}] | \\(?{_ANSWER}\\)?[ .,]{{0,5}}$"
TITLE_MAY_HOLD = "[:=]"  # dashes stand between the parts of any title
# What lines end with, for a line break to take its place; what is not read stays one sentence (`labels.ON`).
ENDS_OF_LINES = (
    (r"\b([A-G]) *\| *([A-G]) *\| *([0-9ABC])", r"\1/\2/\3"),  # the three of an EU label
    ("[\n\r\u2022\u00b7\u25aa\u25ba\u25cf;]+", "\n"),
    # "LI / SI : 91 / V" is one label.
    (f"(?m)^{_NAME} / {_NAME} / {_NAME}( ?[:=])", r"\1/\2/\3\4"),
    (f"(?m)^{_NAME} / {_NAME}( ?[:=])", r"\1/\2\3"),
    (r"\|", f"\n{ON}|"),
    # What stands before a label.
    (
        f"(,| /| [{_DASHES}]| ) {{1,9}}([^ \t\n:=,.|/{_DASHES}](?:[^:=,()/ \n]| [^/{_DASHES} (\n]|/[^ ]){{0,40}}"
        r"(?: ?\([^()\n]{1,20}\))? ?[:=])",
        f"\n{ON}\\1 \\2",
    ),
    (
        f"([0-9)%]|kg|km/h|mph|lbs?|psi|kPa|bar|mm|dB| [A-Z]|: {_ANSWER}|[A-Za-z]{{4}})\\. +",
        "\\1.\n",
    ),
)
LINE = (
    f'^[ *\u2713\u2714|,/{{"\'{ON}{_DASHES}]{{0,5}}(?P<label>[^ \t:=,.("\'][^:=\t"]{{0,48}}?)["\']?[ \t]{{0,9}}'
    f"(?:(?::|=|->|\t|{_ARROW}| [{_DASHES}] )[ \t]{{0,9}}(?P<value>[^ \t?:][^?:]{{0,79}}?)"
    f"| {{1,9}}\\(?(?P<flag>{_ANSWER})\\)?)[ \t.,}}]{{0,9}}$"  # "3PMSF no", "M+S (no)"
)
GOES_ON = f"{ON},"
BETWEEN_CELLS = " : "  # of a table, as `words.HTML_STEPS` leave it
ROW_OF_NAMES = f"^ {{0,9}}[^0-9:\\n]{{2,40}}(?:{BETWEEN_CELLS}[^0-9:\\n]{{2,40}})+ {{0,9}}$"
_ROW_OF_NAMES = Pattern(ROW_OF_NAMES)
_MAY_HOLD, _TITLE_MAY_HOLD, _LINE = Pattern(MAY_HOLD), Pattern(TITLE_MAY_HOLD), Pattern(LINE)
_ENDS = tuple((Pattern(pattern), instead) for pattern, instead in ENDS_OF_LINES)
_SERVICE = Pattern(r"(\d{2,3})(?:/(\d{2,3}))?[ /,-]{0,3}\(?([A-HJ-NP-WY]|A[1-8])(?![A-Za-z0-9])\)?")
_MEANING = Pattern(r"[0-9][0-9.,/]*\s?(?:kg|lbs?|km/h|mph)")
# What says nothing under a label that nobody knows, for it is no load or speed: "Section height: 113 mm", "DOT: 0124".
FIGURES = '^[0-9][0-9.,x -]{0,20}(?:mm|cm|in|inch|inches|zoll|pouces?|pulgadas?|pollici|cali|%|"|\u2033)?[.]?$'
SIZED = "[0-9]/[0-9]{2}"  # says something under any label: "Article: 235/50R19"
_SIZED, _FIGURES = Pattern(SIZED), Pattern(FIGURES, re.IGNORECASE)
_QUOTES = frozenset("\"'")  # of nested data
_LONGEST = 200  # characters of a line
# What prose would take for a symbol or a load range, though its label says otherwise: "Season: S".
_LETTERS = 2
_OF_LETTERS = frozenset({"season", "construction", "fuel_class", "wet_grip_class", "noise_class", "traction"})
_OF_LOADS = frozenset({"max_load", "max_load_dual"})
_AT = Pattern(r"\s+(?:@|at|bei|[\u00e0a]|bij|przy)\s+(?=[0-9.,]+\s*(?:psi|kpa|bar)\b)", re.IGNORECASE)  # a pressure
_CONDITION = Pattern(r"@|\b(?:at|bei|[\u00e0a]|bij|przy)\b", re.IGNORECASE)
_REMARK = Pattern(r"\s*[(\[][^()\[\]]{1,12}[)\]]\s*$")  # in brackets, behind a value
_PRESSURE = Label(INFLATION, ("max_pressure_kpa", "max_pressure_psi", "max_pressure_bar"))


def labelled_values(text: str, *, title: bool = False) -> tuple[str, _Claims]:
    """A text without HTML as what is left of it beside its labelled values, and what these claim."""
    if (_TITLE_MAY_HOLD if title else _MAY_HOLD).search(text) is None:
        return text, ()
    whole = text
    for pattern, instead in _ENDS:
        text = pattern.sub(instead, text)
    lines = text.split("\n")
    read: list[_Claims | None] = []
    told = True
    for line in lines:  # what goes on behind a comma is of what the line is of: "Car, top speed: 250 km/h"
        told = (told or not line.startswith(GOES_ON)) and is_labelled(line)
        read.append(claims_of_line(line) if told else None)
    for first, second, claims in [*_in_tables(lines, read), *_on_two_lines(lines, read)]:
        read[first], read[second] = (), claims
    several = _said_differently([claim for claims in read if claims for claim in claims])
    if several:
        read = [None if claims and not several.isdisjoint(one.field for one in claims) else claims for claims in read]
    if all(claims is None for claims in read):
        return whole, ()
    rest = "\n".join(line if claims is None else "" for line, claims in zip(lines, read, strict=True))
    rest = rest.replace(f"\n{ON}", "")
    return rest, tuple(claim for claims in read if claims for claim in claims)


def _in_tables(lines: Sequence[str], read: Sequence[_Claims | None]) -> Iterator[tuple[int, int, _Claims]]:
    """Where tables of one tire have their row of names, where its values are, and what these claim."""
    filled = [at for at, line in enumerate(lines) if line.strip()]
    for place, first in enumerate(filled[:-1]):
        if _ROW_OF_NAMES.match(lines[first]) is None or read[first] is not None:
            continue
        rows = [lines[at].split(BETWEEN_CELLS) for at in filled[place : place + 3]]
        names, values = rows[0], rows[1]
        alike = [len(row) == len(names) for row in rows[1:]]
        if not alike[0] or any(alike[1:]):  # a table of several tires
            continue
        cells = [claims_of_line(f"{name.strip()}: {value.strip()}") for name, value in zip(names, values, strict=True)]
        claims = tuple(claim for found in cells if found for claim in found)
        if claims:
            yield first, filled[place + 1], claims


def _on_two_lines(lines: Sequence[str], read: Sequence[_Claims | None]) -> Iterator[tuple[int, int, _Claims]]:
    """Where labels are lines of their own, where their values are, which is the next line, and what these claim."""
    filled = [at for at, line in enumerate(lines) if line.strip()]
    taken = -1
    for first, second in pairwise(filled):
        if first == taken or read[first] is not None or read[second] is not None or not is_label(lines[first]):
            continue
        claims = claims_of_line(f"{lines[first].strip(AROUND)}: {lines[second].strip(AROUND)}")
        if claims is not None:
            taken = second
            yield first, second, claims


def _said_differently(claims: Sequence[Claim]) -> set[str]:
    """The fields of which several things are said."""
    said: dict[str, tuple[float | str, bool]] = {}
    several = set()
    for claim in claims:
        what = claim.value, claim.denied
        if said.setdefault(claim.field, what) != what:
            several.add(claim.field)
    return several


def is_labelled(line: str) -> bool:
    """Whether a line has the form of a label and its value, known or not."""
    return len(line) <= _LONGEST and _LINE.match(line) is not None


def claims_of_line(line: str) -> _Claims | None:
    """What a line of labelled values claims, which may be nothing; None for a line of prose."""
    return _claims_kept(line) if len(line) <= _LONGEST else None  # none that matches is longer


@lru_cache(maxsize=16_384)  # lines come again
def _claims_kept(line: str) -> _Claims | None:
    found = _LINE.match(line)
    if found is None or (label := label_of(found["label"])) is None:
        return None
    if found["flag"]:
        return _claims(found["label"], found["flag"], label) if label.group in ANSWERED else None
    return _claims(found["label"], found["value"], label)


def _claims(name: str, value: str, label: Label) -> _Claims | None:
    """What a value claims under a label; None where it is not read."""
    words = f"{name}: {value}"
    if not label.is_claimed:
        if _SIZED.search(value):
            return None
        says_nothing = label.group or (_FIGURES.match(value) and not may_be_claimed(name))
        return () if says_nothing else None
    if value[0] in _QUOTES and value[-1] == value[0]:
        value = value[1:-1]
    if label.group == SEVERAL or (label.group == BOTH and "/" in value):
        return _one_by_one(name, value)
    if label.group in (SEASON, RUN_FLAT, BOTH):
        return _answers(value, label, words)
    if label.group in _PARTS:
        return _PARTS[label.group](value, words)
    if label.group == "max_speed" and "=" in value:
        return None  # "Speed: K = 68 mph" says what a symbol is
    if label.group in _OF_LOADS and _CONDITION.search(value):
        at = _AT.search(value)
        if at is None:
            return None
        load = _claims(name, value[: at.start()], label)
        pressure = _claims(name, value[at.end() :], _PRESSURE) if load else None
        return (*load, *pressure) if load and pressure else None
    read = _read(value, label)
    if read is None and (bare := _REMARK.sub("", value)) not in ("", value):
        read = _read(bare, label)
    if read is None:
        return () if len(value) <= _LETTERS and label.group in _OF_LETTERS else None  # a code of another's
    if label.group in FLAGS and any(one.field != label.fields[0] for one in read):
        return None  # "M+S: 3PMSF" lists both
    claims: list[Claim] = []
    for one in _first_of_each(read):
        if one.field in FLAGS:
            claims.append(Claim(one.field, 1.0, words, denied=one.value == "no"))
        elif one.field != "load_version" or one.unit != "RF":  # run-flat or reinforced
            claims.append(Claim(one.field, one.value, words, one.half_step, one.open_ended))
    return tuple(claims)


def _one_by_one(name: str, value: str) -> _Claims | None:
    """What values claim that stand in the order of their labels: "LI / max. load: 91 / 615 kg"."""
    names, values = parts_of(name), parts_of(value)
    if len(names) != len(values):
        return None
    found = [claims_of_line(f"{one.strip()}: {cell.strip()}") for one, cell in zip(names, values, strict=True)]
    return None if None in found else tuple(claim for claims in found if claims for claim in claims)


def _first_of_each(read: Sequence[Reading]) -> Iterator[Reading]:
    """The readings of a cell, the first of each field; a second load index is that of dual mounting."""
    met: set[str] = set()
    for one in read:
        if one.field == "load_index" and one.field in met:
            one = one._replace(field="load_index_dual")
        if one.field not in met:
            met.add(one.field)
            yield one


def _answers(value: str, label: Label, words: str) -> _Claims | None:
    """What yes or no claims, in any language."""
    read = read_cell(value, "severe_snow").readings
    if not read or read[0].field != "severe_snow":
        return None
    denied = read[0].value == "no"
    if label.group == SEASON:
        return () if denied else (Claim("season", label.fields[0], words),)
    return tuple(Claim(field, 1.0, words, denied=denied) for field in label.fields)


def _read(value: str, label: Label) -> Sequence[Reading] | None:
    """The readings of a value, in the unit that it has; none of a blank one, None where it cannot be read."""
    found = read_cell(value, label.fields[0], unit=label.unit)
    if found.status != "read" or found.strange:  # words that nobody knows may say of whom it is
        return () if found.status == "blank" else None
    if len(label.fields) > 1:  # kilograms and pounds are two fields: one in the unit of the value, or the first
        specs = load_contract().fields
        units = {one.unit or label.unit for one in found.readings if specs[one.field].unit}
        if None in units:
            return None
        field = next((field for field in label.fields if specs[field].unit in units), label.fields[0])
        if field != label.fields[0]:
            found = read_cell(value, field, unit=label.unit)
    return found.readings


def _service(value: str, words: str) -> _Claims | None:
    """ "91V", "115/113 R", "91 / V", and with what they mean behind them: "91V (615 kg / 240 km/h)"."""
    found = _SERVICE.match(value)
    if found is None:
        return None
    index, dual, symbol = found.groups()
    claims = [Claim("service_description", f"{index}/{dual}{symbol}" if dual else index + symbol, words)]
    for part in _MEANING.findall(value[found.end() :]):
        for field in ("max_load_kg", "max_speed_kmh"):
            read = read_cell(part, field)
            if read.status == "read" and all(one.unit for one in read.readings):
                claims += [Claim(one.field, one.value, words, one.half_step) for one in read.readings]
    rest = _MEANING.sub("", value[found.end() :])
    return tuple(claims) if not any(sign.isalnum() for sign in rest) else None


def _size(value: str, words: str) -> _Claims | None:
    whole = marked(value).strip()
    return (Claim("marking", whole, words),) if SIZE.fullmatch(whole) else None


_PART = Pattern(r"[Rr]?(?P<number>[0-9]{2,3}(?:[.,]5)?) ?(?P<unit>[^\W\d]{2,8}|[%\"\u2033])?")


def _part(field: str, one_of: Container[float], unit: str) -> Callable[[str, str], _Claims | None]:
    """A reader of a part of the size, in a unit or without one."""

    def read(value: str, words: str) -> _Claims | None:
        found = _PART.fullmatch(value)
        if found is None or (found["unit"] and load_contract().units.get(fold(found["unit"])) != unit):
            return None
        number = float(found["number"].replace(",", "."))
        return (Claim(field, number, words, 0.5),) if number in one_of else None

    return read


_WIDTHS_MM = frozenset(map(float, range(105, 1000, 5)))
_PARTS: dict[str, Callable[[str, str], _Claims | None]] = {
    "service_description": _service,
    "size": _size,
    "marking": _size,
    "section_width": _part("section_width_mm", _WIDTHS_MM, "mm"),
    "generic_width": _part("section_width_mm", _WIDTHS_MM, "mm"),
    "aspect_ratio": _part("aspect_ratio", ASPECTS, "%"),
    "generic_diameter": _part("rim_diameter_in", RIMS, "in"),
    "rim_diameter": _part("rim_diameter_in", RIMS, "in"),
}
