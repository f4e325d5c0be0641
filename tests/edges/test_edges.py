"""Every edge stands where it should, through both paths, and every number of the policy has one."""

from __future__ import annotations

import tomllib
from collections.abc import Iterator
from typing import Any

import pytest

import auditor
from auditor.quantities import read_cell
from tests.edges.paths import Found
from tests.edges.registered import EDGES, answers, listings_of
from tests.edges.rule_book import RULES_FOLDER
from tests.edges.table_edges import BY_TABLE, ONLY_TOLD, edges_of


@pytest.fixture(scope="module", params=["call", "feed"])
def found(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> list[list[Found]]:
    """The answers to all listings of all edges, inside and outside in turn."""
    return answers(listings_of(EDGES), request.param, tmp_path_factory.mktemp("edges"))


def test_every_edge_stands_where_it_should(found: list[list[Found]]) -> None:
    faults = [
        f"{edge.key} ({edge.field} of {edge.listing.get('marking')}): {fault}"
        for place, edge in enumerate(EDGES)
        for fault in edge.faults(found[2 * place], found[2 * place + 1])
    ]
    assert not faults, "\n".join(faults)


def test_both_paths_answer_alike(tmp_path_factory: pytest.TempPathFactory) -> None:
    listings = listings_of(EDGES)
    folder = tmp_path_factory.mktemp("alike")
    called, fed = answers(listings, "call", folder), answers(listings, "feed", folder)
    for listing, one, other in zip(listings, called, fed, strict=True):
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
    assert not list(policy_numbers({name: value for name, value in policy.items() if name != "tolerance"}))


def test_every_table_has_its_edges() -> None:
    tables = {path.stem for path in (RULES_FOLDER / "tables").glob("*.csv")}
    assert tables == {*BY_TABLE, *ONLY_TOLD}
    for name in BY_TABLE:
        assert edges_of([name]), name
