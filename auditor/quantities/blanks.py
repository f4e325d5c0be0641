"""Cells that only say that nothing is known: "SEM GTIN", "нет данных", "b/d", in the words of many languages.

The words are data of the listing contract.
"""

from __future__ import annotations

from functools import cache

from auditor.quantities.units import words
from auditor.rulebook.built_in import load_contract
from auditor.rulebook.header_words import fold

# Where "none" and "without" are values of their own: a tire without reinforcement is a standard one.
_YES_OR_NO = frozenset({"mud_and_snow", "severe_snow"})
_OF_ANSWERS = frozenset({"load_version", "construction", "size_prefix", "season"})  # "no data" says nothing there
_LONGEST = 40  # characters
_DASHES = "-–—−_.…*/\\ "
_BRACKETS = "()[]<>"
_USUAL = words(
    """n/a na n.a. n.a n-a #n/a none null nil nan unknown unkn unspecified tbd tba tbc k.a. k.a ka nd n.d.
    n.d n.v.t. nvt n.v. s/o brak void empty blank unbekannt inconnu desconocido sconosciuto onbekend
    nieznany \\n notavailable notapplicable notstated notspecified notknown keineangabe
    nonspecificato"""
)
_SHORT = 5  # letters of words for "none" that are values of some fields
_CODES = words("sl xl hl ll rf el zr lt st")  # of two letters, where letters count


def is_blank(text: str, field: str, letters_count: bool = False) -> bool:
    """Whether a cell of `field` holds nothing but dashes, a mark or words for nothing; see `says_nothing`."""
    bare = text.strip(_BRACKETS).strip(_DASHES)
    if not bare or bare == "?":  # more than one may be what a lossy encoding left of a value
        return not (text.startswith(")") and field == "noise_class")
    lowered = "".join(text.lower().strip(_BRACKETS).split())
    return lowered in _USUAL or lowered.strip("-.") in _USUAL or says_nothing(text, field, letters_count)


def says_nothing(text: str, field: str, letters_count: bool = False) -> bool:
    """Whether a cell of `field` only says that its value is not known, or that there is none.

    `letters_count` where codes of one or two letters are values of the field.
    """
    if field in _YES_OR_NO or len(text) > _LONGEST or any(map(str.isdecimal, text)):
        return False
    if field in _OF_ANSWERS and " " not in text.strip() and text.strip(".").isalpha() and len(text) <= _SHORT:
        return False
    bare = _bare(text)
    if bare in _known():
        return not (letters_count and ((len(bare) == 1 and bare.isascii()) or bare in _CODES))
    return field not in _OF_ANSWERS and _without_its_name(fold(text), field)


def _without_its_name(folded: str, field: str) -> bool:
    """ "SEM GTIN", "kein EAN", "EAN yok": a word for "without" and what the column is called."""
    contract = load_contract()
    group = contract.fields[field].group if field in contract.fields else None
    for word in contract.without:
        if folded.startswith(f"{word} "):
            name = folded.removeprefix(f"{word} ")
        elif folded.endswith(f" {word}"):
            name = folded.removesuffix(f" {word}")
        else:
            continue
        if group is not None and group in contract.phrases.get(name, ()):
            return True
    return False


@cache
def _known() -> frozenset[str]:
    return frozenset(map(_bare, load_contract().not_stated))


def _bare(text: str) -> str:
    """A text's letters alone, whatever their case; signs within a word of other scripts belong to it."""
    return "".join(char for char in text.casefold() if not (char.isspace() or char in "./-()[]<>_*,;:"))
