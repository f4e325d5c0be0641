"""Keys of JSON lines that first stand far down in a file: each is found, and its values are read."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

import auditor
from auditor.feeds import json_keys
from auditor.feeds.json_values import flat
from tests.feeds.reading import opened

PLAIN: dict[str, Any] = {"sku": "A", "marking": "225/65R17 102H", "note": 'said: "so": {yes}', "size": {"rim": 17}}


def written(path: Path, *rare: tuple[int, dict[str, Any]], records: int = 12_000) -> Path:
    lines = [json.dumps({**PLAIN, "sku": f"A{number}"}) for number in range(records)]
    for record, more in rare:
        lines[record] = json.dumps({**PLAIN, "sku": f"A{record}", **more})
    path.write_text("\n".join(lines) + "\n", "utf-8")
    return path


RARE = (
    (7_001, {"max_load_kg": 950}),
    (9_500, {"size": {"rim": 17, "width": 225}}),  # an inner key of a known outer one
    (11_000, {"rim": 16}),  # known as an inner key alone
    (11_998, {"other": {"rim": 16, "note": "x"}}),
    (11_500, {"size": {"of": {"rim": 17}}}),  # known on a level above
    (11_600, {"size": {"of": {"its": {"own": {"rim": 17}}}}}),
    (11_999, {'Höhe "in" mm': 60, "k": 1}),
)


@pytest.mark.parametrize("chunk", [1 << 12, 1 << 16, 4 << 20])
@pytest.mark.parametrize("rare", RARE, ids=lambda rare: ",".join(rare[1]))
def test_a_key_far_down_is_found(
    tmp_path: Path, rare: tuple[int, dict[str, Any]], chunk: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(json_keys, "_CHUNK", chunk)
    monkeypatch.setattr(json_keys, "SAMPLE_LINES", 200)
    feed = opened(written(tmp_path / "feed.jsonl", rare))
    wanted = set(flat(rare[1]))
    assert wanted <= set(feed.headers)
    cells = dict(zip(feed.headers, feed.sample(20), strict=True))
    assert all(any(cells[header]) for header in wanted)


def test_one_name_in_two_inner_objects_is_two_keys(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(json_keys, "SAMPLE_LINES", 200)
    both = {"spec": {"rim": {"width": 6, "code": 17}, "tread": {"depth": 8}}}
    lines = [json.dumps(both)] * 9_000
    lines[8_000] = json.dumps({"spec": {"rim": both["spec"]["rim"], "tread": {"width": 190}}})
    path = tmp_path / "feed.jsonl"
    path.write_text("\n".join(lines) + "\n", "utf-8")
    assert opened(path).headers == ("spec.rim.width", "spec.rim.code", "spec.tread.depth", "spec.tread.width")


@pytest.mark.parametrize("length", [1, 8, 9, 16, 24, 25, 40, 100, 511, 512, 513, 700])
def test_names_that_differ_in_one_letter_are_two(length: int) -> None:
    name = "abcdefgh" * (length // 8 + 1)
    names = {name[:length], *(name[:place] + "#" + name[place + 1 : length] for place in range(length))}
    marks, _ = json_keys._keys_in("\n".join(f'{{"{one}": 1}}' for one in names).encode())
    assert len(set(marks.tolist())) == len(names) == length + 1


def test_it_is_audited_and_placed_by_its_values(tmp_path: Path) -> None:
    rare = [(8_000 + number, {"zul": load}) for number, load in enumerate([850] * 24 + [990])]
    result = auditor.audit(str(written(tmp_path / "feed.jsonl", *rare)))
    found = [(row["record"], row["rule"], row["column"]) for row in result.findings.to_pylist()]
    assert found == [(8_025, "load-overstated", "zul")]
    assert result.summary["feeds"][0]["records"] == 12_000


def test_what_only_looks_like_a_key_costs_no_more_than_a_look(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "feed.jsonl"
    lines = [
        json.dumps({"sku": f"A{number}", "note": f'{{"n{number}" : {number}, "{number}": 1}}'})
        for number in range(9_000)
    ]
    path.write_text("\n".join(lines) + "\n", "utf-8")
    assert opened(path).headers == ("sku", "note")
    reads = []
    monkeypatch.setattr(json_keys, "note_keys", lambda found, line: reads.append(line))
    json_keys.keys_of(path, 0, 4_000)
    assert len(reads) < 50
