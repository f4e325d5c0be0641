"""What a text says its tire replaces: one text is read as a column is."""

from __future__ import annotations

import pyarrow as pa
from hypothesis import given
from hypothesis import strategies as some
from pytest import MonkeyPatch, mark

from auditor.claims import replaced
from auditor.claims.batch.replaced_column import replaced_in_column
from auditor.claims.replaced import may_name, replaced_in, replaced_in_text
from auditor.claims.sentences import sentences
from auditor.claims.terms.lexicon import lexicon_of
from auditor.claims.texts import tokens_of
from auditor.rulebook.book import load_book

LEXICON, WORDS = lexicon_of(None), load_book().tables.replaces_words
_PARTS = ["replaces", "REPLACES", "ersetzt", "instead of", "225/65R17 102H", "7.50-16", "3.5", "x.y", "not", "if"]
_BETWEEN = [" ", " ", " ", ". ", ".", "!", "?", "\n", "\u00a0", "\u017f"]


@given(some.lists(some.tuples(some.sampled_from(_PARTS), some.sampled_from(_BETWEEN)), max_size=10))
def test_one_text_is_read_as_a_column_is(parts: list[tuple[str, str]]) -> None:
    text = "".join(word + between for word, between in parts)
    column = replaced_in_column(pa.array([text]), LEXICON, WORDS)
    assert column.markings.to_pylist() == list(replaced_in_text(text, LEXICON, WORDS))


def test_only_the_sentence_with_the_words_is_read_whole() -> None:
    text = "word " * 20_000 + ". Replaces 225/65R17 102H. Replaces 225/65R17 106H XL."
    assert replaced_in_text(text, LEXICON, WORDS) == ("225/65R17 102H",)


_NAMED = [
    "225/65R17 102H",
    "7.50-16 116/114L",
    "205 55 16 91V",
    "31x10.50R15 109S",
    "P 205/55 R 16",
    "2055516",
    "91",
    "V",
]
_COUNTED = [
    "319,00 €",
    "1252.00",
    "28 %",
    "2 units",
    "20.000 km",
    "2019",
    "1.319,00",
    "R16",
    ",",
    "/",
    "and",
    "by",
    "not",
]


@given(some.lists(some.sampled_from([*sorted(WORDS), "the", "?", ".", *_NAMED, *_COUNTED]), max_size=12))
def test_a_sentence_that_is_not_looked_at_names_no_tire(parts: list[str]) -> None:
    text = " ".join(parts)
    found = replaced_in(text, LEXICON, WORDS)
    with MonkeyPatch.context() as patch:
        patch.setattr(replaced, "may_name", lambda tokens, words: True)
        assert found == replaced_in.__wrapped__(text, LEXICON, WORDS)


@mark.parametrize(
    ("text", "may"),
    [
        ("Nur 300,00 € statt 319,00 €.", False),
        ("Price 548.00 instead of 1252.00, you save 28 %.", False),
        ("Au lieu de 2 pneus.", False),
        ("Statt 319,00 € für 225/65R17 102H.", True),
        ("Replaces 205 55 16 91V.", True),
        ("Replaces the 7.50-16 116L.", True),
    ],
)
def test_prices_are_told_from_tires_before_a_sentence_is_understood(text: str, may: bool) -> None:
    (tokens,) = sentences(tokens_of(text, LEXICON), LEXICON)
    assert may_name(tokens, WORDS) is may
