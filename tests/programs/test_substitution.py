"""`auditor.substitute`: the answer as a value and as JSON."""

from __future__ import annotations

import json
import pickle

import pytest
from jsonschema import Draft202012Validator

import auditor
from auditor.rulebook.built_in import published_schema
from auditor.substitution.comparison import POINTS
from auditor.wording.substitute_cautions import ALWAYS
from tests.reference.substitutes import own_pairs, trial_pairs


def test_every_answer_is_of_the_published_schema_and_carries_the_cautions() -> None:
    schema = published_schema("substitute")
    assert tuple(schema["$defs"]["point"]["properties"]["name"]["enum"]) == POINTS
    validator = Draft202012Validator(schema)
    for pair in (*own_pairs(), *trial_pairs()):
        found = auditor.substitute(pair.old, pair.new, required=pair.required, market=pair.market)
        validator.validate(found.as_json())
        assert found.cautions[-len(ALWAYS) :] == ALWAYS
        for point in found.points:  # no placeholder, and a reason wherever nothing could be told
            texts = (point.old, point.new, point.why)
            assert not any(word in text.lower().split() for text in texts for word in ("nan", "none")), point
            assert point.why or point.outcome != "cannot tell", point


def test_points_tell_both_sides_and_the_margins() -> None:
    found = auditor.substitute("LT235/75R15 104/101R C", "235/75R15 109T XL")
    by_name = {point.name: point for point in found.points}
    assert found.answer == "no"
    assert by_name["load"].new == "109 = 1,030 kg (2,271 lb), counted / 1.10 = 936 kg (2,064 lb)"
    assert by_name["load"].margins == {"kg": 36.4, "lb": 80.2}
    assert by_name["kind"].why == (
        "A passenger tire does not stand in for it, and on a truck, van or trailer carries its load / 1.10."
    )
    assert "571.120" in by_name["kind"].source
    assert by_name["speed"].margins == {"kmh": 20.0, "mph": 12.4}


def test_another_size_tells_the_speedometer() -> None:
    found = auditor.substitute("225/65R17 102H", "235/60R18 103H", required=True)
    diameter = next(point for point in found.points if point.name == "diameter")
    assert diameter.margins == {"mm": 15.0, "percent": 2.1}
    assert diameter.why == (
        "+2.1 %, within 3 %: at 100 km/h on the speedometer the vehicle drives about 2.1 km/h faster than with the "
        "old size."
    )
    assert any("the load at the new pressure is not computed" in caution for caution in found.cautions)


@pytest.mark.parametrize(
    ("old", "new", "words"),
    [
        ("225/65R17 102H", "225/65R17 106H XL", "Extra load in place of a lower version"),
        ("225/50RF17 94W", "225/50R17 94W", "the vehicle may have no spare"),
        ("205/55R16 91T 3PMSF", "205/55R16 91V", "is a winter tire"),
        ("10.00R20 146/143K", "10.00-20 146/143K", "Never mix radial and bias tires on one axle"),
        ("120/70ZR17 M/C (58W)", "120/70ZR17 M/C (58W)", "How fast the new tire may go, its maker states"),
        ("155/65R14 75T", "155/60R14 75T", "Another aspect ratio may ask for another rim width"),
        ("225/65R17 102H", "unknown", "The new marking could not be read"),
    ],
)
def test_cautions_of_the_pair(old: str, new: str, words: str) -> None:
    assert any(words in caution for caution in auditor.substitute(old, new).cautions)


def test_a_requirement_alone_is_never_met_for_sure() -> None:
    for new in ("225/65R17 102H", "225/65R17 120Y", "102H"):
        assert auditor.substitute("102H", new, required=True).answer != "yes"


def test_what_is_no_text_is_refused_by_name() -> None:
    with pytest.raises(auditor.UsageError, match="new should be a marking as text"):
        auditor.substitute("225/65R17 102H", 17)  # type: ignore[arg-type]


def test_answers_travel_between_processes() -> None:
    found = auditor.substitute("225/65R17 102H", "225/65R17 102V")
    assert pickle.loads(pickle.dumps(found)) == found


def test_an_answer_is_json_text_and_can_be_a_key() -> None:
    asked = [auditor.substitute("225/65R17 102H", "225/65R17 106H") for _ in range(2)]
    assert json.loads(asked[0].to_json()) == asked[0].as_json()
    assert len(set(asked)) == 1
