"""A title that does not repeat its listing's marking as it stands is read as a marking of its own."""

from __future__ import annotations

import pyarrow as pa
import pyarrow.compute as pc
import pytest

from auditor.claims.own_cells import own_of
from auditor.claims.terms.lexicon import lexicon_of
from auditor.claims.terms.words import OWN, OWN_SERVICE
from auditor.claims.texts import parse_claims
from auditor.claims.titled import DESCRIBED, LETTERS, RANGED, SIZED, arrow, rim_pattern
from auditor.trade.patterns import Pattern
from auditor.trade.tables import default_tables


def _said(marking: str, title: str) -> dict[str, str]:
    parsed = parse_claims(title, lexicon_of(), default_tables(), own_of(marking, "", ""), True)
    return {one.field: {OWN: "own", OWN_SERVICE: "own"}.get(one.words, one.words) for one in parsed.said}


@pytest.mark.parametrize(
    "title",
    ["91W - 205-55-16 Norvane Orvex", "R16 205/55 91 W Norvane", "205/55/16 91W Norvane", "Norvane 205/55R1691W",
     "205/55 R16 91 W", "Norvane ２０５/５５R１６ ９１W", "Norvane V12 205/55R16, 91W"],
)  # fmt: skip
def test_another_way_to_write_the_own_marking_is_the_own(title: str) -> None:
    said = _said("205/55R16 91W", title)
    assert said["marking"] == "own" and said.get("service_description", "own") == "own"
    assert not said.keys() & {"load_index", "speed_symbol"}


@pytest.mark.parametrize(
    ("title", "field", "words"),
    [
        ("Norvane 205/55R1791W", "marking", "205/55R17"),
        ("Norvane R17 205/55 91 W", "marking", "205/55R17"),
        ("Norvane Sedan 2 205/60R16 91W, one piece", "marking", "205/60R16"),
        ("Norvane 205/55 R16, 94 V", "service_description", "94V"),
        ("Norvane 205/55R16 94VXL", "service_description", "94V"),
    ],
)
def test_what_a_title_states_otherwise_is_said(title: str, field: str, words: str) -> None:
    assert _said("205/55R16 91W", title)[field] == words


@pytest.mark.parametrize(
    "title",
    ["Norvane XL statt 215/55 R16 97H", "Norvane, see also 215/60R16", "Norvane front 205/55R16, rear 225/50R16",
     "Norvane Orvex 3", "Alloy wheel 7Jx16 5x112 ET45"],
)  # fmt: skip
def test_sizes_of_other_tires_are_not_the_titles(title: str) -> None:
    assert _said("205/55R16 91W", title).get("marking", "own") == "own"


@pytest.mark.parametrize("title", ["Norvane 11R22.5 16PR Tr 10", "Norvane 11R22.5 148/145L 16PR Rg 20"])
def test_plies_are_those_before_their_sign(title: str) -> None:
    parsed = parse_claims(title, lexicon_of(), default_tables(), own_of("11R22.5 148/145L", "", ""), True)
    assert [one.value for one in parsed.said if one.field == "ply_rating"] == [16.0]


def test_a_code_of_no_rim_is_a_name() -> None:
    assert "rim_diameter_in" not in _said("420/70R28 133D", "420/70R28 133D Norvane Tractor R70")


def test_plies_are_taken_as_they_are_molded() -> None:
    assert _said("11R22.5 148/145L 16PR", "Norvane 11 R 22.5 14PR steer")["ply_rating"] == "14PR"


@pytest.mark.parametrize("title", ["Norvane ST175/80R13 91/87M (LRD)", "ST175/80R13 91/87M, load D, Norvane 8"])
def test_a_load_range_by_the_first_of_its_words(title: str) -> None:
    assert _said("ST175/80R13 91/87M C", title)["load_range"] in ("LR D", "load D")


@pytest.mark.parametrize(
    ("title", "said"),
    [("Norvane 225/65R16C 112/110H", "225/65R16C"), ("Norvane 225/65 R16 C", "225/65R16C"),
     ("Norvane LT225/65R16", "LT225/65R16"), ("Norvane 225/65R16 112/110H", "own"), ("Norvane P225/65R16", "own")],
)  # fmt: skip
def test_letters_that_a_plain_size_may_have_lost_are_said(title: str, said: str) -> None:
    assert _said("225/65R16 112/110H", title)["marking"] == said


def test_beside_no_marking_it_is_left_as_it_was() -> None:
    assert _said("", "Norvane 205/55 91W R17").get("marking") != "205/55R17"


@pytest.mark.parametrize(
    "pattern", [SIZED, DESCRIBED, RANGED, *LETTERS.values(), rim_pattern("205/55R16"), rim_pattern("11R22.5")]
)
def test_python_and_arrow_tell_the_same_by_the_patterns(pattern: str) -> None:
    texts = [
        "", "205/55R16 91W", "R16 205/55", "٢٠٥/٥٥ R١٦ ٩١V", "ยาง๒๐๕/๕๕R๑๖", "142A8/B", "142А8", "225/45 - 17\n",
        "16,5-9", "88TXL", "(LRD)", "10PR", "T 91", "R 17", "11R22,5", "22.5", "122.5", "16", "a16", ".16", "91-W",
        "91)W", "\u00a091\u00a0W", "225/65R16C", "225/65 R16 C,", "16C8PR", "16CX", "LT225/65R16", "225/65R16LT",
        "ALT225",
    ]  # fmt: skip
    by_python = [Pattern(pattern).search(text) is not None for text in texts]
    assert pc.match_substring_regex(pa.array(texts), arrow(pattern)).to_pylist() == by_python


@pytest.mark.parametrize(
    ("marking", "title"),
    [
        ("315/70R22.5 154/150L", "Norvane Longhaul 315/70R22.5 154/150 L Steer"),
        ("205/55R16 91V", "Norvane Orvex 205/55R16 91 V summer"),
        ("420/85R34 142A8", "Norvane Farm 420/85R34 142 A8"),
    ],
)
def test_the_own_service_description_in_two_words_is_the_own(marking: str, title: str) -> None:
    own = own_of(marking, "", "")
    said = parse_claims(title, lexicon_of(), default_tables(), own, True).said
    assert [one.words for one in said if one.field == "service_description"] == [OWN_SERVICE]


@pytest.mark.parametrize(
    ("marking", "text"),
    [
        ("420/85R34 142A8/139B", "For 120 hp tractors: 16.9R34."),
        ("315/80R22.5 156/150L", "Second marking: 154/150M."),
        ("385/55R22.5 160K", "Second marking: 158L."),
    ],
)
def test_what_a_tire_may_be_called_besides_is_no_contradiction(marking: str, text: str) -> None:
    said = parse_claims(text, lexicon_of(), default_tables(), own_of(marking, "", ""), False).said
    assert [one.words for one in said if one.field in ("marking", "service_description")] == []


@pytest.mark.parametrize(
    ("marking", "text"), [("205/55R16 91V", "Size: 225/45R17."), ("315/80R22.5 156/150L", "Size: 12R22.5.")]
)
def test_another_size_is_one_still(marking: str, text: str) -> None:
    said = parse_claims(text, lexicon_of(), default_tables(), own_of(marking, "", ""), False).said
    assert [one.field for one in said] == ["marking"]
