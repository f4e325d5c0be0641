"""`auditor substitute`: its words, its JSON, pairs from files and standard input, exit codes."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from tests.shell.running import InProcess

NO = """\
No: 205/55R16 91H does not stand in for 205/55R16 94V XL; it fails in load,
load-version, speed.

  fails        load          asks 94 = 670 kg (1,477 lb); has 91 = 615 kg (1,356
                             lb) (-55 kg, -121 lb)
  fails        load-version  asks extra load (XL); has standard load, unmarked
                             XL stays XL or higher.
  fails        speed         asks V = 240 km/h (149 mph); has H = 210 km/h (130
                             mph) (-30 km/h, -19 mph)
  holds        rim           both 16 in
"""


def test_a_no_tells_first_what_fails(auditor: InProcess) -> None:
    ended = auditor("substitute", "205/55R16 94V XL", "205/55R16 91H")
    assert ended.code == 1
    assert ended.out.startswith(NO)
    assert ended.out.rstrip().endswith("- A replacement's load index must not be below what the vehicle requires.")
    assert all(len(line) <= 80 for line in ended.out.splitlines())


def test_a_yes_ends_with_zero(auditor: InProcess) -> None:
    ended = auditor("substitute", "225/65R17 102H", "225/65R17 102V")
    assert ended.code == 0
    assert ended.out.startswith("Yes: by their markings, 225/65R17 102V is the same as or higher than")


def test_a_requirement(auditor: InProcess) -> None:
    ended = auditor("substitute", "--json", "--requires", "102H", "225/65R17 102H", "225/65R17 100H")
    first, second = json.loads(ended.out)
    assert (first["answer"], second["answer"], first["required"]) == ("cannot tell", "no", True)
    assert ended.code == 1


@pytest.mark.parametrize(
    ("stdin", "ids"),
    [
        ("old;new;id\n205/55R16 91V;205/55R16 94V XL;a\n205/55R16 91V;205/55R16 91H;b\n", ["a", "b"]),
        ("new,old\n205/55R16 94V XL,205/55R16 91V\n205/55R16 91H,205/55R16 91V\n", [None, None]),
        (
            '{"old": "205/55R16 91V", "new": "205/55R16 94V XL", "id": 7}\n'
            '{"old": "205/55R16 91V", "new": "205/55R16 91H"}\n',
            [7, None],
        ),
        (
            '[{"old": "205/55R16 91V", "new": "205/55R16 94V XL"}, {"old": "205/55R16 91V", "new": "205/55R16 91H"}]',
            [None, None],
        ),
    ],
)
def test_pairs_from_standard_input(auditor: InProcess, stdin: str, ids: list[object]) -> None:
    ended = auditor("substitute", "--pairs", "-", "--json", stdin=stdin)
    found = json.loads(ended.out)
    assert [one["answer"] for one in found] == ["yes", "no"]
    assert [one.get("id") for one in found] == ids
    assert ended.code == 1


def test_pairs_from_a_file_against_a_requirement(auditor: InProcess, tmp_path: Path) -> None:
    path = tmp_path / "pairs.csv"
    path.write_text("new\n225/65R17 104V\n", encoding="utf-8")
    assert auditor("substitute", "--requires", "225/65R17 102H", "--pairs", str(path)).code == 0


def test_the_market_counts(auditor: InProcess) -> None:
    words = ("substitute", "205/55R16 91V", "205/55R16 91T 3PMSF", "--market")
    assert [auditor(*words, market).code for market in ("EU", "US")] == [0, 1]


@pytest.mark.parametrize(
    ("words", "stdin", "said"),
    [
        (("225/65R17 102H",), "", "substitute compares two markings, OLD and NEW, and got 1"),
        (("a", "b", "--pairs", "-"), "", "leave out those on the command line"),
        (("--requires", "102H"), "", "--requires needs the marking of the tire"),
        (("--pairs", "-"), " \n", "Standard input is empty"),
        (("--pairs", "-"), "a,b\n1,2\n", "the first line names no columns old and new"),
        (("--pairs", "-"), "old,new\n225/65R17 102H,\n", "pair 1 has no 'new'"),
        (("--pairs", "-"), "old,new\n", "Standard input holds no pairs"),
        (("--pairs", "-"), "[1]", "pair 1 is no JSON object"),
        (("--pairs", "-"), "{", "it is no JSON"),
        (("--pairs", "-"), "{}\n{", "line 2 is no JSON"),
        (("--pairs", "not-there.csv"), "", "not-there.csv cannot be read"),
        (("a", "b", "--market", "UK"), "", "--market UK is none of US, EU, all"),
    ],
)
def test_wrong_usage_is_one_sentence(auditor: InProcess, words: tuple[str, ...], stdin: str, said: str) -> None:
    ended = auditor("substitute", *words, stdin=stdin)
    assert ended.code == 2
    assert said in ended.err
    assert ended.err.count("\n") == 1
