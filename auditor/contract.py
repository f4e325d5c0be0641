"""The listing contract as data: which fields a listing has, their quantity and unit, and how feeds head them."""

from __future__ import annotations

import re
import tomllib
import unicodedata
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path

from auditor.errors import RuleBookError
from auditor.rules_folder import rules_folder

_FOLDED = str.maketrans({"ß": "ss", "ł": "l", "ø": "o", "æ": "ae", "œ": "oe", "&": " ", "+": " ", "’": " "})

_NUMBER_SIGN = re.compile(r"#|№|\bn[°º]", re.IGNORECASE)
_DIAMETER_SIGN = re.compile(r"[⌀∅]|(?<!\w)[øØ](?!\w)")
_INITIALS = re.compile(r"(?<!\w)(?:[A-Za-z]\.){2,}")
_INNER_CAPITAL = re.compile(r"(?<=[a-z]{2})(?=[A-Z])")
_OTHER_UMLAUT = re.compile(r"([aou])e")
_WORDS = re.compile(r"[^\W_]+|%|\"")
_NUMBER_WORDS = frozenset(["no", "nr", "num", "nbr", "numer", "numero", "nummer"])


@dataclass(frozen=True, slots=True)
class FieldSpec:
    """One listing field.  `unit` is None for texts and codes; fields of one `group` differ by unit only."""

    name: str
    group: str
    quantity: str
    unit: str | None
    says: str


@dataclass(frozen=True, slots=True)
class Contract:
    """All fields by name, header phrases by group, unit words by unit."""

    fields: dict[str, FieldSpec]
    groups: dict[str, tuple[str, ...]]  # group -> its fields
    combined: dict[str, tuple[str, ...]]  # group of a combined column -> the fields it may hold
    phrases: dict[str, tuple[str, ...]]  # folded header phrase -> groups, most usual first
    units: dict[str, str]  # folded unit word -> unit


def fold(text: str) -> str:
    """A header or word without case, accents and punctuation: "Max. Load (kg)" -> "max load kg"."""
    ascii_only = text.isascii()  # most are, and most of the steps then change nothing
    if not ascii_only:
        text = _DIAMETER_SIGN.sub(" diameter ", text)
    if not ascii_only or "#" in text:
        text = _NUMBER_SIGN.sub(" number ", text)
    if "." in text:
        text = _INITIALS.sub(lambda match: match[0].replace(".", ""), text)
    if not text.islower():
        text = _INNER_CAPITAL.sub(" ", text).casefold()
    if not ascii_only:
        text = unicodedata.normalize("NFKD", text.casefold().translate(_FOLDED))
        text = "".join(char for char in text if not unicodedata.combining(char))
    if "e" in text:
        text = _OTHER_UMLAUT.sub(r"\1", text)  # "groesse" and "größe" alike
    words = _WORDS.findall(text)
    return " ".join(["number" if word in _NUMBER_WORDS else word for word in words])


def load_contract(folder: Path | None = None) -> Contract:
    """Reads `listing_fields.toml` of a rule folder (default: the rule book's own).  Raises RuleBookError."""
    return _load(str(folder or rules_folder()))


@lru_cache(maxsize=8)
def _load(folder: str) -> Contract:
    path = Path(folder) / "listing_fields.toml"
    try:
        data = tomllib.loads(path.read_text(encoding="utf-8"))
    except OSError as error:
        raise RuleBookError(f"{path}: the listing contract cannot be read ({error.strerror}).") from error
    except tomllib.TOMLDecodeError as error:
        raise RuleBookError(f"{path}: not valid TOML: {error}.") from error
    fields = {
        row["name"]: FieldSpec(row["name"], row["group"], row["quantity"], row.get("unit"), row["says"])
        for row in data["field"]
    }
    groups: dict[str, tuple[str, ...]] = {}
    for spec in fields.values():
        groups[spec.group] = (*groups.get(spec.group, ()), spec.name)
    combined = {row["group"]: tuple(row["fields"]) for row in data["combined"]}
    phrases: dict[str, tuple[str, ...]] = {}
    for group, languages in data["spellings"].items():
        for phrase in (word for words in languages.values() for word in words):
            folded = fold(phrase)
            known = phrases.get(folded, ())
            if group not in known:
                phrases[folded] = (*known, group)
    units = {fold(word): unit for unit, words in data["units"].items() for word in words}
    return Contract(fields, groups, combined, phrases, units)
