"""Markings that no tire can have, and those whose two load indices have only changed places."""

from __future__ import annotations

import pytest

import auditor


@pytest.mark.parametrize(
    ("marking", "rule"),
    [
        ("205/55R16C 137/137T", "marking-implausible"),
        ("205/55R16C 137/138T", "dual-load-above-single"),
        ("205/55R16C 128/138T", "dual-load-above-single"),
        ("205/55R16C 127/138T", "marking-implausible"),
    ],
)
def test_a_dual_index_a_little_above_the_single_one_has_changed_places_with_it(marking: str, rule: str) -> None:
    assert [found.rule for found in auditor.audit_listing({"marking": marking}).findings] == [rule]
