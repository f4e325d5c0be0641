"""Texts as prose throughout, whatever of them is a labelled value: what is read on its own of each."""

from __future__ import annotations

from collections.abc import Iterator

from auditor.claims.terms.lexicon import Lexicon
from auditor.claims.terms.own import Own
from auditor.claims.texts import alone, tokens_of


def read_alone(text: str, lexicon: Lexicon, own: Own, title: bool) -> Iterator[tuple[str, ...]]:
    """The sentences of a text, of a title their parts."""
    return alone(tokens_of(text, lexicon, own, title=title), lexicon, title)
