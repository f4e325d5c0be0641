"""A listing is asked only the rules that may have something to say, and gets what all of them would say."""

from __future__ import annotations

import random

import pytest

from auditor.judging.checks import CHECKS, OF_STATED
from auditor.judging.comparator import run_rules
from auditor.judging.single.hits import ScalarCollector
from auditor.judging.single.plan import plan_of
from auditor.judging.single.statements import ListingStatements
from auditor.rulebook.book import load_book
from tests.judging.test_same_verdict import mixed, rule_examples

BOOK = load_book()
WIDE = load_book(market="all")


def _said(listing: dict[str, str], every: bool) -> tuple[list[tuple[object, ...]], list[str]]:
    st = ListingStatements([(name, name, text) for name, text in listing.items()], WIDE)
    out = ScalarCollector()
    if every:
        run_rules(st, out)
    else:
        st.run_rules(out)
    hits = [(hit.rule.id, hit.source, hit.report, hit.about, repr(hit.stated), repr(hit.derived)) for hit in out.hits]
    return hits, list(out.could_not_tell_rules)


def test_what_is_left_out_has_nothing_to_say() -> None:
    listings = [*rule_examples(), *mixed(300, seed=23)]
    random.Random(5).shuffle(listings)  # what is kept beside a marking comes from other listings
    spoke = 0
    for listing in listings:
        asked, every = _said(listing, every=False), _said(listing, every=True)
        assert asked == every, listing
        spoke += bool(every[0])
    assert spoke > 200


def test_agreement_with_one_marking_is_none_with_another() -> None:
    for marking, agrees in (("225/65R17 102H", True), ("225/65R17 106H", False), ("225/65R17 102H", True)):
        found = _said({"marking": marking, "max_load_kg": "850", "load_index": "102"}, every=False)
        assert (found[0] == []) == agrees


def test_a_book_is_asked_by_its_own_plan() -> None:
    assert plan_of(BOOK) is plan_of(BOOK)
    assert plan_of(BOOK) is not plan_of(WIDE)


@pytest.mark.parametrize("check", sorted(OF_STATED))
def test_checks_of_stated_values_exist_and_name_fields(check: str) -> None:
    assert check in CHECKS
    rule = WIDE.with_check(check)
    assert rule is not None and rule.fields
