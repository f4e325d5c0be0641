"""Patterns that are compiled when they are first used."""

from __future__ import annotations

import re

import pytest

from auditor.trade.patterns import Pattern


def test_a_pattern_does_what_the_compiled_one_does() -> None:
    pattern = Pattern(r"(?P<number>\d+) ?(KG)", re.IGNORECASE)
    compiled = re.compile(r"(?P<number>\d+) ?(KG)", re.IGNORECASE)
    text = "850 kg and 1360KG"
    for way in ("match", "search", "fullmatch"):
        one, other = getattr(pattern, way)(text), getattr(compiled, way)(text)
        assert (one and one.span()) == (other and other.span())
    assert [m["number"] for m in pattern.finditer(text)] == ["850", "1360"]
    assert pattern.findall(text) == compiled.findall(text)
    assert pattern.sub("#", text) == "# and #"


def test_a_wrong_pattern_is_told_when_it_is_used() -> None:
    pattern = Pattern("(")
    with pytest.raises(re.error):
        pattern.match("x")


def test_nothing_else_is_there() -> None:
    with pytest.raises(AttributeError):
        _ = Pattern("x").groups
