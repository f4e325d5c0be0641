"""Of whom a sentence speaks and in which mood decides whether its values are claims."""

from __future__ import annotations

import pytest

from auditor.claims.own_cells import own_of
from auditor.claims.texts import read_claims
from tests.claims.frames_alone import FRAMES_ALONE

OWN = own_of("LT245/75R16 120/116S E", "", "")


def said(text: str, *, title: bool = False) -> list[tuple[str, float | str]]:
    """What a text claims by the frames alone, denials marked."""
    claims = read_claims(text, FRAMES_ALONE, OWN, title)
    return [(("not " if claim.denied else "") + claim.field, claim.value) for claim in claims]


@pytest.mark.parametrize(
    ("text", "claims"),
    [
        ("Each tire carries 3,086 lb.", [("max_load_lb", 3086.0)]),
        ("A pair carries 6,172 lb.", []),
        ("Max Load Single (lb): 3042", [("max_load_lb", 3042.0)]),
        ("Single: 3,086 lb / Dual: 2,756 lb", [("max_load_lb", 3086.0), ("max_load_dual_lb", 2756.0)]),
        ("1.400 kg in singola e 1.250 kg in gemellata", [("max_load_kg", 1400.0), ("max_load_dual_kg", 1250.0)]),
        ("It isn't an 8-ply; it's a 10-ply.", [("not ply_rating", 8.0), ("ply_rating", 10.0)]),
        ("Do you offer this in load range F? Not at present.", []),
        ("Load range? E.", [("load_range", "E")]),
        ("The outgoing Crossway managed 2,105 lb. What you see here is quiet.", []),
        ("Prefer the D-rated version? It carries 2,623 lb.", []),
        ("Load index 106 stands for 950 kg.", []),
        ("Load index 120 stands for 1,400 kg.", [("max_load_kg", 1400.0)]),
        ("For vans up to 3,500 kg gross weight.", []),
        ("Trailer tire rated at 3,086 lb.", [("max_load_lb", 3086.0)]),
        ("mounts on 17-inch rims", [("rim_diameter_in", 17.0)]),
        ("Pour jantes de 16 pouces", [("rim_diameter_in", 16.0)]),
        ("Do not exceed 112 mph: that is what it allows.", [("max_speed_mph", 112.0)]),
        ("From 155 mph it stopped in 238 m on the proving ground.", []),
        ("Never mount it on 16.5 rims.", []),
        ("Nasshaftung Klasse A, Rollgeräusch 72 dB", [("wet_grip_class", "A"), ("noise_db", 72.0)]),
        ("Opona zimowa z symbolem płatka śniegu", [("season", "winter"), ("severe_snow", 1.0)]),
        ("<li>Load range:</li><li>&nbsp;</li> <b>Load range:</b> E", [("load_range", "E")]),
        ("En 19 pouces, la charge passe à 825 kg.", []),
        ("kein Winterreifen", [("not season", "winter")]),
        ("The speed letter molded on its sidewall is a T.", [("speed_symbol", "T")]),
        ("V for speed, 120 for load index", [("speed_symbol", "V"), ("load_index", 120.0)]),
        ("Winter tires wear fast in July.", []),
        ("The van it came on does 99 mph.", []),
        ("Our vans wear winter tires.", []),
        ("3PMSF is mandatory there.", []),
        ("Max load 3,400 lb, tire not included", []),
        ("Load index one hundred four", [("load_index", 104.0)]),
        ("OD (in): 31.4", [("overall_diameter_in", 31.4)]),
        ("<dt>Load range</dt><dd>D</dd>", [("load_range", "D")]),
        ("One new LT235/75R16, boxed", [("marking", "LT235/75R16")]),
        ("The LT235/75R16 costs less.", []),
        ("Not severe snow rated (3PMSF).", [("not severe_snow", 1.0)] * 2),
        ("8-ply tires flex more.", []),
        ("The Corvath Ridge T carries 3,197 lb.", [("max_load_lb", 3197.0)]),
        ("It weighs 16 kg, carries 1,450 kg, and lasts.", [("max_load_kg", 1450.0)]),
        ("The pallet weighs 16 kg, carries 1,450 kg.", []),
        ("Load index in size LT235/75R16: 104", []),
        ("Load index one hundred twenty-one", [("load_index", 121.0)]),
        ("Rims of 15, 16 and 17 inches, diameters 15, 16 and 17", []),
        ("Axles of 3,500 lb each", []),
        ("Load Range D it is not.", [("not load_range", "D")]),
        ("Homologués à 190 km/h", [("max_speed_kmh", 190.0)]),
        ("150 hp, 3.1 t, 190 km/h", []),
        ("Max speed: 190 km/s", [("max_speed_kmh", 190.0)]),
        ("Max 190 km/hod", [("max_speed_kmh", 190.0)]),
        ("Rim 14.00/1.5", []),
        ("Rim 25.00/3.5, 29", []),
        ("Rim 14", [("rim_diameter_in", 14.0)]),
        ("LI (S/D): 121/118", [("load_index", 121.0), ("load_index_dual", 118.0)]),
        ("121 in front, 118 in twin", []),
        ("Branded 121/118", [("load_index", 121.0), ("load_index_dual", 118.0)]),
        ("letter Q after 120", [("speed_symbol", "Q")]),
        ("letter Q after 104", []),
        ("Homologué jusqu'à 190 km/h sur circuit comme sur route.", [("max_speed_kmh", 190.0)]),
        ("An index of 123 would be 1,550 kg.", []),
        ("Un indice 123 donnerait 1 550 kg.", []),
        ("Per 1.550 kg, scegliete la XL.", []),
        ("Load range D is not offered in this size.", []),
        ("At 65 psi it carries 2,623 lb.", []),
        ("Eighteen-inch wheels came standard.", []),
        ("Only tires with the snowflake are allowed up there.", []),
        ("Speed letters: S 112, T 118, H 130, V 149 mph.", []),
        ("Engineered to carry loads of 3,400 lb.", [("max_load_lb", 3400.0)]),
        ("It carries a weight of 3,400 lb.", [("max_load_lb", 3400.0)]),
        ("zehnlagig", [("ply_rating", 10.0)]),
    ],
)
def test_what_a_sentence_claims(text: str, claims: list[tuple[str, float | str]]) -> None:
    assert said(text) == claims


@pytest.mark.parametrize(
    ("of_this", "of_another"),
    [
        ("The load of this tire: 3,860 lb", "Dual load of the 131/127 version: 3,860 lb"),
        ("It carries 3,860 lb.", "The sister of this tire carries 3,860 lb."),
        ("Traglast 1.750 kg", "Beim 128er ist mit 1.750 kg Schluss."),
        ("La charge maximale est de 1 750 kg.", "La charge maximale du modèle 128R est de 1 750 kg."),
        ("Velocità massima: 210 km/h", "Velocità massima della H: 210 km/h"),
        ("It is limited to 130 mph.", "Developed with a saloon that is limited to 130 mph."),
        ("Limited to 130 mph by its maker.", "Limited to 130 mph by its gearbox, the coupé cannot outrun it."),
        ("This tire is good for 130 mph.", "The crossover it was drawn for is good for 130 mph."),
        ("It is an all-season tire.", "Our Halder Quattro is an all-season tire."),
        ("It bears the snowflake.", "In winter, fit a tire that has the snowflake."),
        ("Load range D, soft and cheap.", "Load range D trucks will ride harder on it."),
        ("This is an 8-ply tire.", "It outlasts 8-ply tires."),
        ("Its speed rating is H.", "Its tread comes from an H-rated touring tire."),
        ("Load index 118.", "Load index 118 is for half-tons."),
        ("Traglast: 1.750 kg", "Traglast 1.750 kg: siehe Artikel 4470."),
        ("Carries 1,600 kg singly.", "Carries 1,600 kg singly if marked 124."),
        ("It carries 1,750 kg.", "Con 1.750 kg por rueda le hará falta XL."),
        ("Sold as load range D.", "Load range D also available."),
        ("Max load 3,860 lb.", "Aluminum wheel 16x7, max load 3,860 lb."),
        ("The Workline 3 bears 1,600 kg.", "Only the Workline 3 bears 1,600 kg."),
        ("La Workline porta 1.750 kg.", "Solo la Workline porta 1.750 kg."),
        ("Rated for 130 mph, it grips well.", "Rated for 130 mph, the cheap import wears out."),
        ("With its V rating, the Workline rolls on.", "With its V rating, the cheap import rolls on."),
        ("Est homologué jusqu'à 210 km/h.", "Le modèle du rival, qui sort en mai, est homologué jusqu'à 210 km/h."),
        ("What this tire takes is 1,750 kg.", "What the cheap imports take is 1,750 kg."),
        ("Was dieser Reifen trägt, sind 1.750 kg.", "Was der Wettbewerber trägt, sind 1.750 kg."),
        ("What you get: load range D, 130 mph", "What you don't get: load range D, 130 mph"),
        ("Load index 118 is the code.", "Load index 118 is what big movers want."),
        ("For 18-inch wheels.", "Our 18-inch wheels (3,860 lb) are on another shelf."),
        ("Load index: 118", "Load index of the rear: 118"),
        ("It bears no snowflake.", "Tires without the snowflake slide on ice."),
        ("One tire carries 1,750 kg, the law allows less.", "The law allows 1,750 kg."),
        ("LI 118 if fitted singly, speed 130 mph.", "If you need more, speed 130 mph."),
        ("It is sold, if you must know, as load range D.", "Load range D would be something else."),
        ("A single one hauls 1,750 kg.", "With four Worklines you are at 1,750 kg."),
        ("It was tested and is load range D.", "The catalog of 2019 said load range D for it: load range D."),
    ],
)
def test_the_same_words_of_this_tire_and_of_another(of_this: str, of_another: str) -> None:
    assert said(of_this)
    assert said(of_another) == []


def test_hundreds_joined_by_and_are_one_number() -> None:
    assert said("It carries one thousand four hundred and fifty kg") == [("max_load_kg", 1450.0)]


def test_what_is_denied_of_any_tire_denies_nothing_of_this_one() -> None:
    assert said("Ohne Schneeflocke kein Winterreifen.") == []
    assert said("Ohne Schneeflocke.") == [("not severe_snow", 1.0)]


def test_the_own_marking_in_any_notation_is_this_tire() -> None:
    for text in ("LT245/75R16 120/116S E", "LT245/75 R16", "245/75R16 120/116S"):
        assert next(field for field, _ in said(f"Skellane {text} BSW", title=True)) == "marking"
    assert said("Its sister in LT265/75R16 carries 3,417 lb.") == []
    assert ("marking", "LT245/70R16 E") in said("Skellane Workline LT245/70R16 E", title=True)


def test_a_size_with_a_choice_of_service_descriptions_has_neither() -> None:
    for between in ("o", "or", "oder", "of"):
        title = f"Skellane Workline 205/55R16 91H {between} 91V"
        assert said(title, title=True) == [("marking", "205/55R16")], title
    assert said("Skellane 205/55R16 91H / 94V", title=True) == [("marking", "205/55R16 91H/94V")]


def test_a_title_is_the_sum_of_its_parts_unless_something_reaches_further() -> None:
    assert said("Winter Tire - Skellane, Run Flat", title=True) == [("season", "winter"), ("run_flat", 1.0)]
    assert said("Summer - Skellane - Winter", title=True) == []  # what there is
    assert said("Skellane, not the winter tire, run flat", title=True)[:1] != [("season", "winter")]


def test_a_bare_figure_in_prose_is_no_claim() -> None:
    assert said("People saved 900 kg of waste with recycled things last summer") == []
    assert said("tiny but strong, 1,450 kg") == [("max_load_kg", 1450.0)]


def test_a_figure_that_no_label_names_counts_only_near_the_marking() -> None:
    assert said("212 kg per tire, a forklift is needed") == []
    assert said("2,800 kg in all") == []
    assert said("Each tire carries 2,800 kg") == [("max_load_kg", 2800.0)]
    assert said("up to 25 mph on trails") == []


def test_the_load_of_two_tires_side_by_side_is_right_where_nothing_says_single() -> None:
    assert said("In whatever use it is limited to 2,756 lb.") == []
    assert said("Load capacity 2,756 lb") == []
    assert said("Load capacity, single: 2,756 lb") == [("max_load_lb", 2756.0)]
    assert said("Load capacity 2,700 lb") == [("max_load_lb", 2700.0)]


def test_a_code_and_its_amount_around_an_unknown_verb_explain() -> None:
    assert said("Load index 106 brovelks 950 kg.") == []
    assert said("Load index 106, 950 kg") == [("load_index", 106.0), ("max_load_kg", 950.0)]


def test_every_text_is_read_without_an_error() -> None:
    for text in ("", " ", "?", "\x00", "(((", '"', "1/", "LR", "<<>>&;", "R16", "-", "\ue000", "A" * 60, "é̀ß"):
        said(text)
        said(text, title=True)
