"""The same verdict by every way in: call, many, stream, command, HTTP, frames of each library, files; keys included."""

from __future__ import annotations

import csv
import json
import random
from collections.abc import Callable
from pathlib import Path
from typing import Any

import duckdb
import httpx
import pandas as pd
import polars as pl
import pyarrow as pa
import pyarrow.parquet as pq
import pytest

import auditor
from auditor.programs.stream import Answering
from auditor.programs.verdict import IN_JSON
from auditor.rulebook.book import load_book
from tests.programs.service.test_app import CLIENT
from tests.shell.running import InProcess
from tests.trials.listings import FOLDER, read

Listing = dict[str, str]
Said = list[tuple[str, list[dict[str, Any]]]]  # of each listing: the verdict and the findings

# Each of a supplier of its own; what rules across listings say all the same is left out of the comparison.
ACROSS = {rule.id for rule in load_book().rules if rule.kind == "across"}
LISTINGS: list[Listing] = [
    {**row["listing"], "supplier": f"Supplier {number}", "sku": f"S-{number}"}
    for number, row in enumerate(read(sorted(FOLDER.glob("listings*.jsonl"))))
]
random.Random(5).shuffle(LISTINGS)
LISTINGS = LISTINGS[:250]
NAMES = sorted({name for listing in LISTINGS for name in listing})
TABLE = pa.table({name: [listing.get(name) for listing in LISTINGS] for name in NAMES})


def by_call() -> Said:
    verdicts = [auditor.audit_listing(listing) for listing in LISTINGS]
    return [(one.verdict, [finding.as_json() for finding in one.findings]) for one in verdicts]


def by_many() -> Said:
    return [
        (one.verdict, [finding.as_json() for finding in one.findings]) for one in auditor.audit_listings(iter(LISTINGS))
    ]


def of_answers(answers: list[dict[str, Any]]) -> Said:
    return [(answer["verdict"], answer["findings"]) for answer in answers]


def by_stream() -> Said:
    return of_answers(Answering(load_book()).lines([json.dumps(listing).encode() for listing in LISTINGS]))


def by_http() -> Said:
    return of_answers([CLIENT.post("/listing", json=listing).json() for listing in LISTINGS])


def by_http_lines() -> Said:
    response: httpx.Response = CLIENT.post("/listings", content="\n".join(map(json.dumps, LISTINGS)))
    return of_answers([json.loads(line) for line in response.text.splitlines()])


def of_result(result: Any) -> Said:
    found: list[list[dict[str, Any]]] = [[] for _ in LISTINGS]
    findings = result.findings
    for row in pa.table(findings).to_pylist() if not isinstance(findings, pd.DataFrame) else _rows(findings):
        if row["rule"] not in ACROSS:
            found[row["record"] - 1].append({name: row[name] for name in IN_JSON})
    held = set(load_book().held_grades())
    return [("hold" if any(one["grade"] in held for one in own) else "release", own) for own in found]


def _rows(frame: pd.DataFrame) -> list[dict[str, Any]]:
    rows: list[dict[str, Any]] = pa.Table.from_pandas(frame, preserve_index=False).to_pylist()
    return rows


TABLES: dict[str, Callable[[], Any]] = {
    "arrow": lambda: TABLE,
    "pandas": TABLE.to_pandas,
    "pandas on arrow": lambda: TABLE.to_pandas(types_mapper=pd.ArrowDtype),
    "polars": lambda: pl.from_arrow(TABLE),
    "duckdb": lambda: duckdb.from_arrow(TABLE),
}
CALLS: dict[str, Callable[[], Said]] = {
    "many": by_many,
    "stream": by_stream,
    "http": by_http,
    "http lines": by_http_lines,
}


@pytest.fixture(scope="module")
def called() -> Said:
    said = by_call()
    assert sum(len(findings) for _, findings in said) > 60
    return said


def differing(said: Said, called: Said) -> list[Any]:
    """The listings on which two ways differ; `column` counts only where the listing has such a member."""
    assert len(said) == len(called)
    return [
        (listing, one, other)
        for listing, one, other in zip(LISTINGS, said, called, strict=True)
        if _plain(one) != _plain(other)
    ]


def _plain(one: tuple[str, list[dict[str, Any]]]) -> Any:
    return one[0], [{**finding, "column": ""} for finding in one[1]]


@pytest.mark.parametrize("way", CALLS)
def test_calls_and_services_agree(way: str, called: Said) -> None:
    assert CALLS[way]() == called


def test_the_command_agrees(called: Said, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> None:
    ended = InProcess(capsys, monkeypatch)("listing", "--json", stdin=json.dumps(LISTINGS))
    assert of_answers(json.loads(ended.out)) == called


@pytest.mark.parametrize("kind", TABLES)
def test_tables_agree(kind: str, called: Said) -> None:
    result = auditor.audit(TABLES[kind]())
    assert differing(of_result(result), called) == []


@pytest.mark.parametrize("kind", ["csv", "parquet", "jsonl"])
def test_files_agree(kind: str, called: Said, tmp_path: Path) -> None:
    path = tmp_path / f"offers.{kind}"
    if kind == "csv":
        with path.open("w", encoding="utf-8", newline="") as file:
            writer = csv.DictWriter(file, NAMES)
            writer.writeheader()
            writer.writerows(LISTINGS)
    elif kind == "parquet":
        pq.write_table(TABLE, path)
    else:
        path.write_text("".join(json.dumps(listing) + "\n" for listing in LISTINGS), encoding="utf-8")
    assert differing(of_result(auditor.audit(path)), called) == []
