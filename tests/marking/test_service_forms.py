"""Service descriptions whose parts stand in another order, or between other signs, than they are molded."""

from __future__ import annotations

import pytest

import auditor
from auditor.quantities.service_cells import plain_service


@pytest.mark.parametrize(
    ("text", "canonical"),
    [
        ("235/65R16C 115(113)R", "235/65R16C 115/113R"),
        ("420/85R34 142 (A8)", "420/85R34 142A8"),
        ("185/60R14 T 79", "185/60R14 79T"),
        ("235/65R16C R 115/113", "235/65R16C 115/113R"),
        ("205/55R16 LI: 91, SS: V", "205/55R16 91V"),
        ("235/65R16C 115/113R PR: 8", "235/65R16C 8PR 115/113R"),
        ("205/55R16.0 91V", "205/55R16 91V"),
        ("LT265/70R17 PR10 121/118S", "LT265/70R17 10PR 121/118S"),
        ("385/65R22.5 160K PR20", "385/65R22.5 20PR 160K"),
        ("7.50-16 8 PR 116/114L", "7.50-16 8PR 116/114L"),
        ("315/80R22.5 158/150 L 156/150 M", "315/80R22.5 158/150L (156/150M)"),
    ],
)
def test_a_marking_is_read_in_whatever_order(text: str, canonical: str) -> None:
    found = auditor.decode(text)
    assert isinstance(found, auditor.Marking)
    assert found.canonical == canonical


@pytest.mark.parametrize(
    ("cell", "plain"),
    [
        ("91V (615 kg, 240 km/h)", "91V"),
        ("LI 91 SS V", "91V"),
        ("115R/113R", "115/113R"),
        ("156/150L;154/150M", "156/150L (154/150M)"),
        ("155A8 152B", "155A8/152B"),
        ("121/118S LRE", "121/118S LRE"),
        ("(101V)", "101V"),
        ("(98Y)", "(98Y)"),
        ("91V DOT24", "91V DOT24"),
        ("149A8/146B", "149A8/146B"),
    ],
)
def test_a_cell_is_put_as_it_is_molded(cell: str, plain: str) -> None:
    assert plain_service(cell) == plain


@pytest.mark.parametrize("title", ["205/55 R16 88/V", "205/55 R16 91 | H", "205/55R16 91 (H)"])
def test_another_service_description_of_a_title_is_held(title: str) -> None:
    found = auditor.audit_listing({"marking": "205/55R16 91V", "title": f"Brantholm Halden {title}"})
    assert [(one.rule, one.field) for one in found.findings] == [("marking-contradicted", "title")]
