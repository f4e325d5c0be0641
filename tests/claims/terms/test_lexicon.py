"""Every entry of the lexicon of texts proves itself by its examples; a file that is wrong is refused by name."""

from __future__ import annotations

from pathlib import Path

import pytest

from auditor.claims.terms.lexicon import cut, lexicon_of
from auditor.claims.texts import read_claims
from auditor.errors import RuleBookError
from auditor.rulebook.texts import COMMON, compiled, read_entries, role_meanings
from tests.claims.frames_alone import FRAMES_ALONE

ENTRIES = read_entries(None, cut)
LEXICON = lexicon_of()


@pytest.mark.parametrize("entry", ENTRIES, ids=lambda entry: f"{entry.language}-{entry.role}")
def test_an_example_claims_and_one_does_not(entry) -> None:  # type: ignore[no-untyped-def]
    for text in entry.claims:
        assert read_claims(text, FRAMES_ALONE), text
    for text in entry.silent:
        assert read_claims(text, FRAMES_ALONE) == (), text


def test_nearly_all_examples_hold_when_they_are_weighed() -> None:
    claiming = [bool(read_claims(text, LEXICON)) for entry in ENTRIES for text in entry.claims]
    silent = [not read_claims(text, LEXICON) for entry in ENTRIES for text in entry.silent]
    assert sum(claiming) >= 0.97 * len(claiming)
    assert sum(silent) >= 0.97 * len(silent)


def test_every_language_has_words_for_every_subject_and_mood() -> None:
    wanted = {role for role in role_meanings() if role in LEXICON.roles.silences or role in LEXICON.roles.labels}
    common = {entry.role for entry in ENTRIES if entry.language == COMMON}
    for language in set(LEXICON.all_languages) - {"mul"}:  # what few words of many languages say
        has = {entry.role for entry in ENTRIES if entry.language == language}
        assert wanted - has - common <= {"noise-class", "terrain", "utqg", "treadwear", "traction", "temperature"}, (
            language
        )


def _file(folder: Path, text: str, name: str = "en.toml") -> list[Path]:
    path = folder / name
    path.write_text(text, encoding="utf-8")
    return [path]


GOOD = '[[entry]]\nrole = "load"\nwords = "load"\nclaims = ["Load 850 kg"]\nsilent = ["850 kg?"]\n'


@pytest.mark.parametrize(
    ("text", "name", "message"),
    [
        (
            GOOD.replace('"load"\nwords', '"lod"\nwords'),
            "en.toml",
            "entry 1: role: there is no role 'lod'; did you mean 'load'?",
        ),
        (GOOD + "clams = 1", "en.toml", "entry.1.clams: there is no such key here; did you mean 'claims'?"),
        (GOOD, "english.toml", "the name has to be the code of a language, such as en.toml"),
        (GOOD.replace('words = "load"', 'words = "load, X1Y2"'), "en.toml", "'X1Y2' is no word of a text"),
        (GOOD.replace('"load"\nwords', '"number"\nwords'), "en.toml", "numbers: one for each word of the role number"),
        ("entry = 1", "en.toml", "entry: 1 is not of type 'array'"),
    ],
)
def test_a_wrong_file_is_refused_by_name(tmp_path: Path, text: str, name: str, message: str) -> None:
    with pytest.raises(RuleBookError) as error:
        compiled(_file(tmp_path, text, name), cut)
    assert message in str(error.value)
    assert name in str(error.value)


def test_a_phrase_of_a_retailer_is_read(tmp_path: Path) -> None:
    (tmp_path / "texts").mkdir()
    _file(tmp_path / "texts", GOOD.replace('words = "load"', 'words = "heft allowance"'))
    claims = read_claims("Heft allowance 850 kg", lexicon_of(tmp_path))
    assert [claim.words for claim in claims] == ["Heft allowance 850 kg"]
