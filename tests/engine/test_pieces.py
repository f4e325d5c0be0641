"""How many records are audited at once, that memory stays flat whatever they hold."""

from __future__ import annotations

from pytest import mark

from auditor.engine.pieces import BESIDE_ONE, FEWEST_RECORDS, FIRST_RECORDS, MOST_RECORDS, MOST_SENTENCES, PieceSizes


@mark.parametrize("of_each", [0.5, 0.9, 1.0, 2.0])
def test_fewer_records_are_audited_at_once_where_hardly_two_texts_are_alike(of_each: float) -> None:
    sizes = PieceSizes()
    assert sizes.next_size() == FIRST_RECORDS
    sizes.learn(FIRST_RECORDS, 0, int(of_each * FIRST_RECORDS))
    assert FIRST_RECORDS <= sizes.next_size() <= max(FIRST_RECORDS, MOST_SENTENCES / of_each)


def test_records_whose_sentences_were_met_are_audited_as_many_at_once_as_before() -> None:
    sizes, beside = PieceSizes(), PieceSizes(BESIDE_ONE)
    for one in (sizes, beside):
        one.learn(FIRST_RECORDS, 0, FIRST_RECORDS // 1000)
    assert sizes.next_size() == MOST_RECORDS
    assert beside.next_size() == BESIDE_ONE


def test_many_findings_count_more_than_texts() -> None:
    sizes = PieceSizes()
    sizes.learn(FIRST_RECORDS, 200 * FIRST_RECORDS, 1)
    assert sizes.next_size() == FEWEST_RECORDS
    sizes.learn(FEWEST_RECORDS, 0)
    assert sizes.next_size() == MOST_RECORDS
