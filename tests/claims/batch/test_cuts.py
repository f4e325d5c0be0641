"""Columns cut byte by byte give the words that one text gives; sizes and service descriptions are one token each."""

from __future__ import annotations

import random

import numpy as np
import pyarrow as pa
import pytest

from auditor.claims.batch.cuts import FIGURE_MARK, NOTHING_MARK, Words, stretches, words_of
from auditor.claims.batch.vocabulary import BITS, CONSTRUCTION, NUMBERS, PART, PREFIX, Vocabulary
from auditor.claims.batch.vocabulary import is_figure as figure
from auditor.claims.terms.lexicon import lexicon_of
from auditor.claims.terms.own import part_of, size_key
from auditor.claims.terms.words import BREAK, SERVICE, SIZE, clean, tokens_of_word

PARTS = [
    *("225", "60", "17", "R", "R17", "ZR 17", "R 16", "18R 19", "5", "05", "15", "12", "33x12.50", "245/75"),
    *("r", "z", "Z", "m.p.h.", " m. p. h", "112 m.p.h. is", "K.P.H"),
    *("LT", "P", "ST", "HL", "245/75R16", "LT245/75", "LT 245/75", "225/60 17", "225 60 17", "225-60-R17", "R16 LT"),
    *(".", ". ", "P.R.", "P. R", "L. I.", "O.D.", "O. D. 4", "A", "a", "I", "L", "in", "lbs.", "Wide ", "1,234"),
    *("1234567", "123456", "012345", "1" * 30, "x" * 60, "||", "|", "\n", "\r\n", "\n\n", "•", "·", "✔", "● "),
    *(" ", " ", " ", " ", "  ", "\t", "\x0b", "\x1c", "\x01", "\xa0", "é", "€", "/", "-", "x", ":", "(", ")", ","),
]  # fmt: skip


def _words(cut: Words) -> list[list[str]]:
    """The words of every text as `clean` and `split` have them."""
    all_words = cut.texts(np.arange(len(cut.marks)))
    marks = cut.marks.tolist()
    found = []
    for start, end in zip(cut.bounds[:-1].tolist(), cut.bounds[1:].tolist(), strict=True):
        held = [all_words[at] for at in range(start, end) if marks[at] != NOTHING_MARK]
        found.append([part for word in held for part in ([BREAK] if word[0] in "\n\r" else word.split())])
    return found


@pytest.mark.parametrize("seed", range(4))
def test_columns_are_cut_as_each_text_is(seed: int) -> None:
    chance = random.Random(seed)
    mark_of: dict[str, int] = {}
    for _ in range(150):
        texts = ["".join(chance.choices(PARTS, k=chance.randrange(14))) for _ in range(chance.randrange(1, 60))]
        cut = words_of(pa.array(["before", *texts, "R17"]).slice(1, len(texts)))
        assert _words(cut) == [clean(text).split() for text in texts]
        figures = dict(zip(cut.figures.tolist(), cut.numbers.tolist(), strict=True))
        for at, (mark, word) in enumerate(zip(cut.marks.tolist(), cut.texts(np.arange(len(cut.marks))), strict=True)):
            if mark == NOTHING_MARK or word[0] in "\n\r":
                continue
            assert (mark == FIGURE_MARK) == figure(word) == (at in figures)
            if mark == FIGURE_MARK:
                assert figures[at] == int(word)
            else:
                assert mark_of.setdefault(word, mark) == mark
    assert len(set(mark_of.values())) == len(mark_of)


def test_stretches_hold_every_text_once() -> None:
    texts = pa.array(["", "a" * 400_000, "b" * 900_000, "c", "", "d" * 200_000, ""]).slice(1)
    parts = list(stretches(texts))
    assert [start for start, _ in parts] == [0, *(stop for _, stop in parts[:-1])]
    assert parts[-1][1] == len(texts)
    assert list(stretches(pa.array([], pa.string()))) == []


def test_codes_are_kept_as_they_are_one_by_one() -> None:
    ends = ("R17", "ZR17", "RF17", "r17", "D17", "-17", "B17", "R22.5", "-22.5", "R17C", "D17LT", "ZR22.5LT")
    sizes = [f"{prefix}{width}" for prefix in ("", "LT", "P", "HL") for width in ("65/35", "225/75", "315/100")]
    codes = [size + end for size in sizes for end in ends]
    codes += ["7.50R16", "7.50R16LT", "5R17", "185R14C", "33x12.50R20", "31X10.5-15LT", "9.5-16", "12.4/70-28"]
    codes += ["MT90B16"] + [index + symbol for index in ("75", "102", "120/116") for symbol in ("H", "A8", "Y", "N")]
    codes = [code for code in codes if clean(code) == code]
    rows: list[list[tuple[object, ...]]] = []
    for at_once in (True, False):
        vocabulary = Vocabulary(lexicon_of())
        if at_once:
            flat, bounds = vocabulary.cut(pa.array(codes, pa.string()))
            assert bounds.tolist() == list(range(len(codes) + 1))
        else:
            flat = np.array([vocabulary.token(code) for code in codes], np.int64)
        names = {number: key for key, number in vocabulary._known.items()} | {0: None}
        table = vocabulary.table
        rows.append([
            (vocabulary.tokens[token], int(table[BITS][token]), *(names[int(table[column][token])]
             for column in (NUMBERS, PREFIX, CONSTRUCTION)),
             vocabulary.tokens[table[PART][token]] if table[PART][token] >= 0 else "")
            for token in flat.tolist()
        ])  # fmt: skip
    assert rows[0] == rows[1]
    for code, row in zip(codes, rows[0], strict=True):
        assert SIZE.fullmatch(code) or SERVICE.fullmatch(code), code
        assert tokens_of_word(code) == (code,)
        assert row[0] == code
        assert row[2] == (size_key(code).numbers if SIZE.fullmatch(code) else None)
        assert row[5] == (part_of(code) if SIZE.fullmatch(code) else "")


@pytest.mark.parametrize("code", ["225/75R16", "LT245/75R16", "33x12.50R20LT", "9.5-16", "185R14C", "MT90B16", "102H",
                                  "120/116S", "315/80R22.5", "75A8"])  # fmt: skip
def test_codes_with_a_sign_behind_them_are_two_tokens(code: str) -> None:
    words = [code + behind for behind in ("", ".", ",", ";", ":", ")", "!", "?", "..", ".)", ",x", "'", '"', ".5")]
    vocabulary = Vocabulary(lexicon_of())
    flat, bounds = vocabulary.cut(pa.array([*words, *words], pa.string()))
    for word, start, end in zip([*words, *words], bounds[:-1].tolist(), bounds[1:].tolist(), strict=True):
        tokens = [vocabulary.text(one) for one in flat[start:end].tolist()]
        assert tokens == [token for part in clean(word).split() for token in lexicon_of().tokens_of_word(part)], word
