"""The same claim of this tire and of another: who the subject is decides."""

from __future__ import annotations

import tomllib
from itertools import product
from pathlib import Path

import pytest

from auditor.claims.terms.own import Own
from auditor.claims.texts import read_claims
from tests.claims.frames_alone import FRAMES_ALONE

WORDS = tomllib.loads((Path(__file__).parents[2] / "reference" / "texts_subjects.toml").read_text("utf-8"))
OWN = Own("225/65R17 102H")
MOST_MISSED, MOST_TAKEN = 0.01, 0.06  # of all combinations of subjects and claims


@pytest.mark.parametrize("language", WORDS)
def test_what_is_said_of_this_tire_is_a_claim(language: str) -> None:
    texts = [f"{who} {said}." for who, said in product(WORDS[language]["this"], WORDS[language]["claims"])]
    missed = [text for text in texts if not _claims(text)]
    assert len(missed) <= MOST_MISSED * len(texts) + 1, missed


@pytest.mark.parametrize("language", WORDS)
def test_what_is_said_of_another_tire_is_none(language: str) -> None:
    texts = [f"{who} {said}." for who, said in product(WORDS[language]["another"], WORDS[language]["claims"])]
    taken = [text for text in texts if _claims(text)]
    assert len(taken) <= MOST_TAKEN * len(texts), taken


def _claims(text: str) -> bool:
    return bool(read_claims(text, FRAMES_ALONE, OWN))
