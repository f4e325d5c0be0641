"""Cells that give the letters of a size: "LT", "P-Metric", "Special Trailer", "C"."""

from __future__ import annotations

from auditor.quantities.model import BLANK, CellReading, Reading, unreadable
from auditor.trade.codes import SIZE_PREFIXES

_WORDS = {
    "pmetric": "P", "ltmetric": "LT", "lighttruck": "LT", "lttype": "LT", "specialtrailer": "ST", "trailer": "ST",
    "sttrailer": "ST", "temporary": "T", "temporaryspare": "T", "spare": "T", "ttype": "T", "highload": "HL",
    "commercial": "C", "ctype": "C", "cmetric": "C", "commercialc": "C", "cp": "C", "ltc": "C",
}  # fmt: skip
_NAMED = {
    "lighttruck": "lt", "passenger": "p", "specialtrailer": "st", "trailer": "st", "commercial": "c",
    "temporary": "t", "spare": "t",
}  # fmt: skip
# Kinds of tire whose sizes have no letters, or that may have either.
_NO_LETTERS = frozenset(
    [
        "passenger",
        "metric",
        "eurometric",
        "euro",
        "emetric",
        "hardmetric",
        "standard",
        "pcr",
        "ltr",
        "tbr",
        "none",
        "no",
    ]
)


def read_size_prefix(text: str, field: str) -> CellReading:
    """The letters, or nothing where the cell names a kind of tire without any."""
    said = "".join(sign for sign in text.lower() if sign.isalnum())
    for word, short in _NAMED.items():  # "LT (Light Truck)", "P - Passenger"
        if said in (short + word, word + short):
            return CellReading("read", (Reading(field, short.upper()),))
    letters = said.upper() if said.upper() in SIZE_PREFIXES else _WORDS.get(said)
    if letters is not None:
        return CellReading("read", (Reading(field, letters),))
    if said in _NO_LETTERS:
        return BLANK
    return unreadable(f"{text!r} is no prefix of a size such as P, LT, ST or C.")
