"""Every edge stands where it should, through both paths, and every number of the policy has one."""

from __future__ import annotations

import tomllib
from collections.abc import Iterator
from typing import Any

import pytest

import auditor
from auditor.quantities import read_cell
from tests.edges.paths import Found, by_call, by_feed
from tests.edges.registered import EDGES, listings_of
from tests.edges.rule_book import RULES_FOLDER
from tests.edges.table_edges import BY_TABLE, ONLY_TOLD, WORDS, edges_of


@pytest.fixture(scope="module")
def feed_answers(tmp_path_factory: pytest.TempPathFactory) -> list[list[Found]]:
    """What a feed of all listings of all edges is answered, inside and outside in turn."""
    return by_feed(listings_of(EDGES), tmp_path_factory.mktemp("edges"))


@pytest.fixture(scope="module")
def call_answers() -> list[list[Found]]:
    """What one call per listing is answered."""
    return by_call(listings_of(EDGES))


def faults(answers: list[list[Found]]) -> str:
    """Every edge that does not stand where it should, one a line."""
    return "\n".join(
        f"{edge.key} ({edge.field} of {edge.listing.get('marking')}): {fault}"
        for place, edge in enumerate(EDGES)
        for fault in edge.faults(answers[2 * place], answers[2 * place + 1])
    )


def test_every_edge_stands_where_it_should_in_a_feed(feed_answers: list[list[Found]]) -> None:
    assert not faults(feed_answers)


def test_every_edge_stands_where_it_should_in_a_call(call_answers: list[list[Found]]) -> None:
    assert not faults(call_answers)


def test_both_paths_answer_alike(call_answers: list[list[Found]], feed_answers: list[list[Found]]) -> None:
    for listing, one, other in zip(listings_of(EDGES), call_answers, feed_answers, strict=True):
        assert one == other, {name: text for name, text in listing.items() if text}


def test_the_longest_marking_and_the_longest_cell() -> None:
    marking = "225/65R17 102H"
    assert isinstance(auditor.decode(marking + " " * (400 - len(marking))), auditor.Marking)
    assert isinstance(auditor.decode(marking + " " * (401 - len(marking))), auditor.Unreadable)
    assert read_cell("about " * 33 + "17", "tread_depth_mm").status == "read"  # 200 characters
    assert read_cell("about " * 33 + "017", "tread_depth_mm").status == "unreadable"


def policy_numbers(table: dict[str, Any], above: str = "") -> Iterator[tuple[str, float]]:
    """Every number of a policy with its key, such as `load_off_table.percent_in.p-metric`."""
    for name, value in table.items():
        key = f"{above}.{name}" if above else name
        if isinstance(value, dict):
            yield from policy_numbers(value, key)
        elif isinstance(value, int | float) and not isinstance(value, bool):
            yield key, float(value)


def test_every_number_of_the_policy_has_its_edges() -> None:
    policy = tomllib.loads((RULES_FOLDER / "policy.toml").read_text(encoding="utf-8"))
    numbers = dict(policy_numbers(policy["tolerance"]))
    assert set(numbers) == {edge.key for edge in EDGES if edge.key.partition(".")[0] in policy["tolerance"]}
    # Those of deliveries are held by tests/ledger/test_deliveries.py: a single listing cannot tell them.
    elsewhere = ("tolerance", "night")
    assert not list(policy_numbers({name: value for name, value in policy.items() if name not in elsewhere}))


def test_every_table_has_its_edges() -> None:
    tables = {path.stem for path in (RULES_FOLDER / "tables").glob("*.csv")}
    assert tables == {*BY_TABLE, *ONLY_TOLD, *WORDS}
    for name in BY_TABLE:
        assert edges_of([name]), name
