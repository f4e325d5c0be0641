"""Encodings of text feeds in other scripts than Latin, told by what their headers say.

Bytes of the upper half make some text in nearly every one of them, but hardly ever words of a tire list.
"""

from __future__ import annotations

import re

from auditor.rulebook.built_in import load_contract
from auditor.rulebook.header_words import fold

# Japanese, Chinese (mainland, Taiwan), Korean; Cyrillic, Greek, Turkish, Hebrew, Arabic, Thai, Vietnamese.
_CANDIDATES = (
    "cp932",
    "euc_jp",
    "gb18030",
    "big5",
    "cp949",
    "windows-1250",
    "iso-8859-2",
    "windows-1251",
    "koi8-r",
    "cp866",
    "windows-1253",
    "windows-1254",
    "windows-1255",
    "windows-1256",
    "cp874",
    "windows-1258",
)
_LINES = 10  # in which a header stands
_LEAST = 2  # headers that have to be known
_LONGEST = 80  # characters of a header; what is longer is none, and would take long to look through
_USUAL = ("utf-8", "windows-1252")
_GUESSED = {
    "windows-1251": "cp1251",
    "cp932": "cp932",
    "gb18030": "gb18030",
    "big5": "big5",
    "cp949": "cp949",
    "windows-1253": "cp1253",
    "windows-1255": "cp1255",
    "windows-1256": "cp1256",
}
_LEAST_LINES, _MOST_LINES = 5, 2000
_CELL_ENDS = re.compile(r'[,;|\t"]+')


def encoding_by_headers(sample: bytes) -> str | None:
    """The encoding in which more headers are known than in the usual ones; None where there is none such."""
    head = b"\n".join(sample.splitlines()[:_LINES])
    if head.isascii():
        return None
    known = {name: _known_headers(head, name) for name in (*_USUAL, *_CANDIDATES)}
    best = max(_CANDIDATES, key=lambda name: known[name])
    usual = max(known[name] for name in _USUAL)
    return best if known[best] >= max(_LEAST, usual + 1) and _decodes(sample, best) else None


def encoding_by_letters(sample: bytes) -> str | None:
    """The encoding that charset-normalizer makes of lines that are none of the usual ones."""
    from charset_normalizer import from_bytes  # only feeds in other scripts pay for it

    lines = [line for line in sample.splitlines() if not line.isascii()]
    if len(lines) < _LEAST_LINES:
        return None  # a few damaged bytes are no encoding
    best = from_bytes(b"\n".join(lines[:_MOST_LINES]), cp_isolation=[_GUESSED[name] for name in _GUESSED]).best()
    names = {codec: name for name, codec in _GUESSED.items()}
    found = None if best is None else names.get(best.encoding)
    return found if found is not None and _decodes(sample, found) else None


def _known_headers(head: bytes, encoding: str) -> int:
    """How many cells with letters beyond ASCII are known headers, once read in an encoding."""
    phrases, units = load_contract().phrases, re.compile(r"[(（\[].*?[)）\]]")
    text = head.decode(encoding, "replace")
    cells = {cell for line in text.splitlines() for cell in _CELL_ENDS.split(line) if not cell.isascii()}
    cells = {cell for cell in cells if len(cell) <= _LONGEST}
    return sum(fold(cell) in phrases or fold(units.sub(" ", cell)) in phrases for cell in cells)


def _decodes(sample: bytes, encoding: str) -> bool:
    """Whether all but a few bytes make sense; the last character may be cut off."""
    text = sample.decode(encoding, "replace")
    return text.count("\ufffd") <= 1 + len(text) // 1000
