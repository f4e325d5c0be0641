"""Nothing crashes, nothing hangs, and what is read from anything round-trips."""

from __future__ import annotations

import time
from dataclasses import replace

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from auditor.marking import Marking, ServiceText, Unreadable, decode, decode_service, find_markings
from auditor.marking.fast import fast_marking
from auditor.marking.reading import LONGEST, read_marking

WORDS = """
P LT ST T HL IF VF 225 205 65 / - R ZR 17 16.5 22.5 390 x 31 10.50 7.50 C CP E XL RF SL 102H 121/118S (98Y) 155A8/152B
10PR ( ) [ ] + , . " ' &nbsp; &times; × Н О О0 l I M+S M/C 3PMSF TL TT LR Load Range * MO N0 acme ROAD 1,360 kg 80 psi
MT90B16 18.4 38 23.5 25 F78 15 ７ ⁄
"""
PIECES = st.sampled_from([*WORDS.split(), "\u00a0", "\u200b"])
SOUP = st.lists(st.tuples(PIECES, st.sampled_from(["", "", " "])), max_size=14).map(
    lambda parts: "".join(piece + gap for piece, gap in parts)
)


def _settled(marking: Marking) -> Marking:
    return replace(marking, nonstandard=False, unread=())


@settings(max_examples=600)
@given(st.one_of(SOUP, st.text(max_size=60)))
def test_any_text_is_read_or_refused(text: str) -> None:
    marking = decode(text)
    assert isinstance(marking, Marking | Unreadable)
    if isinstance(marking, Unreadable):
        assert 0 <= marking.position <= len(text) and marking.reason.endswith(".")
    else:
        assert marking.canonical and " ".join(marking.unread).isprintable() is not None
        again = decode(marking.canonical)
        assert isinstance(again, Marking), (text, marking.canonical, again)
        assert not again.nonstandard and again.unread == (), (text, marking.canonical)
        assert again == _settled(marking), (text, marking.canonical)
        short = fast_marking(text)
        assert short is None or short == read_marking(text)


@settings(max_examples=300)
@given(st.one_of(SOUP, st.text(max_size=60)))
def test_any_text_is_searched(text: str) -> None:
    end = 0
    for start, stop, marking in find_markings(text):
        assert end <= start < stop <= len(text)
        assert decode(marking.canonical) == _settled(marking)
        end = stop


@settings(max_examples=600)
@given(st.one_of(SOUP, st.text(max_size=30)))
@example("LT/(38P")  # cut off where the bar stands, the letters of a size look like a maker's mark
@example("102H ST/C")
def test_any_service_cell_is_read_or_refused(text: str) -> None:
    found = decode_service(text)
    assert isinstance(found, ServiceText | Unreadable)
    if isinstance(found, ServiceText):
        again = decode_service(found.canonical)
        assert isinstance(again, ServiceText), (text, found.canonical)
        assert replace(again, nonstandard=False) == replace(found, nonstandard=False, unread=()), (
            text,
            found.canonical,
        )


WORST = (
    "225/65R17 ", "2", " ", "2 ", "/", "(", "(98Y", "OI0", "1/", "M+S ", "&nbsp;", "&#4", "225 65 17 ", "EXTRA LOAD ",
    "\u00a0", "x", "31x", "1,000 kg ", "THREE-PEAK", "R17", "--", "-A-", "LOAD RANGE ", "\u200b", "10 20 ", "А",
)  # fmt: skip


@pytest.mark.parametrize("piece", WORST)
def test_a_megabyte_is_refused_within_milliseconds(piece: str) -> None:
    text = piece * (1_000_000 // len(piece))
    started = time.perf_counter()
    found = decode(text)
    assert isinstance(found, Unreadable)
    assert time.perf_counter() - started < 0.05
    assert str(len(text)) in found.reason and str(LONGEST) in found.reason


def _seconds(text: str) -> float:
    best = float("inf")
    for _ in range(3):
        started = time.process_time()
        find_markings(text)
        best = min(best, time.process_time() - started)
    return best


@pytest.mark.parametrize("piece", WORST)
def test_searching_takes_time_linear_in_length(piece: str) -> None:
    small = piece * (2_000 // len(piece))
    large = piece * (16_000 // len(piece))
    # Eight times the text: linear takes 8 times as long, quadratic 64 times.
    assert _seconds(large) < 28 * max(_seconds(small), 0.0003)


@pytest.mark.parametrize("piece", WORST)
def test_the_longest_text_that_is_read_is_read_quickly(piece: str) -> None:
    text = piece * (LONGEST // len(piece))
    started = time.process_time()
    decode(text)
    assert time.process_time() - started < 0.25
