"""Widths as sizes name them: those of sizes in inches stand bare in columns of millimeters, too."""

from __future__ import annotations

import pytest

import auditor
from tests.trials.both_paths import differing

RIGHT = {
    "31x10.50R15LT 109S": "10.50",
    "33x12.50R15LT 108Q": "12.5",
    "11R22.5 148/145M": "11",
    "18.4R38 146A8": "18.4",
    "12.00R24 160/157K": "304.8",
    "225/65R17 102H": "225",
}
WRONG = {"31x10.50R15LT 109S": "12.50", "11R22.5 148/145M": "12", "225/65R17 102H": "8.86"}


@pytest.mark.parametrize(("marking", "width"), RIGHT.items())
def test_a_width_as_its_size_names_it(marking: str, width: str) -> None:
    found = auditor.audit_listing({"marking": marking, "section_width_mm": width}).findings
    assert not [one for one in found if one.field == "section_width_mm"]


@pytest.mark.parametrize(("marking", "width"), WRONG.items())
def test_any_other_one_is_found(marking: str, width: str) -> None:
    found = auditor.audit_listing({"marking": marking, "section_width_mm": width}).findings
    assert [one.rule for one in found if one.field == "section_width_mm"] == ["width-mismatch"]


def test_rows_and_columns_agree() -> None:
    pairs = (*RIGHT.items(), *WRONG.items())
    assert not differing([{"marking": marking, "section_width_mm": width} for marking, width in pairs])
