"""What shops leave out, turn round or put in odd signs: blanks, dots, fractions, letters of other scripts, pairs."""

from __future__ import annotations

import pytest

from auditor.marking import Marking, Unreadable, decode

# text, canonical form of what is read
GLUED = (
    ("Winter205/55R16 91H", "205/55R16 91H"),
    ("Ciężarowa235/75 R17,5 143/141J", "235/75R17.5 143/141J"),
    ("Грузовая235/75R17.5", "235/75R17.5"),
    ("205/55R16Winter 91H", "205/55R16 91H"),
    ("205/55R16轮胎", "205/55R16"),
    ("4x205/55R16 91V", "205/55R16 91V"),
    ("23.5-25 16PRL5", "23.5-25 16PR L5"),
    ("7.50R16 12PRTT", "7.50R16 12PR TT"),
    ("LT265/75R16 10PLYRWL", "LT265/75R16 10PR RWL"),
    ("295/80R22.5 152/148M18PR", "295/80R22.5 18PR 152/148M"),
    ("35x12.50R17LT121Q10PR", "35x12.50R17LT 10PR 121Q"),
    ("315/80R22.5PR20", "315/80R22.5 20PR"),
    ("LT265/75R16 123/120QE", "LT265/75R16 123/120Q E"),
    ("265/35R20 99YEL", "265/35R20 99Y XL"),
    ("21L24 16PR", "21L-24 16PR"),
    ("16.5L16.1SL 10PR", "16.5L-16.1SL 10PR"),
)
HALVES = (
    ("315/80R22 5 156/150L", "315/80R22.5 156/150L"),
    ("315/80R22-5 156/150L", "315/80R22.5 156/150L"),
    ("315/80R22·5 156/150L", "315/80R22.5 156/150L"),
    ("315/80R22½ 156/150L", "315/80R22.5 156/150L"),
    ("315/80R22 1/2 156/150L", "315/80R22.5 156/150L"),
    ("315/80 R22٫5", "315/80R22.5"),
    ("295.80R22.5", "295/80R22.5"),
    ("11R22 5 16PR", "11R22.5 16PR"),
    ("285/40R22 5 spokes", "285/40R22"),  # a passenger tire's rim, and a count
    ("2 3/4-17", "2.75-17"),
    ("2¾-17", "2.75-17"),
)
SIGNS = (
    ("205|55|R16|91V", "205/55R16 91V"),
    ("205/55 Р16 91V", "205/55R16 91V"),
    ("205/55R16 снег 91V", "205/55R16 91V"),  # its first letter prints like a Latin C
    ("205/55 Р16 91В", "205/55R16 91V"),  # a V or a B, and no car is a B
    ("205/55R16 91 В", "205/55R16 91"),  # a class of the label, or a V
    ("205/55R16 91Р", "205/55R16 91"),  # a P or an R: no symbol is taken
    ("225/45R17 94У", "225/45R17 94"),  # a Y or a U
    ("225/45R17 94Υ", "225/45R17 94Y"),  # the Greek letter
    ("175/70R13 82С", "175/70R13 82S"),
    ("205/55 ر16 91V", "205/55R16 91V"),
    ("٢٠٥/٥٥ر١٦", "205/55R16"),
    ("335/80R20 149В", "335/80R20 149"),
    ("345/80R20 149В", "345/80R20 149"),
    ("520/85R38 155А8/152В", "520/85R38 155A8/152B"),  # no tractor is a V
    ("205/55R16 91Н", "205/55R16 91H"),  # no car is an N
    ("195/70R15C 104/102Н", "195/70R15C 104/102"),
    ("205/55R16 91У", "205/55R16 91"),  # 300 km/h or 200
    ("225/40R18・92W", "225/40R18 92W"),
    ("275/70R22.5 {148/145M}", "275/70R22.5 148/145M"),
    ("205/75C16 110/108R", "205/75R16C 110/108R"),
    ("185/R14/C 102R", "185R14C 102R"),
    ("11L-15 SL 8PR", "11L-15SL 8PR"),
    ("205/55R16 C/B/71dB 91V", "205/55R16 91V"),
    ("25/8.00-12", "25x8.00-12"),
    ("25*8*12", "25x8-12"),
    ("25/8-12", "25x8-12"),
    ("22/10-10 rear, 4 ply", "22x10-10 4PR"),
    ("245*45*R18", "245/45R18"),
    ("205*55*16 91V", "205/55R16 91V"),
    ("6-12 4 plis", "6-12 4PR"),
    ("570-8 load range B", "5.70-8 B"),
    ("width 225, height 45, rim 18, load 95", "225/45R18 95"),
    ("largeur 225 hauteur 45 diamètre 18 charge 95 vitesse Y", "225/45R18 95Y"),
    ("breedte: 205 hoogte: 55 velg: 16", "205/55R16"),
    ("145/80R12 80/78N (145R12 6PR equivalent)", "145/80R12 (145R12) 80/78N"),
    ("225/60R17 99,V", "225/60R17 99V"),
    ("225/60R17 | 99 | V", "225/60R17 99V"),
    ("225/60R17 99 - V", "225/60R17 99V"),
    ("225/60R17 99 S-line", "225/60R17"),
    ("225/60R17 60K miles", "225/60R17"),
    ("LT245/75R16 120S/116", "LT245/75R16 120/116S"),
    ("Acme 205/55R16 91 (615 kg), T (190 km/h)", "205/55R16 91T 615 KG 190 KM/H"),
    ("5.50-13 R 6PR", "5.50-13 6PR"),  # radial, or a seller's own letter
    ("195/620R420A", "195-620R420A"),
    ("215/60 WR16 95W", "215/60WR16 95W"),
    ("90/90/21 54S", "90/90-21 54S"),
    ("1800R33", "18.00R33"),
    ("350-10 51J", "3.50-10 51J"),
    ("275-17 6PR", "2.75-17 6PR"),
    ("10x16.5 10PR", "10-16.5 10PR"),
    ("80/90 ring 17", "80/90-17"),
    ("Acme 2454018 97Y", "245/40R18 97Y"),
)
PAIRS = (
    ("205/75R16C 110R/108R", "205/75R16C 110/108R"),
    ("315/80R22.5 156L/150L", "315/80R22.5 156/150L"),
    ("205/75R16C R110/108", "205/75R16C 110/108R"),
    ("315/80R22.5 156.150L", "315/80R22.5 156/150L"),
    ("315/80R22.5 156/150 (L)", "315/80R22.5 156/150L"),
    ("295/60 R22.5 150/147 (149/146) K (L)", "295/60R22.5 150/147K (149/146L)"),
    ("215/75R17.5 Acme TL 126/124 MI", "215/75R17.5 126/124 TL"),
    ("205/55R16 V91", "205/55R16 91V"),
    ("205/60 R 16 H 92", "205/60R16 92H"),
    ("205/55R16 V50", "205/55R16"),  # no tire of the size has such an index: a name
    ("70M TT Acme 140/80-18", "140/80-18 70M TT"),
    ("Acme Street 70M TT 140/80-18", "140/80-18 70M TT"),
    ("225/40R18 92Y reforzado", "225/40R18 92Y XL"),
    ("225/40R18 92Y усиленная", "225/40R18 92Y XL"),
    ("225/40R18 carcasa reforzada 92Y", "225/40R18 92Y"),
    ("195R15C нс 8", "195R15C 8PR"),
    ("12.4-28 8 н.с.", "12.4-28 8PR"),
)


@pytest.mark.parametrize(("text", "canonical"), GLUED + HALVES + SIGNS + PAIRS)
def test_form_is_read(text: str, canonical: str) -> None:
    found = decode(text)
    assert isinstance(found, Marking), found
    assert found.canonical == canonical
    assert found.nonstandard


def test_standard_forms_of_other_habits_are_no_finding() -> None:
    for text, canonical in (
        ("315/80R22.5 PR 20 156/150L", "315/80R22.5 20PR 156/150L"),
        ("265/70R19.5 143/141 J", "265/70R19.5 143/141J"),
        ("6.40/7.00-13 87S", "6.40/7.00-13 87S"),
        ("22x7R10 28N", "22x7R10 28N"),  # an index, though as low as a count of plies
    ):
        found = decode(text)
        assert isinstance(found, Marking)
        assert (found.canonical, found.nonstandard) == (canonical, False)


@pytest.mark.parametrize(
    ("text", "reason"),
    [
        ("385/65R22.5 160(158)K", "it gives the load indices 160 and 158 and one speed symbol"),
        ("275/70R22.5 148/145(152/148)J", "it gives the load indices 148/145 and 152/148 and one speed symbol"),
        ("115/80-15.3 14PR", "No tire for a 15.3 in rim is 115 mm wide"),
        ("225/65R'7 102H", "a digit of it may be missing"),
        ("225/65R 7 102H", "a digit of it may be missing"),
        ("Acme 25/8-12", "25/8-12 can be a date"),
        ("205/55R16/17", "It gives the rim diameters 16 and 17"),
        ("3.00x18", "3.00x18 can be a wheel"),
    ],
)
def test_two_readings_are_refused_with_the_reason(text: str, reason: str) -> None:
    found = decode(text)
    assert isinstance(found, Unreadable)
    assert reason in found.reason


@pytest.mark.parametrize(
    "text", ["Article 1234567", "Winter 12V 70Ah", "Wheel 3.50x10", "Acme 25/8-12", "21/4-17", "3.00x18"]
)
def test_what_may_be_something_else_is_left(text: str) -> None:
    assert isinstance(decode(text), Unreadable)


def test_places_are_those_of_the_text_as_written() -> None:
    found = decode("Winter205/55R16 91H  102H")
    assert isinstance(found, Unreadable)
    assert found.position == len("Winter")


@pytest.mark.parametrize("word", ["Premium", "PROFI", "Prestige", "príves", "pro"])
def test_a_word_that_begins_like_plies_leaves_the_service_description_alone(word: str) -> None:
    found = decode(f"225/65R17 102H {word}")
    assert isinstance(found, Marking)
    assert (found.service.load_index, found.service.speed_symbol) == (102, "H")
    assert found.ply_rating is None


@pytest.mark.parametrize(
    "plies",
    [
        *("8 capas", "8 pliuri", "8-lagers", "8 lags", "8 vrstiev", "PR8", "PR 8", "8 PR", "8 lonas"),
        *("8 qat", "8 bố", "ply 8", "ply rating 8", "н/с 8", "8 н/с"),
    ],
)
def test_plies_in_more_languages_stand_behind_a_service_description(plies: str) -> None:
    found = decode(f"195/70R15C 104/102R {plies}")
    assert isinstance(found, Marking)
    assert (found.service.load_index, found.service.speed_symbol, found.ply_rating) == (104, "R", 8)


@pytest.mark.parametrize(
    ("text", "canonical"),
    [
        ("205/55R16 24H lieferbar", "205/55R16"),
        ("205/55R16 91V 24h", "205/55R16 91V"),
        ("205/55R16 94V in 72h", "205/55R16 94V"),
        ("205/55R16 12V", "205/55R16"),
        ("205/55R16 80 EUR", "205/55R16"),
        ("205/55R16 90 PS", "205/55R16"),
        ("205/55R16 100 St", "205/55R16"),
        ("205/55R16 last 91 pieces", "205/55R16"),
        ("90/90-21 54S Traglast 212", "90/90-21 54S"),  # kilograms
        ("90/90-18 46H", "90/90-18 46H"),
    ],
)
def test_hours_volts_prices_and_counts_are_no_load_index(text: str, canonical: str) -> None:
    found = decode(text)
    assert isinstance(found, Marking) and found.canonical == canonical


@pytest.mark.parametrize(
    ("text", "canonical"),
    [
        ("225/35R19 Traglast 88 und Tempo Y", "225/35R19 88Y"),
        ("205/55R16 ind. nośn. 91, ind. prędk. V", "205/55R16 91V"),
        ("205/60 R 15 Índice 91 Vel. H", "205/60R15 91H"),
        ("205/55R16 LI 91 and SI V", "205/55R16 91V"),
        ("104/102R 195/70R15 8PR", "195/70R15 8PR 104/102R"),
        ("205/55/16/91V", "205/55R16 91V"),
        ("205-55-16-91-V", "205/55R16 91V"),
        ("205/55R16.91V", "205/55R16 91V"),
        ("205/55R16 91 / V", "205/55R16 91V"),
        ('16" 205/55 91V', "205/55R16 91V"),
        ("16/6.50-8 4 ply", "16x6.50-8 4PR"),
        ("165/70R13 79T reforzado no", "165/70R13 79T"),
        ("165/70R13 79T XL: no", "165/70R13 79T"),
        ("185/60R15 84H Reforçado: sim", "185/60R15 84H XL"),
    ],
)
def test_index_and_symbol_under_names_and_odd_signs(text: str, canonical: str) -> None:
    found = decode(text)
    assert isinstance(found, Marking) and found.canonical == canonical


@pytest.mark.parametrize(
    ("text", "reason"),
    [
        ("205/55R16 91V/94W", "It holds two service descriptions"),
        ("205/55R16 91V (94V)", "It holds two service descriptions"),
        ("225/65R17 102 H/V", "It states two speed symbols"),
        ("205/55R16 91V/H", "It states two speed symbols"),
        ("205/55R16 91V LI 94", "it states the load indices 91 and 94"),
        ("205/55R16 91V SI W", "It states the speed symbols V and W"),
        ("315/80R22 156/150L", "22.5 may be meant"),
        ("385/65R22 160K", "22.5 may be meant"),
        ("1 2.50-17 38L", "A blank may stand inside of one of its numbers"),
        ("1 8.4-38", "A blank may stand inside of one of its numbers"),
        ("130/90В16 73H", "can be a B or a V"),
        ("3-1/2 x 10", "can be a wheel"),
        ("Rim 6.00x16 5/139.7", "something else than a tire"),
    ],
)
def test_what_leads_to_another_load_speed_or_rim_is_refused(text: str, reason: str) -> None:
    found = decode(text)
    assert isinstance(found, Unreadable) and reason in found.reason


@pytest.mark.parametrize(
    ("text", "size"),
    [("17.5R25 176A2 on 14.00-25/1.5", "17.5R25"), ("29.5R25 rim 25.00-25 / 3.5", "29.5R25"),
     ("14.00-25/28PR", "14.00-25"), ("14.00-25", "14.00-25")],
)  # fmt: skip
def test_rims_with_flange_heights_are_no_sizes(text: str, size: str) -> None:
    found = decode(text)
    assert not isinstance(found, Unreadable)
    assert str(found).startswith(size)
    assert isinstance(decode("14.00-25/1.5"), Unreadable)


def test_sizes_near_a_truck_s_are_still_read() -> None:
    for text in ("305/45R22 118V", "LT285/70R22 10PR", "315/80R22.5 156/150L (154/150M) LI 156 SI M"):
        assert isinstance(decode(text), Marking), text


@pytest.mark.parametrize(
    ("text", "meant"),
    [
        ("225/4 5R17", "225/45R17"),
        ("1 95/65R15 91T", "195/65R15 91T"),
        ("205/55R1 6 91V", "205/55R16 91V"),
        ("3 15/80R22.5 156/15 0L", "315/80R22.5"),
        ("3 15/80R22.5 156/150L", "315/80R22.5 156/150L"),
        ("315/80R22.5 156/15 0L", "315/80R22.5 156/150L"),
        ("12R22.5 1 44/142K", "12R22.5 144/142K"),
        ("225/45R17 9 4W", "225/45R17 94W"),
        ("Larkmoor Trail 1 80/90-21 48P", "80/90-21 48P"),
        ("Larkmoor Sport 1 91V 205/55R16", "205/55R16 91V"),
        ("4 225/45R17 94W", "225/45R17 94W"),
        ("205/55R16 91V 2 2018", "205/55R16 91V"),
        ("205/55R16 10 5 EUR", "205/55R16"),
    ],
)
def test_a_blank_inside_a_number_goes_where_one_reading_is_left(text: str, meant: str) -> None:
    found = decode(text)
    assert str(found) == meant


@pytest.mark.parametrize(
    ("text", "meant"),
    [
        ("2-3/4-16", "2.75-16"),
        ("3-1/2 x 10 4PR", "3.50-10 4PR"),
        ("31x10-1/2R15LT 109S", "31x10.50R15LT 109S"),
        ("11R22.5 ten ply", "11R22.5 10PR"),
        ("10.00-20 zehn PR", "10.00-20 10PR"),
        ("10.00-20 sechzehnlagig", "10.00-20 16PR"),
        ("9.00-20 двенадцать слоев", "9.00-20 12PR"),
        ("LT265/75R16;123/120R;E;10", "LT265/75R16 10PR 123/120R E"),
        ("LT265/75R16;123/120R;E;8", "LT265/75R16 123/120R E"),
        ("570-8 C", "5.70-8 C"),
        ("900-20 14 сл", "9.00-20 14PR"),
        ("825-20 14 lonas", "8.25-20 14PR"),
        ("145/70-6", "145/70-6"),
        ("205/55R16 C B 70", "205/55R16"),  # classes of the EU label, no van's size
        ("315/80R22.5 156+150L", "315/80R22.5 156/150L"),
    ],
)
def test_old_fractions_and_plies_as_shops_write_them(text: str, meant: str) -> None:
    assert str(decode(text)) == meant


@pytest.mark.parametrize(
    ("text", "symbol"),
    [
        ("265/65R17 112 H/T", None),
        ("265/65R17 112S H/T", "S"),
        ("265/70R17 115 M/T", None),
        ("225/75R16 115 T/L", None),
        ("225/75R16 115T T/L", "T"),
        ("225/65R17 102H M/S", "H"),
        ("235/75R15 115 A/T Larkmoor", None),
        ("LT285/70R17 121/118 M/T Larkmoor", None),
    ],
)
def test_letters_of_a_tread_are_no_symbol(text: str, symbol: str | None) -> None:
    found = decode(text)
    assert isinstance(found, Marking) and found.service.speed_symbol == symbol
    assert found.service.load_index is not None


@pytest.mark.parametrize(
    ("text", "meant"),
    [
        ("2O5/S5R16", "205/55R16"),
        ("2O5/SSR16 91V", "205/55R16 91V"),
        ("Z25/4SR1B", "225/45R18"),
        ("З15/80R22.5", "315/80R22.5"),
        ("31580R225 156/150L", "315/80R22.5 156/150L"),
        ("315 80 R225", "315/80R22.5"),
        ("26570R195", "265/70R19.5"),
        ("195R15C8PR106/104R", "195R15C 8PR 106/104R"),
        ("82 H;185/60 R 14", "185/60R14 82H"),
        ("225/65R17 102H (load index 102, speed rating H)", "225/65R17 102H"),
        ("225/65R17 102H (load index 102 - 850 kg)", "225/65R17 102H 850 KG"),
        ("205/55R16 91V replaces 195/65R15 95H", "205/55R16 91V"),
        ("205/55R16 91V zamiennik 195/65R15 95H", "205/55R16 91V"),
        ("205/55R16 91V (вместо 195/65R15, 195/60R15)", "205/55R16 91V"),
        ("205/55R16 instead of 195/65R15 91H", "205/55R16"),
        ("205/55R16 91V ersetzt 205/55R16 88V", "205/55R16 91V"),
        ("180/55ZR17 73W / 180/55-17 replaces 170/60R17", "180/55ZR17 73W"),
        ("Last 91, Speed V, Reifen 205/55R16", "205/55R16 91V"),
        ("ИН 91 ИС H 205/55R16", "205/55R16 91H"),
        ("Load index: 91, rim 16, 205/55R16 91V", "205/55R16 91V"),
        ("Larkmoor Index 95 Sport 205/55R16 91V", "205/55R16 91V"),
        ("13.6-38 8T R1", "13.6-38 8PR"),
        ("LT31x10.50R15 6C 109Q", "LT31x10.50R15 6PR 109Q"),
        ("10.00-20 14C", "10.00-20 14PR"),
        ("12.5/80-18 143A8 przemysłowa", "12.5/80-18 143A8"),
        ("Rim 16, width 205 mm, profile 55, LI 91 SI V", "205/55R16 91V"),
        ("Ширина 205 височина 55 диаметър 16", "205/55R16"),
        ("Širina 205, visina 55, promjer 16", "205/55R16"),
        ("3.00-18 4T", "3.00-18"),  # a motorcycle's, four-stroke
        ("LT265/70R17 121/118S/C", "LT265/70R17 121/118S C"),
        ("225/65R17 102T/M+S", "225/65R17 102T M+S"),
        ("10.00R20 ply 18", "10.00R20 18PR"),
        ("8 ply 6.50-16", "6.50-16 8PR"),
        ("ply 6.50-16", "6.50-16"),
        ("3.00x17 8 ply", "3.00-17 8PR"),
        ("ER70VR15", "ER70VR15"),
        ("ER70-15", "ER70-15"),
        ("E70HR14", "E70HR14"),
        ("LSW1100/45R46 195D", "1100/45R46 195D"),
        ("185/75R14C102/100R8PRNORVANE", "185/75R14C 8PR 102/100R"),
    ],
)
def test_one_reading_is_left(text: str, meant: str) -> None:
    assert str(decode(text)) == meant


@pytest.mark.parametrize(
    "text",
    [
        "ISO/SSR16",
        "I50/5SR16",
        "31580225",
        "205 45R225",
        "195/65R15, 205/55R16 91V",
        "Protector 10.00-20",
        "Цепи 205/55R16",
    ],
)
def test_more_readings_or_none(text: str) -> None:
    assert isinstance(decode(text), Unreadable)


def test_a_valve_behind_an_l_is_no_size() -> None:
    found = decode("80/55R13 M/C 41L TR15")
    assert isinstance(found, Marking) and (found.size_text, found.service.speed_symbol) == ("80/55R13", "L")
