"""Ways to write a marking that change nothing of what it says, as shops' programs and hands leave them.

Each takes a text and gives it back dirty, or as it is where it does not apply.
"""

from __future__ import annotations

import re
from collections.abc import Callable

Dirty = Callable[[str], str]

_FULL_WIDTH = {code: code + 0xFEE0 for code in range(0x21, 0x7F)}
_ALIKE = str.maketrans(
    "ATMKEXO", "АТМКЕХО"
)  # Cyrillic letters that are spoken like the Latin ones that they print like
_GREEK = str.maketrans("TMKEX", "ΤΜΚΕΧ")


def _behind_size(text: str, put: str) -> str:
    return re.sub(r"^(\S+) ", lambda match: f"{match[1]}{put}", text)


DIRT: dict[str, Dirty] = {
    "blanks around": lambda text: f"  {text} ",
    "tabs for blanks": lambda text: text.replace(" ", "\t"),
    "line breaks for blanks": lambda text: text.replace(" ", "\r\n"),
    "two blanks for one": lambda text: text.replace(" ", "  "),
    "no-break blanks": lambda text: text.replace(" ", "\u00a0"),
    "thin blanks": lambda text: text.replace(" ", "\u2009"),
    "ideographic blanks": lambda text: text.replace(" ", "\u3000"),
    "blanks as entities": lambda text: text.replace(" ", "&nbsp;"),
    "bars as entities": lambda text: text.replace("/", "&#x2F;"),
    "invisible signs": lambda text: "\u200b".join(text),
    "a byte order mark": lambda text: f"\ufeff{text}",
    "soft hyphens": lambda text: text.replace("/", "\u00ad/"),
    "direction marks": lambda text: f"\u200e{text}\u200f",
    "full-width signs": lambda text: text.translate(_FULL_WIDTH),
    "Arabic digits": lambda text: text.translate({48 + digit: chr(0x660 + digit) for digit in range(10)}),
    "Persian digits": lambda text: text.translate({48 + digit: chr(0x6F0 + digit) for digit in range(10)}),
    "Devanagari digits": lambda text: text.translate({48 + digit: chr(0x966 + digit) for digit in range(10)}),
    "Cyrillic letters": lambda text: text.translate(_ALIKE),
    "Greek letters": lambda text: text.translate(_GREEK),
    "a Cyrillic R for radial": lambda text: re.sub(r"(?<=\d)R(?=\d\d)", "Р", text, count=1),
    "a times sign": lambda text: text.replace("x", "×"),
    "a capital X": lambda text: text.replace("x", "X"),
    "a star for x": lambda text: text.replace("x", "*"),
    "a fraction bar": lambda text: text.replace("/", "⁄"),
    "a division bar": lambda text: text.replace("/", "∕"),
    "a backslash": lambda text: re.sub(r"^(\w+)/", r"\1\\", text),
    "en dashes": lambda text: text.replace("-", "–"),
    "minus signs": lambda text: text.replace("-", "−"),
    "no-break hyphens": lambda text: text.replace("-", "\u2011"),
    "commas for dots": lambda text: text.replace(".", ","),
    "an apostrophe for the dot": lambda text: re.sub(r"(?<=R\d\d)\.5", "'5", text),
    "double quotes": lambda text: f'"{text}"',
    "typographic quotes": lambda text: f"„{text}“",
    "guillemets": lambda text: f"«{text}»",
    "a blank before the rim's letter": lambda text: re.sub(r"(?<=\d)(Z?R)(?=\d\d)", r" \1", text, count=1),
    "a blank behind the rim's letter": lambda text: re.sub(r"(?<=\d)(Z?R)(?=\d\d)", r"\1 ", text, count=1),
    "blanks around the rim's letter": lambda text: re.sub(r"(?<=\d)(Z?R)(?=\d\d)", r" \1 ", text, count=1),
    "blanks around the bar": lambda text: text.replace("/", " / ", 1),
    "a blank before the symbol": lambda text: re.sub(r"(?<=\d)([J-NP-UHVWY])$", r" \1", text),
    "a comma behind the size": lambda text: _behind_size(text, ", "),
    "a semicolon behind the size": lambda text: _behind_size(text, ";"),
    "an upright behind the size": lambda text: _behind_size(text, " | "),
    "a small letter for radial": lambda text: re.sub(r"(?<=\d)R(?=\d\d)", "r", text, count=1),
    "a zero as a letter": lambda text: re.sub(r"^([^\d ]*\d+)0(?=[/.R-])", r"\1O", text),
    "a one as a letter": lambda text: re.sub(r"(?<=R)1(?=\d)", "l", text, count=1),
    "an inch sign": lambda text: re.sub(r"^(\S*R\d\d(?:\.5)?)(?= |$)", r'\1"', text),
    "written twice": lambda text: f"{text.split(' ')[0]} {text}",
    "words before": lambda text: f"Larkmoor Ridge {text}",
    "words behind": lambda text: f"{text} Larkmoor Ridge",
    "the word for a tire": lambda text: f"Шина {text}",
    "tire in Chinese": lambda text: f"{text}轮胎",
}
