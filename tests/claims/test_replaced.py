"""What a text says its tire replaces: one text is read as a column is."""

from __future__ import annotations

import pyarrow as pa
from hypothesis import given
from hypothesis import strategies as some

from auditor.claims.batch.columns import replaced_in_column
from auditor.claims.replaced import replaced_in_text
from auditor.claims.terms.lexicon import lexicon_of
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
