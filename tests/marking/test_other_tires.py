"""Sizes of other tires in a text, words and fields run together, and numbers that are of no tire of ours."""

from __future__ import annotations

import pytest

from auditor.marking import Marking, Unreadable, decode


@pytest.mark.parametrize(
    ("text", "meant"),
    [
        ("Replaces 225/60R16 98H: 235/55R17 99H", "235/55R17 99H"),
        ("Ersetzt 185/60R14 82T - jetzt 195/55R15 85H Norvane", "195/55R15 85H"),
        ("(remplace 175/65R14) Norvane 185/60R15 88H", "185/60R15 88H"),
        ("Norvane 185/60R15 88H (was 175/65R14)", "185/60R15 88H"),
        ("Norvane 185/60R15 88H (was 175/65R14) TL", "185/60R15 88H TL"),
        ("520/85R38 155A8 TL ex 20.8R38", "520/85R38 155A8 TL"),
        ("480/70R34 143A8 18.4R34 yerine", "480/70R34 143A8"),
        ("90/90-10 50J TL (3.00-10换)", "90/90-10 50J TL"),
        ("215/65*16 102H (вм. 215/70R16)", "215/65R16 102H"),
        ("Замества 185/65R15, 195/60R15 88V", "195/60R15 88V"),
        ("275/80R22.5 149/146L (equivale a 11R22.5)", "275/80R22.5 149/146L"),
        ("275/70R22.5 152/148J 公交胎(可替11R22.5)", "275/70R22.5 152/148J"),
        ("275/80R22.5 149/146L entspricht 11R22.5", "275/80R22.5 149/146L"),
        ("We no longer stock 195/55R15; 195/55R16 87V", "195/55R16 87V"),
        ("replaces 225/60R16 98H", "225/60R16 98H"),  # all that is said
        ("205/55R16 91V replaces 195/65R15 91H", "205/55R16 91V"),
    ],
)
def test_the_size_of_another_tire_is_left_out(text: str, meant: str) -> None:
    found = decode(text)
    assert isinstance(found, Marking)
    assert found.canonical == meant
    assert found.nonstandard


@pytest.mark.parametrize(
    "text",
    [
        "205/55R16 91V 195/65R15 91H",
        "205/55R16 91V wash 195/65R15",
        "205/55R16 or 195/65R15",
        "275/80R22.5 and equally 11R22.5",
        "3.00x17",  # a wheel's, its width first
    ],
)
def test_two_sizes_without_such_words_are_refused(text: str) -> None:
    assert isinstance(decode(text), Unreadable)


@pytest.mark.parametrize(
    ("text", "meant"),
    [
        ("Winterreifen215/60R1699HNorvaneAlp", "215/60R16 99H"),
        ("NEUMATICO195/60R1588VNORVANE2UDS", "195/60R15 88V"),
        ("ШиныЗимние205/60R16 96TНорван", "205/60R16 96T"),
        ("225/45R17 94WNorvane", "225/45R17 94W"),
        ("205/55R16 102Handling", "205/55R16"),
        ("205/55R16 100Stück", "205/55R16"),
    ],
)
def test_words_glued_to_index_and_symbol(text: str, meant: str) -> None:
    found = decode(text)
    assert isinstance(found, Marking)
    assert found.canonical == meant


@pytest.mark.parametrize("text", ["205/55R16100Stk", "205/55R16100PCS"])
def test_a_count_glued_to_a_size_is_no_index(text: str) -> None:
    assert not isinstance(decode(text), Marking)


@pytest.mark.parametrize(
    ("text", "meant"),
    [
        ("215 / 60 / R16 / 99 / H Norvane", "215/60R16 99H"),
        ("215/60R16 99 / H Max", "215/60R16"),
        ("245//45//R18", "245/45R18"),
        ("435/50R19.5//160J//hub", "435/50R19.5 160J"),
        ("95T//ALP//Norvane//215/60/16", "215/60R16 95T"),
        ("99V-XL-[235/45R18]-NORVANE", "235/45R18 99V XL"),
        ("[94H] Norvane [215/55R16]", "215/55R16 94H"),
        ("ZIMNÍ 97H XL NORVANE 215/55R16", "215/55R16 97H XL"),
        ("Norvane 102T Sport 225/65R17", "225/65R17"),  # the name of a model
        ("235/65R16C-115/113R-XL", "235/65R16C 115/113R XL"),
        ("385/65R22.5/160K/Hub/20PR/M+S", "385/65R22.5 20PR 160K M+S"),
        ("245/70 R19, 5", "245/70R19.5"),
        ("9.5 R 17 .5", "9.5R17.5"),
        ("টায়ার ২০৫/৬০R১৬ ৯২H", "205/60R16 92H"),
    ],
)
def test_fields_and_signs_between_them(text: str, meant: str) -> None:
    found = decode(text)
    assert isinstance(found, Marking)
    assert found.canonical == meant


@pytest.mark.parametrize(
    "text",
    ["28x1 5/8x1 3/8", "Fahrrad 26 x 1 3/8", "28x1 1/2", "Art.-Nr. 195-60-15", "SKU: 205-55-16", "Ref. 185-65-15 belt"],
)
def test_numbers_of_bicycles_and_articles_are_no_sizes(text: str) -> None:
    assert isinstance(decode(text), Unreadable)


@pytest.mark.parametrize("text", ["26x12.00-12", "20.5x8.0-10", "Ref. 205/55R16 91V", "SKU 4711 185-65-15"])
def test_sizes_that_look_alike_are(text: str) -> None:
    assert isinstance(decode(text), Marking)


@pytest.mark.parametrize(
    ("text", "meant"),
    [
        ("205/55R16 also available as 94V XL", "205/55R16"),
        ("205/55R16 91V also known as 94V XL", "205/55R16 91V"),
        ("205/55R16, auch bekannt als 94V", "205/55R16"),
        ("205/55R16 également en 94V XL", "205/55R16"),
        ("205/55R16 91V also in stock", "205/55R16 91V"),
        ("205/55R16 also 94V XL", "205/55R16 94V XL"),  # beside something else
        ("315/80R22.5 156/150L also known as 154/150M", "315/80R22.5 156/150L (154/150M)"),
    ],
)
def test_another_service_description_to_choose_is_none_of_this_tire(text: str, meant: str) -> None:
    assert str(decode(text)) == meant
