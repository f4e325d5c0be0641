"""One definition of each rule: the same listings through every door give the same findings, field by field.

The doors are the batch engine on a feed of all of them, blocks of the engine, the Python call, the command, and the
stream.
"""

from __future__ import annotations

import io
import json
import random
from functools import cache
from pathlib import Path
from typing import Any

import pyarrow as pa
import pytest
from hypothesis import given, settings
from hypothesis import strategies as some

import auditor
from auditor.programs.proof_feeds import block_findings
from auditor.programs.stream import follow
from auditor.programs.verdict import IN_JSON
from auditor.rulebook.book import load_book
from auditor.rulebook.files import read_rules
from auditor.rules_folder import rules_folder
from tests.shell.running import InProcess

Listing = dict[str, str]
Findings = list[dict[str, Any]]
BOOK = load_book()
ACROSS = {"listing-duplicated", "gtin-shared", "suppliers-disagree", "index-unlike-peers", "column-suspect"}


@cache
def rule_examples() -> tuple[Listing, ...]:
    """The listing of every example of every rule that looks at one listing alone."""
    return tuple(
        example["listing"]
        for rule in read_rules(rules_folder(), examples=True)
        for example in rule["example"]
        if "listing" in example and "repeat" not in example
    )


FIELDS = tuple(sorted({name for listing in rule_examples() for name in listing}))
TEXTS = {name: sorted({listing[name] for listing in rule_examples() if name in listing}) for name in FIELDS}
ODD = [
    "",
    " ",
    "-",
    "n/a",
    "0",
    "17",
    "1,360/1,250 kg",
    "SL/4",
    "225/65R17 102H",
    "LT245/75R16 120/116S E",
    "€ 99",
    "Larkmoor \ufffd235/65R16C\ufffd 115/113R",
    "Larkmoor \U0001f525225/65R17 102H",
    "١٧",
]


def mixed(count: int, seed: int) -> list[Listing]:
    """Listings that mix the texts of examples: other fields of other tires, so that much disagrees."""
    dice = random.Random(seed)
    found = []
    for _ in range(count):
        listing = dict(dice.choice(rule_examples()))
        for name in dice.sample(FIELDS, dice.randrange(6)):
            listing[name] = dice.choice(TEXTS[name] + ODD)
        found.append(listing)
    return found


def by_call(listings: list[Listing]) -> list[Findings]:
    return [[one.as_json() for one in auditor.audit_listing(listing).findings] for listing in listings]


def by_blocks(listings: list[Listing]) -> list[Findings]:
    """The findings of the batch engine's kernel on one block."""
    found = block_findings(listings, BOOK)
    return [[{name: row[name] for name in IN_JSON} for row in rows if row["rule"] not in ACROSS] for rows in found]


def _by_record(table: pa.Table | None, count: int) -> list[Findings]:
    found: list[Findings] = [[] for _ in range(count)]
    for row in [] if table is None else table.to_pylist():
        if row["rule"] not in ACROSS:
            found[row["record"] - 1].append({name: row[name] for name in IN_JSON})
    return found


def by_command(listings: list[Listing], auditor_command: InProcess) -> list[Findings]:
    ended = auditor_command("listing", "--json", stdin=json.dumps(listings))
    assert ended.code in (0, 1)
    return [one["findings"] for one in json.loads(ended.out)]


def by_stream(listings: list[Listing]) -> list[Findings]:
    lines = io.BytesIO("".join(json.dumps(listing) + "\n" for listing in listings).encode())
    answers = io.StringIO()
    follow(lines, answers, BOOK)
    return [json.loads(line)["findings"] for line in answers.getvalue().splitlines()]


def with_blanks(listings: list[Listing]) -> list[Listing]:
    """The same listings with every field that any of them has, as a feed's columns give them."""
    fields = tuple(dict.fromkeys(name for listing in listings for name in listing))
    return [{name: listing.get(name, "") for name in fields} for listing in listings]


LISTINGS = [*rule_examples(), *mixed(400, seed=7)]


def test_call_command_and_stream_agree(capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> None:
    called = by_call(LISTINGS)
    assert sum(map(len, called)) > 400
    assert by_command(LISTINGS, InProcess(capsys, monkeypatch)) == called
    assert by_stream(LISTINGS) == called


def test_blocks_agree_with_the_call() -> None:
    for listing, one, other in zip(LISTINGS, by_blocks(LISTINGS), by_call(with_blanks(LISTINGS)), strict=True):
        assert one == other, listing


def test_the_whole_engine_agrees_with_the_call(tmp_path: Path) -> None:
    """Listings made distinct by their item number, so that rules across listings find little to say."""
    listings = [{**listing, "sku": f"S-{number}", "supplier": "Larkfield"} for number, listing in enumerate(LISTINGS)]
    table = pa.table({name: [listing.get(name) for listing in listings] for name in (*FIELDS, "sku", "supplier")})
    result = auditor.audit(table)
    suspect = {finding["column"] for finding in result.summary["column_findings"]}
    found = _by_record(result.findings, len(listings))
    full = [{name: listing.get(name, "") for name in table.column_names} for listing in listings]
    for listing, one, other in zip(listings, found, by_call(full), strict=True):
        one, other = _without_reasons(one), _without_reasons(other)
        speaking = [finding for finding in other if finding["field"] not in suspect]
        across = {row["field"] for row in one} - {row["field"] for row in other}
        assert not across, listing
        told, all_told = ({(row["field"], row["rule"], row["column"]) for row in rows} for rows in (one, speaking))
        assert one == speaking or told < all_told, listing


def _without_reasons(findings: Findings) -> Findings:
    """A feed's decimal mark is known, a single listing's is not, so why a cell cannot be read may differ."""
    return [{**finding, "message": ""} if finding["rule"] == "value-unreadable" else finding for finding in findings]


_listings = some.sampled_from(rule_examples()).flatmap(
    lambda base: some.dictionaries(
        some.sampled_from(FIELDS),
        some.one_of(some.sampled_from(ODD), some.sampled_from(sorted({t for texts in TEXTS.values() for t in texts}))),
        max_size=5,
    ).map(lambda more: {**base, **more})
)


@settings(max_examples=60)
@given(some.lists(_listings, min_size=1, max_size=6))
def test_any_mixture_agrees(listings: list[Listing]) -> None:
    assert by_blocks(listings) == by_call(with_blanks(listings))
    assert by_stream(listings) == by_call(listings)
