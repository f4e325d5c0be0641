"""The weights of cues: what their file may hold, and that a fit tells claims from what only looks like them."""

from __future__ import annotations

import csv

from auditor.claims.terms.lexicon import lexicon_of
from auditor.claims.terms.own import Own
from auditor.claims.terms.weights import ABOVE, ANY, DENIED, FRAMED, SIDES, figure_cues, kind_of
from auditor.claims.texts import read_claims
from auditor.rulebook.texts import WORD, role_meanings
from auditor.rules_folder import rules_folder
from tests.trials import weigh
from tests.trials.listings import read
from tests.trials.texts import FOLDER

OWN = Own("225/65R17 102H")  # 850 kg


def test_every_weight_is_that_of_a_role_or_mark_for_a_kind_of_value() -> None:
    kinds = lexicon_of().roles.kinds
    of_kinds, meanings = {ANY, DENIED, *(kind_of(field, kinds) for field in kinds)}, role_meanings()
    with (rules_folder() / "texts" / "weights.csv").open(encoding="utf-8", newline="") as stream:
        rows = list(csv.DictReader(stream))
    assert len(rows) > 1_000
    for row in rows:
        side, _, name = row["cue"].partition(" ")
        assert row["kind"] in of_kinds, row
        word = name[:1] == WORD and name[1:].isalpha() and not row["kind"]
        assert side not in SIDES or name in meanings or word or name[:1] in "'#" or name.startswith("a "), row
    of_all = {row["cue"]: float(row["weight"]) for row in rows if row["kind"] == ANY}
    assert of_all[FRAMED] > 0 > of_all["hindered by asked"]
    assert of_all[ABOVE] > 0, "what could hurt somebody has to be told sooner"


def test_a_fit_learns_from_judged_sentences() -> None:
    rows = read([FOLDER / "texts" / "third.jsonl"])
    lexicon = weigh.unweighed(weigh.words_of(rows))
    seen = list(weigh.cases("third", rows, lexicon))
    odds = weigh.Fit(seen).odds(seen)
    right = sum((one > 0) == case.claim for one, case in zip(odds, seen, strict=True))
    assert len(seen) > 200 and right > 0.8 * len(seen)


def test_a_figure_is_weighed_beside_the_marking() -> None:
    assert "figure own single" in figure_cues("max_load_kg", 850.0, 102, None, "H")
    assert {"figure 4 tires", "figure fourfold"} <= set(figure_cues("max_load_kg", 3400.0, 102, None, "H"))
    assert ABOVE in figure_cues("max_speed_mph", 149.0, 102, None, "H")
    assert ABOVE not in figure_cues("max_load_dual_kg", 800.0, 104, 102, "T")
    assert figure_cues("max_load_lb", 1874.0, None, None, None) == ()


def test_more_than_the_marking_allows_is_told_sooner() -> None:
    weights = lexicon_of().weights
    more, less = (OWN.worth("load_index", index, weights) for index in (106.0, 98.0))
    assert more > less


def test_the_same_words_of_other_figures_are_one_sentence() -> None:
    for kilograms in ("990", "980"):
        claims = read_claims(f"Each tire carries {kilograms} kg.", lexicon_of(), OWN)
        assert [(claim.field, claim.value) for claim in claims] == [("max_load_kg", float(kilograms))]
