"""Columns of seasons of one letter or few, "S/W/G", "L/Z/C", "SO/WI/GJ": which words begin so says what they mean."""

from __future__ import annotations

from auditor.feeds import column_evidence
from auditor.feeds.column_evidence import Column
from auditor.rulebook.listing_fields import Contract

_FOUR = "4"  # of the four seasons
_LONGEST = 2  # letters: "4S"
_NEARLY_ALL = 0.75
_MOST_OF_BEGINNING = 3  # letters of a word that stand for it: "SO", "WIN"


def season_codes(column: Column, contract: Contract) -> dict[str, str]:
    """What each code of a column is short for, by its text in lower case.

    Of several languages the one counts whose usual words begin with most of them.  Empty where the cells are no codes,
    where no language's words begin with all of them, or where languages differ on one: a "Z" is a Dutch summer and a
    Polish winter.
    """
    codes = {text.casefold() for text in column.counts if not column_evidence.is_blank(text, "season")}
    if len(codes) < 2:
        return {}
    if any(len(code) > _LONGEST or (len(code) > 1 and code[0] != _FOUR) for code in codes):
        return _by_beginnings(codes, contract)
    known: dict[str, dict[str, tuple[str, bool]]] = {}
    for language, letter, season, usual in contract.season_letters:
        known.setdefault(language, {_FOUR: ("all-season", False)})[letter] = season, usual
    found: dict[int, list[dict[str, str]]] = {}  # by how many of the codes are those of the usual words
    for letters in known.values():
        if all(code[0] in letters for code in codes):
            by_usual = sum(letters[code[0]][1] for code in codes)
            found.setdefault(by_usual, []).append({code: letters[code[0]][0] for code in codes})
    best = found[max(found)] if found else []
    same = bool(best) and max(found) > 0 and all(one == best[0] for one in best) and len(set(best[0].values())) > 1
    return best[0] if same else {}


def _by_beginnings(codes: set[str], contract: Contract) -> dict[str, str]:
    """What codes of two or three letters are short for, where nearly all words that begin so are for one season."""
    if any(not 2 <= len(code) <= _MOST_OF_BEGINNING for code in codes):
        return {}
    words = [(word.casefold(), season) for word, season in contract.season_words.items()]
    found: dict[str, str] = {}
    for code in codes:
        beginning = [season for word, season in words if word.startswith(code)]
        usual = max(sorted(set(beginning)), key=beginning.count, default="")
        if not usual or beginning.count(usual) < _NEARLY_ALL * len(beginning):
            return {}
        found[code] = usual
    return found if len(set(found.values())) > 1 else {}
