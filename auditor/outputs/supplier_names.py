"""Turns what suppliers call themselves into names that file systems and workbooks accept."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable

_RESERVED = {"con", "prn", "aux", "nul", *(f"com{n}" for n in range(10)), *(f"lpt{n}" for n in range(10))}
_NOT_IN_A_NAME = frozenset({"Cc", "Cf", "Cn", "Co", "Cs"})  # controls, formats, what is no character, surrogates
_OWN = {"index"}  # a file of ours beside those of the suppliers
UNNAMED = "supplier-not-named"


def file_names(suppliers: Iterable[str], longest: int = 80) -> dict[str, str]:
    """Supplier to a file name stem: safe on every file system, unique also where case does not count.

    Names are given in sorted order, so that the same suppliers always get the same names.
    """
    taken: set[str] = set()
    names: dict[str, str] = {}
    for supplier in sorted(set(suppliers)):
        stem = _stem(supplier, longest)
        names[supplier] = unique = _unique(stem, taken, longest, "-{}")
        taken.add(unique.casefold())
    return names


def sheet_names(suppliers: Iterable[str], taken: Iterable[str] = ()) -> dict[str, str]:
    """Supplier to a worksheet name: at most 31 characters, without those a workbook refuses, unique."""
    used = {name.casefold() for name in taken} | {"history"}  # a name that workbooks keep for themselves
    names: dict[str, str] = {}
    for supplier in suppliers:
        text = re.sub(r"[\[\]:*?/\\\x00-\x1f]", " ", supplier)
        text = "".join(char for char in text if unicodedata.category(char) not in _NOT_IN_A_NAME)
        text = re.sub(r"\s+", " ", text).strip(" '") or "supplier not named"
        names[supplier] = unique = _unique(text, used, 31, " ({})")
        used.add(unique.casefold())
    return names


def _stem(supplier: str, longest: int) -> str:
    text = unicodedata.normalize("NFC", supplier)
    text = re.sub(r"[^\w]+", "-", text).strip("-_")
    while len(text.encode("utf-8")) > longest:
        text = text[:-1]
    text = text.strip("-_") or UNNAMED
    return f"{text}-supplier" if text.casefold() in _RESERVED | _OWN else text


def _unique(text: str, taken: set[str], longest: int, pattern: str) -> str:
    """`text`, or `text` with the first free number from 2 on, cut so that it stays within `longest` characters."""
    candidate, number = _cut(text, longest), 2
    while candidate.casefold() in taken:
        suffix = pattern.format(number)
        candidate = _cut(text, longest - len(suffix)) + suffix
        number += 1
    return candidate


def _cut(text: str, longest: int) -> str:
    # Workbooks count UTF-16 units, and a cut may leave a blank at the end.
    while len(text.encode("utf-16-le")) // 2 > longest:
        text = text[:-1]
    return text.strip(" '")
