"""The judge of the audit is judged too: it must be able to say no."""

from __future__ import annotations

import random

import pytest

from tests.catalog.cases import number_causes, transposed, with_digit, without_digit
from tests.catalog.faults import FAULTS
from tests.catalog.judge import Finding, judge, same_value
from tests.catalog.layout import Laid, lay_out
from tests.catalog.valid import Maker, valid


@pytest.fixture
def laid() -> Laid:
    maker = Maker(5)
    return lay_out("feed", valid(maker, 3), [FAULTS["kg cell holds the lb value"].case(maker)], random.Random(1))


def finding(record: int, **more: object) -> Finding:
    return {
        "record": record, "rule": "load-overstated", "field": "max_load_kg", "grade": "critical",
        "likely_cause": "unit-swapped", "derived": "", "message": "",
    } | more  # fmt: skip


def test_a_full_answer_counts_everywhere(laid: Laid) -> None:
    answer = laid.answers[0]
    total = judge(laid, [finding(answer.record, derived=f"{answer.expect.derived}")]).total
    assert (total.found, total.named, total.ruled, total.graded, total.valued, total.caused) == (1, 1, 1, 1, 1, 1)


def test_nothing_found_is_a_miss(laid: Laid) -> None:
    verdict = judge(laid, [])
    assert verdict.total.found == 0
    assert [lack for _, lack, _ in verdict.misses] == ["not found"]


def test_the_wrong_field_is_found_but_not_named(laid: Laid) -> None:
    verdict = judge(laid, [finding(laid.answers[0].record, field="title")])
    assert (verdict.total.found, verdict.total.named) == (1, 0)


def test_a_finding_on_a_right_listing_is_a_false_alarm(laid: Laid) -> None:
    right = next(record for record in range(1, 5) if record not in laid.kinds)
    verdict = judge(laid, [finding(right), finding(right, grade="minor")])
    assert (len(verdict.alarms), len(verdict.whispers)) == (1, 1)


def test_another_finding_beside_the_mistake_is_a_stray(laid: Laid) -> None:
    beside = finding(laid.answers[0].record, rule="rim-mismatch", field="rim_diameter_in")
    assert judge(laid, [beside]).total.stray == 1


@pytest.mark.parametrize(
    ("wanted", "got", "same"),
    [
        (850, "850", True),
        (850, "850 kg", True),
        (1874, "1,874", True),
        (850, "950", False),
        ("H", "H", True),
        ("22.5", "22", False),
    ],
)
def test_derived_values_are_compared_as_numbers(wanted: float | str, got: str, same: bool) -> None:
    assert same_value(wanted, got) is same


def test_slips_of_the_hand() -> None:
    assert transposed("850") == ["580", "805"]
    assert without_digit("850") == ["50", "80", "85"]
    assert "8850" in with_digit("850", "8")


def test_causes_that_reproduce_a_number() -> None:
    assert {"unit-swapped"} <= number_causes(850, 1874)
    assert {"per-pair"} <= number_causes(850, 1700)
    assert {"digit-added", "decimal-slip"} <= number_causes(850, 8500)
    assert number_causes(850, 933) == set()
