"""The gate for files of listings: findings by file and line, exit codes, SARIF and JUnit XML."""

from __future__ import annotations

import json
from pathlib import Path
from xml.etree import ElementTree

import pytest
from hypothesis import given
from hypothesis import strategies as some

from auditor.programs.gate.lines import placed_values
from tests.shell.running import InProcess

LISTINGS = """[
 {"sku": "A-1", "marking": "225/65R17 102H",
  "max_load_kg": 950},
 {"sku": "A-2", "marking": "225/65R17 102H"}
]
"""
FEED = 'sku;marking;max_load_kg;note\nB-1;225/65R17 102H;850;"two\nlines"\nB-2;225/65R17 102H;950;x\n'


@pytest.fixture
def auditor(capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> InProcess:
    monkeypatch.chdir(tmp_path)
    (tmp_path / "a.json").write_text(LISTINGS, encoding="utf-8")
    (tmp_path / "b.csv").write_text(FEED, encoding="utf-8")
    (tmp_path / "good.jsonl").write_text('{"marking": "225/65R17 102H"}\n' * 3, encoding="utf-8")
    return InProcess(capsys, monkeypatch)


def test_findings_are_named_by_file_and_line(auditor: InProcess) -> None:
    ended = auditor("listing", "--check", "a.json", "b.csv", "good.jsonl")
    first, second = ended.out.splitlines()
    assert first.startswith('a.json:2: critical load-overstated in max_load_kg of A-1: States "950" in max_load_kg')
    assert second.startswith('b.csv:4: critical load-overstated in max_load_kg of B-2: States "950" in max_load_kg')
    assert (ended.code, ended.err) == (1, "auditor: 3 files, 2 to hold.\n")


def test_nothing_wrong_is_code_0_and_says_so(auditor: InProcess) -> None:
    ended = auditor("listing", "--check", "good.jsonl")
    assert (ended.code, ended.out, ended.err) == (0, "", "auditor: 1 file, 0 to hold.\n")


@pytest.mark.parametrize(
    ("name", "text", "place"),
    [
        ("x.json", '{"marking": "x",\n', "x.json:1: unreadable: not JSON ("),
        ("x.json", '[{"marking": "225/65R17"},\n {"markin": 1}]', "x.json:2: unreadable: There is no listing field"),
        ("x.json", '[{"marking": "225/65R17"}\n', "x.json:1: unreadable: the array "),
        ("x.json", '[{"marking": "225/65R17"}]\nmore', "x.json:2: unreadable: text behind the end of the array"),
        ("x.json", "[1]", "x.json:1: unreadable: This is JSON but no object"),
        ("x.json", "", "x.json:1: unreadable: the file is empty"),
        ("x.jsonl", '{"marking": "225/65R17"}\nno\n', "x.jsonl:2: unreadable: not JSON ("),
        ("x.jsonl", '{"max_load_kg": NaN}', "x.jsonl:1: unreadable: not JSON (NaN is no JSON value)"),
        ("x.csv", "color,price\nblack,3\n", "x.csv:1: unreadable: no column is recognized"),
        ("x.csv", "", "x.csv:1: unreadable: "),
    ],
)
def test_what_cannot_be_read_is_code_2_with_its_line(auditor: InProcess, name: str, text: str, place: str) -> None:
    Path(name).write_text(text, encoding="utf-8")
    ended = auditor("listing", "--check", name, "a.json")
    assert ended.code == 2
    assert any(line.startswith(place) for line in ended.out.splitlines()), ended.out
    assert "a.json:2: critical" in ended.out


def test_a_file_that_is_not_there_is_named(auditor: InProcess) -> None:
    for name in ("none.json", "none.csv"):
        ended = auditor("listing", "--check", name)
        assert (ended.code, ended.out) == (2, f"{name}:1: unreadable: cannot be read (no such file or directory)\n")


def test_programs_get_lines_of_json(auditor: InProcess) -> None:
    ended = auditor("listing", "--check", "--json", "a.json", "b.csv")
    found = [json.loads(line) for line in ended.out.splitlines()]
    assert [(one["file"], one["line"], one["verdict"]) for one in found] == [
        ("a.json", 2, "hold"),
        ("a.json", 4, "release"),
        ("b.csv", 4, "hold"),
    ]
    assert ended.err == ""


def test_sarif_has_what_the_standard_asks_for(auditor: InProcess) -> None:
    """SARIF 2.1.0: 3.13 (version, runs), 3.18 (tool.driver.name), 3.27 (ruleId, level, message, locations)."""
    Path("a b.json").write_text('{"markin": 1}', encoding="utf-8")
    auditor("listing", "--check", "a.json", "a b.json", "--sarif", "out.sarif")
    document = json.loads(Path("out.sarif").read_text(encoding="utf-8"))
    (run,) = document["runs"]
    rules = run["tool"]["driver"]["rules"]
    assert (document["version"], run["tool"]["driver"]["name"]) == ("2.1.0", "tire-listing-auditor")
    for result in run["results"]:
        assert rules[result["ruleIndex"]]["id"] == result["ruleId"]
        assert result["level"] in ("error", "warning") and result["message"]["text"]
    places = [result["locations"][0]["physicalLocation"] for result in run["results"]]
    assert [(place["artifactLocation"]["uri"], place["region"]["startLine"]) for place in places] == [
        ("a.json", 2),
        ("a%20b.json", 1),
    ]
    assert run["results"][0]["partialFingerprints"]["key/v1"]


def test_junit_counts_failures_and_errors(auditor: InProcess) -> None:
    Path("bad.jsonl").write_text('{"sku": "\\u000b", "markin": 1}\n', encoding="utf-8")
    auditor("listing", "--check", "a.json", "good.jsonl", "bad.jsonl", "--junit", "out.xml")
    root = ElementTree.parse("out.xml").getroot()
    counts = [tuple(suite.get(name) for name in ("name", "tests", "failures", "errors")) for suite in root]
    assert counts == [("a.json", "2", "1", "0"), ("good.jsonl", "3", "0", "0"), ("bad.jsonl", "1", "0", "1")]
    (failure,) = root.iter("failure")
    assert failure.get("type") == "load-overstated"


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("--check",), "--check takes one FILE or more, and neither --set nor --follow."),
        (("--check", "--follow", "a.json"), "--check takes one FILE or more, and neither --set nor --follow."),
        (("--sarif", "x", "a.json"), "--sarif and --junit go with --check."),
        (("a.json", "b.csv"), "one FILE at a time, not 2; --check takes several."),
    ],
)
def test_options_that_do_not_go_together_are_named(auditor: InProcess, words: tuple[str, ...], said: str) -> None:
    ended = auditor("listing", *words)
    assert (ended.code, ended.err) == (2, f"auditor: {said}\n")


_VALUES = some.recursive(
    some.none() | some.booleans() | some.integers() | some.text(), lambda inner: some.dictionaries(some.text(), inner)
)


@given(some.lists(_VALUES, max_size=8), some.booleans(), some.sampled_from([None, 1, 3]))
def test_every_value_is_found_on_its_line(values: list[object], as_array: bool, width: int | None) -> None:
    if as_array:
        text = json.dumps(values, indent=width)
    else:
        text = "\n\n".join(json.dumps(value) for value in values)
    found = list(placed_values(text))
    assert [one.value for one in found] == values
    assert not any(one.wrong for one in found)
    for one in found:
        rest = "\n".join(text.split("\n")[one.line - 1 :])
        assert json.dumps(one.value, indent=width if as_array else None).split("\n")[0].strip() in rest.split("\n")[0]
