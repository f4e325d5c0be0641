"""What a known header says of its column, held against the column's cells."""

from __future__ import annotations

import re
from dataclasses import replace

from auditor.feeds import column_evidence
from auditor.feeds.column_evidence import Column
from auditor.feeds.model import ColumnUse, LeftOut
from auditor.mapping.ambiguous_headers import kind_by_values
from auditor.mapping.bare_values import bears_out_letters, is_symbol, is_tire_class
from auditor.mapping.header_evidence import UNEVEN
from auditor.mapping.season_codes import season_codes
from auditor.quantities import readable_fields
from auditor.rulebook.header_words import fold
from auditor.rulebook.headers import HeaderReading, read_header
from auditor.rulebook.listing_fields import Contract

_FEW_NAMES, _LONGEST_MODEL = 5, 24  # cells, and characters: no title is so short
_MOSTLY, _NEARLY_ALL = 0.5, 0.9  # shares of the cells
_FEW_DIGITS = 2  # of a number that names no model: pieces, places in a list
_OFTEN_MORE = frozenset({"load_index", "speed_symbol", "size"})  # headers over columns that often hold more
_NO_FLAGS = frozenset({"speed_symbol", "load_range", "ply_rating", "noise_db", "wet_grip_class", "fuel_class"})
_OF_CIRCLES = frozenset({"mud_and_snow", "severe_snow", "load_version"})  # marks that a tire has or has not
_FULL_CIRCLE, _CIRCLES = "●", frozenset("○◯〇")
_IN_WORDS = frozenset({"season", "construction", "size_prefix"})  # what no number says
_OTHER_BUSINESS = re.compile(
    r"\b(price|cost|msrp|preis|vk|ek|prix|tarif|precio|coste|prezzo|costo|prijs|cena|qty|quantity|stock|bestand|menge|"
    r"lager|quantite|cantidad|existencias|quantita|giacenza|voorraad|aantal|ilosc|stan|url|link|image|bild|foto|photo|"
    r"zdjecie|afbeelding|immagine|date|datum|fecha|data|currency|wahrung|devise|moneda|valuta|waluta|tax|vat|mwst|tva|"
    r"цена|остаток|наличие|количество|ціна|залишок|наявність|τιμη|αποθεμα|fiyat|stok|adet|価格|在庫|价格|库存|가격|재고|السعر|"
    r"المخزون|מחיר|מלאי|gia|ton kho|ราคา|"
    r"package|packaging|parcel|carton|verpackung|paket|colis|emballage|embalaje|paquete|imballo|collo|opakowanie|"
    r"paczka|verpakking|pakket|"
    r"iva|btw|shipping|warehouse|delivery|discount|rabatt|remise|warranty|dot|country|land|pays|pais|paese)\b"
)


def use_by_header(column: Column, contract: Contract, decimal: str | None) -> ColumnUse | None:
    """The use that the header suggests; the fields may still lack their unit."""
    reading = read_header(column.header, contract)
    if not reading.groups or reading.likely:
        return None
    if reading.confidence < 0.9 and _OTHER_BUSINESS.search(fold(column.header)):
        return None
    group = _group_by_values(column, reading, decimal)
    if group is None or not bears_out_letters(column, group, contract, decimal):
        return None
    if group != reading.groups[0] and reading.field:
        reading = replace(reading, field=None, confidence=0.9)
    confidence = reading.confidence
    fields = (reading.field,) if reading.field else contract.combined.get(group) or contract.groups.get(group, ())
    if group.startswith("generic_"):
        fields = (group,)
    elif len(fields) == 1 or group in contract.combined:
        confidence = _checked(column, fields[0], confidence, decimal)
    unit = reading.units[0] if len(reading.units) == 1 else None
    if reading.field:
        unit = None
    elif len(reading.units) > 1:
        fields = tuple(name for name in fields if contract.fields[name].unit in reading.units) or fields
    return ColumnUse(column.header, column.position, fields, unit, decimal, {}, confidence, column.samples())


def contradicted(column: Column, use: ColumnUse | None, contract: Contract) -> LeftOut | None:
    """A header's word against hardly a readable cell: the column is something else, unless the header is the field's
    own name.  Even then 0, 1 and 2 are no seasons, but a supplier's own codes.
    """
    if use is None or column.filled < 5 or use.fields[0].startswith("generic_"):
        return None
    name = use.fields[0]
    if use.confidence == 1.0 and not (name in _IN_WORDS and column.share(str.isdecimal) >= 0.9):
        return None
    if name == "season" and season_codes(column, contract):
        return None
    if name in _NO_FLAGS and column_evidence.of_flags(column):
        return LeftOut(column.header, f"The header says {name}, but its cells are but yes and no.")
    if name in _OF_CIRCLES and _FULL_CIRCLE in column.counts and not _CIRCLES.isdisjoint(column.counts):
        return LeftOut(column.header, "Its cells are full and empty circles, of which either may be yes.")
    if name in {"marking", "size"}:
        readable = column.share(column_evidence.looks_like_size)
    else:
        readable = column_evidence.readable_share(column, name)
    if readable < 0.1:
        return LeftOut(column.header, f"The header says {name}, but hardly a cell can be read as that.")
    if name == "ply_rating" and column_evidence.uneven(column) >= UNEVEN:
        return LeftOut(column.header, f"The header says {name}, but plies go in twos, and its numbers do not.")
    if name == "aspect_ratio" and column_evidence.uneven(column, 5.0) >= _MOSTLY:
        return LeftOut(column.header, f"The header says {name}, but those go in fives, and its numbers do not.")
    if name == "model" and column.share(lambda text: text.isdecimal() and len(text) <= _FEW_DIGITS) >= _NEARLY_ALL:
        return LeftOut(column.header, f"The header says {name}, but its cells are numbers.")
    return None


def _checked(column: Column, name: str, confidence: float, decimal: str | None) -> float:
    """A doubtful header gains or loses by its values; a sure one keeps its word, for wrong values are findings."""
    if confidence >= 0.9 or not column.filled or name not in readable_fields():
        return confidence
    readable = column_evidence.readable_share(column, name, decimal)
    return max(confidence, 0.8) if readable >= 0.95 else min(confidence, 0.4)


def _group_by_values(column: Column, reading: HeaderReading, decimal: str | None) -> str | None:
    """One of the header's groups, or the one its values show it to be."""
    if reading.field == column.header or (reading.field and reading.field not in _OFTEN_MORE):
        return reading.groups[0]
    first = reading.groups[0]
    numeric = (
        column.share(lambda text: column_evidence.plain_number(text, decimal) is not None) if column.filled else 0.0
    )
    if first != "tire_class" and column.share(is_tire_class) >= _NEARLY_ALL:
        return "tire_class"  # "Kat.": of plies, and of C1, C2, C3
    if first in {"load_index", "speed_symbol"} and column.share(column_evidence.is_service) >= 0.6:
        return "service_description"
    if first == "size" and column.share(column_evidence.is_marking) >= 0.5:
        return "marking"
    if first == "marking" and column.share(column_evidence.is_marking) < 0.1:
        return "size" if column.share(column_evidence.is_size) >= 0.6 else first
    if first == "rim_diameter" and column.filled and _beyond_any_rim(column, decimal) >= _NEARLY_ALL:
        return "overall_diameter"
    if first == "load_range" and numeric >= 0.8:
        return "ply_rating"
    if first == "speed_symbol" and numeric >= 0.9:
        return "max_speed"
    if first == "max_speed" and column.share(is_symbol) >= 0.9:
        return "speed_symbol"
    if first == "model" and column.share(column_evidence.holds_size) >= 0.5:
        return "title"  # "Désign." is short for a designation, not for a design
    if first == "sku" and column.share(lambda text: is_symbol(text) and text.isalpha()) >= 0.9:
        return "speed_symbol"  # "Symbol", in Polish that of an article
    if first in {"sku", "part_number"} and column.share(column_evidence.is_service) >= _NEARLY_ALL:
        return "service_description"  # "Index"
    if first in {"sku", "part_number"} and column.share(column_evidence.holds_size) >= 0.8:
        return "title"  # "Article" over the names of the goods
    if first == "service_description" and column.share(str.isdecimal) >= 0.9:
        return "load_index"
    if first == "title" and reading.field is None and _names_models(column):
        return "model"
    if {"model", "size_prefix"} <= set(reading.groups) and column.filled:
        return kind_by_values(column, reading.groups)
    if {"model", "aspect_ratio"} <= set(reading.groups):
        return "aspect_ratio" if numeric >= 0.8 else "model"
    if {"model", "tread_depth"} <= set(reading.groups) or (first == "model" and set(reading.units) & {"mm", "32nds"}):
        depths = column_evidence.readable_share(column, "tread_depth_32nds", decimal) if column.filled else 0.0
        return "tread_depth" if max(numeric, depths) >= 0.8 else "model"
    if first == "noise_db" and numeric < 0.2 and column.share(lambda text: text.upper() in "ABC") > 0.8:
        return "noise_class"
    if first == "aspect_ratio" and numeric < 0.3 and column.filled:
        return "model" if fold(column.header) in {"profil", "profile", "perfil"} else first
    return first


_LARGEST_RIM_MM = 800.0  # of tires that are sold by lists; 63 in of haul trucks stand in inches


def _beyond_any_rim(column: Column, decimal: str | None) -> float:
    """The share of numbers that are millimeters of a tire's diameter and of no rim's."""
    found = column_evidence.numbers(column, decimal)
    total = sum(count for _, count in found)
    return sum(count for value, count in found if value > _LARGEST_RIM_MM) / total if total else 0.0


def _names_models(column: Column) -> bool:
    """Whether a "name of the goods" is but a model's name: short, no sizes and hardly two alike."""
    return (
        column.filled >= _FEW_NAMES
        and column.share(column_evidence.looks_like_size) < 0.1
        and (column.share(lambda text: len(text) <= _LONGEST_MODEL and not text.isdecimal()) >= 0.9)
    )
