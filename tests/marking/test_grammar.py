"""Over the whole grammar: the right decode, the canonical form round trip, the short way equal to the full way."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from auditor.marking import (
    Marking,
    ServiceDescription,
    ServiceText,
    compose,
    decode,
    decode_service,
    find_markings,
)
from auditor.marking.fast import fast_marking
from auditor.marking.reading import read_marking
from auditor.marking.service import text_of
from tests.marking.grammar import CASES, LETTERS, Case, facts


@settings(max_examples=200)
@given(CASES, LETTERS)
def test_clean_markings_decode_as_built(case: Case, letters: list[str]) -> None:
    text, wanted = case
    marking = decode(" ".join([text, *letters]))
    assert isinstance(marking, Marking), (text, marking)
    assert facts(marking, wanted) == wanted
    assert set(letters) <= set(marking.letters)
    assert not marking.nonstandard and marking.unread == ()


@settings(max_examples=200)
@given(CASES, LETTERS)
def test_canonical_form_round_trip(case: Case, letters: list[str]) -> None:
    first = decode(" ".join([case[0], *letters]))
    assert isinstance(first, Marking)
    again = decode(str(first))
    assert again == first, (str(first), again)


@settings(max_examples=300)
@given(CASES)
def test_short_way_equals_full_way(case: Case) -> None:
    short = fast_marking(case[0])
    full = read_marking(case[0])
    assert short is None or (short == full and hash(short) == hash(full))


def _near_canonical() -> st.SearchStrategy[str]:
    """Texts that the short way's pattern takes, plausible or not."""
    metric = (
        r"(?:P|LT|ST|T|HL)?[1-9][0-9]?[05]/(?:[2-9][05]|100)(?:ZR|R|D|B|-)(?:1[0-9]|2[0-4])(?:\.5)?(?:LT|C)?(?: M/C)?"
    )
    inch = r"(?:[2-4][0-9]x(?:[6-9]|1[0-9])\.[05]0[R-](?:1[2-9]|2[0-6])(?:LT)?|(?:[7-9]|1[0-5])R(?:17|19|22|24)\.5)"
    tail = (
        r"(?: (?:[2-9]|1[0-9])PR)?(?: (?:[01]?[0-9]{2}(?:/[01]?[0-9]{2})?[A-Y]|\([01]?[0-9]{2}[A-Y]\)))?"
        r"(?: (?:XL|[A-N]))?(?: (?:M\+S|3PMSF|TL|TT|FRT|OWL|VSB)){0,3}"
    )
    return st.one_of(
        st.from_regex(metric + tail, fullmatch=True),
        st.from_regex(inch + tail, fullmatch=True),
    )


@settings(max_examples=800)
@example("10R17.5 (20Y)")
@given(_near_canonical())
def test_short_way_never_differs_from_the_full_way(text: str) -> None:
    short = fast_marking(text)
    if short is not None:
        assert short == read_marking(text)


def test_short_way_takes_the_common_forms() -> None:
    for text in (
        "LT265/70R17 121/118S E",
        "225/65R17 102H",
        "245/40ZR19 (98Y) XL",
        "315/80R22.5 156/150L",
        "31x10.50R15LT 109S C",
        "11R22.5 144/142L G",
        "195/70R15C 8PR 104/102R",
        "120/70ZR17 M/C (58W)",
    ):
        assert fast_marking(text) is not None


# Each way of dirtying leaves one reading only, so the decode must be that of the clean text.
DIRTYING = (
    ("lower case r", lambda text: text.replace("R", "r", 1)),
    ("blank before R", lambda text: text.replace("R", " R ", 1)),
    ("blanks around the bar", lambda text: text.replace("/", " / ", 1)),
    ("full-width digits", lambda text: text.translate({48 + d: 0xFF10 + d for d in range(10)})),
    ("no-break spaces", lambda text: text.replace(" ", "\u00a0")),
    ("entity for a blank", lambda text: text.replace(" ", "&nbsp;")),
    ("entity for the bar", lambda text: text.replace("/", "&#47;")),
    # Not those that print like another letter than they are spoken: В, Н, Р, С, У.
    ("Cyrillic letters", lambda text: text.translate(str.maketrans("TSMK", "ТЅМК"))),
    ("quotes around", lambda text: f'"{text}"'),
    ("zero-width space", lambda text: f"{text[:3]}\u200b{text[3:]}"),
)


@settings(max_examples=300)
@given(CASES, st.sampled_from(DIRTYING))
def test_dirt_does_not_change_the_decode(case: Case, dirtying: tuple[str, object]) -> None:
    text, wanted = case
    dirty = dirtying[1](text)  # type: ignore[operator]
    marking = decode(dirty)
    assert isinstance(marking, Marking), (dirty, marking)
    assert facts(marking, wanted) == wanted, dirty
    assert replace(marking, nonstandard=False) == replace(_clean(text), nonstandard=False)
    if dirtying[0] not in ("no-break spaces", "blank before R") and dirty != text and "X" not in text:
        assert marking.nonstandard, dirty


def _clean(text: str) -> Marking:
    marking = decode(text)
    assert isinstance(marking, Marking)
    return marking


@settings(max_examples=300)
@given(CASES)
def test_size_and_service_cells_compose_to_the_whole(case: Case) -> None:
    whole = _clean(case[0])
    size = _clean(whole.size_text)
    service = decode_service(text_of(whole.service)) if whole.service.load_index is not None else None
    mark = [word for word in whole.letters if word == "M/C"]
    joined = compose(
        _clean(" ".join([size.size_text, *mark])),
        ServiceText(
            (ServiceDescription(),) if service is None else service.descriptions,  # type: ignore[union-attr]
            load_range=whole.load_range,
            ply_rating=whole.ply_rating,
            load_version=whole.load_version,
        ),
    )
    assert joined == replace(whole, additional=()) if whole.additional == () else joined.family == whole.family


@settings(max_examples=300)
@given(CASES, st.sampled_from(["Acme Trailhawk {} all-season", "{}", "Fit for winter: {}, 10/32 in deep", "({})"]))
def test_sizes_are_found_inside_titles(case: Case, frame: str) -> None:
    text, wanted = case
    title = frame.format(text)
    found = find_markings(title)
    assert len(found) == 1, (title, found)
    start, end, marking = found[0]
    assert title[start:end].startswith(marking.size_text)
    keys = [key for key in wanted if key not in ("load_range",)]
    assert facts(marking, keys) == {key: wanted[key] for key in keys}, title


@pytest.mark.parametrize("text", ["", " ", "\u200b", "&nbsp;", "(", ")", "/", "R", "225/", "(98Y", "&#x110000;"])
def test_scraps_are_unreadable(text: str) -> None:
    assert not isinstance(decode(text), Marking)
