"""The tires that a text says its own tire stands in for: "replaces 225/65R17 102H".

A size behind such words counts where its sentence says so: not asked, not denied, on no condition, and of this tire.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from functools import lru_cache
from typing import NamedTuple

import numpy as np
import numpy.typing as npt
import pyarrow as pa
import pyarrow.compute as pc

from auditor.claims.fragments import Fragment
from auditor.claims.items import Item
from auditor.claims.lexicon import Lexicon
from auditor.claims.own import NOBODY
from auditor.claims.sentences import START, Sentence, State, read_sentence, sentences, understand
from auditor.claims.texts import tokens_of
from auditor.marking import Marking, decode

_UNSAID = frozenset({"not", "never", "if", "ask", "asked", "vehicle", "another"})  # moods and subjects
_MOST_BEHIND = 4  # items behind the words among which the size begins
_MOST_OF_MARKING = 4  # items that a size, its service description and its letters take


class Replaced(NamedTuple):
    """What the texts of a block say: the record of each claim, and the marking of the tire that is replaced."""

    rows: npt.NDArray[np.int64]
    markings: pa.Array


def replaced_in_column(column: pa.Array, lexicon: Lexicon, words: frozenset[str]) -> Replaced:
    """The claims of a column: the first sentence of each text that holds one of the words, each distinct one once."""
    texts = (column.fill_null("") if column.null_count else column).cast(pa.string())
    may = pc.match_substring_regex(texts, "(?i)" + _words(words))
    rows = np.flatnonzero(may.to_numpy(zero_copy_only=False))
    sentences_of = pc.struct_field(pc.extract_regex(texts.take(pa.array(rows)), _sentence(words)), "sentence")
    coded = sentences_of.fill_null("").dictionary_encode()
    said = [replaced_in(text, lexicon, words) for text in coded.dictionary.to_pylist()]
    counts = np.array([len(one) for one in said], dtype=np.int64)
    codes = coded.indices.to_numpy(zero_copy_only=False)
    starts = np.cumsum(counts) - counts
    of_row = counts[codes] if len(codes) else counts
    first = np.repeat(starts[codes], of_row) if len(codes) else starts
    behind = np.arange(len(first)) - np.repeat(np.cumsum(of_row) - of_row, of_row)
    flat = pa.array([marking for one in said for marking in one], pa.string())
    return Replaced(np.repeat(rows, of_row), flat.take(pa.array(first + behind)))


@lru_cache(maxsize=4)
def _words(words: frozenset[str]) -> str:
    return "(?:" + "|".join(re.escape(word) for word in sorted(words)) + ")"


def _sentence(words: frozenset[str]) -> str:
    """A pattern for a sentence that holds one of the words; a full stop within a number ends none."""
    inside = r"(?:[^.!?\n]|\.\S)*"
    return f"(?is)(?P<sentence>{inside}{_words(words)}{inside}[.!?]?)"


@lru_cache(maxsize=20_000)
def replaced_in(text: str, lexicon: Lexicon, words: frozenset[str]) -> tuple[str, ...]:
    """The markings, in canonical form, of the tires that a text says its own stands in for."""
    found: list[str] = []
    state: State = START
    for tokens in sentences(tokens_of(text, lexicon, NOBODY), lexicon):
        if tokens[-1] != "?":
            found += _of_sentence(understand(tokens, state, lexicon, False), words)
        _, state = read_sentence(tokens, state, lexicon, False)
    return tuple(dict.fromkeys(found))


def _of_sentence(sentence: Sentence, words: frozenset[str]) -> Iterator[str]:
    items = sentence.items
    said = True
    for fragment in sentence.cues.fragments:
        said = said and _UNSAID.isdisjoint(fragment.cues)  # what a condition or a denial reaches, it reaches onward
        if said:
            for place in range(fragment.start, fragment.end):
                if items[place].text.casefold() in words:
                    marking = _behind(items, place, fragment)
                    if marking:
                        yield marking


def _behind(items: list[Item], place: int, fragment: Fragment) -> str:
    """The marking that stands behind the words; empty where none does, or "by" turns them round.

    A size without a load index promises nothing that could be held against it: "replaces 225/65R18 on some trims".
    """
    for start in range(place + 1, min(place + 1 + _MOST_BEHIND, fragment.end)):
        if items[start].text.casefold() in ("by", "durch", "par", "por", "da", "door", "przez"):
            return ""
        if "/" not in items[start].text and not any(char.isdigit() for char in items[start].text):
            continue
        for end in range(min(start + _MOST_OF_MARKING, len(items)), start, -1):
            found = decode(" ".join(item.text for item in items[start:end]))
            if isinstance(found, Marking) and not found.unread:
                return found.canonical if found.service.load_index is not None else ""
    return ""
