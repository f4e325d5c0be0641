"""The committed sample catalogs against their committed answer sheet."""

from __future__ import annotations

import csv
from collections import defaultdict
from pathlib import Path

import pytest

from tests.catalog.judge import Finding
from tests.catalog.samples import ANSWERS, FOLDER, SAMPLES
from tests.quality import audit

Place = tuple[str, str, int]  # feed, sheet, record
FEEDS = sorted({FOLDER / sample.file for sample in SAMPLES})


@pytest.fixture(scope="module")
def findings(tmp_path_factory: pytest.TempPathFactory) -> dict[Place, list[Finding]]:
    folder: Path = tmp_path_factory.mktemp("samples")
    by_place: dict[Place, list[Finding]] = defaultdict(list)
    for finding in audit(FEEDS, folder / "out"):
        by_place[Path(str(finding["feed"])).name, str(finding["sheet"] or ""), int(finding["record"] or 0)].append(
            finding
        )  # type: ignore[call-overload]
    return by_place


def position(answer: dict[str, str]) -> Place:
    return answer["feed"], answer["sheet"], int(answer["record"])


@pytest.fixture(scope="module")
def answers() -> list[dict[str, str]]:
    with ANSWERS.open(encoding="utf-8", newline="") as sheet:
        return list(csv.DictReader(sheet))


def test_every_answer_is_found_on_the_right_field(
    findings: dict[Place, list[Finding]], answers: list[dict[str, str]]
) -> None:
    missed = []
    for answer in answers:
        there = findings.get(position(answer), [])
        fields, rules, grades = (set(answer[name].split("|")) for name in ("fields", "rules", "grades"))
        right = [f for f in there if f["field"] in fields and f["rule"] in rules and f["grade"] in grades]
        if not right:
            missed.append((answer["feed"], answer["record"], answer["kind"], [(f["rule"], f["field"]) for f in there]))
    assert missed == []


def test_untouched_listings_have_nothing_above_minor(
    findings: dict[Place, list[Finding]], answers: list[dict[str, str]]
) -> None:
    touched = {position(answer) for answer in answers}
    accused = [
        (where, finding["rule"], finding["message"])
        for where, there in findings.items()
        for finding in there
        if where not in touched and finding["grade"] != "minor"
    ]
    assert accused == []
