"""What a cell says: numbers with units, pairs, ranges, codes.  "1,360 kg" -> 1360.0 kg."""

from __future__ import annotations

import unicodedata
from functools import cache

from auditor.quantities.blanks import is_blank
from auditor.quantities.codes import CODES
from auditor.quantities.dressing import undressed
from auditor.quantities.measured_cells import read_measured
from auditor.quantities.model import BLANK, CellReading, Reading, unreadable
from auditor.quantities.other_words import in_latin_letters, with_latin_codes, with_plain_digits
from auditor.quantities.scan import RIM_FIELDS
from auditor.quantities.units import Measure, find_unit, measures
from auditor.trade.patterns import Pattern

__all__ = ["CellReading", "Reading", "read_cell", "readable_fields"]


@cache
def readable_fields() -> frozenset[str]:
    """The listing fields whose cells can be read: numbers and codes."""
    return frozenset(measures()) | frozenset(CODES).difference(_MARKINGS)


_MARKINGS = ("marking", "size", "service_description")  # whose cells are decoded, but for what stands beside
_LETTERS_COUNT = frozenset(
    {"load_index", "load_index_dual", "speed_symbol", "load_range", "ply_rating", "load_version", "tire_class"}
)
_NEVER_ZERO = frozenset({"speed_symbol", "tire_class"})  # so that 0 says nothing
_LETTERED_CLASSES = frozenset(
    {"tire_class", "size_prefix", "fuel_class", "wet_grip_class", "noise_class", "traction", "temperature", "utqg"}
)
_LONGEST = 200  # characters; no cell of these fields needs more, and a 1 MB cell is refused at once
_SIMPLE = Pattern(r"[0-9]{1,2}\.[0-9]([0-9])?")
_TYPOGRAPHY = str.maketrans(
    {
        **dict.fromkeys("“”″„‟❞", '"'),
        **dict.fromkeys("‘’′`´", "'"),
        **dict.fromkeys("\u00a0\u2007\u2009\u202f\t\r\n", " "),
        "⁄": "/", "∕": "/", "−": "-", "‐": "-", "‑": "-", "½": " 1/2", "¼": " 1/4", "¾": " 3/4",
        "\u200b": "", "\ufeff": "", "〜": "~", "∼": "~",
    }
)  # fmt: skip


def read_cell(
    text: str,
    field: str,
    *,
    unit: str | None = None,
    decimal: str | None = None,
    measure: Measure | None = None,
) -> CellReading:
    """Reads one cell of `field` (a name in `readable_fields()`).  Never raises; linear in the text's length.

    `measure` is that of a field of a retailer's own, which is none of them.

    `unit` is the column's unit where it is not the field's own ("lb" for max_load_kg in a column of pounds);
    a unit in the cell wins over it.  `decimal` is the feed's decimal mark, "." or ",", where known: without
    it "1.360" is read only where one of 1.36 and 1360 cannot be.  A reading is given in its own field's unit,
    and may belong to another field than the one asked for ("SL" in load_range is a load_version).
    A rim diameter of 100 or more is that of a metric rim, in mm.
    """
    if measure is None and field not in CODES:
        measure = measures().get(field)
    if measure is not None and unit is None and len(text) < 9:
        # Most cells are such plain numbers; two digits are safe for rims (no mm) and aspects (no share).
        if text.isdecimal() and text.isascii():
            if len(text) == 2 or (field not in RIM_FIELDS and field != "aspect_ratio"):
                return CellReading("read", (Reading(field, float(text), 0.5),)) if text.strip("0") else BLANK
        elif (plain := _SIMPLE.fullmatch(text)) and text.strip("0.") and field != "aspect_ratio":
            return CellReading("read", (Reading(field, float(text), 0.005 if plain[1] else 0.05),))
    text = text.strip()
    if len(text) > _LONGEST:
        return unreadable(f"The cell is {len(text)} characters long, more than any value needs.")
    text = undressed(text, field)
    if not text.isascii():
        text = unicodedata.normalize("NFKC", text.translate(_TYPOGRAPHY)).translate(_TYPOGRAPHY).strip()
        text = with_plain_digits(text)
        if field in _LETTERS_COUNT and not text.isascii():
            text = with_latin_codes(text)
    if text == "0" and field in _NEVER_ZERO:
        return BLANK
    if not text[:1].isdecimal() and _is_blank(text, field, measure is not None):
        return BLANK
    if not text.isascii() and (measure is not None or field in _LETTERED_CLASSES):
        text = in_latin_letters(text, doubtful=measure is None or measure.stem != "max_speed")
    reader = CODES.get(field)
    if reader is not None:
        return reader(text, field)
    if text.startswith("#") and text.endswith(("!", "?")):
        return unreadable(f"{text} is a spreadsheet's error message, not a value.")
    if measure is None:
        return unreadable(f"{field} is no field of numbers or codes.")
    return read_measured(text, measure, unit, decimal)


def _is_blank(text: str, field: str, measured: bool) -> bool:
    if is_blank(text, field, field in _LETTERS_COUNT):
        return True
    # "- kg", "n/a lb": a unit alone states nothing.
    value, _, last = text.lower().rpartition(" ")
    return (
        measured
        and not (field.startswith("max_speed") and len(text) == 1)
        and find_unit(last) is not None
        and _is_blank(value, field, measured)
    )
