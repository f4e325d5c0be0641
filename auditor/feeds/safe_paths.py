"""Names that are safe to write under: no path leaves the output folder, whatever a feed calls itself."""

from __future__ import annotations

import re
import unicodedata

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
