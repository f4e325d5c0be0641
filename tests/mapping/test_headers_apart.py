"""Headers of unknown words, names that stand beside their values, and several columns of texts."""

from __future__ import annotations

from pathlib import Path

import pytest

import auditor
from auditor.feeds.locate import find_feeds
from auditor.mapping.opening import open_feeds
from auditor.rulebook.built_in import load_contract
from auditor.rulebook.headers import read_header
from tests.mapping.test_proposal import placed

SHOP = (
    "Nr,SKU,Merkmal 1 Bez,Merkmal 1 Wert,Merkmal 2 Bez,Merkmal 2 Wert,Merkmal 3 Bez,Merkmal 3 Wert\n"
    + "7,T1,Reifengröße,205/55R16,Tragfähigkeitsindex,91,Höchstgeschwindigkeit (km/h),210\n" * 3
)
CODES = "Q1A|Q2B|PID_RT|PID_LR|PID_PLY\n" + "".join(f"{n}0|LT245/75R16 120/116S|XL|E|10PR\n" for n in range(1, 7))


def _fields(tmp_path: Path, name: str, text: str) -> dict[str, str]:
    path = tmp_path / name
    path.write_text(text, "utf-8")
    (feed,) = open_feeds(find_feeds([str(path)])[0])
    return {use.column: use.fields[0] for use in feed.mapping.columns}


def test_a_name_beside_a_value_heads_it(tmp_path: Path) -> None:
    """Exports of shops give each attribute's name in a column of its own."""
    fields = _fields(tmp_path, "shop.csv", SHOP)
    assert fields["Merkmal 1 Wert"] == "size"
    assert fields["Merkmal 2 Wert"] == "load_index"
    assert fields["Merkmal 3 Wert"] == "max_speed_kmh"


def test_a_header_of_unknown_words_is_no_listing(tmp_path: Path) -> None:
    """Listings that say more known words than the header have one all the same."""
    fields = _fields(tmp_path, "codes.txt", CODES)
    assert fields["Q2B"] == "marking"
    assert fields["PID_PLY"] == "ply_rating"


def test_pieces_under_the_name_of_a_place_are_no_rims(tmp_path: Path) -> None:
    """Letters of a town that may be short for a measuring rim, over numbers of pieces."""
    rows = "".join(f"{size},{pieces}\n" for size, pieces in zip(_SIZES, (58, 42, 25, 55, 34, 7), strict=True))
    assert "MTL" not in _fields(tmp_path, "stock.csv", f"size,MTL\n{rows}")


_SIZES = ("205/55R16", "225/65R17", "215/60R16", "185/65R15", "235/65R17", "265/65R17")


def test_several_texts_are_all_judged(tmp_path: Path) -> None:
    """What a second sales text says of a load or a speed is held against the marking, too."""
    path = tmp_path / "texts.csv"
    path.write_text(
        "sku,marking,description,features\n"
        "A1,205/55R16 91V,A quiet tire for summer.,Maximum load 615 kg\n"
        "A2,225/65R17 102H,A quiet tire for summer.,Maximum load 950 kg\n"
        "A3,195/65R15 91H,,Maximum speed 240 km/h\n",
        "utf-8",
    )
    found = auditor.audit(str(path), tmp_path / "out").findings.to_pylist()
    assert [(one["record"], one["rule"], one["column"]) for one in found] == [
        (2, "load-overstated", "description, features"),
        (3, "speed-overstated", "description, features"),
    ]


@pytest.mark.parametrize(
    ("text", "season"), [("Winter / Hiver", "winter"), ("Vinter - piggfritt", "winter"), ("Iarna", "winter")]
)
def test_seasons_in_two_languages_and_without_accents(text: str, season: str) -> None:
    """A cell may say its season twice, or something beside it."""
    other = "summer" if season == "winter" else "winter"
    listing = {"marking": "205/55R16 91T", "season": text, "description": f"A {other} tire."}
    assert "text-contradicted" in {one.rule for one in auditor.audit_listing(listing).findings}
    assert "value-unreadable" in {
        one.rule for one in auditor.audit_listing({**listing, "season": "Winter / Summer"}).findings
    }


def test_a_text_repeats_a_size_whose_cells_have_units() -> None:
    """`17"` and 265 mm make the same size as bare numbers; what a labelled load index carries is held against it."""
    listing = {
        "section_width_mm": "265 mm", "aspect_ratio": "65", "rim_diameter_in": '17"', "load_index": "112",
        "speed_symbol": "H",
        "description": "Medida 265/65R17. Índice de carga 112: soporta 1,250 kg por llanta. Envío gratis. Nueva.",
    }  # fmt: skip
    assert "load-overstated" in {one.rule for one in auditor.audit_listing(listing).findings}


def test_a_figure_at_the_end_of_a_name_counts_no_plies() -> None:
    """A letter and a figure behind a hyphen end a model's name, whatever stands before it."""
    listing = {"marking": "295/75R22.5 144/141L G", "title": "295/75R22.5 144/141L LRG Ostrava OK-T8"}
    assert not [one for one in auditor.audit_listing(listing).findings if one.grade != "minor"]


@pytest.mark.parametrize("heights", [["70", "65", "55", "60"], ["45", "60", "65", "80"]])
def test_a_section_of_heights_is_the_aspect_ratio(heights: list[str]) -> None:
    """A Turkish "kesit" is a width as measured or the aspect ratio; what no width can be settles it."""
    feed = {"Taban": ["175", "195", "205", "215"] * 3, "Kesit": heights * 3, "Jant": ["R13", "R15", "R16", "R17"] * 3}
    assert placed(feed)["Kesit"] == "aspect_ratio"


@pytest.mark.parametrize(
    ("header", "group"),
    [
        ("L.R", "load_range"),
        ("P.R", "ply_rating"),
        ("L.I", "load_index"),
        ("الطبقات PR", "ply_rating"),
        ("Маусым/Сезон", "season"),
        ("Max Load @ PSI", "max_load"),
        ("Pression max. (lb/po²)", "max_pressure"),
        ("Max. km/u", "max_speed"),
    ],
)
def test_letters_two_languages_and_conditions(header: str, group: str) -> None:
    """Initials with a point between them, a word of another language beside a known one, what stands behind an @."""
    assert read_header(header, load_contract()).groups[:1] == (group,)


def test_a_unit_is_of_no_name(tmp_path: Path) -> None:
    """AD is short for an outer diameter in German, and a name in Turkish."""
    rows = "".join(f"{n};{size} {index}H;{mm}\n" for n, (size, index, mm) in enumerate(SIZES * 3, 1))
    assert _fields(tmp_path, "ad.csv", f"Artikel-Nr.;Bezeichnung;AD mm\n{rows}")["AD mm"] == "overall_diameter_mm"


# UN Regulation No. 30, 6.1.2 (from memory): D = d + 2H.
SIZES = [("205/55R16", 91, 632), ("195/65R15", 91, 635), ("225/45R17", 94, 634), ("215/65R16", 98, 686)]


def test_codes_of_treads_are_no_load_ranges(tmp_path: Path) -> None:
    """E4 and L5 name the treads of earthmover tires."""
    codes = ("L3", "E4", "L5", "E3", "G2", "E4")
    rows = "".join(f"V{n};23.5R25;185B;{code}\n" for n, code in enumerate(codes))
    assert "tra" not in _fields(tmp_path, "otr.csv", f"code;size;li;tra\n{rows}")


def test_pairs_of_loads_under_a_header_of_unknown_words(tmp_path: Path) -> None:
    """The unit says what they are, and the markings which of the two halves is the load of a single tire."""
    pairs = [("165/70R14C 89/87R", "580/545"), ("195/70R15C 104/102R", "900/850"), ("205/65R16C 107/105T", "975/925")]
    rows = "".join(f"B{n}|{marking}|{loads}\n" for n, (marking, loads) in enumerate(pairs * 3))
    assert _fields(tmp_path, "b.txt", f"Code|Size|Xyzzog (kg)\n{rows}")["Xyzzog (kg)"] == "max_load_kg"


def test_a_diameter_that_no_rim_has_is_the_tires(tmp_path: Path) -> None:
    """ "Priemer" is a diameter of either in Slovak."""
    rows = "".join(f"A{n};320/85R28;124A8;{1255 + n}\n" for n in range(6))
    assert _fields(tmp_path, "sk.csv", f"Kód;Rozmer;Index;Priemer mm\n{rows}")["Priemer mm"] == "overall_diameter_mm"


def test_pairs_of_load_and_speed_are_service_descriptions(tmp_path: Path) -> None:
    rows = "".join(f"A{n};320/85R28;{index}A8/{index - 3}B\n" for n, index in enumerate(range(121, 131)))
    assert _fields(tmp_path, "li.csv", f"Nr;Gr;LI\n{rows}")["LI"] == "service_description"
