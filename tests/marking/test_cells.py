"""Service description cells, and joining them with size cells."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from auditor.marking import Marking, ServiceDescription, ServiceText, Unreadable, compose, decode, decode_service
from auditor.marking.cells import decode_service as fully_read
from auditor.marking.fast import fast_service


@pytest.mark.parametrize(
    ("text", "wanted", "nonstandard"),
    [
        ("102H", [(102, None, "H", False)], False),
        ("120/116S", [(120, 116, "S", False)], False),
        ("(98Y)", [(98, None, "Y", True)], False),
        ("102 H", [(102, None, "H", False)], False),
        ("T - do 190 km/h", [(None, None, "T", False)], True),
        ("154 do - 3750 kg", [(154, None, None, False)], True),
        ("[102/100]Q", [(102, 100, "Q", False)], True),
        ("<152/148M>", [(152, 148, "M", False)], True),
        ("121 / 118 S", [(121, 118, "S", False)], True),
        ("98(Y)", [(98, None, "Y", True)], True),
        ("102h", [(102, None, "H", False)], True),
        ("1O2H", [(102, None, "H", False)], True),
        ("121/119R (122/119N)", [(121, 119, "R", False), (122, 119, "N", False)], False),
        ("124/123R+126/124M", [(124, 123, "R", False), (126, 124, "M", False)], False),
        ("155A8/152B", [(155, None, "A8", False), (152, None, "B", False)], False),
        ("120/116", [(120, 116, None, False)], False),
        ("91В", [(91, None, "V", False)], True),
        ("102", [(102, None, None, False)], False),
    ],
)
def test_service_cells(text: str, wanted: list[tuple[object, ...]], nonstandard: bool) -> None:
    found = decode_service(text)
    assert isinstance(found, ServiceText)
    assert [
        (one.load_index, one.load_index_dual, one.speed_symbol, one.speed_open) for one in found.descriptions
    ] == wanted
    assert found.nonstandard is nonstandard and found.unread == ()


@pytest.mark.parametrize(("text", "symbol"), [("V", "V"), ("H", "H"), (" t ", "T"), ("A8", "A8"), ("(W)", "W")])
def test_a_speed_symbol_alone(text: str, symbol: str) -> None:
    """Most of B to M are left, which may as well be load ranges."""
    found = decode_service(text)
    assert isinstance(found, ServiceText)
    assert found.descriptions == (ServiceDescription(None, None, symbol, speed_open=text == "(W)"),)
    assert (found.load_range, found.unread) == (None, ())


@pytest.mark.parametrize("tread", ["A/T", "H/T", "M/T"])
def test_a_bare_index_before_the_name_of_a_tread(tread: str) -> None:
    found = decode_service(f"121/118 {tread}")
    assert isinstance(found, ServiceText)
    assert (found.canonical, found.unread) == ("121/118", (tread,))


def test_a_service_cell_with_more_in_it() -> None:
    found = decode_service("120/116S E XL M+S MO")
    assert isinstance(found, ServiceText)
    assert (found.load_range, found.load_version, found.letters, found.other_letters) == ("E", "XL", ("M+S",), ("MO",))
    assert str(found) == "120/116S LR E XL M+S MO"


@pytest.mark.parametrize(
    "text",
    [
        "",
        " ",
        "E",
        "X",
        "(V",
        "225/65R17",
        "102H 99V",
        "102H XL SL",
        "91 or 94V",
        "91V oder W",
        "9?H",
        "102 H/V",
        "x" * 200,
    ],
)
def test_cells_that_hold_no_one_service_description(text: str) -> None:
    assert isinstance(decode_service(text), Unreadable)


@pytest.mark.parametrize(
    ("text", "unlisted"),
    [
        ("302H", (("load_index", "302"),)),
        ("102Z", (("speed_symbol", "Z"),)),
        ("121/302S", (("load_index_dual", "302"),)),
        ("121/118S LR K", (("load_range", "K"),)),
    ],
)
def test_what_no_table_lists_is_kept_as_said(text: str, unlisted: tuple[tuple[str, str], ...]) -> None:
    found = decode_service(text)
    assert isinstance(found, ServiceText)
    assert (found.unlisted, str(found), found.unread) == (unlisted, text, ())
    marking = compose(_size("225/65R17"), found)
    assert marking.unlisted == unlisted and decode(str(marking)) == marking


def _size(text: str) -> Marking:
    marking = decode(text)
    assert isinstance(marking, Marking)
    return marking


def test_compose_with_a_service_cell() -> None:
    service = decode_service("121/118S")
    assert isinstance(service, ServiceText)
    assert compose(_size("LT265/70R17 E"), service) == _size("LT265/70R17 121/118S E")


def test_compose_with_loose_fields() -> None:
    joined = compose(_size("225/65R17 XL"), ServiceDescription(102, None, "H"))
    assert joined == _size("225/65R17 102H XL")
    assert compose(_size("195/70R15C 8PR"), ServiceDescription(104, 102, "R")) == _size("195/70R15C 8PR 104/102R")


def test_compose_claims_the_family_anew() -> None:
    size = _size("365/80R20")
    assert size.family == "metric"
    assert compose(size, ServiceDescription(152, None, "K")).family == "truck-metric"


def test_what_the_size_cell_states_goes_first() -> None:
    joined = compose(_size("225/65R17 102H"), ServiceDescription(99, None, "V"))
    assert joined.service == ServiceDescription(102, None, "H")
    completed = compose(_size("225/65R17 102"), ServiceDescription(99, None, "V"))
    assert completed.service == ServiceDescription(102, None, "V")


def test_dirt_of_either_cell_makes_the_whole_nonstandard() -> None:
    service = decode_service("102-H")
    assert isinstance(service, ServiceText)
    assert compose(_size("225/65R17"), service).nonstandard
    assert compose(_size("225-65-17"), ServiceDescription(102, None, "H")).nonstandard


@given(st.integers(40, 290), st.none() | st.integers(40, 290), st.sampled_from("ABCDEFGHIJKLMNOPQRSTUVWXYZ"))
def test_the_short_way_gives_what_the_full_reading_gives(single: int, dual: int | None, symbol: str) -> None:
    text = f"{single}{'' if dual is None else f'/{dual}'}{symbol}"
    short = fast_service(text)
    assert short is None or short == fully_read(text)
    assert (short is None) == (not 50 <= single <= 199 or symbol in "ABCDEIOXZ" or not 50 <= (dual or 50) <= 199)
