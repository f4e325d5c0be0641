"""Columns give the claims that one text gives: over trials, mutated trials and random joins of clauses."""

from __future__ import annotations

import json
import random
import re
from functools import partial
from pathlib import Path
from typing import Any

import pyarrow as pa
import pytest

from auditor.claims.batch import shapes
from auditor.claims.batch.columns import ClaimReader
from auditor.claims.batch.quoted_cells import with_parts
from auditor.claims.own_cells import own_of, own_of_cells
from auditor.claims.sentences import State, read_sentence
from auditor.claims.terms.lexicon import lexicon_of
from auditor.claims.texts import parse_claims
from auditor.columns.value_cache import MarkingCache, Values
from auditor.marking.store import read_row
from auditor.trade.tables import default_tables

REFERENCE = Path(__file__).parents[2] / "reference" / "claims.jsonl"
LEXICON = lexicon_of()
TABLES = default_tables()
MARKINGS = [
    "225/65R16 112/110H",
    "LT245/75R16 120/116S E",
    "225/65R17 102H",
    "205/55 R16 91V",
    "",
    "33x12.50R20LT 114Q E",
    "n/a",
]
TEXTS = [json.loads(line)["text"] for line in REFERENCE.read_text(encoding="utf-8").splitlines()]


BRANDS = ["", "Skellane", "Winter King", "Load Hauler", "Run 90", "Sprint Q"]
MODELS = ["", "Workline AX7", "All Season 3", "Trail 4x4", "Sport", "Winter King 10", "225/65R17", "King of the load",
          "Kona 4H", "Lira T 2", "Haul 3 t", "Kona H4"]  # fmt: skip
TITLE_PARTS = [
    *("Skellane", "Workline AX7", "Summer", "Winter Tire", "all season", "for summer", "XL", "E", "Load Range", "LR D"),
    *("Run Flat", "ohne", "no", "3PMSF", "M+S", "Radial", "In Stock", "in stock too", "Wet Grip B", "made to last"),
    *("Winter King", "Run 90", "All Season 3", "WINTER KING 10", "Art. 48213", "EAN 4006381333931", "1,299", "4 pcs"),
    *("LT245/75R16 120/116S E", "120/116S E", "17 in", "load 1,500", "1500 kg", "225/65", "Trail 4x4", "(102H)"),
    *("225/65R16C 112/110H", "225/65R16", "225/65 R16 C", "LT225/65R16"),
    *("482130", "Art. 482130", "Rim protector", "load 482130", "132277 lbs", "Made to last", "048213"),
    *("Sprint Q", "Kona 4H", "LIRA T 2", "Haul 3 t", "Kona H4", "Speed symbol", "Q"),
    *("225/65R17 102H", "225/65 R17", "102H", "225/60R17 99V", "91H or 91V", "tubeless", "For SUV", "(XL)", "10 ply"),
]


Row = tuple[str, str, str, str]


def _own(chance: random.Random) -> tuple[str, str, str]:
    return chance.choice(MARKINGS), chance.choice(BRANDS), chance.choice(MODELS)


def _titles(seed: int, count: int) -> list[Row]:
    """Titles of any parts in any order."""
    chance = random.Random(seed)
    rows = []
    for _ in range(count):
        text = ""
        for part in chance.sample(TITLE_PARTS, chance.randrange(2, 8)):
            text += part + chance.choice([" ", " ", " - ", ", ", " | ", ". ", " / ", "\n"])
        rows.append((text, *_own(chance)))
    return rows


def _mixed(seed: int, count: int) -> list[Row]:
    chance = random.Random(seed)
    rows: list[Row] = [(text, *_own(chance)) for text in TEXTS]
    for _ in range(count):
        one, other = chance.choice(TEXTS), chance.choice(TEXTS)
        text = chance.choice(
            [f"{one} {other}", f"{one}. {other}", f"{one}, {other}", f"{one}\n{other}",
             f"{one} {chance.choice(BRANDS)} {chance.choice(MODELS)}. {other}", one[: chance.randrange(len(one) + 1)]]
        )  # fmt: skip
        if chance.random() < 0.4 and text:
            at = chance.randrange(len(text))
            text = text[:at] + chance.choice('.,;:?!()-"/ \n<&x9A\u00a0\u2022') + text[at + 1 :]
        if chance.random() < 0.3:
            text = re.sub("[0-9]{4,}", lambda found: str(chance.randrange(1_000, 10**7)), text)
        rows.append((text, *_own(chance)))
    link = "https://" + "a" * 50 + ". "
    long = [("", *_own(chance)), (TEXTS[0] * 300, *_own(chance)), ("225/65R17 102V " * 200, *_own(chance))]
    return [*rows, *long, (TEXTS[0] + " " + link + TEXTS[1], *_own(chance))]


def _words(values: Values, code: int) -> str:
    texts, places = values.distinct_words
    return str(texts[int(places[code])])


@pytest.mark.parametrize("title", [True, False])
@pytest.mark.parametrize("coded", [True, False])
def test_a_column_claims_what_each_text_claims(title: bool, coded: bool) -> None:
    rows = [*_mixed(7, 1_500), *_titles(11, 1_000)]
    reader = ClaimReader(LEXICON, TABLES, MarkingCache(partial(read_row, tables=TABLES)))
    for part in (rows[:700], rows[700:], rows[:700]):
        texts, markings, brands, models = (pa.array(list(column)) for column in zip(*part, strict=True))
        owns = reader.owns([markings, None, None, brands, models], len(part))
        codes, snapshot = reader.encode(texts.dictionary_encode() if coded else texts, owns, title)
        for code, (text, marking, *names) in zip(codes.tolist(), part, strict=True):
            parsed = parse_claims(text, LEXICON, TABLES, own_of(marking, "", "", *names), title)
            said = sorted(
                (one.field, one.occurrence, str(one.value), one.half_step, one.open_ended, one.words)
                for one in parsed.said
            )
            read = sorted(
                (
                    field,
                    turn,
                    str(float(kept.value[code])),
                    kept.half_step[code],
                    bool(kept.open_ended[code]),
                    _words(kept, code),
                )
                for (field, turn), kept in snapshot.values.items()
                if _words(kept, code)
            )
            assert (parsed.status, said) == (snapshot.status[code], read), (text, marking, names)


def test_null_texts_are_blank() -> None:
    reader = ClaimReader(LEXICON, TABLES, MarkingCache(partial(read_row, tables=TABLES)))
    codes, snapshot = reader.encode(pa.array([None, "Load range E"]), reader.owns([None] * 5, 2), False)
    assert codes[0] == 0
    assert _words(snapshot.values[("load_range", 0)], codes[1]) == "Load range E"


def test_size_alone_and_service_description_are_the_own_marking() -> None:
    reader = ClaimReader(LEXICON, TABLES, MarkingCache(partial(read_row, tables=TABLES)))
    owns = reader.owns([None, pa.array(["225/65R17"]), pa.array(["102H"]), None, None], 1)
    codes, snapshot = reader.encode(pa.array(["Vista 225/65R17 102H"]), owns, True)
    assert owns.signs(_words(snapshot.values[("marking", 0)], codes[0]))[0].to_pylist() == ["225/65R17"]


@pytest.mark.parametrize("figures", [("1000", "1250"), ("1.000", "1.250"), ("1250", "1000"), ("2019", "3000")])
def test_sentences_that_differ_in_a_figure_are_told_apart_whichever_comes_first(figures: tuple[str, ...]) -> None:
    texts = [form.format(figure) for form in ("Max. Traglast {} kg", "In {} it was XL.") for figure in figures]
    marking = "265/75R16 116T"
    reader = ClaimReader(LEXICON, TABLES, MarkingCache(partial(read_row, tables=TABLES)))
    owns = reader.owns([pa.array([marking] * len(texts)), None, None, None, None], len(texts))
    codes, snapshot = reader.encode(pa.array(texts), owns, False)
    for code, text in zip(codes.tolist(), texts, strict=True):
        said = parse_claims(text, LEXICON, TABLES, own_of(marking, "", ""), False).said
        read = {name: _words(kept, code) for name, kept in snapshot.values.items() if _words(kept, code)}
        assert read == {(one.field, one.occurrence): one.words for one in said}, text


@pytest.mark.parametrize("title", [True, False])
def test_sentences_that_differ_in_a_figure_above_all_bounds_claim_what_each_claims(title: bool) -> None:
    chance = random.Random(13)
    marking, units = (
        "265/75R16 116T",
        ["kg", "lbs", "mph", "psi", "load", "rim", "Last", "km/h", "width", "index", "mm"],
    )
    rows = []
    for text in chance.sample(TEXTS, 150):
        words = text.split()
        words.insert(chance.randrange(len(words) + 1), chance.choice(units))
        at = chance.choice([*range(len(words) + 1), len(words)])
        figures = chance.sample(["1,250", "1250", "19999", "20000", "20001", "48213", "100000", "482130", "999999"], 6)
        rows += [" ".join([*words[:at], figure, *words[at:]]) for figure in figures]
    reader = ClaimReader(LEXICON, TABLES, MarkingCache(partial(read_row, tables=TABLES)))
    owns = reader.owns([pa.array([marking] * len(rows)), None, None, None, None], len(rows))
    codes, snapshot = reader.encode(pa.array(rows), owns, title)
    for code, text in zip(codes.tolist(), rows, strict=True):
        said = parse_claims(text, LEXICON, TABLES, own_of(marking, "", ""), title).said
        read = {(*name, float(kept.value[code])) for name, kept in snapshot.values.items() if _words(kept, code)}
        assert str(sorted(read)) == str(sorted((one.field, one.occurrence, one.value) for one in said)), text


def test_titles_that_differ_in_the_number_of_their_article_are_understood_once(monkeypatch: pytest.MonkeyPatch) -> None:
    read: list[tuple[str, ...]] = []

    def reading(figures: shapes.Figures, tokens: tuple[str, ...], state: State, *, again: bool = False) -> Any:
        read.append(tokens)
        return read_sentence(tokens, state, LEXICON, True)

    monkeypatch.setattr(shapes.Figures, "read", reading)
    texts = [f"Skellane 225/65R17 102H All Season, rim protector, Art. {number}" for number in range(48_213, 49_000)]
    reader = ClaimReader(LEXICON, TABLES, MarkingCache(partial(read_row, tables=TABLES)))
    owns = reader.owns([pa.array(["225/65R17 102H"] * len(texts)), None, None, None, None], len(texts))
    codes, _ = reader.encode(pa.array(texts), owns, True)
    assert len(read) < 5 and len(set(codes.tolist())) == 1


def test_figures_are_weighed_beside_the_marking_alone_where_its_service_description_does_not_go_with_it() -> None:
    pairs = [("155/65R14 75T", "79T"), ("315/80R22.5 156/150L", "160L"), ("205/55R16 91V", "94W")]
    texts = ["1.030 kg il limite", "1,360 kg en simple", "Dubbel 1.400 kg, enkel 1.450 kg", "Maximaal 160 km/u"]
    rows = [(*pair, text) for text in texts for pair in (*pairs, *reversed(pairs))]
    markings, services, cells = (pa.array(column) for column in zip(*rows, strict=True))
    reader = ClaimReader(LEXICON, TABLES, MarkingCache(partial(read_row, tables=TABLES)))
    codes, snapshot = reader.encode(cells, reader.owns([markings, None, services, None, None], len(rows)), False)
    for code, (marking, service, text) in zip(codes.tolist(), rows, strict=True):
        said = parse_claims(text, LEXICON, TABLES, own_of(marking, "", service), False).said
        read = {name: _words(kept, code) for name, kept in snapshot.values.items() if _words(kept, code)}
        assert read == {(one.field, one.occurrence): one.words for one in said}, (marking, text)


def test_figures_are_weighed_beside_both_service_descriptions_of_a_marking() -> None:
    markings = ["225/75R16C 121/120R", "225/75R16C 121/120R 122/118N", "225/75R16C 121/120R (116N)", "165/80R13 83H"]
    texts = [
        *("Load index 116, good for 1250 kg.", "Load index 122 bears 1.500 kg", "Load index 83, good for 487 kg."),
        *("Index 120: 1,400 kg.", "Each tire carries 1,500 kg.", "Rated for 140 km/h", "116/114"),
    ]
    rows = [(marking, text) for text in texts for marking in (*markings, *reversed(markings))]
    own, cells = (pa.array(column) for column in zip(*rows, strict=True))
    reader = ClaimReader(LEXICON, TABLES, MarkingCache(partial(read_row, tables=TABLES)))
    codes, snapshot = reader.encode(cells, reader.owns([own, None, None, None, None], len(rows)), False)
    for code, (marking, text) in zip(codes.tolist(), rows, strict=True):
        said = parse_claims(text, LEXICON, TABLES, own_of(marking, "", ""), False).said
        read = {name: _words(kept, code) for name, kept in snapshot.values.items() if _words(kept, code)}
        assert read == {(one.field, one.occurrence): one.words for one in said}, (marking, text)


def test_split_cells_make_the_size_and_service_description_that_texts_are_read_beside() -> None:
    rows = [
        ("", "225/65R17", None, "102", "", "H", "", "", "", ""),
        ("", "225/65R17", "", "102.0", None, "H ", "", "", "", ""),
        ("", "195/70R15C", "n/a", "104", "102", "R", "225", "65", "17", ""),
        ("", "", "104T", "102", "", "H", "225", "65.0", "R17", None),
        ("", "225/65R17", "", "102 - up to 850 kg", "", "H", "", "", "", ""),
        ("225/65R17 100H", "", "", "102", "", "H", "245", "65", "17", ""),
        ("", "225/65R17", "", "102", "", None, "", "", "", ""),
        ("", None, "", "145", "", "A8", "400", "60", "15,5", "Diagonal"),
        ("", "", "", "112", "110", "R", "225", "70", "15C", "R"),
        ("", "", "", "112", "110", "R", "225 mm", "70", "15", "R"),
    ]
    marking, size, service, *parts = (pa.array(column, pa.string()) for column in zip(*rows, strict=True))
    own = with_parts([marking, size, service, None, None], parts)
    text = (
        "Each tire carries 950 kg. 850 kg per tire. Rated for 240 km/h. 225/65R17, also as 235/65R17. "
        "Size: 225/65R17C, for vans. LT225/65R17 holds 900 kg."
    )
    reader = ClaimReader(LEXICON, TABLES, MarkingCache(partial(read_row, tables=TABLES)))
    codes, snapshot = reader.encode(pa.array([text] * len(rows)), reader.owns(own, len(rows)), False)
    said = []
    for code, row in zip(codes.tolist(), rows, strict=True):
        marking_text, size_text, service_text, *part_texts = (cell or "" for cell in row)
        beside = own_of_cells(marking_text, size_text, service_text, "", "", *part_texts)
        said.append((beside.quoted.size, beside.quoted.service))
        claims = parse_claims(text, LEXICON, TABLES, beside, False).said
        read = {name: _words(kept, code) for name, kept in snapshot.values.items() if _words(kept, code)}
        assert read == {(one.field, one.occurrence): one.words for one in claims}, row
    assert said == [
        ("225/65R17", "102H"), ("225/65R17", "102H"), ("195/70R15C", "104/102R"), ("225/65R17", "104T"),
        ("225/65R17", ""), ("225/65R17", "100H"), ("225/65R17", ""), ("400/60-15.5", "145A8"),
        ("225/70R15C", "112/110R"), ("225/70R15", "112/110R"),
    ]  # fmt: skip
