"""Single forms as shops write them in many languages: read right, or refused where two readings lead elsewhere."""

from __future__ import annotations

from typing import Any

import pytest

from auditor.marking import Marking, Unreadable, decode

# text, canonical form
SEPARATORS = (
    ("35*12.50R17LT 121Q 10PR", "35x12.50R17LT 10PR 121Q"),
    ("31*10.50R15", "31x10.50R15"),
    ("4,00/- R10 69E", "4.00R10 69E"),
    ("19,5/- 24-", "19.5-24"),
    ("195/R14C 106/104R", "195R14C 106/104R"),
    ("155/70/13", "155/70R13"),
    ("205/55/R16", "205/55R16"),
    ("P245-70R16", "P245/70R16"),
    ("225/35Z R18", "225/35ZR18"),
    ("11 R22.5", "11R22.5"),
    ("215/75R17,5", "215/75R17.5"),
    ("215/75R17'5", "215/75R17.5"),
    ("R15 195/65 91H", "195/65R15 91H"),
    ("195/65 aro 15", "195/65R15"),
    ("18.4/30", "18.4-30"),
    ("1000x20", "10.00-20"),
    ("300-18", "3.00-18"),
    ("480/400-8 4PR", "4.80/4.00-8 4PR"),
    ("6-12 4PR", "6-12 4PR"),
    ("٢٠٥/٥٥R16", "205/55R16"),
    ("15x4 1/2-8", "15x4.50-8"),
    ("4.10/3.50-4", "4.10/3.50-4"),
    ("33x12.50R18/10LT", "33x12.50R18LT 10PR"),
    ("21.3R24 (530R610)", "21.3R24 (530R610)"),
    ("400-965", "400-965"),
    ("16.0/70-20VR75", "16.0/70-20 VR75"),
    ("8.25-15TR15", "8.25-15 TR15"),
    ("7.00R15 LT7.00R15", "LT7.00R15"),
    ("150/70r17 / 150/70-17", "150/70R17"),
)
PLIES = (
    ("18.4-38 54 PR", "18.4-38 54PR"),
    ("10.00-20 16T", "10.00-20 16PR"),
    ("10.00-20 18L", "10.00-20 18PR"),
    ("10.00-20 16 telas", "10.00-20 16PR"),
    ("10.00-20 16 lonas", "10.00-20 16PR"),
    ("12.4-28 8 kat", "12.4-28 8PR"),
    ("9.00-16 10 Lagen", "9.00-16 10PR"),
    ("8.25-20 14 сл", "8.25-20 14PR"),
    ("8.25-20 НС 14", "8.25-20 14PR"),
    ("145R12 6プライ", "145R12 6PR"),
    ("7.50-16 8 lớp", "7.50-16 8PR"),
    ("11R22.5-16PR", "11R22.5 16PR"),
    ("195R14C8PR", "195R14C 8PR"),
    ("35x12.50R20LT 125R 12PR/LRF", "35x12.50R20LT 12PR 125R F"),
)
SERVICES = (
    ("195R14C [102/100]Q", "195R14C 102/100Q"),
    ("315/80R22.5 <152/148M>", "315/80R22.5 152/148M"),
    ("205/55R16 91(V)", "205/55R16 91V"),
    ("205/55R16 XL94V", "205/55R16 94V XL"),
    ("205/55R16 (94V)", "205/55R16 94V"),
    ("205/55R16_91V", "205/55R16 91V"),
    ("195R14C 8PR-106/104Q", "195R14C 8PR 106/104Q"),
    ("195/65R15 LI 91 SI H", "195/65R15 91H"),
    ("195/65R15 IC 91 IV H", "195/65R15 91H"),
    ("69H TL 150/70R17", "150/70R17 69H TL"),
    ("225/65R17 1O2H", "225/65R17 102H"),
    ("225/65R17 l02H", "225/65R17 102H"),
    ("225/65Rl7 1l2H", "225/65R17 112H"),
    ("HL 245/40 R 19 101 Y XL", "HL245/40R19 101Y XL"),
)
# The words for "up to" beside a load or a speed, and the rest of the form.
UP_TO = ("do", "bis", "bis zu", "до", "jusqu'à", "hasta", "até", "fino a", "tot", "til", "έως", "iki", "līdz", "max.")


@pytest.mark.parametrize(("text", "canonical"), SEPARATORS + PLIES + SERVICES)
def test_form_is_read(text: str, canonical: str) -> None:
    found = decode(text)
    assert isinstance(found, Marking)
    assert (str(found), found.unread) == (canonical, ())


@pytest.mark.parametrize("word", UP_TO)
def test_up_to_is_no_speed_symbol(word: str) -> None:
    loaded = decode(f"315/80R22.5 154 {word} - 3750 kg")
    assert isinstance(loaded, Marking)
    assert (loaded.service.load_index, loaded.service.speed_symbol, loaded.unread) == (154, None, ())
    fast = decode(f"205/55R16 91 T - {word} 190 km/h")
    assert isinstance(fast, Marking)
    assert (fast.service.load_index, fast.service.speed_symbol, fast.unread) == (91, "T", ())


@pytest.mark.parametrize(
    ("text", "index", "symbol", "unread"),
    [
        ("225/65R17 102HABC", 102, "H", ("ABC",)),
        ("215/60R17 93VDEB", 93, "V", ("DEB",)),
        ("205/55R16 100STK", None, None, ("100STK",)),
        ("205/55R16 91WINTER", None, None, ("91WINTER",)),
        ("185/65R15 88TUBELESS", None, None, ("88TUBELESS",)),
        ("225/65R17 102HANDLING", None, None, ("102HANDLING",)),
        ("205/55R16 91SNOW", None, None, ("91SNOW",)),
        ("Acme Trail IV T 225/65R17", None, None, ("Acme Trail IV T",)),
        ("Acme 230V 225/65R17", None, None, ("Acme 230V",)),
        ("Acme 12V 225/65R17", None, None, ("Acme 12V",)),
        ("205/55R16 100PCS", None, None, ("100PCS",)),
        ("29.5-25 32PR (R)", None, None, ("(R)",)),
        ("225/65R17 (V)", None, None, ("(V)",)),
        ("205/55R16 10/32 E 91V", 91, "V", ("10/32", "E")),
        ("205/55R16 91 E C 71dB", 91, None, ("71dB", "E", "C")),
        ("205/55R16 XL V", None, None, ("V",)),
        ('155/65R14 17"', None, None, ("17",)),
        ("Acme 98T 9.00-16 TT", None, None, ("Acme", "98T")),
        ("145R12R 6PR", None, None, ("R",)),
        ("215/60R17 V107V XL", None, None, ("V107V",)),
        ("10.00-20 16B", None, None, ("16B",)),
        ("205/70R15 T Frost", None, None, ("Frost", "T")),
        ("Acme Trail II 54V 90/90-21", 54, "V", ("Acme Trail II",)),
        ("Acme 102T Sport 225/65R17", None, None, ("Acme 102T Sport",)),
        ("Acme 102T 225/65R17 100H", 100, "H", ("Acme 102T",)),
    ],
)
def test_a_letter_is_a_symbol_only_where_that_can_be(
    text: str, index: int | None, symbol: str | None, unread: tuple[str, ...]
) -> None:
    found = decode(text)
    assert isinstance(found, Marking)
    assert (found.service.load_index, found.service.speed_symbol, found.unread) == (index, symbol, unread)


@pytest.mark.parametrize(
    ("text", "unlisted"),
    [
        ("225/65R17 302H", {"load_index": "302"}),
        ("225/65R17 102X", {"speed_symbol": "X"}),
        ("225/65R17 102O", {"speed_symbol": "O"}),
        ("225/65R17 102I", {"speed_symbol": "I"}),
        ("225/65R17 302X", {"load_index": "302", "speed_symbol": "X"}),
        ("LT245/75R16 120/316S", {"load_index_dual": "316"}),
        ("LT245/75R16 120/116S LR K", {"load_range": "K"}),
        ("LT245/75R16 120/116S Q", {"load_range": "Q"}),
        ("LT245/75R16 120/116S I", {"load_range": "I"}),
    ],
)
def test_what_no_table_lists_is_named_and_the_rest_is_read(text: str, unlisted: dict[str, Any]) -> None:
    found = decode(text)
    assert isinstance(found, Marking)
    assert dict(found.unlisted) == unlisted and found.unread == ()
    assert decode(str(found)) == found
    for name in {"load_index", "speed_symbol"} - set(unlisted):
        assert getattr(found.service, name) is not None or name in ("load_index_dual",)


@pytest.mark.parametrize(
    "text",
    [
        "6.5x16", "7.0x17 5x112", "8x18 5/112 ET35", "5x114.3", "8.25x22.5", "700x25c", "26x2.125", "27.5x2.25",
        "12V 70Ah 760A", "10W/40", "5W-30", "205/55", "165/90D", "R16", "12.5/80", "3/8-16", "700x20", "17.5",
        "1.5l", "16x7.5J",
    ],
)  # fmt: skip
def test_wheels_batteries_oil_bicycles_and_scraps_stay_unread(text: str) -> None:
    assert isinstance(decode(text), Unreadable)


@pytest.mark.parametrize(
    "text", ["205/55 R16", "205/55 R 16", "185/70 R 14 89 T", "11 R 22.5 148/145 L", "120/70 ZR 17 M/C (58W)"]
)
def test_blanks_around_the_construction_letter_are_standard(text: str) -> None:
    found = decode(text)
    assert isinstance(found, Marking) and not found.nonstandard


@pytest.mark.parametrize(
    ("text", "readings"),
    [
        ("205/55R16 215/55R16", ("205/55R16", "215/55R16")),
        ("225/65R17 225/65D17", ("225/65R17", "225/65D17")),
        ("LT225/65R17 P225/65R17", ("LT225/65R17", "P225/65R17")),
        ("F60-15 FR60-15", ("F60-15", "FR60-15")),
        ("100H 215/75R16C 115/113N", ("215/75R16C 100H", "215/75R16C 115/113N")),
    ],
)
def test_what_cannot_be_told_apart_is_refused(text: str, readings: tuple[str, ...]) -> None:
    found = decode(text)
    assert isinstance(found, Unreadable) and found.readings == readings
