"""Reads the wordings of a language from `rules/letters/`; a language is one file."""

from __future__ import annotations

import hashlib
import string
from collections.abc import Iterable
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path

from auditor.errors import RuleBookError
from auditor.rulebook.kept import FORMAT, in_cache, keep_book, kept_book
from auditor.rules_folder import rules_folder

SECTIONS = ("letter", "columns", "cautions", "fields", "causes", "slips", "months", "reasons")


@dataclass(frozen=True, slots=True)
class Wordings:
    """All texts of one language; each section maps a key to a text with named places."""

    language: str  # the file's stem, a BCP 47 tag
    name: str
    direction: str  # ltr or rtl
    thousands: str
    letter: dict[str, str]
    columns: dict[str, str]
    cautions: dict[str, str]
    fields: dict[str, str]
    causes: dict[str, str]
    slips: dict[str, str]
    months: dict[str, str]
    reasons: dict[str, str]

    def field(self, field: str) -> str:
        """The field's name for people; an unknown field keeps its own."""
        return self.fields.get(field, field.replace("_", " "))

    def cause(self, cause: str) -> str:
        return self.causes.get(cause, self.causes["unclear"])

    def reason(self, rule: str) -> str:
        return self.reasons.get(rule, self.reasons["other"])

    def date(self, night: str) -> str:
        """An ISO date as people of this language write it; "" for none."""
        if not night:
            return ""
        year, month, day = night.split("-")
        return self.letter["date"].format(year=year, month=self.months[f"m{month}"], day=int(day))

    def figure(self, text: str) -> str:
        """A figure with a decimal point, as this language writes it."""
        return text.replace(",", " ").replace(".", ",") if self.thousands == "." else text

    def number(self, number: int) -> str:
        return f"{number:,}".replace(",", self.thousands)


def load_wordings(language: str, rules: Path | None = None) -> Wordings:
    """The wordings of one language.  Raises RuleBookError naming file and key where one is missing or misshapen."""
    path = _path(language, rules)
    texts = _read(path)
    if language != "en":
        _compare(path, texts, _read(_path("en", rules)))
    sections = {section: texts[section] for section in SECTIONS}
    name, direction, thousands = (str(texts[key]) for key in ("name", "direction", "thousands"))
    return Wordings(language, name, direction, thousands, **sections)


def languages(rules: Path | None = None) -> tuple[str, ...]:
    """The languages there are letters in, English first."""
    found = {path.stem for folder in (rules or rules_folder(), rules_folder()) for path in _letters(folder)}
    return ("en", *sorted(found - {"en"})) if "en" in found else tuple(sorted(found))


def _path(language: str, rules: Path | None) -> Path:
    """Where the letters of a language stand: in an own rule book, else in the built-in one."""
    own = (rules or rules_folder()) / "letters" / f"{language}.toml"
    return own if own.is_file() else rules_folder() / "letters" / own.name


def _letters(folder: Path) -> Iterable[Path]:
    return (folder / "letters").glob("*.toml")


def _read(path: Path) -> dict[str, dict[str, str]]:
    try:
        content = path.read_bytes()
    except OSError as error:
        raise RuleBookError(f"{path} could not be read ({error.strerror}); every rule book needs it.") from error
    return _checked(path, content)


@lru_cache(maxsize=16)  # reports, letters and workbook of one audit ask for the same
def _checked(path: Path, content: bytes) -> dict[str, dict[str, str]]:
    digest = hashlib.sha256(content).hexdigest()
    cached = in_cache(f"{FORMAT}-{digest[:24]}.letters")
    kept = kept_book(cached, digest)
    if kept is not None:
        texts: dict[str, dict[str, str]] = kept["texts"]
        return texts
    texts = _parsed(path, content)
    keep_book(cached, {"digest": digest, "format": FORMAT, "texts": texts})
    return texts


def _parsed(path: Path, content: bytes) -> dict[str, dict[str, str]]:
    # Start-up: letters that are kept were parsed before.
    import tomllib

    try:
        texts = tomllib.loads(content.decode("utf-8"))
    except (tomllib.TOMLDecodeError, UnicodeDecodeError) as error:
        raise RuleBookError(f"{path} is not TOML: {error}; compare it with letters/en.toml.") from error
    for key in ("name", "direction", "thousands"):
        if not isinstance(texts.get(key), str):
            raise RuleBookError(f"{path} lacks the text {key!r}; compare it with letters/en.toml.")
    for section in SECTIONS:
        table = texts.get(section)
        if not isinstance(table, dict) or not all(isinstance(text, str) for text in table.values()):
            raise RuleBookError(f"{path} lacks the table [{section}] of texts; compare it with letters/en.toml.")
    return texts


def _compare(path: Path, texts: dict[str, dict[str, str]], english: dict[str, dict[str, str]]) -> None:
    for section in SECTIONS:
        for key, text in english[section].items():
            if key not in texts[section]:
                raise RuleBookError(f"{path}, [{section}], lacks {key!r}; compare it with letters/en.toml.")
            extra = _places(path, key, texts[section][key]) - _places(path, key, text)
            if extra:
                raise RuleBookError(
                    f"{path}, [{section}], {key!r} has the unknown place {{{min(extra)}}};"
                    " letters/en.toml shows those there are."
                )


def _places(path: Path, key: str, text: str) -> set[str]:
    try:
        return {name for _, name, _, _ in string.Formatter().parse(text) if name is not None}
    except ValueError as error:
        raise RuleBookError(f"{path}, {key!r}: {error}; braces must come in pairs.") from error
