"""Objects within objects of JSON and Parquet feeds: every member is a column, by whichever way it is read."""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pyarrow as pa
import pyarrow.parquet as pq
import pytest

import auditor
from auditor.errors import FeedError
from auditor.feeds import json_cells
from auditor.feeds.json_values import LEVELS
from auditor.feeds.model import HELD, RELEASED, Limits
from tests.feeds.reading import everything, opened, split_texts

SINGLE, DUAL = {"marking": "275/70R22.5 148/145M"}, "spec.capacity.load.dual"


def listing(number: int, single: object = "3150kg", dual: object = "2900kg") -> dict[str, Any]:
    spec = {"capacity": {"load": {"single": single, "dual": dual}, "li": [148, 145]}, "wide": {}, "plies": None}
    return {"sku": f"K-{number}", **SINGLE, "spec": spec}


def written(path: Path, rows: list[Any]) -> Path:
    texts = [row if isinstance(row, str) else json.dumps(row, ensure_ascii=False) for row in rows]
    if path.suffix == ".jsonl":
        path.write_text("\n".join(texts) + "\n", "utf-8")
    else:
        path.write_text('{"items": [\n' + ",\n".join(texts) + "\n]}", "utf-8")
    return path


@pytest.fixture(params=["jsonl", "json"])
def place(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[Path]:
    yield tmp_path / f"feed.{request.param}"


HEADERS = ("sku", "marking", "spec.capacity.load.single", DUAL, "spec.capacity.li", "spec.plies")


def test_members_on_every_level_are_columns(place: Path) -> None:
    feed = opened(written(place, [listing(1), listing(2, dual=None)]))
    assert feed.headers == HEADERS
    cells, rejected = everything(feed)
    assert not rejected
    assert cells[1] == ["K-1", SINGLE["marking"], "3150kg", "2900kg", "[148, 145]", ""]
    assert cells[2][3] == ""
    assert feed.sample(5)[3] == ["2900kg", ""]


ODD: list[Any] = [
    {"sku": "K-1", "spec": None},
    {"sku": "K-2", "spec": {"capacity": None}},
    {"sku": "K-3", "spec": {"capacity": {"load": "see the data sheet"}}},
    {"sku": "K-4", "spec": "none"},
    {"sku": "K-5", "spec": {"capacity": {"load": {"dual": 2900.5, "single": True}}}},
    {"sku": "K-6", "spec.capacity.load.dual": "2900 kg"},
]


@pytest.mark.parametrize("odd", ODD, ids=lambda row: row["sku"])
def test_fast_and_slow_reading_agree(place: Path, odd: dict[str, Any], monkeypatch: pytest.MonkeyPatch) -> None:
    feed = opened(written(place, [listing(9), odd, listing(10, dual=2900)]))
    asked = [position for position, header in enumerate(feed.headers) if header != "spec.capacity.li"]
    (unit,) = feed.units()
    fast = [[text or "" for text in column.to_pylist()] for column in feed.read(unit, asked).columns]
    monkeypatch.setattr(json_cells, "_by_arrow", lambda *_: None)
    slow = [[text or "" for text in column.to_pylist()] for column in feed.read(unit, asked).columns]
    assert fast == slow
    assert feed.sample(5) == [everything_of(feed, position) for position in range(len(feed.headers))]


def everything_of(feed: Any, position: int) -> list[str]:
    cells, _ = everything(feed)
    return [cells[number][position] for number in sorted(cells)]


@pytest.mark.parametrize("rows", [[listing(1), listing(2)], [listing(1), {"sku": "K-2", "spec": None}]])
def test_nested_lines_are_read_at_once(tmp_path: Path, rows: list[Any], monkeypatch: pytest.MonkeyPatch) -> None:
    feed = opened(written(tmp_path / "feed.jsonl", rows))
    monkeypatch.delattr(json_cells, "_one_by_one")
    (unit,) = feed.units()
    asked = [feed.headers.index(name) for name in ("sku", "spec.capacity.load.single", DUAL)]
    assert feed.read(unit, asked).columns[2].to_pylist()[0] == "2900kg"


def deep(levels: int) -> dict[str, Any]:
    value: Any = "x"
    for level in range(levels, 0, -1):
        value = {f"k{level}": value}
    assert isinstance(value, dict)
    return value


@pytest.mark.parametrize(
    ("levels", "text"), [(1, "x"), (2, "x"), (LEVELS, "x"), (LEVELS + 1, '{"k7": "x"}'), (399, "{")]
)
def test_what_is_deeper_stays_a_text(place: Path, levels: int, text: str) -> None:
    feed = opened(written(place, [{"sku": "K-1", **deep(levels)}, {"sku": "K-2", **deep(levels)}]))
    assert feed.headers == ("sku", ".".join(f"k{level}" for level in range(1, min(levels, LEVELS) + 1)))
    assert everything(feed)[0][2][1].startswith(text)


def test_damaged_lines_cost_only_themselves(tmp_path: Path) -> None:
    rows = [listing(1), '{"sku": "K-2", "spec": {"capacity": {"load": {"single"', listing(3), "[1]", listing(5)]
    feed = opened(written(tmp_path / "feed.jsonl", rows))
    cells, rejected = everything(feed)
    assert {number: row[3] for number, row in cells.items()} == dict.fromkeys((1, 3, 5), "2900kg")
    assert [record.record for record in rejected] == [2, 4]


def test_objects_are_released_and_held_as_they_were(place: Path, tmp_path: Path) -> None:
    rows = [listing(number) for number in range(1, 5)]
    feed = opened(written(place, rows))
    released, held = split_texts(feed, [RELEASED, HELD, RELEASED, RELEASED], tmp_path / "out")
    read = [
        json.loads(text)["items"] if place.suffix == ".json" else [json.loads(line) for line in text.splitlines()]
        for text in (released, held)
    ]
    assert read == [[rows[0], rows[2], rows[3]], [rows[1]]]


def test_a_table_within_each_object_does_not_get_the_feed_refused(place: Path) -> None:
    prices = {f"customer {number}": {"net": number} for number in range(30)}
    rows = [{"sku": f"K-{number}", **SINGLE, "deal": {"prices": prices}} for number in range(3)]
    feed = opened(written(place, rows), Limits(columns=20))
    assert feed.headers == ("sku", "marking", "deal.prices")
    assert json.loads(everything(feed)[0][1][2]) == prices
    with pytest.raises(FeedError, match="more than the limit of 20"):
        opened(written(place, [{"sku": "K-1", **SINGLE, "prices": prices}]), Limits(columns=20))


def test_structs_within_structs_are_columns(tmp_path: Path) -> None:
    rows = [listing(1), listing(2, dual=None), {"sku": "K-3", **SINGLE, "spec": None}]
    for row in rows:
        if row["spec"]:
            del row["spec"]["wide"]
    path = tmp_path / "feed.parquet"
    pq.write_table(pa.Table.from_pylist(rows), path)
    feed = opened(path)
    assert feed.headers == HEADERS
    cells, _ = everything(feed)
    assert [cells[number][3] for number in (1, 2, 3)] == ["2900kg", "", ""]
    few = opened(path, Limits(columns=5))
    assert few.headers == ("sku", "marking", "spec.capacity", "spec.plies")
    assert "2900kg" in everything(few)[0][1][2]


def test_an_overstated_dual_load_is_found_in_any_depth(place: Path) -> None:
    rows = [listing(number) for number in range(1, 30)]
    rows[7] = listing(8, dual="3550kg")
    result = auditor.audit(str(written(place, rows)))
    found = [(row["record"], row["rule"], row["column"]) for row in result.findings.to_pylist()]
    assert found == [(8, "load-overstated", DUAL)]
    (feed,) = result.summary["feeds"]
    assert feed["records"] == 29
    assert feed["released"] == 28
