"""Cells of the EU label: classes of fuel and wet grip, the noise, the class of the tire, or the whole label in one."""

from __future__ import annotations

import re

from auditor.quantities.model import BLANK, CellReading, Reading, read_as, unreadable
from auditor.quantities.other_words import in_known_words
from auditor.trade.patterns import Pattern

_WORDS = Pattern(r"(?<![^\W\d_])[^\W\d_]{3,}\.?\s?[:=]?\s?")  # "Conso C / Adhérence B / Bruit 70 dB B"
# A label that begins with the wet grip, as its words say: "mojado B, consumo C".
_WET_FIRST = Pattern(
    r"\W*(?:[^\W\d_]+\s)?(?:wet|grip|n[aä]ss|mouill|adh[eé]r|mojad|agarre|bagnat|aderen|nat|mokr|przycz)"
)
_CLASS = r"(?:(?:class|klasse|classe|clase|klasa)\s*)?"
_DB = r"\s?(?:db(?:\s?\(a\)|a)?)?"
_CLASSES = r"(?P<fuel>[a-g])\s?[-/|,;: ]\s?(?P<wet>[a-g])"
_LABEL = Pattern(
    rf"{_CLASSES}(?:\s?[-/|,;: ]\s?(?:(?P<level>[0-9]{{2}}){_DB})(?:\s?[-/|,;:( ]\s?(?P<noise>[abc])\)?)?)?"
)
# The noise class before the level: "C/A/B/71 dB", "C/A/B (71 dB)".
_LEVEL_LAST = Pattern(rf"{_CLASSES}\s?[-/|,;: ]\s?(?P<noise>[abc])\s?[-/|,;:( ]\s?(?P<level>[0-9]{{2}}){_DB}\)?")


_CLASS_NAMED = Pattern(r"(?<![a-z0-9])c\s?-?([123])(?![a-z0-9])")


def read_tire_class(text: str, field: str) -> CellReading:
    """ "C1", "c 2", "3"."""
    lowered = text.lower()
    match = re.fullmatch(r"(?:class\s*)?c?\s?([0-9])", lowered)
    if match is None and len(set(named := _CLASS_NAMED.findall(lowered))) == 1:  # "Klasse C2 (van)"
        return read_as(Reading(field, f"C{named[0]}"))
    return unreadable(f"{text!r} is no tire class.") if match is None else read_as(Reading(field, f"C{match[1]}"))


def read_label_class(text: str, field: str) -> CellReading:
    """Fuel and wet grip class: one letter, also when the label has no such class; or the whole label, "C/A/70 dB/B".

    The order is that of the label (Regulation (EU) 2020/740, Annex I), where words beside the classes say no other.
    """
    lowered = text.lower()
    match = re.fullmatch(rf"{_CLASS}([a-z])", lowered)
    if match is not None:
        return read_as(Reading(field, match[1].upper()))
    bare = " ".join(_WORDS.sub(" ", lowered).split())
    whole = _LABEL.fullmatch(lowered) or _LABEL.fullmatch(bare) or _LEVEL_LAST.fullmatch(lowered)
    if whole is None:
        return unreadable(f"{text!r} is no label class.")
    fields = ("wet_grip_class", "fuel_class") if _WET_FIRST.match(lowered) else ("fuel_class", "wet_grip_class")
    readings = [Reading(name, whole[group].upper()) for name, group in zip(fields, ("fuel", "wet"), strict=True)]
    if whole["level"]:
        readings.append(Reading("noise_db", float(whole["level"]), 0.5, "dB"))
    if whole["noise"]:
        readings.append(Reading("noise_class", whole["noise"].upper()))
    return read_as(*readings)


def read_noise(text: str, field: str) -> CellReading:
    """Noise class, with or without the level beside it: "B", "2 waves", "71 dB B", "B / 71 dB"."""
    lowered = " ".join(in_known_words(text.lower()).split())
    waves = re.fullmatch(r"([1-3])(?:\s*(?:waves?|wellen?|ondes?))?|(\){1,3})", lowered)
    if field == "noise_class" and waves:
        return read_as(Reading("noise_class", waves[1] or str(len(waves[2]))))
    match = re.fullmatch(
        rf"{_CLASS}(?P<before>[a-z])?[\s/,(;-]*(?:(?P<level>[0-9]{{1,3}}(?:[.,][0-9])?)\s*(?P<unit>db(?:\s?\(a\)|a)?)?)?"
        rf"[\s/,(;-]*{_CLASS}(?P<after>[a-z])?\s*\)?",
        lowered,
    )
    if match is None or (match["before"] and match["after"]):
        return unreadable(f"{text!r} is no noise level or class.")
    readings: list[Reading] = []
    if match["level"]:
        level = match["level"].replace(",", ".")
        half_step = 0.05 if "." in level else 0.5
        if float(level):
            readings.append(Reading("noise_db", float(level), half_step, match["unit"] and "dB"))
    letter = match["before"] or match["after"]
    if letter:
        readings.append(Reading("noise_class", letter.upper()))
    if not readings:
        return BLANK if match["level"] else unreadable(f"{text!r} is no noise level or class.")
    return read_as(*readings)
