"""A marking in plain words: every part, in molded order, nothing left out."""

from __future__ import annotations

import pytest
from hypothesis import given, settings

from auditor.marking import Marking, decode
from auditor.marking.explain.plain import CAUTION, explain
from auditor.marking.families import family_file
from auditor.marking.letters import LETTERS
from auditor.trade.family import FAMILIES
from tests.marking.grammar import CASES, Case


def _decoded(text: str) -> Marking:
    marking = decode(text)
    assert isinstance(marking, Marking), text
    return marking


def test_light_truck_marking_part_by_part() -> None:
    parts = explain(_decoded("LT265/70R17 121/118S E"))
    assert [(part.text, part.name) for part in parts] == [
        ("LT", "tire type"),
        ("265", "section width"),
        ("70", "aspect ratio"),
        ("R", "construction"),
        ("17", "rim diameter"),
        ("121", "load index"),
        ("118", "dual load index"),
        ("S", "speed symbol"),
        ("E", "load range"),
    ]
    meaning = {part.name: part.meaning for part in parts}
    assert meaning["load index"] == "Up to 1,450 kg (3,197 lb) per tire in single mounting (two tires on the axle)."
    assert meaning["dual load index"] == "Up to 1,320 kg (2,910 lb) per tire in dual mounting (four tires on the axle)."
    assert meaning["speed symbol"] == "Up to 180 km/h (112 mph)."
    assert meaning["rim diameter"] == "For rims of diameter code 17 (432 mm)."


C_IS_LOAD_RANGE = "Here C is the load range; C right behind a rim diameter would mean a commercial tire."
HALF_INCH = "A code with a fraction is a rim of its own: never mount on the whole-inch rim beside it."


@pytest.mark.parametrize(
    ("text", "part", "remark"),
    [
        ("225/65R17 102H", "H", "H sits between U and V."),
        ("245/40ZR19 (98Y)", "ZR", "ZR is no speed limit: the service description is."),
        ("245/40ZR19 (98Y)", "Y", "The brackets mean that there is no ceiling in the table."),
        ("215/65R16C 109/107T", "C", "C right behind the rim is not load range C."),
        ("31x10.50R15LT 109S C", "C", C_IS_LOAD_RANGE),
        ("8.75R16.5LT D", "16.5", HALF_INCH),
        ("220/55R390 88W", "390", "A metric rim: no inch rim fits, however near its size."),
        ("195/70R15C 8PR 104/102R", "8PR", "It is not the number of plies in the tire."),
        ("31x10.50R15LT", "31", "The first figure of such a size is the diameter, not the width."),
        ("T145/70R17 106M", "T", "The vehicle's own limit is lower than the speed symbol, often 50 mph."),
    ],
)  # fmt: skip
def test_what_is_unusual_is_said(text: str, part: str, remark: str) -> None:
    assert remark in [each.remark for each in explain(_decoded(text)) if each.text == part]


def test_second_service_description_is_named_so() -> None:
    names = [part.name for part in explain(_decoded("520/85R38 155A8/152B"))]
    assert names[-4:] == ["load index", "speed symbol", "second load index", "second speed symbol"]


def test_what_was_not_understood_stands_last() -> None:
    parts = explain(_decoded("225/65R17 102H Acme Trailhawk"))
    assert (parts[-1].text, parts[-1].name, parts[-1].kind) == ("Acme Trailhawk", "not understood", "unread")


@settings(max_examples=150)
@given(CASES)
def test_every_character_is_explained(case: Case) -> None:
    marking = _decoded(case[0])
    rest = marking.canonical
    for part in explain(marking):
        before, found, rest = rest.partition(part.text)
        assert found and not before.strip(" /x()LR"), (case[0], before, part)
        assert part.meaning.endswith(".") and part.name
    assert not rest.strip(" )")


@pytest.mark.parametrize("text", [text for name in FAMILIES for text in family_file(name).EXAMPLES])
def test_examples_of_every_family_are_explained(text: str) -> None:
    parts = explain(_decoded(text))
    assert all(part.meaning and part.name for part in parts)
    assert {"rim diameter"} <= {part.name for part in parts} or "size designation" in {part.name for part in parts}


@pytest.mark.parametrize("word", [name for name, _, _ in LETTERS])
def test_every_letter_has_a_meaning(word: str) -> None:
    parts = explain(_decoded(f"225/65R17 102H {word}"))
    assert word in [part.text for part in parts if part.kind == "letters"]


def test_the_caution_stands() -> None:
    assert CAUTION.startswith("This explains a marking; it does not approve a tire for a vehicle.")
    assert "local law applies" in CAUTION
