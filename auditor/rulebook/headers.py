"""What a column's header says: which group of fields, and which unit."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

from auditor.rulebook.header_likeness import FILLERS, likely_groups, means, speaks_of_other_business
from auditor.rulebook.header_words import CONCEPTS, LANGUAGES, fold, with_psi, without_small_words
from auditor.rulebook.listing_fields import Contract
from auditor.trade.units import UNITS

_LINKS = frozenset(["in", "en", "im", "i", "w", "per"])  # "load in kg"
_ONLY_LAST = frozenset(["in", "km", "mile", "32", "cal", "%", "mi", "po"])  # units only where they end a header
_QUANTITY_OF_UNIT = {
    "psi": "max_pressure",
    "kPa": "max_pressure",
    "bar": "max_pressure",
    "km/h": "max_speed",
    "mph": "max_speed",
    "dB": "noise_db",
    "32nds": "tread_depth",
    "/km": "revs",
    "/mile": "revs",
}
# What a word makes of a header that is known without it.
_MADE_BY = {
    "single": {"max_load": "max_load", "load_index": "load_index"},
    "dual": {"max_load": "max_load_dual", "load_index": "load_index_dual"},
    "min": dict.fromkeys(("rim_width_range", "measuring_rim"), "rim_width_min"),
    "max": dict.fromkeys(("rim_width_range", "measuring_rim"), "rim_width_max"),
}
_MOUNTINGS = {"single": _MADE_BY["single"], "dual": _MADE_BY["dual"]}
_SURE = 0.9
_OF_INNER = 0.85  # less than sure: it may be the width of a parcel
_INNER_LIKELY = 0.95  # of what an inner key may stand for
_ANYBODYS = frozenset({"title", "description", "sku", "part_number", "supplier"})
_LEAST_PART = 3  # letters of a word within a word
_KEYS = re.compile(r"\.(?=[^\s.])")  # between them
_OUTER = re.compile(r"[^\W\d][^:\d]*:\s*(?=\S)")  # "Parameter: load index", as templates of shops head their columns
_KEY_BEHIND = re.compile(r"\s*\((?:\w+\.)+\w+\)$")  # "Load range (product.details.tire.load_range)"
LIKELY = 0.5  # from here on a group is worth naming
_WITH_UNIT = {"load_index": "max_load", "load_index_dual": "max_load_dual", "speed_symbol": "max_speed"}
# What a column holds whose header names two of these: "LR/Plis", "Brand/Pattern", "Single/Dual".
_TOGETHER = {
    "load_range_ply": frozenset({"load_range", "ply_rating"}),
    "service_description": frozenset({"load_index", "speed_symbol"}),
    "max_load": frozenset({"max_load", "max_load_dual"}),
    "load_index": frozenset({"load_index", "load_index_dual"}),
    "rim_width_range": frozenset({"rim_width_min", "rim_width_max"}),
    "model": frozenset({"brand", "model"}),
}
_OF_SIZES = frozenset({"marking", "size", "generic_width", "generic_diameter", "rim_width_range"})
# Nothing of them is counted: "AD mm" is no Turkish name, and "Desc. %" a discount.
_NAMES = frozenset({"title", "description", "brand", "model", "supplier"})
_ALSO_IN = {"in": _OF_SIZES, "mm": _OF_SIZES, "cm": _OF_SIZES, "dB": frozenset({"eu_label"})}


@dataclass(frozen=True, slots=True)
class HeaderReading:
    """`groups` most likely first; `units` as the header writes them (two for "kg/lb"); `confidence` 0-1."""

    groups: tuple[str, ...] = ()
    units: tuple[str, ...] = ()
    confidence: float = 0.0
    field: str | None = None  # the header is a field's own name
    likely: tuple[tuple[str, float], ...] = ()  # of an unknown header: groups it may stand for, each with a score


@lru_cache(maxsize=16_384)
def read_header(header: str, contract: Contract) -> HeaderReading:
    """Reads one header cell.  An unknown one has no groups; units are read all the same.

    What stands behind an @ says under which condition the value before it holds: "Max load @ PSI".
    """
    if (known := known_header(header, contract)) is not None:
        return known
    name = with_psi(header.partition("@")[0].strip() or header.strip())
    base, units = _without_units(fold(name), contract)
    likely = _suited(_likely(name, base, contract), units, contract)
    groups = tuple(group for group, score in likely if score >= LIKELY)
    return _of_pressure(HeaderReading(groups, units, 0.5 + 0.3 * likely[0][1] if likely else 0.0, likely=likely))


@lru_cache(maxsize=16_384)
def known_header(header: str, contract: Contract) -> HeaderReading | None:
    """The reading of a header that is known, which takes little time; None of one that has to be guessed."""
    reading = _known(with_psi(header.partition("@")[0].strip() or header.strip()), contract)
    return None if reading is None else _of_pressure(reading)


def _of_pressure(reading: HeaderReading) -> HeaderReading:
    """Pounds of a pressure are per square inch."""
    of_pounds = reading.groups[:1] == ("max_pressure",) and reading.units == ("lb",)
    return replace(reading, units=("psi",)) if of_pounds else reading


def _known(name: str, contract: Contract) -> HeaderReading | None:
    lowered = name.lower().replace(" ", "_").replace("-", "_")
    if lowered in contract.fields:
        spec = contract.fields[lowered]
        return HeaderReading((spec.group,), (spec.unit,) if spec.unit else (), 1.0, lowered)
    outer, _, inner = lowered.rpartition(".")  # of a nested object: "load.max_load_kg"
    if inner in contract.fields and inner != lowered:
        spec = contract.fields[inner]
        group = _mounted(spec.group, fold(outer).split(), contract)
        return HeaderReading((group,), (spec.unit,) if spec.unit else (), 0.95)
    folded = fold(name)
    exact = exact_reading(folded, contract)
    if not exact.groups and " " not in folded:
        exact = _taken_apart(folded, contract) or exact
    elif not exact.groups:
        exact = _in_a_language(folded, contract) or exact_reading(without_small_words(folded), contract)
    for groups, confidence in ((exact.groups, exact.confidence), (_in_parts(name, contract), _SURE)):
        suited = [suiting for group in groups if (suiting := in_its_unit(group, exact.units, contract))]
        if suited:
            return HeaderReading(tuple(dict.fromkeys(suited)), exact.units, confidence)
    if (other := _in_two_languages(name, contract)) is not None:
        return HeaderReading((other,), exact.units, _OF_INNER)
    if nested := _nested(name, contract) or unwrapped(name, contract):
        return nested
    by_unit = _unit_alone(folded, exact.units, contract)
    return HeaderReading(by_unit, exact.units, 0.85) if by_unit else None


def _nested(name: str, contract: Contract) -> HeaderReading | None:
    """A key within others of which the inner ones tell: "misura.larghezza", "spec.load.dual"; None for others.

    Of the outer ones only such words count as tell single from dual or most from least.  None as well where the inner
    one may be anybody's: "category.name".
    """
    for _, inner in _inner_keys(name, contract):
        found = exact_reading(inner, contract)
        if found.groups:
            return None if found.groups[0] in _ANYBODYS else replace(found, confidence=_OF_INNER)
        if by_unit := _unit_alone(inner, found.units, contract):  # "tire.psi"
            return HeaderReading(by_unit, found.units, _OF_INNER)
    return None


def unwrapped(name: str, contract: Contract) -> HeaderReading | None:
    """What is left of a header without what stands around it: "Parameter: ply", "Ply (product.tire.ply)"; or None.

    Behind a colon, as within keys, what may be anybody's is left out: "Category: name".
    """
    inner = _KEY_BEHIND.sub("", name)
    if "(" in inner and " " not in (keys := _KEYS.split(inner))[0]:
        inner = keys[-1]  # "data.Plies (PR)"
    if (within := _OUTER.match(inner)) is None and inner == name:
        return None
    found = read_header(inner[within.end() :] if within else inner, contract)
    if not found.groups or found.confidence < _OF_INNER or (within and found.groups[0] in _ANYBODYS):
        return None
    return found


def _inner_keys(name: str, contract: Contract) -> Iterator[tuple[str, str]]:
    """The outer keys and the inner ones of each level, folded; these with what the outer ones say of mountings."""
    keys = _KEYS.split(name)
    if len(keys) < 2 or " " in keys[0]:  # "max. load"
        return
    for first in range(1, len(keys)):
        outer, inner = fold(" ".join(keys[:first])), fold(" ".join(keys[first:]))
        told = [word for word in outer.split() if contract.concepts.get(word) in CONCEPTS]
        yield outer, " ".join([*told, inner]).strip()


def _likely(name: str, base: str, contract: Contract) -> Sequence[tuple[str, float]]:
    """What an unknown header may stand for: the whole of it, or the inner ones of keys within keys."""
    found = dict(likely_groups(base, contract))
    for outer, inner in _inner_keys(name, contract):
        if speaks_of_other_business(outer, contract):
            break
        for group, score in likely_groups(_without_units(inner, contract)[0], contract):
            if group not in _ANYBODYS:
                found[group] = max(found.get(group, 0.0), _INNER_LIKELY * score)
    return tuple(sorted(found.items(), key=lambda item: (-item[1], item[0])))


def _in_a_language(folded: str, contract: Contract) -> HeaderReading | None:
    """A title or a sales text in one of several languages, "Description FR"; None for any other header."""
    rest, _, language = folded.rpartition(" ")
    if language not in LANGUAGES:
        return None
    found = exact_reading(rest, contract)
    return found if found.groups[:1] in (("title",), ("description",)) else None


def _taken_apart(word: str, contract: Contract) -> HeaderReading | None:
    """Two words that a program wrote as one, "LOADKG", "speedcode"; None where they are none, or may be several."""
    found = {}
    for place in range(_LEAST_PART, len(word) - 1):
        head, rest = word[:place], word[place:]
        if len(rest) >= _LEAST_PART or rest in contract.units:
            reading = exact_reading(f"{head} {rest}", contract)
            if not reading.groups and rest in contract.units and (inner := _taken_apart(head, contract)) is not None:
                reading = replace(inner, units=(contract.units[rest],))
            if reading.groups:
                found[reading.groups] = reading
    return next(iter(found.values())) if len(found) == 1 else None


def suits(group: str, units: Sequence[str], contract: Contract) -> bool:
    """Whether a column of that group can be in such units: a load is no pressure, and an index has no unit at all."""
    return all(group in _groups_in(unit, contract) for unit in units)


def in_its_unit(group: str, units: Sequence[str], contract: Contract) -> str | None:
    """The group itself, or what it is with that unit: a "speed" in km/h is no symbol; None where neither suits."""
    if suits(group, units, contract):
        return group
    other = _WITH_UNIT.get(group)
    return other if other and suits(other, units, contract) else None


@lru_cache(maxsize=256)
def _groups_in(unit: str, contract: Contract) -> frozenset[str]:
    """The groups whose columns may be headed by a unit."""
    quantity = UNITS[unit].dimension if unit in UNITS and unit != "32nds" else ""
    specs = contract.fields.values()
    measured = {spec.group for spec in specs if spec.unit == unit or spec.quantity == quantity}
    return frozenset(
        measured | {spec.group for spec in specs if spec.quantity == "text"} - _NAMES | _ALSO_IN.get(unit, frozenset())
    )


def _suited(
    likely: Sequence[tuple[str, float]], units: Sequence[str], contract: Contract
) -> tuple[tuple[str, float], ...]:
    """The groups that suit the header's unit, each once."""
    found: dict[str, float] = {}
    for group, score in likely:
        name = in_its_unit(group, units, contract)
        if name is not None:
            found[name] = max(found.get(name, 0.0), score)
    return tuple(sorted(found.items(), key=lambda item: (-item[1], item[0])))


def _in_parts(name: str, contract: Contract) -> tuple[str, ...]:
    """The one group that all parts of a header such as "Barcode (EAN)" or "EAN/GTIN" stand for.

    A text may be of something beside its being one: "用途・説明", use and description.
    """
    parts = [fold(part) for part in re.split(r"[()\[\]/|,・]", name) if part.strip()]
    if len(parts) < 2:
        return ()
    groups = {found.groups[:1] for part in parts if (found := exact_reading(part, contract)).groups or not found.units}
    if groups == {(), ("description",)}:
        return ("description",)
    if len(groups) > 1:
        both = frozenset(name for group in groups for name in group)
        return next(((whole,) for whole, names in _TOGETHER.items() if both == names and () not in groups), ())
    return groups.pop() if len(groups) == 1 else ()


# Where a header goes on in another language: behind a stroke, or where Latin letters meet others than Latin ones.
_OTHER_LANGUAGE = re.compile(r"[/|・]|(?<=[A-Za-z])\s+(?=[\u0370-\uffff])|(?<=[\u0370-\uffff])\s+(?=[A-Za-z])")


def _in_two_languages(name: str, contract: Contract) -> str | None:
    """The group of a header of which one part is known, and the others are words that nobody knows: "الطبقات PR"."""
    parts = [part for part in _OTHER_LANGUAGE.split(name) if part.strip()]
    if len(parts) < 2 or speaks_of_other_business(name, contract):
        return None
    readings = [exact_reading(fold(part), contract) for part in parts]
    groups = {group for reading in readings for group in reading.groups[:1]}
    unknown = [part for part, reading in zip(parts, readings, strict=True) if not reading.groups]
    return groups.pop() if len(groups) == 1 and all(_is_foreign(part, contract) for part in unknown) else None


def _is_foreign(part: str, contract: Contract) -> bool:
    """Whether a part of a header is but words that nobody knows, and no letters that tell one column from another."""
    words = fold(part).split()
    return all(len(word) >= _LEAST_PART and word not in FILLERS and word not in contract.concepts for word in words)


def _unit_alone(folded: str, units: tuple[str, ...], contract: Contract) -> tuple[str, ...]:
    """A header that is a unit and perhaps "max": only one quantity of a tire is given in it."""
    base, _ = _without_units(folded, contract)
    if len(units) != 1 or (base and not means(base, "max", contract)):
        return ()
    group = _QUANTITY_OF_UNIT.get(units[0])
    return (group,) if group else ()


def exact_reading(folded: str, contract: Contract) -> HeaderReading:
    """What a folded header says that is a known spelling, with or without a unit; no groups for any other."""
    if not folded:
        return HeaderReading()
    base, units = _without_units(folded, contract)
    groups = contract.phrases.get(folded)
    if groups:
        return HeaderReading(groups, units if base else (), 0.95)  # "IN" may be no inch, but short for an index
    groups = contract.phrases.get(base)
    if groups:
        return HeaderReading(groups, units, 0.95)
    words = " ".join(word for word in _of_both(base.split(), contract) if word not in FILLERS)
    groups = contract.phrases.get(words) or _made_by_a_word(words.split(), contract)
    return HeaderReading(groups, units, _SURE) if groups else HeaderReading((), units)


def _made_by_a_word(words: Sequence[str], contract: Contract) -> tuple[str, ...]:
    """The group of words that are known but for one that says single or dual, least or most; none for any others."""
    said = [contract.concepts.get(word) for word in words]
    rest = " ".join(word for word, concept in zip(words, said, strict=True) if concept not in _MADE_BY)
    found = contract.phrases.get(rest, ())[:1]
    told = [_MADE_BY[concept].get(found[0]) for concept in said if concept in _MADE_BY] if found else []
    return (told[0],) if len(told) == 1 and told[0] else ()


def _mounted(group: str, words: Sequence[str], contract: Contract) -> str:
    """The group in the mounting that one of the words names."""
    told = {concept for word in words if (concept := contract.concepts.get(word)) in _MOUNTINGS}
    return _MOUNTINGS[told.pop()].get(group, group) if len(told) == 1 else group


def _of_both(words: Sequence[str], contract: Contract) -> Sequence[str]:
    """The words without "single" and "dual" where both stand there: one column gives the load of either mounting."""
    said = [contract.concepts.get(word) for word in words]
    if not {"single", "dual"} <= set(said):
        return words
    return [word for word, concept in zip(words, said, strict=True) if concept not in ("single", "dual")]


def without_units(folded: str, contract: Contract) -> str:
    """A folded header without its unit words."""
    return _without_units(folded, contract)[0]


def _without_units(folded: str, contract: Contract) -> tuple[str, tuple[str, ...]]:
    """The header's words without its unit words, and the units they name."""
    words, units = folded.split(), []
    position = len(words)
    while position > 0:
        for length in (3, 2, 1):
            phrase = " ".join(words[max(position - length, 0) : position])
            last = position == len(words)
            if length <= position and phrase in contract.units and (last or phrase not in _ONLY_LAST):
                units.append(contract.units[phrase])
                del words[position - length : position]
                if position - length == len(words) and len(words) > 1 and words[-1] in _LINKS:
                    words.pop()
                position = min(position - length, len(words)) + 1
                break
        position -= 1
    return " ".join(words), tuple(dict.fromkeys(reversed(units)))
