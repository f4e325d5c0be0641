"""Cuts a text into words, and a word into the tokens that the reader knows: the same for one text and for a column.

A text is cleaned as a whole (HTML off, entities resolved, parts of a size joined) by patterns that Python and RE2 read
alike, and split at blanks.  All else is a matter of one word alone: `1,874lb.` is `1,874`, `lb` and a full stop.  So a
feed cuts each distinct word once.
"""

from __future__ import annotations

import html
import re

from auditor.trade.patterns import Pattern

BREAK = "•"  # ends a sentence: a line, a bullet, a block of HTML
OWN, OWN_SERVICE = "\ue000", "\ue001"  # the listing's own size and service description
OWN_MODEL = "\ue004"  # its model, by which a sales text calls this tire
LOWER, UPPER = "\ue002", "\ue003"  # any run of words that no lexicon holds: what is raised, then what is not
LONGEST = 48  # characters; longer words are article numbers, links and the like
LONGEST_UNSPACED = 600  # the same of scripts that put no blanks between words

# (what must be in the text for the step to do anything, pattern, replacement), in this order.
HTML_STEPS = (
    (r"</(?:[Tt][DdHh]|[Dd][Tt])>[ \n]*<(?:[Tt][DdHh]|[Dd][Dd])(?: [^<>]{0,400})?>", " : "),
    (r"</?(?:[BbIiUuAa]|em|EM|strong|STRONG|span|SPAN|sup|sub|small|font)(?: [^<>]{0,400})?>", " "),
    (r"</?[A-Za-z][^<>]{0,400}>", " \n "),
)
LINE_STEPS = (("\\|\\|+|[\n\r\u2022\u00b7\u25aa\u25ba\u2713\u2714\u25cf]+", f" {BREAK} "),)
# A size written apart is one word: "205/55 R 16", "LT 245/75R16", "31x10.50 R15 LT".
SIZE_STEPS = (
    (r"([0-9]) ([Zz]?[Rr]) ?([0-9]{2})", r"\1\2\3"),
    (r"\b(LT|ST|HL|VF|IF|P) ([0-9]{2,3}/[0-9])", r"\1\2"),
    # The service description behind it: "91/V", "91 | V", "91 (V)", "115(113)R".
    (
        r"([Rr][0-9]{2}(?:\.5)?C?(?:LT)? (?:M/C )?[0-9]{2,3}(?:/[0-9]{2,3})?) ?[/|] ?([F-HJ-NP-WY])( |$|[,|)])",
        r"\1\2\3",
    ),
    (r"([Rr][0-9]{2}(?:\.5)?C?(?:LT)? (?:M/C )?[0-9]{2,3}(?:/[0-9]{2,3})?) ?\(([F-HJ-NP-V])\)", r"\1\2"),
    (r"([0-9]C [0-9]{2,3})\(([0-9]{2,3})\)([F-HJ-NP-WY])\b", r"\1/\2\3"),
    (r"([RBD-][0-9]{2}) LT\b", r"\1LT"),
    # "225/60/17", "225 60 17", "225 / 60 / 17"
    (r"\b([1-3][0-9]5)(?:[-/ ]| / )([2-8][05])(?:[-/ xX]| / )R?-?(1[2-9]|2[0-4])\b", r"\1/\2R\3"),
)
ABBREVIATION_STEPS = (
    (r"\b([PLS])\. ?([RI])\b\.?", r"\1\2"),  # "P.R.", "L.I."
    (r"([0-9] ?)(?:m\. ?p\. ?h|M\. ?P\. ?H)\b\.?", r"\1mph"),
    (r"([0-9] ?)(?:k\. ?[pm]\. ?h|K\. ?[PM]\. ?H)\b\.?", r"\1kmh"),
    (r"\b([A-Z])\. ?([A-Z])\.?( [a-z0-9]|:)", r"\1\2\3"),  # "O.D. 31.4 in"
)
# More digits than any figure of a tire has: numbers of articles, of trade items and the like are names.
ARTICLE_STEPS = (("#[0-9]{4,}", "Xxx"), ("[0-9]{7,}", "Xxx"))  # pounds have their sign behind them
TEXT_STEPS = (*LINE_STEPS, *SIZE_STEPS, *ABBREVIATION_STEPS, *ARTICLE_STEPS)
_HTML = tuple((Pattern(pattern, re.ASCII), instead) for pattern, instead in HTML_STEPS)
_TEXT = tuple((Pattern(pattern, re.ASCII), instead) for pattern, instead in TEXT_STEPS)
ENTITY = Pattern(r"&[#A-Za-z]")

_NUMBER = r"[0-9]+(?:[.,][0-9]+)*"
SIZE_SHAPE = (
    r"(?:LT|ST|HL|IF|VF|P|T)?[0-9]{2,3}/[0-9]{2,3}(?:[Zz]?[Rr]F?|[BD-])[0-9]{2,3}(?:[.,][0-9])?"
    r"|[0-9]{2}(?:\.[0-9]{1,2})?[xX×][0-9]{1,2}(?:\.[0-9]{1,2})(?:Z?R|[BD-])[0-9]{2}(?:\.[0-9])?"
    r"|[0-9]{1,3}(?:\.[0-9]{1,2})?Z?R[0-9]{2}(?:[.,][0-9])?"
    r"|[0-9]{1,2}\.[0-9]{1,2}(?:/[0-9]{2})?-[0-9]{2}(?:\.[0-9])?"
    r"|M[A-Z][0-9]{2}[BR-][0-9]{2}"
)
SIZE = Pattern(rf"({SIZE_SHAPE})(LT|TR|C)?$")
SERVICE = Pattern(r"[0-9]{2,3}(?:/[0-9]{2,3})?(?:A[1-8]|[B-HJ-NP-WY])")
_PIECE = Pattern(
    rf"(?P<size>(?<![0-9A-Za-z/.,])(?:{SIZE_SHAPE})(?:LT|TR|C)?(?![0-9A-Za-z]))"
    r"|(?P<marks>M/C|[MAHRX]/[TS]|(?i:M[+&]S|3-?PMSF|32nds))(?![0-9A-Za-z])"
    r"|(?P<speed>(?i:km/[hu]))(?![0-9A-Za-z])"
    r"|(?P<range>LR[B-N])(?![0-9A-Za-z])"
    r"|(?P<thirty>[0-9]{1,2}/32)(?![0-9])"
    r"|(?P<service>[0-9]{2,3}(?:/[0-9]{2,3})?(?:A[1-8]|[B-HJ-NP-WY]))(?![0-9A-Za-z])"
    rf"|(?P<pair>{_NUMBER}/{_NUMBER}(?:/{_NUMBER})*|{_NUMBER}(?:[-x×]{_NUMBER})+)"
    rf"|(?P<number>{_NUMBER})"
    r"|(?P<not>n['\u2019]t)(?![a-z])"
    r"|(?P<acronym>[\u05d0-\u05ea]+[\"\u05f4\u201d'\u05f3][\u05d0-\u05ea]+"  # Hebrew kilograms
    r"|[^\W\d_]*[oOgG]['\u2018\u2019\u02bb\u02bc](?:q(?![^\W\d_])|(?!clock)[^\W\d_]{2,}))"  # Uzbek letters
    r"|(?P<word>[^\W\d_]+?(?=n['\u2019]t(?![a-z]))|[^\W\d_][^\W\d_\u0e31\u0e34-\u0e3a\u0e47-\u0e4e]*"
    r"(?:[\u0e31\u0e34-\u0e3a\u0e47-\u0e4e][^\W\d_]*)*)"  # Thai vowels and tones are marks, no letters
    r"|(?P<ending>(?<=kg|/h):(?:[aäens]n?|aan|ään|een|seen|ll[aä]|st[aä]|ksi)(?![^\W_]))"  # Finnish "kg:n"
    r"|(?P<end>[.!?。｡]+|\u2026)|(?P<mark>[,;:|()/&°%€\[\]{}=/@+#\u2022\ue000-\ue004]|[-\u2013\u2014]+)"
    r"|(?P<quote>[\"\u201c\u201d\u201e\u00ab\u00bb\u2033]|'')"
)
_KEPT = ("size", "range", "service", "marks")  # codes that say something
_RANGE = Pattern("LR[B-N]")
_CODE = Pattern(r"(?:Z?R[0-9]{2}|C[123]|[AB][1-8])")
_ENDS_IN_LETTER = Pattern(r"[A-QS-Z]")
_LETTERS_AND_DIGITS = Pattern(r"[A-Za-z]+[0-9][0-9A-Za-z]*|[0-9]+[A-Za-z]+[0-9]+[0-9A-Za-z]*")
_MARKS = {"M/C": "MC", "M/S": "M+S", "M&S": "M+S", "M+S": "M+S", "3-PMSF": "3PMSF", "3PMSF": "3PMSF", "32NDS": "32nds"}
_ONE = {"|": ":", "[": "(", "]": ")", "{": "(", "}": ")", "#": "lb", "\u2026": ".", "\u2013": "-", "\u2014": "-"}
ENDS = frozenset({".", "!", "?", ";", BREAK})
# Signs and digits of other scripts, as Latin ones: full-width forms, Arabic and Persian ones.
_LATIN = str.maketrans(
    {
        **{0xFF01 + at: chr(0x21 + at) for at in range(94)},
        **{0x0660 + at: str(at) for at in range(10)},
        **{0x06F0 + at: str(at) for at in range(10)},
        **{ord(one): latin for one, latin in zip("、،؛؟٫٬٪「」『』【】《》", ',,;?.,%""""()""', strict=True)},
    }
)
_UNSPACED = Pattern(r"[\u0e01-\u0e4e\u3040-\u30ff\u3400-\u9fff]")


def clean(text: str) -> str:
    """The text of a title or description without HTML, with parts of a size joined and lines marked."""
    return marked(without_html(text))


def without_html(text: str) -> str:
    """A text with its entities resolved and without HTML."""
    if "&" in text and ENTITY.search(text):
        text = html.unescape(text)
    if "<" in text:
        for pattern, instead in _HTML:
            text = pattern.sub(instead, text)
    return text


def marked(text: str) -> str:
    """A text without HTML with parts of a size joined and lines marked."""
    for pattern, instead in _TEXT:
        text = pattern.sub(instead, text)
    return text


def tokens_of_word(word: str) -> tuple[str, ...]:
    """The tokens of one word; none for what can say nothing."""
    if len(word) > LONGEST and (len(word) > LONGEST_UNSPACED or not _UNSPACED.search(word)):
        return (LOWER,)
    if not word.isascii():
        word = word.translate(_LATIN)
    if (
        (word.isalpha() and not (word[:2] == "LR" and _RANGE.fullmatch(word)))
        or word.isdecimal()
        or _CODE.fullmatch(word)
    ):
        return (word,)
    if _LETTERS_AND_DIGITS.fullmatch(word) and (first := _PIECE.match(word)) and first.lastgroup not in _KEPT:
        parts = re.fullmatch(r"(LI|PR|LR)([0-9]{1,3})", word)
        return parts.groups() if parts else (UPPER,)
    tokens: list[str] = []
    upto = 0
    for found in _PIECE.finditer(word):
        kind, text = found.lastgroup, found[0]
        if kind == "word" and upto and found.start() == upto and tokens and tokens[-1][-1:].isdigit() and len(text) > 8:
            text = text if _UNSPACED.search(text) else LOWER
        elif text == "er" and upto and found.start() == upto and tokens and tokens[-1].isdecimal():
            text = "version"  # "der 106er"
        glued = kind == "number" and found.start() == upto > 2 and word[0].isalpha() and word[upto - 2] == "-"
        upto = found.end()
        if glued and tokens and _ENDS_IN_LETTER.fullmatch(tokens[-1]) and not _CODE.fullmatch(tokens[-1] + text):
            tokens[-1] = UPPER  # the end of a name, "CK-T8"
            continue
        _take(tokens, kind or "", text, word, upto)
    return tuple(tokens)


def _take(tokens: list[str], kind: str, text: str, word: str, upto: int) -> None:
    if kind == "marks":
        tokens.append(_MARKS.get(text.upper(), text))
    elif kind == "speed":
        tokens.append("kmh")
    elif kind == "range":
        tokens.extend(("LR", text[2]))
    elif kind == "thirty":
        tokens.extend((text[:-3], "32nds"))
    elif kind == "not":
        tokens.append("not")
    elif kind == "acronym":
        tokens.append("".join(filter(str.isalpha, text)))
    elif kind == "end":
        if len(text) > 3 and text[0] == ".":
            tokens.append(":")
        else:
            tokens.append("?" if text.strip("?") != text else "!" if text.strip("!") != text else ".")
    elif kind == "ending":
        pass
    elif kind == "quote":
        tokens.append("inch" if tokens and tokens[-1][-1].isdigit() else '"')
    elif kind == "mark":
        text = _ONE.get(text, text)
        if text[0] == "-":
            if upto == len(word) == len(text) or "\u2013" in word or "\u2014" in word:
                tokens.append("-")
        else:
            tokens.append(text)
    else:
        tokens.append(text)
