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


@cache
def offers() -> tuple[Listing, ...]:
    """Listings that name other tires: those of the examples of `substitute-*`, and lists of markings."""
    examples = [one for rule in read_rules(rules_folder(), examples=True) for one in rule["example"]]
    rows = [row for example in examples for row in example.get("listings", ())]
    told = [{name: row[name] for name in row if name not in ("sku", "supplier")} for row in rows]
    return (
        *(row for row in told if {"substitutes", "replaces", "description"} & row.keys()),
        {"marking": "225/65R17 102H", "substitutes": "225/65R17 100H; 225/65R16 102H|235/60R18 103H, A-7, 225/65R17"},
        {"marking": "225/65R17", "load_index": "102", "replaces": '["225/65R17 102H", "225/65R17 103H"]'},
        {"size": "225/45R17", "service_description": "94W", "load_version": "XL", "replaces": "225/45R17 94Y XL"},
        {"marking": "225/45R17 94H XL", "severe_snow": "yes", "replaces": "225/45R17 94W XL; 225/45R17 94W XL 3PMSF"},
        {
            "marking": "205/55R16 91V",
            "title": "Larkmoor 205/55R16 91V replaces 205/55R16 94V XL",
            "substitutes": "205/55R16 91H\n205/55R16 91V",
        },
        {
            "marking": "LT245/75R16 120/116S",
            "load_range": "D",
            "replaces": "LT245/75R16 120/116S E, 31x10,50R15LT 109S",
        },
        {"marking": "ST205/75R14 105M D", "replaces": "205/75R14 95S"},
        {"marking": "no tire", "substitutes": "225/65R17 102H", "description": "Ersetzt 225/65R17 102H."},
    )


EXAMPLES = (*rule_examples(), *offers())
FIELDS = tuple(sorted({name for listing in EXAMPLES for name in listing}))
TEXTS = {name: sorted({listing[name] for listing in EXAMPLES if name in listing}) for name in FIELDS}
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
        listing = dict(dice.choice(EXAMPLES))
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


LISTINGS = [*EXAMPLES, *mixed(400, seed=7)]


def test_call_command_and_stream_agree(capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> None:
    called = by_call(LISTINGS)
    assert sum(map(len, called)) > 400
    assert by_command(LISTINGS, InProcess(capsys, monkeypatch)) == called
    assert by_stream(LISTINGS) == called


def test_offers_of_markings_are_found_without_a_catalog() -> None:
    found = [{finding["rule"] for finding in findings} for findings in by_call(list(offers()))]
    assert len({rule for rules in found for rule in rules if rule.startswith("substitute-")}) == 7
    assert sum(any(rule.startswith("substitute-") for rule in rules) for rules in found) == 12


def test_an_offer_without_an_identifier_has_its_key_in_a_feed_too() -> None:
    listings = [
        {"marking": marking, "replaces": "225/65R17 106H XL"} for marking in ("225/65R17 102H", "225/65R17 99H")
    ]
    found = auditor.audit(pa.Table.from_pylist(listings)).findings
    assert found["key"].to_pylist() == [finding["key"] for findings in by_call(listings) for finding in findings]
    assert len(set(found["key"].to_pylist())) == 2


def test_many_at_once_and_batches_agree_with_the_call() -> None:
    listings = with_blanks([*offers(), *mixed(80, seed=8)])
    alone = [auditor.audit_listing(listing) for listing in listings]
    assert list(auditor.audit_listings(listings)) == alone
    (batch,) = auditor.verdict_batches([pa.RecordBatch.from_pylist(listings)])
    told = [[finding["key"] for finding in json.loads(text or "[]")] for text in batch["findings"].to_pylist()]
    assert told == [[finding.key for finding in verdict.findings] for verdict in alone]
    assert batch["verdict"].to_pylist() == [verdict.verdict for verdict in alone]


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


_listings = some.sampled_from(EXAMPLES).flatmap(
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
