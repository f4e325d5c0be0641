"""A claim stays one whatever is praised beside it: in the clause before, behind it, or in the sentence before."""

from __future__ import annotations

import tomllib
from itertools import product
from pathlib import Path

import pytest

from auditor.claims.terms.lexicon import lexicon_of
from auditor.claims.terms.own import Own
from auditor.claims.texts import read_claims

WORDS = tomllib.loads((Path(__file__).parents[1] / "reference" / "texts_beside.toml").read_text("utf-8"))
OWN = Own("225/65R17 102H")
LEAST = 0.94  # of all combinations


@pytest.mark.parametrize("language", WORDS)
def test_what_stands_beside_a_claim_hides_it_seldom(language: str) -> None:
    texts = [
        text
        for beside, claim in product(WORDS[language]["beside"], WORDS[language]["claims"])
        for text in (
            f"{_begun(beside)}, {claim}.",
            f"{_begun(claim)}, {beside}.",
            f"{_begun(beside)}. {_begun(claim)}.",
        )
    ]
    hidden = [text for text in texts if not read_claims(text, lexicon_of(), OWN)]
    assert len(hidden) <= (1 - LEAST) * len(texts), hidden


def _begun(words: str) -> str:
    return words[0].upper() + words[1:]
