"""Markings with their full decode, against the standards' notation and the published tables.

Each row of `markings.csv` names the source of its marking; dirty spellings are common practice.  The decode was
written down from the notation, and load and speed read off the tables of UN Regulations No. 30 and 54, without
this program.  A row of family `refused` is one that has no single reading.
"""

from __future__ import annotations

import csv
from pathlib import Path

import pytest

from auditor.marking import FAMILIES, Marking, Unreadable, decode
from auditor.marking.service import text_of
from auditor.trade.derive import derive

with (Path(__file__).parent / "markings.csv").open(encoding="utf-8", newline="") as file:
    ROWS = list(csv.DictReader(file))


def _text(value: float | int | None) -> str:
    return "" if value is None else f"{value:g}"


def decoded(text: str) -> dict[str, str]:
    """The decode of a text under the columns of the reference file."""
    marking = decode(text)
    if isinstance(marking, Unreadable):
        return {"marking": "", "family": "refused"}
    derived = derive(marking)
    service = marking.service
    return {
        "marking": str(marking),
        "family": marking.family,
        "section_width_mm": _text(derived.section_width_mm),
        "aspect_ratio": _text(marking.aspect_ratio),
        "construction": marking.construction or "",
        "rim_diameter_in": _text(marking.rim_diameter_in),
        "rim_diameter_mm_marked": _text(marking.rim_diameter_mm_marked),
        "load_index": _text(service.load_index),
        "load_index_dual": _text(service.load_index_dual),
        "load_single_kg": _text(derived.load_single_kg),
        "load_dual_kg": _text(derived.load_dual_kg),
        "speed_symbol": service.speed_symbol or "",
        "speed_open": str(service.speed_open).lower(),
        "speed_kmh": _text(derived.speed_kmh) if service.speed_symbol and not service.speed_open else "",
        "load_range": marking.load_range or "",
        "ply_rating": _text(marking.ply_rating),
        "load_version": marking.load_version or "",
        "additional_service_descriptions": ";".join(text_of(one) for one in marking.additional),
        "unread": "|".join(marking.unread),
        "nonstandard": str(marking.nonstandard).lower(),
    }


@pytest.mark.parametrize("row", ROWS, ids=[row["text"] for row in ROWS])
def test_marking_decodes_as_published(row: dict[str, str]) -> None:
    wanted = {key: value for key, value in row.items() if key not in ("text", "source")}
    if row["family"] == "refused":
        wanted = {"marking": "", "family": "refused"}
    assert decoded(row["text"]) == wanted


def test_reference_covers_every_family_and_names_its_sources() -> None:
    assert len(ROWS) >= 850
    assert len({row["text"] for row in ROWS}) == len(ROWS)
    count = {family: sum(row["family"] == family for row in ROWS) for family in FAMILIES}
    assert min(count.values()) >= 8, count
    for row in ROWS:
        assert row["source"] == "common practice, no source" or any(
            word in row["source"] for word in ("memory", "Regulation", "CFR", "data sheet", "manual", "press")
        ), row


def test_canonical_forms_of_the_reference_decode_to_the_same() -> None:
    for row in ROWS:
        if row["marking"]:
            marking = decode(row["marking"])
            assert isinstance(marking, Marking) and str(marking) == row["marking"] and not marking.nonstandard
