"""A heading of names and the own size says which tire a sales text is of; any other sentence may name another's."""

from __future__ import annotations

import pytest

import auditor

OWN = {"marking": "225/65R17 102H", "brand": "Wongara", "model": "Outback"}


@pytest.mark.parametrize(
    "text",
    [
        "Wongara Outback 225/65R17 106V. Quiet on the road.",
        "Winter tire 225/65R17 106V XL",
        "Sommerreifen 225/65R17 106V",
        "Outback A/T, 225/65R17 106V",
    ],
)
def test_a_heading_with_another_service_description_is_told(text: str) -> None:
    found = auditor.audit_listing(OWN | {"description": text}).findings
    assert ("marking-contradicted", "description") in [(one.rule, one.field) for one in found]


@pytest.mark.parametrize(
    "text",
    [
        "Also as 225/65R17 106V XL.",
        "Our rivals sell a 225/65R17 106V.",
        "Standard version: 225/65R17 106V.",
        "Old 225/65R17 106V.",
        "225/65R17 106V or 225/65R17 102H, you choose.",
        "Does a 225/65R17 106V fit?",
        "Wongara Outback 225/65R17 102H. Quiet on the road.",
    ],
)
def test_any_other_sentence_may_be_of_another_tire(text: str) -> None:
    assert auditor.audit_listing(OWN | {"description": text}).findings == ()
