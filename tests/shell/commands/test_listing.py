"""`auditor listing`: forms of input and output, exit codes, schemas."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
from jsonschema import Draft202012Validator

from auditor.rulebook.built_in import published_schema
from tests.shell.running import Ended, InProcess

GOOD = {"marking": "225/65R17 102H", "max_load_kg": "850"}
BAD = {"id": "a-7", "marking": "225/65R17 102H", "max_load_kg": 1874}


def validator(name: str) -> Draft202012Validator:
    return Draft202012Validator(published_schema(name))


VERDICT, LISTING = validator("verdict"), validator("listing")


def answers(ended: Ended) -> list[dict[str, Any]]:
    """The answers printed, whatever their form, each held to the published schema."""
    try:
        whole = json.loads(ended.out)
        found: list[dict[str, Any]] = whole if isinstance(whole, list) else [whole]
    except ValueError:
        found = [json.loads(line) for line in ended.out.splitlines()]
    for one in found:
        VERDICT.validate(one)
    return found


def test_one_object(auditor: InProcess) -> None:
    ended = auditor("listing", "--json", stdin=json.dumps(BAD))
    (found,) = answers(ended)
    assert (ended.code, ended.err) == (1, "")
    assert (found["id"], found["verdict"], found["suggestions"]) == ("a-7", "hold", {"max_load_kg": "850"})
    assert found["findings"][0]["likely_cause"] == "unit-swapped"


def test_an_array_gives_an_array_and_lines_give_lines(auditor: InProcess) -> None:
    array = auditor("listing", "--json", stdin=json.dumps([GOOD, BAD]))
    lines = auditor("listing", "--json", stdin=f"{json.dumps(GOOD)}\n\n{json.dumps(BAD)}\n")
    assert isinstance(json.loads(array.out), list)
    assert len(lines.out.splitlines()) == 2
    assert answers(array) == answers(lines)
    assert [one["verdict"] for one in answers(lines)] == ["release", "hold"]


def test_a_file_and_fields_in_words(auditor: InProcess, tmp_path: Path) -> None:
    (tmp_path / "one.json").write_text(json.dumps(GOOD), encoding="utf-8-sig")
    from_file = auditor("listing", "--json", str(tmp_path / "one.json"))
    from_words = auditor("listing", "--json", "--set", "marking=225/65R17 102H", "--set", "max_load_kg=850")
    assert from_file.code == from_words.code == 0
    assert answers(from_file) == answers(from_words)


def test_words_for_people(auditor: InProcess) -> None:
    ended = auditor("listing", stdin=json.dumps([GOOD, BAD]))
    assert ended.code == 1
    assert ended.out == (
        "RELEASE  225/65R17 102H\n\n"
        "a-7: HOLD  225/65R17 102H\n\n"
        "  CRITICAL load-overstated in max_load_kg\n"
        '    States "1874" in max_load_kg, but load index 102 of 225/65R17 102H allows\n'
        "    850 kg by the load index table: correct the load before anyone relies on it.\n"
        "    Likely cause: unit-swapped.\n"
        "    Put in max_load_kg: 850\n"
    )


def test_hold_from_and_market_decide(auditor: InProcess) -> None:
    low = ["listing", "--set", "marking=225/65R17 102H", "--set", "max_load_kg=800"]
    assert auditor(*low).code == 1
    assert auditor(*low, "--hold-from", "critical").code == 0
    label = ["listing", "--set", "marking=225/65R17 102H", "--set", "fuel_class=K"]
    assert auditor(*label).code == 1
    assert auditor(*label, "--market", "us").code == 0


@pytest.mark.parametrize(
    ("data", "said"),
    [
        (b"", "There is no listing: standard input or the file is empty; expected a JSON object."),
        (
            b"marking: 225/65R17",
            "The input is not JSON (Expecting value: line 1 column 1 (char 0)); expected a listing as a JSON object.",
        ),
        (
            b'"225/65R17"',
            'This is JSON but no object; a listing is a JSON object, such as {"marking": "225/65R17 102H"}.',
        ),
        (b'{"marking": "\xff"}', "Standard input is not UTF-8 (byte 14); give JSON in UTF-8."),
        (b'{"marking": ["225/65R17"]}', "marking should be a text, a number or nothing, not a list."),
        (b'{"max_speed": 210}', "There is no listing field 'max_speed'; did you mean 'max_speed_kmh'?"),
        (b"[" * 100_000, "The JSON is nested too deeply; a listing is a flat object."),
    ],
)
def test_wrong_input_is_code_2_and_one_sentence(auditor: InProcess, data: bytes, said: str) -> None:
    ended = auditor("listing", stdin=data)
    assert (ended.code, ended.out, ended.err) == (2, "", f"auditor: {said}\n")


def test_one_wrong_listing_among_others_is_told_apart(auditor: InProcess) -> None:
    mixed = json.dumps([GOOD, {"id": 3, "maximum_load": 1}, BAD])
    ended = auditor("listing", stdin=mixed)
    assert ended.code == 2
    assert "RELEASE" in ended.out and "HOLD" in ended.out
    assert ended.err == "auditor: listing 2: There is no listing field 'maximum_load'; did you mean 'max_load_kg'?\n"
    in_json = answers(auditor("listing", "--json", stdin=mixed))
    assert in_json[1]["id"] == 3
    assert in_json[1]["error"]["field"] == "maximum_load"


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["--set", "max_load_kg"], "--set 'max_load_kg' should be FIELD=VALUE, such as max_load_kg=850."),
        (["--set", "size=1", "--set", "size=2"], "--set size stands twice; state a field once."),
        (["--set", "size=1", "--follow"], "--set states a whole listing; leave out FILE and --follow."),
        (["nowhere.json"], "nowhere.json cannot be read (no such file or directory)."),
    ],
)
def test_wrong_options_are_one_sentence(auditor: InProcess, words: list[str], said: str) -> None:
    ended = auditor("listing", *words)
    assert (ended.code, ended.out, ended.err) == (2, "", f"auditor: {said}\n")


@pytest.mark.parametrize("listing", [GOOD, BAD, {"gtin": None, "mud_and_snow": True}, {"max_load": "1"}, {"size": []}])
def test_what_the_schema_takes_the_command_takes(auditor: InProcess, listing: dict[str, Any]) -> None:
    ended = auditor("listing", "--json", stdin=json.dumps(listing))
    assert LISTING.is_valid(listing) is (ended.code != 2)


def test_schemas_are_printed(auditor: InProcess) -> None:
    names = auditor("schema").out.split()
    assert {"listing", "verdict", "finding", "summary", "policy", "feed_map", "rule"} <= set(names)
    for name in names:
        Draft202012Validator.check_schema(json.loads(auditor("schema", name).out))


def test_lines_are_answered_as_they_come_and_a_bad_one_has_its_own_answer(auditor: InProcess) -> None:
    data = b'{"marking": "225/65R17 102H"}\n{"marking\n{"marking": "205/55R16 91V"}\n'
    ended = auditor("listing", "--json", stdin=data)
    first, second, third = (json.loads(line) for line in ended.out.splitlines())
    assert (ended.code, first["verdict"], third["verdict"]) == (2, "release", "release")
    assert second["error"]["message"].startswith("The line is not JSON (Unterminated string")
    ended = auditor("listing", stdin=data)
    assert ended.out.count("RELEASE") == 2
    assert ended.err.startswith("auditor: listing 2: The line is not JSON (")
