"""Sentences that differ in the sizes of other tires alone say the same, each with its own size."""

from __future__ import annotations

import pytest

from auditor.claims.batch.stand_ins import read_with_stand_ins
from auditor.claims.sentences import START, read_sentence
from auditor.claims.terms.lexicon import lexicon_of
from auditor.claims.terms.own import NOBODY
from tests.claims.prose import read_alone

LEXICON = lexicon_of()
SENTENCES = [
    "Size: {0}.", "Need {0} instead?", "You get a {0} here.", "This tire, {0}, replaces {1}.", "{0} 94V or {1} 98W",
    "Front {0}, rear {1}, spare {0}.", "Also in {0}, {1}, {2} and 175/65R14.", "Diese {0} trägt 850 kg.",
    "Le {0} porte 670 kg par pneu.", "LT265/70R17/E 121/118S, no {0}.",
]  # fmt: skip


@pytest.mark.parametrize("sentence", SENTENCES)
@pytest.mark.parametrize("title", [True, False])
def test_a_sentence_claims_what_it_claims_read_by_itself(sentence: str, title: bool) -> None:
    for sizes in (("205/55R16", "225/45R17", "235/65R18"), ("225/45R17", "205/55R16", "195/65R15")):
        for tokens in read_alone(sentence.format(*sizes), LEXICON, NOBODY, title):
            alone = read_sentence(tokens, START, LEXICON, title)
            assert read_with_stand_ins(tokens, lambda some: read_sentence(some, START, LEXICON, title)) == alone
