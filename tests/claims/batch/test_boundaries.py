"""What is no letter ends a word for both engines of patterns, so that both paths see the same sizes."""

from __future__ import annotations

import re
import unicodedata

import pyarrow as pa
import pyarrow.compute as pc
import pytest

from auditor.claims.batch.condenser import condense
from auditor.claims.find import read_claims
from auditor.claims.words import NO_LETTER_OR_DIGIT

CHARACTERS = [chr(code) for code in range(0x110000) if unicodedata.category(chr(code)) not in ("Cs", "Cn")]
TOUCHING = [
    "\ufffd",
    "\u2122",
    "\U0001f525",
    "\ufe0f",
    "\u3000",
    "\uff0c",
    "\ue000",
    "\u0301",
    "\u00e9",
    "\u00b2",
    "\u0663",
]


def test_both_engines_call_the_same_characters_letters() -> None:
    other = pc.match_substring_regex(pa.array(CHARACTERS), f"^{NO_LETTER_OR_DIGIT}$").to_pylist()
    assert [c for c, no in zip(CHARACTERS, other, strict=True) if no == bool(re.match(r"\w", c))] == []


@pytest.mark.parametrize("sign", TOUCHING, ids=lambda sign: f"U+{ord(sign):04X}")
@pytest.mark.parametrize(
    "title",
    [
        "Larkmoor 235/65{}R16C 115/113R",
        "Larkmoor {}235/65R16C 115/113R",
        "Larkmoor 235/65R16C{} 115/113R",
        "Larkmoor{}235/65R16C{}115/113R",
        "quiet{}winter tire, max load{}850{}kg{}each",
    ],
)
def test_a_condensed_title_claims_what_the_whole_one_does(title: str, sign: str) -> None:
    text = title.replace("{}", sign)
    condensed = condense(pa.array([text]))[0].as_py()

    def claims(of: str) -> list[tuple[str, str]]:
        return [(claim.field, str(claim.value)) for claim in read_claims(of)]

    assert claims(condensed) == claims(text)
