"""Cells that only say that nothing is known: "SEM GTIN", "нет данных", "b/d", in the words of many languages.

The words are data of the listing contract.
"""

from __future__ import annotations

from functools import cache

from auditor.rulebook.built_in import load_contract
from auditor.rulebook.header_words import fold

# Where "none" and "without" are values of their own: a tire without reinforcement is a standard one.
_OF_ANSWERS = frozenset({"load_version", "mud_and_snow", "severe_snow", "construction", "size_prefix", "season"})
_LONGEST = 40  # characters
_SHORT = 2  # letters that may be a code where letters count


def says_nothing(text: str, field: str, letters_count: bool = False) -> bool:
    """Whether a cell of `field` only says that its value is not known, or that there is none.

    `letters_count` where codes of one or two letters are values of the field.
    """
    if field in _OF_ANSWERS or len(text) > _LONGEST or any(map(str.isdecimal, text)):
        return False
    bare = _bare(text)
    if bare in _known():
        return not (letters_count and len(bare) <= _SHORT)
    return _without_its_name(fold(text), field)


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
