"""Checks of the identifiers of one listing."""

from __future__ import annotations

from auditor.judging.failures import Collector, Failure
from auditor.judging.statements import Statements
from auditor.quantities.blanks import is_blank
from auditor.rulebook.rule import Rule
from auditor.trade.patterns import Pattern

_NAME = "(?:ean|gtin|upc|jan|barcode)(?:[ -]?(?:8|12|13|14)(?![0-9]))?"
_AROUND = Pattern(rf"(?i)^[\"'=\s]*(?:{_NAME}[\s:=#-]*)?|(?:\.0+)?[\"'*\s]*(?:\(?{_NAME}\)?)?$")
_BETWEEN = Pattern(r"\s*[,;/|]\s*")


def gtin_is_faulty(text: str) -> bool:
    """Whether a text is no GTIN of 8, 12, 13 or 14 digits with a fitting last one.

    Leading zeros that a spreadsheet dropped are allowed for, and a name of the number beside it; of several numbers
    all have to be right.  Source: GS1 General Specifications, check digit calculation: weights 3 and 1 in turn from
    the right.
    """
    text = text.strip()
    if text == "0" or is_blank(text, "gtin"):
        return False
    parts = [part for part in _BETWEEN.sub("\n", text).split("\n") if part]
    return not parts or any(_is_faulty(_AROUND.sub("", part)) for part in parts)


def _is_faulty(text: str) -> bool:
    digits = text.replace(" ", "").replace("-", "")
    if not (digits.isascii() and digits.isdecimal()) or len(digits) > 14:
        return True
    total = sum(map(int, digits[::-2])) + 3 * sum(map(int, digits[-2::-2]))
    return total % 10 != 0 or total == 0  # zeros alone fit by their sum, but are nobody's number


def gtin_check_digit(rule: Rule, st: Statements, out: Collector) -> None:
    """A GTIN of 8, 12, 13 or 14 digits whose last digit does not fit the others (GS1 General Specifications)."""
    source = st.source_of("gtin")
    if source is None:
        return
    where = st.gtin_fault(source)
    if st.ops.any_of(where):
        out.add(Failure(rule, source.position, "gtin", "gtin", where, st.nothing, st.nothing))


CHECKS = {"gtin_check_digit": gtin_check_digit}
