"""Fits the weights of cues to judged sentences, and writes `rules/texts/weights.csv`.

Every reading of every sentence is audited by itself, as if the text claimed it and nothing else.  A reading that then
contradicts the listing is a case: a claim where the sentence is untrue and the finding names what is right (or, where
no reading does, where it is the value that the sentence is judged untrue for), else none.  A logistic regression over
the cues of `auditor.claims.values.weighing` fits the weights.

What the frames make of a value tells more on sentences that they were mended by than on others.  So that cue is weighed
by `FRESH` alone, sentences that were written before the frames could be mended by them, each file by weights that were
fitted without it.  Without `--write` it is told what such fits find and accuse: how well they do on what is not seen.

    python -m tests.trials weigh
    python -m tests.trials weigh --write
"""

from __future__ import annotations

import csv
import re
import tomllib
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from itertools import product
from pathlib import Path
from typing import Any
from unittest.mock import patch

import numpy as np
import numpy.typing as npt
from sklearn.feature_extraction.text import CountVectorizer
from sklearn.linear_model import LogisticRegression

import auditor
from auditor.claims import texts as claim_texts
from auditor.claims.own_cells import own_of
from auditor.claims.sentences import START, Claim, State, read_sentence, understand
from auditor.claims.terms.lexicon import Lexicon, cut
from auditor.claims.terms.own import NOBODY, Own
from auditor.claims.terms.weights import (
    ABOVE,
    ALONE,
    ALWAYS,
    ANY,
    FRAMED,
    IN_LONG,
    IN_LONG_OWN,
    LINKED,
    figure_cues,
    kind_of,
)
from auditor.claims.terms.words import OWN, OWN_SERVICE, clean, tokens_of_word
from auditor.claims.values.look import Value
from auditor.claims.values.readings import is_bound
from auditor.claims.values.weighing import Reading
from auditor.judging.single import cells
from auditor.marking import Unreadable
from auditor.rulebook.texts import WORD, compiled, lexicon_files, read_entries
from auditor.rules_folder import rules_folder
from tests.claims.prose import read_alone
from tests.trials import beside, listings
from tests.trials.listings import read
from tests.trials.texts import FOLDER, Outcome, files, listing_of

FRESH = (
    "fourteenth", "fifteenth", "sixteenth", "seventeenth", "eighteenth", "nineteenth", "twentieth", "twenty-first",
    "twenty-second", "twenty-third", "twenty-fourth", "twenty-fifth", "twenty-seventh", "twenty-eighth",
    "twenty-ninth", "thirtieth", "thirty-first", "thirty-third", "thirty-fourth", "thirty-fifth", "thirty-sixth",
    "thirty-seventh", "thirty-eighth", "thirty-ninth", "fortieth", "forty-first", "forty-second", "forty-fourth",
    "forty-fifth", "forty-sixth", "forty-seventh", "forty-eighth", "forty-ninth", "fiftieth", "fifty-first",
    "fifty-second", "fifty-third", "fifty-fifth", "fifty-sixth", "fifty-seventh", "fifty-eighth", "fifty-ninth",
    "sixty-first", "sixty-second", "sixty-third", "sixty-fourth", "sixty-sixth",
    "sixty-seventh", "sixty-eighth", "seventy-fourth", "seventy-fifth",
    "seventieth", "seventy-first", "seventy-second", "seventy-third",
    "seventy-sixth",
)  # fmt: skip
HELD_OUT = (
    "twenty-sixth", "thirty-second", "forty-third", "fifty-fourth", "sixtieth", "sixty-fifth", "sixty-ninth",
    "seventy-seventh", "seventy-eighth", "seventy-ninth", "eightieth", "eighty-first", "eighty-second", "eighty-third",
    "eighty-fourth", "eighty-fifth", "eighty-sixth", "eighty-seventh", "eighty-eighth", "eighty-ninth", "ninetieth",
    "ninety-first", "ninety-second", "ninety-third",
    "ninety-fourth",  # but after its first look shares in words were learned
    "ninety-fifth",  # and after that of this one versions "of the XL" and miles with their dots
    "ninety-sixth",  # of 28 languages that are not read whole
    "ninety-seventh",  # but after its first look loads that are the least of what is said, and those of rims
    "ninety-eighth",  # but after its first look loads of both mountings in one line, and forces
    "ninety-ninth",
)  # fmt: skip  # nothing is fitted to them, and no word was added for them
PAGES_HELD_OUT = ("fourth",)  # of whole product pages
FOLDS = tuple(FRESH[first::6] for first in range(6))  # files that are fitted without together
TEXTS = ("title", "description")
_MARKED = frozenset({"marking", "service_description"})
PRAISE = "texts_praise.toml"  # phrases that change nothing of a claim beside them
PAGES, OF_PAGES = "pages", 0.6  # their sentences are of another kind, which one more cue tells
TITLES = "titles"  # whole markings as shops write them
OF_FRESH = 2.0  # how much more such a sentence tells than those whose words the lexicon was gathered from
LEAST_SEEN = 8  # readings that have a cue; rarer ones tell nothing
STRENGTH = 0.1  # inverse of the penalty
AT_LEAST = 0.02  # smaller weights are left out
AT_LEAST_OF_WORD = 0.1  # a word that tells less on every side only makes more sentences distinct
ODDS_ABOVE = 0.25  # the same for a load, an index or a speed above the marking's
ODDS_ALONE = 3.0  # how much more likely a size is this tire's where the listing gives no other
ODDS = 1.0  # log-odds from which a reading counts: between what is missed and what is accused for nothing


@dataclass(frozen=True, slots=True)
class Case:
    """A reading that contradicts its listing."""

    file: str
    row: int
    untrue: bool  # the sentence
    claim: bool  # the reading is what it says of this tire
    kind: str
    cues: tuple[str, ...]
    framed: str


def unweighed(words: Iterable[str]) -> Lexicon:
    """The lexicon without weights, so that every reading of a sentence is kept; `words` are to tell by themselves."""
    return Lexicon({**compiled(list(lexicon_files(None)), cut, checked=False, telling=words), "weights": {}})


def words_of(rows: Iterable[dict[str, Any]]) -> list[str]:
    """The words of enough sentences that it can be told what they tell."""
    seen = Counter(token.casefold() for row in rows for token in _words_in(row["text"]))
    return sorted(word for word, times in seen.items() if times >= LEAST_SEEN)


def _words_in(text: str) -> set[str]:
    tokens = {token for word in clean(text).split() for token in tokens_of_word(word)}
    return {token for token in tokens if len(token) > 2 and token.isalpha()}


def cases(name: str, rows: list[dict[str, Any]], lexicon: Lexicon) -> Iterator[Case]:
    """The readings of the sentences of a file, of a name, that contradict their listing."""
    kinds = lexicon.roles.kinds
    for number, row in enumerate(rows):
        found = [(one, own, *_judged(one, row)) for one, own in _readings(row, lexicon)]
        accusing = [(one, own, named) for one, own, accuses, named in found if accuses]
        untrue = row["verdict"] == "false"
        if row["verdict"] != "other":
            agreeing = [one for one, _, accuses, _ in found if not accuses]
            for one in agreeing:
                if one.framed == FRAMED:  # what is right is said as what is untrue, whatever its figure
                    yield Case(name, number, untrue, True, _kind_of(one.value, kinds), (*one.cues,), "agreeing")
        claims = [one for one, _, named in accusing if named]
        if untrue and not claims:
            claims = [one for one, _, _ in accusing if _is_wrong(one, row)]
            fields = {one.value.field for one, _, _ in accusing}
            claims = claims or ([one for one, _, _ in accusing] if len(fields) == 1 else [])
        for one, own, _ in accusing:
            kind = _kind_of(one.value, kinds)
            told = (*one.cues, *figure_cues(one.value.field, one.value.value, *_facts(own)))
            yield Case(name, number, untrue, untrue and one in claims, kind, told, one.framed)


def texts_of_listings() -> Iterator[dict[str, Any]]:
    """The titles and sales texts of right listings, each beside its marking."""
    for row in read(listings.files()):
        listing = row["listing"]
        if "marking" not in listing or row["expect"] == "finding":
            continue
        fields = {name: cell for name, cell in listing.items() if name not in ("marking", *TEXTS)}
        for field in TEXTS:
            if text := listing.get(field):
                judged = {"text": text, "field": field, "verdict": "true"}
                yield {**judged, "marking": listing["marking"], "other": fields}


def cases_of_pages(lexicon: Lexicon) -> Iterator[Case]:
    """The readings of the sales texts of whole product pages, of which hardly a sentence is untrue.

    Pages whose mistake stands elsewhere are left out: beside it what the text says right is found to differ.
    """
    for path in (path for path in beside.files("pages") if path.stem not in PAGES_HELD_OUT):
        rows = []
        for page in read([path]):
            listing = dict(page["listing"])
            told = page["verdict"] == "right" or "description" in page["field"]
            if not told or "marking" not in listing:
                continue
            marking, text = listing.pop("marking"), listing.pop("description")
            judged = {"verdict": "true" if page["verdict"] == "right" else "false", "wrong": page["wrong"]}
            names = listing.get("brand", ""), listing.get("model", "")
            row = {
                **judged,
                "names": names,
                "text": text,
                "field": "description",
                "marking": marking,
                "right": page["right"],
            }
            rows.append({**row, "other": {name: cell for name, cell in listing.items() if name != "title"}})
        for one in cases(PAGES, rows, lexicon):
            own = any(sign in cue for cue in one.cues for sign in (OWN, OWN_SERVICE))
            yield replace(one, cues=(*one.cues, IN_LONG, *((IN_LONG_OWN,) if own else ())))


def example_cases(lexicon: Lexicon) -> Iterator[Case]:
    """What the examples of the lexicon show: values of the frames in those that claim, all readings in the others."""
    for number, entry in enumerate(read_entries(None, cut)):
        for text, claims in (*((text, True) for text in entry.claims), *((text, False) for text in entry.silent)):
            state: State = START
            for tokens in read_alone(text, lexicon, NOBODY, title=False):
                for one in understand(tokens, state, lexicon, title=False).readings:
                    if claims and one.framed != FRAMED:
                        continue
                    kind = _kind_of(one.value, lexicon.roles.kinds)
                    told = (*one.cues, *figure_cues(one.value.field, one.value.value, None, None, None))
                    yield Case("examples", number, not claims, claims, kind, told, one.framed)
                _, state = read_sentence(tokens, state, lexicon, title=False)


def cases_beside_praise(lexicon: Lexicon) -> Iterator[Case]:
    """Claims beside phrases of sales texts, which are claims as they are without."""
    claims, praise = (tomllib.loads((FOLDER / name).read_text("utf-8")) for name in ("texts_beside.toml", PRAISE))
    number = 0
    for language, found in claims.items():
        for phrase, claim in product(praise[language]["beside"], found["claims"]):
            number += 1
            parts = [phrase, claim] if number % 2 else [claim, phrase]
            text = (". " if number % 3 else ", ").join(part[0].upper() + part[1:] for part in parts)
            for one in _framed(f"{text}.", "description", lexicon):
                yield _agreeing("praise", number, one, lexicon)


def cases_of_titles(lexicon: Lexicon) -> Iterator[Case]:
    """Whole markings in titles as shops write them, and claims behind such titles: all are of that tire.

    Many a sales text is the title once more.
    """
    claims = tomllib.loads((FOLDER / "texts_beside.toml").read_text("utf-8"))
    every = [claim for found in claims.values() for claim in found["claims"]]
    for number, row in enumerate(read(sorted((FOLDER / "titles").glob("*.jsonl")))):
        if row["kind"] != "title" or "refuse" in row["expect"]:
            continue
        told = claims.get(row["lang"], {"claims": every})["claims"]
        behind = (" ", ", ", " - ", " | ")[number % 4] + told[number // 4 % len(told)]
        for text, field in ((row["text"], "title"), (row["text"], "description"), (row["text"] + behind, "title")):
            for one in _framed(text, field, lexicon):
                if text != row["text"] or one.value.field in _MARKED:
                    yield _agreeing(TITLES, number, one, lexicon)


def _framed(text: str, field: str, lexicon: Lexicon) -> Iterator[Reading]:
    """What the frames find in a text beside no marking."""
    row = {"text": text, "field": field, "marking": ""}
    return (one for one, _ in _readings(row, lexicon) if one.framed == FRAMED)


def _agreeing(name: str, number: int, one: Reading, lexicon: Lexicon) -> Case:
    """A reading that is a claim whatever its figure."""
    return Case(name, number, True, True, _kind_of(one.value, lexicon.roles.kinds), (*one.cues,), "agreeing")


def _kind_of(value: Value, kinds: Mapping[str, str]) -> str:
    return kind_of(value.field, kinds, denied=value.denied)


def _readings(row: dict[str, Any], lexicon: Lexicon) -> Iterator[tuple[Reading, Own]]:
    own, title = own_of(row["marking"], "", "", *row.get("names", ())), row["field"] == "title"
    state: State = START
    for tokens in claim_texts.prose_of(row["text"], lexicon, own, title)[0]:
        counting = [one for one in understand(tokens, state, lexicon, title).readings if _may_count(one, own)]
        bound = {(one.value.field, one.value.place) for one in counting if is_bound(one.value)}
        for one in counting:
            if one.framed == LINKED:
                continue
            if is_bound(one.value) or (one.value.field, one.value.place) not in bound:
                yield one, own
        _, state = read_sentence(tokens, state, lexicon, title)


def _may_count(one: Reading, own: Own) -> bool:
    return one.value.given is None or own.has(*one.value.given)


def _judged(one: Reading, row: dict[str, Any]) -> tuple[bool, bool]:
    """Whether a reading alone brings a finding on the text above minor, and whether that names what is right."""
    value = one.value
    claim = Claim(value.field, value.value, "it", value.half_step, value.open_ended, value.denied)
    cells._text_kept.cache_clear()
    said = ((claim,), ())
    alone = patch.object(claim_texts, "read_apart", lambda text, *rest: said if text == row["text"] else ((), ()))
    with alone, patch.object(claim_texts, "with_marking", lambda said, *rest: said):
        outcome = Outcome(row, [found.as_json() for found in auditor.audit_listing(listing_of(row)).findings])
    return outcome.found, outcome.found and outcome.named


def _is_wrong(one: Reading, row: dict[str, Any]) -> bool:
    """Whether a reading has the value that its sentence is judged untrue for."""
    value = f"{one.value.value:g}" if isinstance(one.value.value, float) else one.value.value
    wrong = re.sub(r"(?<=\d)[,.\s\u00a0](?=\d{3}\b)", "", str(row.get("wrong", ""))).replace(",", ".")
    return value.casefold() in wrong.casefold()


def _facts(own: Own) -> tuple[int | None, int | None, str | None]:
    decoded = own.decoded
    if isinstance(decoded, Unreadable):
        return None, None, None
    return decoded.service.load_index, decoded.service.load_index_dual, decoded.service.speed_symbol


class Fit:
    """The weights of some cases."""

    def __init__(self, some: list[Case]) -> None:
        self._vectors = CountVectorizer(analyzer=_features, min_df=LEAST_SEEN, binary=True, dtype=np.float32)
        matrix = self._vectors.fit_transform(some)
        self._model = LogisticRegression(C=STRENGTH, max_iter=1_000, solver="liblinear", random_state=0)
        weights = [OF_FRESH if one.file in (*FRESH, TITLES) else OF_PAGES if one.file == PAGES else 1.0 for one in some]
        self._model.fit(matrix, [one.claim for one in some], sample_weight=weights)

    def odds(self, some: list[Case]) -> npt.NDArray[np.float64]:
        """The log-odds of cases, whatever the frames make of them."""
        found: npt.NDArray[np.float64] = self._model.decision_function(self._vectors.transform(some))
        return found

    def weights(self) -> dict[tuple[str, str], float]:
        """By kind and cue."""
        names = self._vectors.get_feature_names_out()
        found = {_split(name): float(weight) for name, weight in zip(names, self._model.coef_[0], strict=True)}
        return {**found, (ANY, ALWAYS): float(self._model.intercept_[0])}


def _features(one: Case) -> list[str]:
    """The cues for all kinds of values and for its own; words are too many to tell by kind."""
    both, of_all = (ANY, one.kind), (ANY,)
    told = (cue for cue in one.cues if cue != ABOVE)
    return [f"{kind}|{cue}" for cue in told for kind in (of_all if f" {WORD}" in cue else both)]


def _split(name: str) -> tuple[str, str]:
    kind, _, cue = name.partition("|")
    return kind, cue


class BesideFrames:
    """What the odds of cases and what the frames make of the same cases tell together."""

    def __init__(self, some: list[Case], odds: npt.NDArray[np.float64]) -> None:
        self.names = sorted({one.framed for one in some})
        self.model = LogisticRegression(C=0.5, max_iter=2_000)
        self.model.fit(self._columns(some, odds), [one.claim for one in some])

    def odds(self, some: list[Case], odds: npt.NDArray[np.float64]) -> npt.NDArray[np.float64]:
        """The log-odds of cases, with what the frames make of them."""
        found: npt.NDArray[np.float64] = self.model.decision_function(self._columns(some, odds))
        return found

    def _columns(self, some: list[Case], odds: npt.NDArray[np.float64]) -> npt.NDArray[np.float64]:
        return np.column_stack([odds, *([one.framed == name for one in some] for name in self.names)]).astype(float)


def out_of_sample(all_cases: list[Case]) -> tuple[list[Case], npt.NDArray[np.float64]]:
    """The cases of the fresh files, each with its odds by weights that were fitted without its file."""
    some: list[Case] = []
    odds = []
    for files_of in FOLDS:
        held_out = [one for one in all_cases if one.file in files_of and one.framed != "agreeing"]
        odds.append(Fit([one for one in all_cases if one.file not in files_of]).odds(held_out))
        some += held_out
    return some, np.concatenate(odds)


def table(all_cases: list[Case]) -> Iterator[str]:
    """What is found and accused of sentences that neither weights nor frames were fitted to, by least odds."""
    some, odds = out_of_sample(all_cases)
    together = np.zeros(len(some))
    for files_of in FOLDS:
        inside = np.array([one.file in files_of for one in some])
        others, held_out = ([one for one in some if (one.file in files_of) == held] for held in (False, True))
        together[inside] = BesideFrames(others, odds[~inside]).odds(held_out, odds[inside])
    rows = [(path.stem, number, row["verdict"]) for path in files() for number, row in enumerate(read([path]))]
    untrue = {row[:2] for row in rows if row[0] in FRESH and row[2] == "false"}
    fine = {row[:2] for row in rows if row[0] in FRESH and row[2] != "false"}
    frames = [one.framed == FRAMED for one in some]
    yield f"by the frames alone: {_shares(some, frames, untrue, fine)}"
    above = np.array([ABOVE in one.cues for one in some])
    for least, sooner in product(np.arange(0.0, 2.1, 0.25), (0.0, ODDS - ODDS_ABOVE)):
        counting = list(together >= np.where(above, least - sooner, least))
        shares = _shares(some, counting, untrue, fine)
        yield f"log-odds of {least:4.2f}, above the marking {least - sooner:5.2f}: {shares}"


Rows = set[tuple[str, int]]


def _shares(some: list[Case], counting: list[bool], untrue: Rows, fine: Rows) -> str:
    accused = {(one.file, one.row) for one, counts in zip(some, counting, strict=True) if counts}
    found, wrongly = len(accused & untrue) / len(untrue), len(accused & fine) / len(fine)
    return f"{found:6.1%} found, {wrongly:5.1%} accused"


def fitted(all_cases: list[Case]) -> dict[tuple[str, str], float]:
    """The weights of all cases, with those of what the frames make of a value."""
    some, odds = out_of_sample(all_cases)
    beside = BesideFrames(some, odds)
    scale, *of_frames = beside.model.coef_[0].tolist()
    weights = {key: scale * weight for key, weight in Fit(all_cases).weights().items()}
    weights |= {(ANY, name): weight for name, weight in zip(beside.names, of_frames, strict=True)}
    weights[ANY, ALWAYS] += float(beside.model.intercept_[0]) - ODDS
    weights[ANY, ABOVE] = ODDS - ODDS_ABOVE
    weights[ANY, ALONE] = ODDS_ALONE
    return without_weak_words({key: weight for key, weight in weights.items() if abs(weight) >= AT_LEAST})


def without_weak_words(weights: dict[tuple[str, str], float]) -> dict[tuple[str, str], float]:
    """The weights without those of words that tell little, wherever they stand."""
    strongest: dict[str, float] = {}
    for (_, cue), weight in weights.items():
        name = cue.partition(" ")[2]
        strongest[name] = max(strongest.get(name, 0.0), abs(weight))
    weak = {name for name, most in strongest.items() if name.startswith(WORD) and most < AT_LEAST_OF_WORD}
    return {(kind, cue): weight for (kind, cue), weight in weights.items() if cue.partition(" ")[2] not in weak}


def write(weights: dict[tuple[str, str], float]) -> Path:
    """Writes the file of weights, in the order of kinds and cues."""
    path = rules_folder() / "texts" / "weights.csv"
    with path.open("w", encoding="utf-8", newline="") as stream:
        lines = csv.writer(stream, lineterminator="\n")
        lines.writerow(("kind", "cue", "weight"))
        lines.writerows((kind, cue, f"{weight:.2f}") for (kind, cue), weight in sorted(weights.items()))
    return path


def run(paths: Iterable[Path], *, save: bool) -> str:
    """Fits the weights to the sentences of some files; writes them or tells how well they do on unseen ones."""
    fitted_to = [path for path in paths if path.stem not in HELD_OUT]
    lexicon = unweighed(words_of(read(fitted_to)))
    found = [case for path in fitted_to for case in cases(path.stem, read([path]), lexicon)]
    found += cases("listings", list(texts_of_listings()), lexicon)
    found += example_cases(lexicon)
    found += cases_beside_praise(lexicon)
    found += cases_of_titles(lexicon)
    found += cases_of_pages(lexicon)
    return str(write(fitted(found))) if save else "\n".join(table(found))
