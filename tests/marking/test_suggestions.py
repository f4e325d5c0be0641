"""What is suggested for a marking in no standard form says the same as the text."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import auditor
from auditor.marking import Marking, decode
from tests.marking.grammar import CASES, Case, facts

KEYS = (
    "family", "section_width_mm", "section_width_in", "aspect_ratio", "construction", "run_flat", "rim_diameter_in",
    "overall_diameter_in", "load_index", "load_index_dual", "speed_symbol", "speed_open", "additional", "load_range",
    "ply_rating", "load_version",
)  # fmt: skip
# Ways of shops to write the same; none of them says anything else.
HABITS = (
    ("a star for x", lambda text: text.replace("x", "*")),
    ("a comma for the dot", lambda text: text.replace(".", ",")),
    ("a bar before R", lambda text: text.replace("R", "/R", 1) if "/" in text else text),
    ("an underscore before the rest", lambda text: text.replace(" ", "_", 1)),
    ("a bar before the rest", lambda text: text.replace(" ", "-", 1)),
    ("written twice", lambda text: f"{text.split(' ')[0]} {text}"),
    ("words before", lambda text: f"Acme Tire Trail {text}"),
    ("words behind", lambda text: f"{text} Acme Tire Trail"),
    ("the article's number behind", lambda text: f"{text} Acme K715X"),
    ("a seller's letter", lambda text: f"{text} (S)"),
    ("a valve", lambda text: f"{text} TR15"),
    ("small letters", lambda text: text.lower()),
    ("a word glued before", lambda text: f"Winter{text}"),
    ("a word glued behind the size", lambda text: re.sub(r"^(\S*R\d\d)(?= )", r"\1Winter", text)),
    ("a blank for the bar", lambda text: re.sub(r"(?<= )(\d{2,3})/(?=\d{2,3}[F-Y])", r"\1 ", text)),
    ("uprights", lambda text: text.replace("/", "|").replace(" ", "|")),
    ("a raised dot", lambda text: text.replace(".5", "·5")),
    ("a half apart", lambda text: re.sub(r"(?<=R\d\d)\.5", " 5", text)),
    ("a half by a dash", lambda text: re.sub(r"(?<=R\d\d)\.5", "-5", text)),
    ("a half as a fraction", lambda text: text.replace(".5", " 1/2").replace(".75", " 3/4")),
    ("a half as a sign", lambda text: text.replace(".5", "½").replace(".25", "¼")),
    ("a Cyrillic R", lambda text: text.replace("R", "Р", 1)),
    ("wide signs", lambda text: "".join(chr(ord(c) + 0xFEE0) if "!" <= c <= "~" else c for c in text)),
    ("Arabic digits", lambda text: text.translate({48 + digit: chr(0x660 + digit) for digit in range(10)})),
    ("blanks left out", lambda text: text.replace(" ", "")),
    ("both symbols", lambda text: re.sub(r"(\d{2,3})/(\d{2,3})([F-Y])(?= |$)", r"\1\3/\2\3", text)),
    ("the symbol before", lambda text: re.sub(r"(?<= )(\d{2,3}(?:/\d{2,3})?)([F-Y])(?= |$)", r"\2\1", text)),
    ("the symbol in brackets", lambda text: re.sub(r"(?<=\d)([F-V])(?= |$)", r" (\1)", text)),
    ("plies first", lambda text: re.sub(r"(\d+)PR", r"PR\1", text)),
    ("curly brackets", lambda text: text.replace("(", "{").replace(")", "}")),
    ("words before and a mark", lambda text: f"Acme 6 TL {text}"),
)


@settings(max_examples=400)
@given(CASES, st.sampled_from(HABITS))
def test_habits_of_shops_change_no_fact(case: Case, habit: tuple[str, object]) -> None:
    text = case[0]
    written = habit[1](text)  # type: ignore[operator]
    clean, found = decode(text), decode(written)
    assert isinstance(clean, Marking)
    if not isinstance(found, Marking):  # refused: nothing is suggested
        return
    for name, value in facts(clean, KEYS).items():
        read = facts(found, KEYS)[name]
        assert read == value or not found.says_all or read is None, (written, name, read, value)
    for name in ("load_index", "load_index_dual", "speed_symbol", "rim_diameter_in"):
        assert facts(found, (name,))[name] in (facts(clean, (name,))[name], None), (written, name)


@settings(max_examples=300)
@given(CASES, st.sampled_from(HABITS), st.sampled_from(HABITS))
def test_the_suggestion_decodes_to_the_same_facts(case: Case, one: tuple[str, object], two: tuple[str, object]) -> None:
    written = two[1](one[1](case[0]))  # type: ignore[operator]
    found = decode(written)
    suggested = auditor.audit_listing({"marking": written}).suggestions.get("marking")
    if not isinstance(found, Marking) or suggested is None:
        return
    assert found.says_all
    again = decode(suggested)
    assert isinstance(again, Marking)
    assert again == replace(found, unread=(), nonstandard=False)


@pytest.mark.parametrize(
    ("rest", "says_all"), [("", True), ("ab", False), ("abc", True), ("abcd", True), ("ab12", False)]
)
def test_a_word_states_no_fact_but_two_letters_or_a_digit_may(rest: str, says_all: bool) -> None:
    found = decode(f"225/65R17 102H {rest}")
    assert isinstance(found, Marking)
    assert found.says_all is says_all
