"""Columns give the claims that one text gives: over trials, mutated trials and random joins of clauses."""

from __future__ import annotations

import json
import random
from pathlib import Path

import pyarrow as pa
import pytest

from auditor.claims.columns import ClaimReader, owns_of
from auditor.claims.lexicon import lexicon_of
from auditor.claims.texts import own_of, parse_claims
from auditor.trade.tables import default_tables

REFERENCE = Path(__file__).parents[1] / "reference" / "claims.jsonl"
LEXICON = lexicon_of()
TABLES = default_tables()
MARKINGS = ["LT245/75R16 120/116S E", "225/65R17 102H", "205/55 R16 91V", "", "33x12.50R20LT 114Q E", "n/a"]
TEXTS = [json.loads(line)["text"] for line in REFERENCE.read_text(encoding="utf-8").splitlines()]


TITLE_PARTS = [
    *("Skellane", "Workline AX7", "Summer", "Winter Tire", "all season", "for summer", "XL", "E", "Load Range", "LR D"),
    *("Run Flat", "ohne", "no", "3PMSF", "M+S", "Radial", "In Stock", "in stock too", "Wet Grip B", "made to last"),
    *("225/65R17 102H", "225/65 R17", "102H", "225/60R17 99V", "91H or 91V", "tubeless", "For SUV", "(XL)", "10 ply"),
]


def _titles(seed: int, count: int) -> list[tuple[str, str]]:
    """Titles of any parts in any order."""
    chance = random.Random(seed)
    rows = []
    for _ in range(count):
        text = ""
        for part in chance.sample(TITLE_PARTS, chance.randrange(2, 8)):
            text += part + chance.choice([" ", " ", " - ", ", ", " | ", ". ", " / "])
        rows.append((text, chance.choice(MARKINGS)))
    return rows


def _mixed(seed: int, count: int) -> list[tuple[str, str]]:
    chance = random.Random(seed)
    rows = [(text, chance.choice(MARKINGS)) for text in TEXTS]
    for _ in range(count):
        one, other = chance.choice(TEXTS), chance.choice(TEXTS)
        text = chance.choice(
            [f"{one} {other}", f"{one}. {other}", f"{one}, {other}", one[: chance.randrange(len(one) + 1)]]
        )
        if chance.random() < 0.4 and text:
            at = chance.randrange(len(text))
            text = text[:at] + chance.choice('.,;:?!()-"/ \n<&x9A\u00a0\u2022') + text[at + 1 :]
        rows.append((text, chance.choice(MARKINGS)))
    return [*rows, ("", MARKINGS[0]), (TEXTS[0] * 300, MARKINGS[1]), ("225/65R17 102V " * 200, MARKINGS[1])]


@pytest.mark.parametrize("title", [True, False])
def test_a_column_claims_what_each_text_claims(title: bool) -> None:
    rows = [*_mixed(7, 1_500), *_titles(11, 1_000)]
    reader = ClaimReader(LEXICON, TABLES)
    for part in (rows[:700], rows[700:], rows[:700]):
        texts, markings = pa.array([text for text, _ in part]), pa.array([marking for _, marking in part])
        codes, snapshot = reader.encode(texts, owns_of([markings, None, None], len(part)), title)
        for code, (text, marking) in zip(codes.tolist(), part, strict=True):
            parsed = parse_claims(text, LEXICON, TABLES, own_of(marking, "", ""), title)
            said = sorted(
                (one.field, one.occurrence, str(one.value), one.half_step, one.open_ended, one.words)
                for one in parsed.said
            )
            read = sorted(
                (
                    field,
                    turn,
                    str(float(kept.value[code])),
                    kept.half_step[code],
                    bool(kept.open_ended[code]),
                    kept.said[code],
                )
                for (field, turn), kept in snapshot.values.items()
                if kept.said[code]
            )
            assert (parsed.status, said) == (snapshot.status[code], read), (text, marking)


def test_null_texts_are_blank() -> None:
    codes, snapshot = ClaimReader(LEXICON, TABLES).encode(
        pa.array([None, "Load range E"]), owns_of([None] * 3, 2), False
    )
    assert codes[0] == 0
    assert snapshot.values[("load_range", 0)].said[codes[1]] == "Load range E"


def test_size_alone_and_service_description_are_the_own_marking() -> None:
    owns = owns_of([None, pa.array(["225/65R17"]), pa.array(["102H"])], 1)
    codes, snapshot = ClaimReader(LEXICON, TABLES).encode(pa.array(["Vista 225/65R17 102H"]), owns, True)
    assert owns.distinct[0].signs[snapshot.values[("marking", 0)].said[codes[0]]] == "225/65R17"
