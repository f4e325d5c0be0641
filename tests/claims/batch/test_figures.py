"""Sentences that differ only in figures claim what each claims read by itself, and numbers note what they are asked."""

from __future__ import annotations

import json
import operator
import pkgutil
import random
import re
from functools import partial
from importlib import import_module
from pathlib import Path
from typing import Any

import pyarrow as pa
import pytest

from auditor.claims import subject, values
from auditor.claims.batch import columns, figures, noting
from auditor.claims.batch.figures import Figures, figures_of
from auditor.claims.batch.noting import Answers, Number, value_of
from auditor.claims.own_cells import own_of
from auditor.claims.sentences import START, State, read_sentence
from auditor.claims.terms.lexicon import lexicon_of
from auditor.claims.terms.own import NOBODY
from auditor.claims.values.look import PLIES, RIMS, Numbers
from auditor.columns.value_cache import MarkingCache
from auditor.marking.store import read_row
from auditor.trade.tables import default_tables
from tests.claims.batch.test_columns import TITLE_PARTS
from tests.claims.prose import read_alone

LEXICON = lexicon_of()
TABLES = default_tables()
REFERENCE = Path(__file__).parents[2] / "reference"
PAGES = sorted((REFERENCE / "texts").glob("*.jsonl"))
OWN = own_of("LT245/75R16 120/116S E", "", "")
STATES: list[State] = [START, ("en", ""), ("de", "another"), ("en", ":load range"), ("", "answer")]
SENTENCES = [
    "It carries up to {} kg at {} psi.", "Weighs {} kg and {} lb, fits {} inch rims.", "Rated for {} mph, {} km/h.",
    "{} of {} drivers buy it again.", "Load index {} ({} kg), up to {} km/h.", "{} ply, {} mm tread, {} dB.",
    "Since 19{}, {},{}00 sold in {} lands.", "Trägt {} kg bei {},{} bar.", "Profondeur {},{} mm, poids {}.{} kg.",
    "Single {} lb, dual {} lb.", "Treadwear {}, made in week {} of 20{}.", "Is it {} ply?", "More than {}.0 in, {} in.",
]  # fmt: skip
FIGURES = [
    *range(31),
    35,
    40,
    44,
    55,
    65,
    70,
    80,
    91,
    98,
    102,
    120,
    205,
    225,
    300,
    671,
    730,
    999,
    1050,
    2000,
    30_000,
]


def _mutated(tokens: tuple[str, ...], chance: random.Random) -> tuple[str, ...]:
    """The same sentence with other digits in its figures, in part those of another figure of it."""
    places = figures_of(tokens, LEXICON)
    changed = list(tokens)
    for place in places:
        digits = str(chance.choice(FIGURES)) if chance.random() < 0.5 else ""
        other = iter(digits.rjust(6, "1")[-sum(map(str.isdigit, tokens[place])) :] if digits else "")
        made = re.sub("[0-9]", lambda _, other=other: next(other, str(chance.randint(0, 9))), tokens[place])
        changed[place] = tokens[chance.choice(list(places))] if chance.random() < 0.1 else made
    return tuple(changed)


def _assert_read_alike(sentences: list[tuple[tuple[str, ...], bool]], seed: int) -> int:
    """Reads each sentence and some like it both ways; how many were not read by themselves."""
    chance = random.Random(seed)
    reading = {title: Figures(LEXICON, title) for title in (True, False)}
    for tokens, title in sentences:
        state = chance.choice(STATES)
        for one in (tokens, *(_mutated(tokens, chance) for _ in range(4)), tokens):
            found, alone = reading[title].read(one, state), read_sentence(one, state, LEXICON, title)
            assert repr(found) == repr(alone), one
    return sum(one._ways for one in reading.values())


@pytest.mark.parametrize("page", random.Random(4).sample(PAGES, 12), ids=lambda page: page.stem)
def test_sentences_that_others_wrote_are_read_as_by_themselves(page: Path) -> None:
    texts = [json.loads(line)["text"] for line in page.read_text(encoding="utf-8").splitlines()]
    every = [(one, False) for text in texts for one in read_alone(text, LEXICON, OWN, False)]
    some = [(tokens, title) for tokens, title in every if figures_of(tokens, LEXICON)]
    assert _assert_read_alike(some[:120], 5) > min(len(some), 120)


def test_titles_are_read_as_by_themselves() -> None:
    chance = random.Random(6)
    texts = [" ".join(chance.sample([*TITLE_PARTS, "$347.95", "32 % off"], chance.randint(2, 7))) for _ in range(250)]
    titles = [(one, True) for text in texts for own in (OWN, NOBODY) for one in read_alone(text, LEXICON, own, True)]
    assert _assert_read_alike(titles, 7)


@pytest.mark.parametrize("sentence", SENTENCES)
def test_every_bound_and_set_of_figures_tells_sentences_apart(sentence: str) -> None:
    chance = random.Random(8)
    reading = {title: Figures(LEXICON, title) for title in (True, False)}
    for _ in range(250):
        text = sentence.format(*(chance.choice(FIGURES) for _ in range(sentence.count("{"))))
        for title, one in reading.items():
            for tokens in read_alone(text, LEXICON, NOBODY, title):
                assert repr(one.read(tokens, START)) == repr(read_sentence(tokens, START, LEXICON, title)), text


def test_one_of_many_like_sentences_is_understood(monkeypatch: pytest.MonkeyPatch) -> None:
    understood = []
    understand = figures.understand
    monkeypatch.setattr(figures, "understand", lambda *told: understood.append(told[0]) or understand(*told))
    monkeypatch.setattr(figures, "read_sentence", lambda *told: understood.append(told[0]) or read_sentence(*told))
    reading = Figures(LEXICON, False)
    for number in range(300):
        reading.read(("Made", "from", f"{9_000 + number}", "parts", "in", f"{41 + number % 4}", "hours", "."), START)
    assert len(understood) < 20


def test_ways_are_forgotten_before_they_take_much_room(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(figures, "_MOST_WAYS", 20)
    monkeypatch.setattr(figures, "_MOST_ONCE", 10)
    reading = Figures(LEXICON, False)
    for number in range(60):
        for figure in ("4444", "5555", "6666", "7777"):
            tokens = (*("very " * number).split(), "made", "in", figure, "steps", ".")
            assert reading.read(tokens, START) == read_sentence(tokens, START, LEXICON, False)
    assert reading._ways <= 21
    assert len(reading._forms) <= 21
    assert len(reading._once) <= 10


@pytest.mark.parametrize(
    "name",
    [
        *("lt", "le", "eq", "ne", "gt", "ge"),
    ],
)
def test_comparisons_are_noted(name: str) -> None:
    compare = getattr(operator, name)
    for value in (7.0, 8.0, 9.0):
        answers: Answers = {}
        asked = Number(value, 0, answers)
        assert [compare(asked, 8.0), compare(8, asked), compare(asked * 2, 16.0)] == [
            compare(value, 8.0),
            compare(8, value),
            compare(value * 2, 16.0),
        ]
        assert all(
            bool(test[0](*(value_of(key, [value]) for key in test[1:]))) is told for test, told in answers.items()
        )
        assert len(answers) >= 2


def test_what_is_calculated_follows_from_the_figures() -> None:
    answers: Answers = {}
    one, other = Number(7.0, 0, answers), Number(3.0, 1, answers)
    made = abs((one * 2 + other) / 4 - 10 % other - 0.5 * one)
    assert value_of(made.key, [7.0, 3.0]) == float.__add__(made, 0.0)
    assert value_of(made.key, [5.0, 9.0]) == abs((5.0 * 2 + 9.0) / 4 - 10 % 9.0 - 0.5 * 5.0)
    assert not answers
    assert {("x", one): 1}.get(("x", other)) is None
    assert one in Numbers({7.0})
    assert len(answers) == 2


def test_whatever_else_looks_at_a_number_is_told_that_one_alone() -> None:
    known = {"__class__", "__delattr__", "__dir__", "__doc__", "__getattribute__", "__getformat__", "__getnewargs__"}
    known |= {"__getstate__", "__init__", "__init_subclass__", "__new__", "__reduce__", "__reduce_ex__", "__setattr__"}
    known |= {"__sizeof__", "__subclasshook__", "fromhex", "imag"}
    assert {name for name in dir(float) if name not in vars(Number)} <= known
    for look in (int, round, str, float, lambda one: f"{one:g}", lambda one: one // 2, lambda one: one.real):
        answers: Answers = {}
        look(Number(7.0, 0, answers))
        assert answers == {(operator.eq, 0, 7.0): True}


def test_no_reading_keeps_numbers_in_sets_that_do_not_ask() -> None:
    def numbers_in(held: Any) -> bool:
        return isinstance(held, (set, frozenset, dict)) and any(type(one) in (int, float) for one in held)

    modules = [
        import_module(f"{of.__name__}.{one.name}")
        for of in (subject, values)
        for one in pkgutil.iter_modules(of.__path__)
    ]
    found = [
        (one.__name__, name)
        for one in modules
        for name, held in vars(one).items()
        if numbers_in(held) and not isinstance(held, Numbers)
    ]
    assert found == []
    assert isinstance(RIMS, Numbers)
    assert isinstance(PLIES, Numbers)
    assert noting.Number(16.0, 0, {}) in RIMS


def test_what_is_known_of_figures_outlives_what_a_thread_keeps_of_texts(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(columns, "_MOST_SAID", 0)
    reader = columns.ClaimReader(LEXICON, TABLES, MarkingCache(partial(read_row, tables=TABLES)))
    found = []
    for start in range(3):
        texts = pa.array([f"It carries {700 + 10 * start + more} kg at {30 + more} psi." for more in range(9)])
        owns = reader.owns([pa.array(["225/65R17 102H"] * len(texts)), None, None, None, None], len(texts))
        reader.encode(texts, owns, False)
        found.append(reader._local.kept)
    assert found[0] is not found[2]
    assert found[0].shapes[False].figures is found[2].shapes[False].figures


def test_a_form_that_will_be_met_again_is_read_once(monkeypatch: pytest.MonkeyPatch) -> None:
    understood: list[tuple[str, ...]] = []
    noting_reader = figures.understand
    monkeypatch.setattr(
        figures, "understand", lambda some, *rest: understood.append(some) or noting_reader(some, *rest)
    )
    made = Figures(LEXICON, title=True)
    titles = [("Vorn", "grip", figure, "tread") for figure in ("2003", "7919", "4444")]
    read = [made.read(title, START, again=True) for title in titles]
    assert read == [read_sentence(title, START, LEXICON, True) for title in titles]
    assert understood == titles[:1]
