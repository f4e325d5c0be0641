"""Numbers in words, written as one word or as several."""

from __future__ import annotations

import pytest

from auditor.claims.terms.items import items_of
from auditor.claims.terms.lexicon import lexicon_of
from auditor.rulebook.texts import WORD

NUMBERS = [
    ("de", "vierhundertfünfundzwanzig", 425),
    ("de", "achthundertfünfzig", 850),
    ("de", "elfhundert", 1100),
    ("de", "zweitausendachthundert", 2800),
    ("de", "achtzehnhundertfünfzig", 1850),
    ("de", "hunderteinundzwanzig", 121),
    ("nl", "zevenhonderd", 700),
    ("nl", "zevenhonderdvijfenzeventig", 775),
    ("nl", "tweeëntwintighonderd", 2200),
    ("nl", "tweeduizend vijfhonderd", 2500),
    ("it", "settecentodieci", 710),
    ("it", "centottanta", 180),
    ("it", "milleduecentocinquanta", 1250),
    ("it", "duemilacinquecento", 2500),
    ("it", "ottocentoventotto", 828),
    ("fr", "cent soixante", 160),
    ("fr", "mille cent vingt cinq", 1125),
    ("fr", "huit cent quatre vingt dix", 890),
    ("fr", "soixante et onze", 71),
    ("es", "ochocientos setenta y cinco", 875),
    ("es", "mil doscientos cincuenta", 1250),
    ("pl", "osiemset pięćdziesiąt", 850),
    ("pl", "tysiąc dwieście", 1200),
    ("en", "nine hundred and fifty", 950),
    ("en", "eighteen hundred and fifty", 1850),
    ("en", "two thousand one hundred fifty five", 2155),
]
OTHERS = [("de", "hundertmal"), ("de", "Tausendsassa"), ("nl", "zeventigplusser"), ("it", "centotredicesimo")]


@pytest.mark.parametrize(("language", "text", "number"), NUMBERS)
def test_words_are_one_number(language: str, text: str, number: float) -> None:
    items = items_of(text.split(), lexicon_of(), language)
    assert [item.numbers for item in items] == [(number,)]


@pytest.mark.parametrize(("language", "word"), OTHERS)
def test_words_that_only_begin_like_a_number_are_none(language: str, word: str) -> None:
    (item,) = items_of([word], lexicon_of(), language)
    assert not item.numbers


def test_a_hint_stays_filler_to_the_frames() -> None:
    (item,) = items_of(["quiet"], lexicon_of(), "en")
    assert item.kind == "filler"
    assert {role for role in item.roles if role[0] != WORD} == {"praise"}
