"""What a column's header says: which group of fields, and which unit."""

from __future__ import annotations

import difflib
import re
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

from auditor.rulebook.header_words import fold
from auditor.rulebook.listing_fields import Contract

# Words that say nothing about which field a column holds.
_FILLERS = frozenset(
    {
        "tire", "tires", "tyre", "tyres", "reifen", "pneu", "pneus", "neumatico", "neumaticos", "pneumatico",
        "pneumatici", "band", "banden", "opona", "opony", "the", "of", "der", "die", "das", "des", "de", "du",
        "la", "le", "les", "del", "della", "di", "da", "van", "een", "w", "wert", "valor", "valore", "product",
        "item", "eu", "label", "spec", "rated", "niveau", "nivel", "livello", "poziom", "info", "produit",
        "producto", "prodotto", "produktu", "towaru",
    }
)  # fmt: skip
_LINKS = frozenset(["in", "en", "im", "i", "w", "per"])  # "load in kg"
_ONLY_LAST = frozenset(["in", "km", "mile", "32", "cal", "%"])  # units only where they end a header
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
_SURE = 0.9


@dataclass(frozen=True, slots=True)
class HeaderReading:
    """`groups` most likely first; `units` as the header writes them (two for "kg/lb"); `confidence` 0-1."""

    groups: tuple[str, ...] = ()
    units: tuple[str, ...] = ()
    confidence: float = 0.0
    field: str | None = None  # the header is a field's own name


def read_header(header: str, contract: Contract) -> HeaderReading:
    """Reads one header cell.  An unknown one has no groups; units are read all the same."""
    name = header.strip()
    lowered = name.lower().replace(" ", "_").replace("-", "_")
    if lowered in contract.fields:
        spec = contract.fields[lowered]
        return HeaderReading((spec.group,), (spec.unit,) if spec.unit else (), 1.0, lowered)
    folded = fold(name)
    exact = _exact(folded, contract)
    if exact.groups:
        return _suited_to_unit(exact, contract)
    parts = _in_parts(name, contract)
    if parts:
        return HeaderReading(parts, exact.units, _SURE)
    by_unit = _unit_alone(folded, exact.units, contract)
    if by_unit:
        return HeaderReading(by_unit, exact.units, 0.85)
    shortened = _shortened(folded, exact.units, contract) if "." in name or len(name) <= 24 else ()
    if shortened:
        return HeaderReading(shortened, exact.units, 0.8)
    return _nearest(folded, exact.units, contract)


def _suited_to_unit(reading: HeaderReading, contract: Contract) -> HeaderReading:
    """A "speed" in km/h is a speed, not a symbol; a "load index" in kg is a load."""
    if reading.groups[0] == "speed_symbol" and set(reading.units) & {"km/h", "mph"}:
        return HeaderReading(("max_speed",), reading.units, reading.confidence)
    return reading


def _in_parts(name: str, contract: Contract) -> tuple[str, ...]:
    """The one group that all parts of a header such as "Barcode (EAN)" or "EAN/GTIN" stand for."""
    parts = [fold(part) for part in re.split(r"[()\[\]/|,]", name) if part.strip()]
    if len(parts) < 2:
        return ()
    groups = {found.groups[:1] for part in parts if (found := _exact(part, contract)).groups or not found.units}
    return groups.pop() if len(groups) == 1 else ()


def _unit_alone(folded: str, units: tuple[str, ...], contract: Contract) -> tuple[str, ...]:
    """A header that is a unit and perhaps "max": only one quantity of a tire is given in it."""
    base, _ = _without_units(folded, contract)
    if len(units) != 1 or base not in {"", "max", "maximum"}:
        return ()
    group = _QUANTITY_OF_UNIT.get(units[0])
    return (group,) if group else ()


def header_score(row: Sequence[str], contract: Contract, mapped: frozenset[str] = frozenset()) -> float:
    """How much a row reads like a header: the number of cells that are known header spellings.

    `mapped` are the headers that a feed map names; they weigh more than any spelling.
    """
    score = 100.0 * sum(cell.strip() in mapped for cell in row) if mapped else 0.0
    for cell in row[:200]:
        text = cell.strip()
        if not text or len(text) > 80:
            continue
        if text.lower().replace(" ", "_") in contract.fields:
            score += 1.0
        elif _exact(fold(text), contract).groups:
            score += _SURE
    return score


def _exact(folded: str, contract: Contract) -> HeaderReading:
    if not folded:
        return HeaderReading()
    base, units = _without_units(folded, contract)
    groups = contract.phrases.get(folded)
    if groups:
        return HeaderReading(groups, units, 0.95)
    groups = contract.phrases.get(base)
    if groups:
        return HeaderReading(groups, units, 0.95)
    words = " ".join(word for word in base.split() if word not in _FILLERS)
    groups = contract.phrases.get(words)
    return HeaderReading(groups, units, _SURE) if groups else HeaderReading((), units)


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


@dataclass(frozen=True, slots=True)
class _Index:
    """The spellings by their words, so that thousands of unknown headers stay cheap."""

    by_word: dict[str, tuple[tuple[str, frozenset[str]], ...]]  # word -> phrases with it, and their words
    by_letter: dict[str, tuple[str, ...]]  # first letter -> phrases
    words: dict[tuple[str, int], tuple[tuple[tuple[str, ...], str], ...]]  # by first letters and number of words


@lru_cache(maxsize=8)
def _index(contract: Contract) -> _Index:
    """The index of a contract's spellings."""
    by_word: dict[str, list[tuple[str, frozenset[str]]]] = {}
    by_letter: dict[str, list[str]] = {}
    words: dict[tuple[str, int], list[tuple[tuple[str, ...], str]]] = {}
    for phrase, groups in contract.phrases.items():
        theirs = tuple(word for word in phrase.split() if word not in _FILLERS)
        if theirs:
            words.setdefault((theirs[0][:2], len(theirs)), []).append((theirs, groups[0]))
        by_letter.setdefault(phrase[:1], []).append(phrase)
        for word in theirs:
            by_word.setdefault(word, []).append((phrase, frozenset(theirs)))
    return _Index(
        {word: tuple(found) for word, found in by_word.items()},
        {letter: tuple(found) for letter, found in by_letter.items()},
        {key: tuple(found) for key, found in words.items()},
    )


def _shortened(folded: str, units: tuple[str, ...], contract: Contract) -> tuple[str, ...]:
    """The one group whose spelling begins word by word like an abbreviated header ("Geschw. Ind.")."""
    words = [word for word in _without_units(folded, contract)[0].split() if word not in _FILLERS]
    if not words or max(map(len, words)) < 4 or min(map(len, words)) < 2:
        return ()
    found = {
        group
        for theirs, group in _index(contract).words.get((words[0][:2], len(words)), ())
        if all(map(str.startswith, theirs, words)) and sum(map(len, theirs)) - sum(map(len, words)) >= 2
    }
    if len(found) > 1 and units:
        found = {
            group
            for group in found
            if {contract.fields[name].unit for name in contract.groups.get(group, ())} & set(units)
        }
    return tuple(found) if len(found) == 1 else ()


def _nearest(folded: str, units: tuple[str, ...], contract: Contract) -> HeaderReading:
    """The closest known spelling: a slip of the pen, or the same words with others between them."""
    base, _ = _without_units(folded, contract)
    words = {word for word in base.split() if word not in _FILLERS}
    if not words or len(base) > 80:
        return HeaderReading((), units)
    index = _index(contract)
    best, best_phrase = 0.0, ""
    for word in sorted(words):
        for phrase, theirs in index.by_word.get(word, ()):
            if theirs <= words and (len(theirs) > 1 or len(phrase) > 4):
                likeness = len(theirs) / len(words) * len(theirs) / len(phrase.split())
                if likeness > best:
                    best, best_phrase = likeness, phrase
    if best >= 0.5:
        return HeaderReading(contract.phrases[best_phrase], units, 0.5 + 0.3 * best)
    if len(base) >= 5:
        alike = [phrase for phrase in index.by_letter.get(base[0], ()) if abs(len(phrase) - len(base)) <= 2]
        close = difflib.get_close_matches(base, alike, n=1, cutoff=0.87)
        if close:
            return HeaderReading(contract.phrases[close[0]], units, 0.75)
    return HeaderReading((), units)
