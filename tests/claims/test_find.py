"""Claims in titles and sales texts, one text at a time.

`tests/reference/claims.jsonl` was written by hand, text by text, from wordings seen in listings: common practice, no
source.  Half of it must stay silent.
"""

from __future__ import annotations

import json
import subprocess
import sys
import time
from pathlib import Path

import pytest

from auditor.claims.find import read_claims

REFERENCE = Path(__file__).parents[1] / "reference" / "claims.jsonl"
CASES = [json.loads(line) for line in REFERENCE.read_text(encoding="utf-8").splitlines()]


@pytest.mark.parametrize("case", CASES, ids=[case["text"][:60] for case in CASES])
def test_reference_texts(case: dict[str, object]) -> None:
    claims = read_claims(str(case["text"]))
    assert [[claim.field, claim.value] for claim in claims] == case["claims"]
    assert any(claim.open_ended for claim in claims) == case.get("open_ended", False)
    for claim in claims:
        assert claim.words in str(case["text"])


def test_enough_reference_texts_of_both_kinds() -> None:
    silent = sum(not case["claims"] for case in CASES)
    assert len(CASES) >= 150
    assert silent >= 60


def test_words_run_from_the_first_word_that_makes_the_claim() -> None:
    (claim,) = read_claims("Our best: with a maximum load of 1,874 lb.")
    assert claim.words == "maximum load of 1,874 lb"
    assert claim.half_step == 0.5


@pytest.mark.parametrize(
    ("text", "half_step"), [("max load 850 kg", 0.5), ("max load 850.5 kg", 0.05), ("Tragfähigkeit 1.030 kg", 0.5)]
)
def test_half_of_the_last_stated_digit(text: str, half_step: float) -> None:
    assert read_claims(text)[0].half_step == pytest.approx(half_step)


def test_claims_come_in_text_order() -> None:
    text = "10-ply LT245/75R16 120/116S E, max load 3,042 lb, 3PMSF"
    fields = [claim.field for claim in read_claims(text)]
    assert fields == ["ply_rating", "marking", "max_load_lb", "severe_snow"]


def test_another_tire_silences_its_own_sentence_only() -> None:
    text = "Takes over from 265/70R16 and 255/70R16, which carry 1,030 kg. This tire: max load 2,000 lbs."
    assert [(claim.field, claim.value) for claim in read_claims(text)] == [("max_load_lb", 2000.0)]


@pytest.mark.parametrize(
    "piece",
    [
        "225/65R17 102H ",
        "max load of a ",
        "1,234,567",
        "H-rated ",
        "((((",
        "up to up to 5 ",
        "_",
        "fits 225/65R17 ",
        "M + ",
    ],
)
def test_time_grows_with_the_length_only(piece: str) -> None:
    def seconds(times: int) -> float:
        text = piece * times
        best = float("inf")
        for _ in range(3):
            start = time.perf_counter()
            read_claims(text)
            best = min(best, time.perf_counter() - start)
        return best

    short, long = seconds(500), seconds(4000)
    assert long < 40 * short + 0.05  # eight times the text


def test_the_import_stays_light() -> None:
    code = "import sys, auditor.claims.find; print([m for m in ('numpy', 'pyarrow', 'pandas') if m in sys.modules])"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"
