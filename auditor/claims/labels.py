"""What the labels of a text's lines name: the fields that a header of that name would be of.

Labels of no field are told, too: those answered by yes or no ("Winter tire: no"), and those whose values are nothing
that a text claims of a tire (articles, prices, weights of parcels, widths of rims).
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache, lru_cache
from typing import NamedTuple

from auditor.rulebook.built_in import load_contract, words_of_headers
from auditor.rulebook.header_words import fold
from auditor.rulebook.headers import HeaderReading, known_header
from auditor.rulebook.listing_fields import Contract
from auditor.trade.patterns import Pattern

# Words of labels of weights, sizes and speeds that are none of the tire's.
_NOT_OF_TIRES = frozenset({"package", "packaging", "shipping", "axle", "pair", "vehicle"})
_ENDS_IN_CODE = Pattern(r" (?:[A-Z]|[0-9]{2,3})$")  # what a code stands for: "speed symbol W: 270 km/h"
_BEFORE_UNITS = frozenset({"in", "en", "w", "i"})
_MOST_WORDS, _SURE = 5, 0.9  # of a label; of a header
FLAGS = frozenset({"mud_and_snow", "severe_snow"})
_OF_MARKS = frozenset(
    ["symbol", "symbole", "simbolo", "symbolet", "rating", "mark", "marking", "marquage", "marcado", "marcatura",
     "kennzeichnung", "markierung", "markering", "keurmerk", "oznaczenie"]
)  # fmt: skip
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
     "rim_width_max", "rim_width_range", "measured_width", "size_prefix"}
)  # fmt: skip
_LEAST_LETTERS = 4  # of a word that tells what an unknown label may be of
_CHOICES = Pattern(
    r"\s*[(\[][^()\[\]]{0,24}(?:[/\u2013-]| to |EU)[^()\[\]]{0,24}[)\]]\s*$"
)  # behind a label: "(A-E)", "(yes/no)"
SEASON = "season of"  # the group of labels that are a season
# Where a line begins that a text goes on with: a sign for that stands before what parts the two.
ON = "\ue01f"
# A label on a line of its own.
ALONE = r"[^ \t:=,.(!?][^ :=,!?()]*(?: [^ :=,!?()]+){0,3}(?: \([^()]{1,20}\))?"
_ALONE, AROUND = Pattern(ALONE), f" *:|,/\t\r\u2713\u2714-{ON}"
_WHOLE = frozenset({"size", "marking"})  # what says something without a label, too
RUN_FLAT, BOTH = "run_flat", "both snow marks"
SEVERAL = "several"  # the group of labels that name one thing after another, as their values do: "LI / max. load"
BETWEEN_PARTS = Pattern(r"\s*/\s*(?!\s*h\b)")  # of labels and of their values, but for "km/h"
_RUN_FLAT_LABELS = frozenset(
    ["run flat", "runflat", "run flat tire", "run flat tyre", "runflat reifen", "runflat band", "pneu runflat",
     "pneu run flat", "neumatico runflat", "notlauf", "notlaufreifen", "notlaufeigenschaften"]
)  # fmt: skip
ANSWERED = frozenset({"mud_and_snow", "severe_snow", "load_version", SEASON, RUN_FLAT, BOTH})  # by yes or no
_JOINED = Pattern(r"\s*[/&]\s*|\s+(?:and|und|et|y|e|en|i)\s+")
INFLATION = "max_pressure"  # what a tire is filled to is no maximum


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
    if text.count(" ") >= _MOST_WORDS or _ENDS_IN_CODE.search(text) is not None:
        return None
    contract, words = load_contract(), fold(text).split()
    if all(word in contract.units or word in _BEFORE_UNITS for word in words):
        return None  # of "load per tire, in pounds: 1,609"
    reading = known_header(text, contract)
    if reading is None and (bare := _CHOICES.sub("", text)) != text:  # "Fuel efficiency (A-E)", "M+S (yes/no)"
        reading, words = known_header(bare, contract), fold(bare).split()
    if reading is None and (mark := _snow_mark(words, contract)):
        reading = mark
    if reading is None and (other := _answered(text, contract) or _several(text)):
        return other
    if reading is None or not _NOT_OF_TIRES.isdisjoint(words):
        return Label("")
    if len(reading.groups) != 1 or reading.confidence < _SURE:
        return _several(text)
    group = reading.groups[0]
    if group in _OF_OTHERS:
        return Label(group)
    concepts = {contract.concepts.get(word) for word in words}
    if group not in _CLAIMED or concepts >= {"single", "dual"}:
        return None  # in which order loads stand, `auditor.claims.terms.mountings` tells
    if group == INFLATION and "max" not in concepts and not any(word.startswith(("max", "hochst")) for word in words):
        return None
    fields = contract.combined[group][:1] if group in contract.combined else contract.groups.get(group, (group,))
    return Label(group, fields, reading.units[0] if len(reading.units) == 1 else None)


def _several(text: str) -> Label | None:
    """A label of several things, each of which is claimed."""
    parts = parts_of(text)
    labels = [label_of(part) for part in parts] if len(parts) > 1 and "(" not in text else []
    if not labels or not all(label is not None and label.is_claimed and label.group != SEVERAL for label in labels):
        return None
    fields = tuple(label.fields[0] for label in labels if label)
    return Label(SEVERAL, fields) if len({*fields}) == len(fields) else None


def parts_of(text: str) -> list[str]:
    """The parts of a label, or of a value, between slashes."""
    return BETWEEN_PARTS.sub("\n", text).split("\n")


def _snow_mark(words: Sequence[str], contract: Contract) -> HeaderReading | None:
    """What a label of a snow mark says beside words for a mark: "M+S symbol", "marquage 3PMSF"."""
    left = [word for word in words if word not in _OF_MARKS]
    if not left or len(left) == len(words):
        return None
    found = known_header(" ".join(left), contract)
    return found if found is not None and not FLAGS.isdisjoint(found.groups) else None


def _answered(text: str, contract: Contract) -> Label | None:
    """A label of no field that is answered by yes or no, "Winter tire", "M+S / 3PMSF", or by one of its own words."""
    if season := contract.season_words.get(text.casefold()):
        return Label(SEASON, (season,))
    if fold(text) in _RUN_FLAT_LABELS:
        return Label(RUN_FLAT, (RUN_FLAT,))
    parts = _JOINED.sub("\n", text).split("\n")
    if len(parts) > 1 and all(part.casefold() in contract.season_words for part in parts):
        return Label("season", ("season",))
    readings = [known_header(part, contract) for part in parts] if len(parts) == 2 else []
    both = {reading.groups[0] for reading in readings if reading is not None}
    return Label(BOTH, ("mud_and_snow", "severe_snow")) if both == FLAGS else None


@lru_cache(maxsize=8_192)
def may_be_claimed(label: str) -> bool:
    """Whether an unknown label has a word of those that are claimed."""
    return not _words_of_claimed().isdisjoint(fold(label).split())


@cache
def _words_of_claimed() -> frozenset[str]:
    """The words that labels of what is claimed are made of, of some letters at least."""
    return frozenset(word for word in words_of_headers(_CLAIMED) if len(word) >= _LEAST_LETTERS)


@lru_cache(maxsize=8_192)
def is_label(line: str) -> bool:
    """Whether a line is nothing but a label of what is claimed."""
    text = line.strip(AROUND)
    if _ALONE.fullmatch(text) is None:
        return False
    label = label_of(text)
    return label is not None and label.is_claimed and label.group not in _WHOLE
