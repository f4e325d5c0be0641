"""Names that are safe to write under: no path leaves the output folder, whatever a feed calls itself."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Sequence

_RESERVED = {
    "con",
    "prn",
    "aux",
    "nul",
    *(f"com{i}" for i in range(1, 10)),
    *(f"lpt{i}" for i in range(1, 10)),
}
_UNSAFE = re.compile(r'[\x00-\x1f\x7f<>:"|?*\\/]')


def safe_name(text: str, *, fallback: str = "unnamed") -> str:
    """`text` as one file name: no separators, no control characters, no leading or trailing dots or blanks.

    Device names of Windows get an underscore, and names are shortened to 150 bytes of UTF-8.
    """
    name = _UNSAFE.sub("_", unicodedata.normalize("NFC", text)).strip(" .")
    while len(name.encode("utf-8", "replace")) > 150:
        name = name[:-1]
    name = name.strip(" .")
    if not name:
        return fallback
    if name.split(".")[0].lower() in _RESERVED:
        return f"_{name}"
    return name


def safe_relative(path: str) -> str:
    """A relative path with forward slashes, each part safe; `..`, drive letters and leading slashes are dropped."""
    parts = [part for part in re.split(r"[\\/]+", path) if part not in {"", ".", ".."}]
    return "/".join(safe_name(part) for part in parts) or "unnamed"


def unique_paths(names: Sequence[tuple[str, str]]) -> dict[tuple[str, str], str]:
    """For every feed and the path it would be written under a path of its own, also where case does not count.

    The same feed and path, as the sheets of a workbook have them, share one; a path never leads through another's file.
    """
    files: set[str] = set()
    folders: set[str] = set()
    given: dict[tuple[str, str], str] = {}
    for key in sorted(set(names)):
        number, path = 1, key[1]
        while _taken(path, files, folders):
            number += 1
            path = _numbered(key[1], number)
        given[key] = path
        files.add(path.casefold())
        folders.update(_parents(path.casefold()))
    return given


def _taken(path: str, files: set[str], folders: set[str]) -> bool:
    folded = path.casefold()
    return folded in files or folded in folders or any(parent in files for parent in _parents(folded))


def _parents(path: str) -> list[str]:
    parts = path.split("/")
    return ["/".join(parts[:depth]) for depth in range(1, len(parts))]


def _numbered(path: str, number: int) -> str:
    """The path with a number before its suffixes; the first folder gets it where the path has one."""
    first, slash, rest = path.partition("/")
    if slash:
        return f"{first}-{number}/{rest}"
    stem, dot, suffix = first.partition(".")
    return f"{stem}-{number}{dot}{suffix}"
