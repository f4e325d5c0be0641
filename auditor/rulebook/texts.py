"""The lexicon of texts as data: `texts/<language>.toml`, checked, and made ready to look words up in.

An entry gives words one role of `texts/roles.toml`.  `*` at an end of a word stands for any letters there.
"""

from __future__ import annotations

import csv
import re
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from auditor.errors import RuleBookError
from auditor.rulebook import files
from auditor.rulebook.kept import FORMAT, SHIPPED, cache_file, keep_book, kept_book, sealed
from auditor.rules_folder import rules_folder

COMMON = "common"  # words that every language writes alike
_FIRST = "en"  # where a sentence speaks no language more than another
_ROLES = "roles"  # the file that says what the roles are
_WEIGHTS = "weights.csv"  # how much each cue tells, fitted to judged sentences
WORD = "="  # begins a role that is one word's own, by which that word tells: "=certified"
GRAMMAR = ("nouns_capitalized", "subjects_dropped")  # ways of a language, as its file says
# Letters that are written one way or another: accents of Greek, Russian ё, dots of Turkish, cedillas, Arabic letters.
_ALIKE = str.maketrans("άέήίόύώϊϋΐΰёışţىیکأإآ", "αεηιουωιυιυеiștييكااا", "\u0307\u0640\u02bb\u02bc")
Cut = Callable[[str], tuple[str, ...]]  # a word of a text into its tokens, as texts are cut; none for no word


def folded(word: str) -> str:
    """A word as it is looked up: without its case and what some leave out."""
    word = word.casefold()
    return word if word.isascii() else word.translate(_ALIKE)


@dataclass(frozen=True, slots=True)
class Entry:
    """One entry of a lexicon file."""

    language: str
    role: str
    words: tuple[str, ...]
    numbers: tuple[float, ...]
    claims: tuple[str, ...]
    silent: tuple[str, ...]


def lexicon_data(own: Path | None, cut: Cut) -> dict[str, Any]:
    """The lexicon as plain data: the built-in entries, and those of a retailer's own folder.

    Taken from the file that a wheel carries or from the user's cache, where these fit the sources and may be trusted.
    """
    paths, shipped = list(lexicon_files(own)), rules_folder() / "texts" / SHIPPED
    digest = files.digest([*paths, rules_folder() / "texts" / _WEIGHTS])
    cached = cache_file(digest)
    for path, owner in ((shipped, shipped.parent.stat().st_uid), (cached, None)):
        kept = kept_book(path, digest, owner=owner)
        if kept is not None:
            return kept
    data = {"digest": digest, "format": FORMAT, **compiled(paths, cut)}
    keep_book(cached, data)
    return data


def write_shipped_texts(folder: Path, cut: Cut) -> None:
    """Writes the compiled form beside the files of a wheel that is being built."""
    paths = sorted((folder / "texts").glob("*.toml"))
    digest = files.digest([*paths, folder / "texts" / _WEIGHTS])
    data = {"digest": digest, "format": FORMAT, **compiled(paths, cut, checked=False)}
    (folder / "texts" / SHIPPED).write_bytes(sealed(data))


def lexicon_files(own: Path | None) -> Iterator[Path]:
    for folder in (rules_folder(), own):
        if folder is not None:
            yield from sorted((folder / "texts").glob("*.toml"))


def read_entries(own: Path | None, cut: Cut) -> list[Entry]:
    """Every entry of a rule book's lexicon, checked."""
    return _entries(list(lexicon_files(own)), cut, checked=True)


def compiled(
    paths: list[Path], cut: Cut, *, checked: bool = True, telling: Iterable[str] | None = None
) -> dict[str, Any]:
    """Checked files as plain data that `Lexicon` takes; raises RuleBookError that names file, entry and key.

    `telling` are words that tell by themselves, in whatever language; where they are not given, those of the weights.
    """
    exact: dict[str, dict[str, None]] = {}
    begins: dict[str, dict[str, None]] = {}
    ends: dict[str, dict[str, None]] = {}
    phrases: dict[str, dict[str, dict[str, tuple[list[str], float | None]]]] = {}
    languages = languages_of(paths)
    for language in (COMMON, *languages):
        phrases[language] = {}
    abbreviations: list[str] = []
    for entry in _entries(paths, cut, checked=checked):
        if entry.role == "abbreviation":
            abbreviations += [word.casefold() for word in entry.words]
            continue
        numbers: tuple[float | None, ...] = entry.numbers or (None,) * len(entry.words)
        for text, number in zip(entry.words, numbers, strict=True):
            words = _tokens(text, cut)
            for word in words:
                table = begins if word.endswith("*") else ends if word.startswith("*") else exact
                table.setdefault(word.strip("*"), {})[entry.language] = None
            beginning, phrase = phrases[entry.language].setdefault(words[0], {}), " ".join(words)
            roles, known = beginning.setdefault(phrase, ([], number))
            if known is None and number is not None:
                beginning[phrase] = (roles, number)
            if entry.role not in roles:
                roles.append(entry.role)
    weights = _weights()
    counting = {word for table in phrases.values() for word in table if any(one for _, one in table[word].values())}
    telling = _words_of(weights) if telling is None else telling
    of_words = {WORD + word: word for word in telling if word not in counting}  # number words have to be alike
    for role, word in of_words.items():
        exact.setdefault(word, {})[COMMON] = None
        phrases[COMMON].setdefault(word, {}).setdefault(word, ([], None))[0].append(role)
    return {
        "roles": {**_role_table(), **{role: {"hint": True} for role in of_words}},
        "kinds": files.read_toml(rules_folder() / "texts" / f"{_ROLES}.toml")["kind"],
        "weights": weights,
        "languages": languages,
        "abbreviations": abbreviations,
        "grammar": {way: [path.stem for path in paths if files.read_toml(path).get(way)] for way in GRAMMAR},
        "exact": {word: " ".join(found) for word, found in exact.items()},
        "begins": {word: " ".join(found) for word, found in begins.items()},
        "ends": {word: " ".join(found) for word, found in ends.items()},
        "numerals": {language: _numerals(phrases[language]) for language in languages},
        "phrases": {
            language: {
                word: [[text, " ".join(roles), number] for text, (roles, number) in found.items()]
                for word, found in table.items()
            }
            for language, table in phrases.items()
        },
    }


def languages_of(paths: Iterable[Path]) -> list[str]:
    """The languages that lexicon files are for, English first."""
    found = {path.stem for path in paths} - {COMMON, _ROLES}
    return sorted(found, key=lambda language: (language != _FIRST, language))


def _numerals(phrases: dict[str, dict[str, tuple[list[str], float | None]]]) -> tuple[dict[str, float], list[str]]:
    """Of a language: its number words, and the words for "and", for numbers that are written as one word."""
    single = {word: found[word] for word, found in phrases.items() if word in found}
    values = {word: number for word, (roles, number) in single.items() if roles == ["number"] and number}
    return values, [word for word, (roles, _) in single.items() if "and" in roles]


def _role_table() -> dict[str, dict[str, Any]]:
    found: dict[str, dict[str, Any]] = files.read_toml(rules_folder() / "texts" / f"{_ROLES}.toml")["role"]
    return found


def _weights() -> dict[str, dict[str, float]]:
    """The weight of every cue, by the kind of value; "" is all kinds."""
    path = rules_folder() / "texts" / _WEIGHTS
    found: dict[str, dict[str, float]] = {}
    with path.open(encoding="utf-8", newline="") as stream:
        for row in csv.DictReader(stream):
            found.setdefault(row["kind"], {})[row["cue"]] = float(row["weight"])
    return found


def _words_of(weights: dict[str, dict[str, float]]) -> list[str]:
    """The words that cues name."""
    names = (cue.partition(" ")[2] for cues in weights.values() for cue in cues)
    return sorted({name.removeprefix(WORD) for name in names if name.startswith(WORD)})


def role_meanings() -> dict[str, str]:
    """What every role is, in words."""
    return {role: str(one["is"]) for role, one in _role_table().items()}


def _tokens(text: str, cut: Cut) -> list[str]:
    tokens: list[str] = []
    for word in text.split():
        bare = word.strip("*")
        parts = [folded(part) for part in cut(bare)]
        if parts and word.endswith("*"):
            parts[-1] += "*"
        if parts and word.startswith("*"):
            parts[0] = "*" + parts[0]
        tokens += parts
    return tokens


def _entries(paths: list[Path], cut: Cut, *, checked: bool) -> list[Entry]:
    found, roles = [], list(_role_table())
    for path in paths:
        if path.stem == _ROLES:
            continue
        data = files.read_toml(path)
        if path.stem != COMMON and not re.fullmatch("[a-z]{2,3}", path.stem):
            raise RuleBookError(f"{path}: the name has to be the code of a language, such as en.toml.")
        if checked:
            files.check(data, files.schema("texts"), path)
        for number, table in enumerate(data["entry"], 1):
            found.append(_entry(table, f"{path}: entry {number}", cut, roles))
    return found


def _entry(table: dict[str, Any], place: str, cut: Cut, roles: list[str]) -> Entry:
    role = table["role"]
    if role not in roles:
        raise RuleBookError(f"{place}: role: there is no role {role!r}; {files.nearest(role, roles)}")
    words = tuple(" ".join(text.split()) for text in table["words"].split(",") if text.strip())
    for text in words:
        if not all(cut(word.strip("*")) for word in text.split()):
            raise RuleBookError(f"{place}: words: {text!r} is no word of a text; leave codes and article numbers out.")
    numbers = tuple(float(one) for one in table.get("numbers", ()))
    if len(numbers) != (len(words) if role == "number" else 0):
        raise RuleBookError(f"{place}: numbers: one for each word of the role number, and none for others.")
    return Entry(
        Path(place.split(": entry")[0]).stem,
        role,
        words,
        numbers,
        tuple(table.get("claims", ())),
        tuple(table.get("silent", ())),
    )
