"""Dirt on the text of a marking: look-alike letters, full-width digits, entities, odd dashes and blanks.

Everything but entities and invisible characters is replaced one for one, so that a place in the normalised text is
the same place in the text as written.
"""

from __future__ import annotations

import re
from bisect import bisect_right
from dataclasses import dataclass
from operator import itemgetter

from auditor.trade.patterns import Pattern

_ENTITY = Pattern(r"&(?:[A-Za-z]{2,8}|#[0-9]{1,7}|#[xX][0-9A-Fa-f]{1,6});")
_INVISIBLE = Pattern("[\u00ad\u200b-\u200f\u2060\ufeff\ufe0e\ufe0f]")

# Letters of other alphabets that print like a Latin capital (Cyrillic, Greek), and lower-case ones used for "x".
LETTERS = str.maketrans(
    "АВЕКМНОРСТХУЅІЈаеорсхуѕіј" + "ΑΒΕΖΗΙΚΜΝΟΡΤΥΧο", "ABEKMHOPCTXYSIJAEOPCXYSIJ" + "ABEZHIKMNOPTYXO"
)
_SIGNS = dict(
    zip(
        "×✕✖╳⨯" + "‐‑‒–—―−﹣" + "⁄∕╱" + "★✱∗☆⁎" + "٫،、" + "【】〔〕「」{}",
        "XXXXX" + "--------" + "///" + "*****" + ".,," + "()()()()",
        strict=True,
    )
)
_BLANKS = (
    "\t\n\v\f\r\u00a0\u1680\u2000\u2001\u2002\u2003\u2004\u2005\u2006\u2007\u2008\u2009\u200a"
    "\u202f\u205f\u3000\u00b7\u2022\u2219\u30fb"
)
_QUOTES = "\"'`´\u2018\u2019\u201a\u201c\u201d\u201e\u2032\u2033\u00ab\u00bb"

_BLANK_RUN = Pattern(f"[ {_BLANKS}]{{2,}}")

TABLE: dict[int, str] = {code: chr(latin) for code, latin in LETTERS.items()}
TABLE.update({ord(a): b for a, b in _SIGNS.items()})
TABLE.update({code: chr(code - 0xFEE0).upper() for code in range(0xFF01, 0xFF5F)})
# Digits of other scripts: Arabic, Persian, Devanagari, Bengali, Gujarati, Tamil, Telugu, Kannada, Malayalam, Thai, Lao,
# Burmese, Khmer.
_ZEROS = (0x0660, 0x06F0, 0x0966, 0x09E6, 0x0AE6, 0x0BE6, 0x0C66, 0x0CE6, 0x0D66, 0x0E50, 0x0ED0, 0x1040, 0x17E0)
TABLE.update({first + digit: str(digit) for first in _ZEROS for digit in range(10)})
TABLE.update({ord(blank): " " for blank in _BLANKS + _QUOTES})
TABLE.update({code: chr(code - 32) for code in range(ord("a"), ord("z") + 1)})
_NO_BREAK_ONLY = {ord(blank): " " for blank in "\t\n\v\f\r"}

# O written for zero and I or l for one, only where the run is plainly a number: it holds a digit, and no letter
# stands before it but those of a size (`R1O`, `P2O5`, `X1O.5O`).
_NUMBER_RUN = Pattern(
    r"(?:(?<![A-Z0-9])(?:LT|ST|HL|IF|VF|P|T)?|(?<=[0-9/]R)|(?<=[0-9] R)|(?<=[0-9/]ZR)|(?<=[0-9] ZR)|(?<=[0-9]X)"
    r"|(?<=[0-9]C))"
    r"(?=[OI0-9]*[0-9])(?=[0-9]*[OI])([OI0-9]+)"
)
_ZERO_AND_ONE = str.maketrans("OI", "01")
# A small l for one: `l02H`, `1l2H`, `10lT`, `R l7`, `Rl7`; the tread type `l3` and the litres of `5l` stay letters.
_SMALL_L = Pattern(
    r"(?<![A-Za-z\d])l(?=[\dOIl]{2}(?![\d.,]))|(?<=\d)l(?=\d?[/A-HJ-NP-Z](?![a-z.]))(?!lP\.?R)"
    r"|(?<=[\dOZzSsHhVv][Rr])l(?=\d)|(?<=\d [Rr])l(?=\d)"
)
# An apostrophe or a raised dot for the dot: `R17'5`.
_HALF_SIGNS = "'\u2019\u00b4\u2032`\u00b7\u2022\u2219\u30fb"
_HALF = Pattern(rf"(?<=[0-9][0-9])[{_HALF_SIGNS}](?=5(?![0-9]))")
# Fractions of an inch: `R22½`, `R22 1/2`, `2 3/4-17`, `2-3/4-16`, `3-1/2 x 10`; with nothing between, `21/4-17`, they
# are not told from 21/4.
_FRACTION = Pattern(
    r"(?<=\d) ?[¼½¾]|(?<=[Rr](?:17|19|22|24)) 1/2(?![\d/])|(?<=[Rr] (?:17|19|22|24)) 1/2(?![\d/])"
    r"|(?:(?<=^[1-9])|(?<=[^\w.,/][1-9]))[ -](?:1/2|1/4|3/4)(?= {0,2}[-xX×])"
)
_RESOLVED = Pattern(r"\s\s|[ -][13]/")  # runs of blanks, and where a fraction may stand
_PART_OF_INCH = {"1/4": ".25", "1/2": ".5", "3/4": ".75", "¼": ".25", "½": ".5", "¾": ".75"}
# R for radial in other alphabets: the Russian and Bulgarian Р, which prints like a Latin P (`205/55 Р16`), the Greek Ρ
# likewise, and the Arabic letter.
_FOREIGN_RADIAL = Pattern(r"(?<=\d)([ /-]{0,2})[РрΡρر](?= ?(?:\d\d(?:[.,]\d)?|\d{3})(?!\d))")
# A load range and plies that only a stroke parts: "ST205/75R15 D/8PR".
_RANGE_BEFORE_PLIES = Pattern(r"(?<![A-Z0-9.,/-])([B-HJLMN])/(?=[0-9]{1,2}[ -]?P(?:\.?R|LY|LIES))")
# Service descriptions that are written otherwise, each as long as it is put: "115(113)R", "142 (A8)", "V 91", "SS: V",
# "PR: 8", and the decimals of a spreadsheet, "R16.0".
_DUAL_IN_BRACKETS = Pattern(r"(?<=[0-9]C )([0-9]{2,3})\(([0-9]{2,3})\)(?=[A-HJ-NP-Y](?![A-Z]))")
_SYMBOL_IN_BRACKETS = Pattern(r"(?:(?<= [0-9]{2} )|(?<=[ /][0-9]{3} ))(?<!R [0-9]{2} )\(([B-HJ-NP-V]|A[1-8])\)")
_SYMBOL_FIRST = Pattern(
    r"(?:(?<=[R-][0-9]{2} )|(?<=[R-][0-9]{2}C )|(?<=R[0-9]{2}\.5 ))([F-HJ-NP-WY])( ?)"
    r"([6-9][0-9]|1[0-9]{2}(?:/1[0-9]{2})?)(?=$|[ ,;)]+(?![0-9KL]))"
)
_SPEED_LABEL = Pattern(r"(?<=(?<![A-Z])S)S(?= ?[:=] ?[A-Y](?![A-Z]))")
_PLIES_LABEL = Pattern(
    r"(?<![A-Z0-9])(?<![0-9] )(?:(?:PR|PLY RATING|PLY) ?[:=]|PR) ?([0-9]{1,2})(?![0-9./])(?! ?[A-Z](?![A-Z]))"
)
_WHOLE_RIM = Pattern(r"(?<=R[12][0-9])\.0(?![0-9])|(?<=R [12][0-9])\.0(?![0-9])")
_ODD_SERVICE = Pattern(
    r"[0-9]\([0-9]|[0-9] \([A-Y][1-8]?\)|[0-9C] [F-Y] ?[0-9]{2}|SS ?[:=]|PR ?[:=0-9]|RATING ?[:=]|[0-9]\.0(?![0-9])"
)
_DEGREE = Pattern(r"(?<![A-Z0-9])0(?=WL(?![A-Z0-9]))|(?<=L)0(?=AD\b)|(?<=M)0(?=UNTAIN\b)|(?<=XL)0(?=AD\b)")


@dataclass(frozen=True, slots=True)
class Written:
    """A text made ready for reading.  `text` and `base` have the same length."""

    text: str  # upper case, plain letters, digits, blanks
    base: str  # as written, entities resolved, invisible characters dropped
    dirty: bool  # something other than case was replaced outside plain blanks
    shifts: tuple[tuple[int, int], ...] = ()  # (place in base, characters lost in the original before it)

    def original(self, position: int) -> int:
        """The offset in the original text of an offset in `base`."""
        before = bisect_right(self.shifts, position, key=itemgetter(0))
        return position + (self.shifts[before - 1][1] if before else 0)


def _resolve(text: str) -> tuple[str, tuple[tuple[int, int], ...]]:
    """Resolves entities, drops invisible characters, narrows runs of blanks, keeping account of the places."""
    pieces: list[str] = []
    shifts: list[tuple[int, int]] = []
    length = done = lost = 0
    spots = sorted(
        [(m.start(), m.end()) for m in _ENTITY.finditer(text)]
        + [(m.start(), m.end()) for m in _INVISIBLE.finditer(text)]
        + [(m.start(), m.end()) for m in _BLANK_RUN.finditer(text)]
        + [(m.start(), m.end()) for m in _FRACTION.finditer(text)]
    )
    for start, end in spots:
        if start < done:
            continue
        plain = _plain(text[start:end])
        pieces += [text[done:start], plain]
        length += start - done + len(plain)
        lost += end - start - len(plain)
        shifts.append((length, lost))
        done = end
    pieces.append(text[done:])
    return "".join(pieces), tuple(shifts)


def _plain(piece: str) -> str:
    """What an entity, an invisible character or a run of blanks stands for."""
    if piece[-1] in "24¼½¾" and piece[0] != "&":
        return _PART_OF_INCH[piece.strip(" -")]
    if piece[0] != "&":
        return "" if len(piece) == 1 else " "
    import html  # only texts with an entity pay for it

    plain = html.unescape(piece)
    if len(plain) > 1:
        return piece
    return "" if _INVISIBLE.fullmatch(plain) else plain


def zeros_for_letters(text: str) -> str:
    """Puts zero for O and one for I inside numbers, and O for zero in words; same length."""
    if "O" in text or "I" in text:
        text = _NUMBER_RUN.sub(_number, text)
    if "0WL" in text or "L0AD" in text:
        text = _DEGREE.sub("O", text)
    return text


def _number(match: re.Match[str]) -> str:
    whole: str = match[0]
    run: str = match[1]
    head = whole[: len(whole) - len(run)]
    following = match.string[match.end() : match.end() + 2]
    number = run.translate(_ZERO_AND_ONE)
    too_large = not head and len(number) > 3 and not following[:1].isalnum()
    if run[-1] in "OI" and (following == "WL" or too_large):  # `10 OWL` written together, the symbol of `102I`
        return head + run[:-1].translate(_ZERO_AND_ONE) + run[-1]
    return head + number


def normalise(text: str) -> Written:
    """Normalises one text.  Never raises; takes time linear in its length."""
    base = text
    shifts: tuple[tuple[int, int], ...] = ()
    dirty = False
    if not text.isascii() or "&" in text or _RESOLVED.search(text) is not None:
        base, shifts = _resolve(text)
        dirty = bool(_ENTITY.search(text) or _INVISIBLE.search(text) or _FRACTION.search(text))
    written = _digits_meant(base)
    if written.isascii():
        plain = written.translate(_NO_BREAK_ONLY).upper()
        if '"' in plain or "'" in plain or "`" in plain or "{" in plain:
            plain = plain.translate(TABLE)
            dirty = True
    else:
        plain = written.translate(TABLE)
        dirty = True
    upper = zeros_for_letters(plain)
    if "/" in upper and "P" in upper:
        upper = _RANGE_BEFORE_PLIES.sub(r"\1 ", upper)
    if _ODD_SERVICE.search(upper):
        upper = _service_as_usual(upper)
    return Written(upper, base, dirty or upper != plain or written is not base, shifts)


def _service_as_usual(text: str) -> str:
    """A text with its service description and the labels in it as they are usually written; same length."""
    text = _DUAL_IN_BRACKETS.sub(r"\1/\2 ", text)
    text = _SYMBOL_IN_BRACKETS.sub(r"\1  ", text)
    text = _SYMBOL_FIRST.sub(r"\3\2\1", text)
    text = _SPEED_LABEL.sub("I", text)
    text = _PLIES_LABEL.sub(lambda match: f"{match[1]}PR".ljust(len(match[0])), text)
    return _WHOLE_RIM.sub("  ", text)


def _digits_meant(text: str) -> str:
    """Puts one for a small l and a dot for an apostrophe inside numbers; the same text where there is none."""
    if "l" in text and (found := _SMALL_L.sub("1", text)) != text:
        text = found
    if ("'" in text or "`" in text or not text.isascii()) and _HALF.search(text):
        text = _HALF.sub(".", text)
    if not text.isascii() and _FOREIGN_RADIAL.search(text):
        text = _FOREIGN_RADIAL.sub(r"\1R", text)
    return text
