"""All wording of findings: derived values as text, messages, evidence, suggestions in the cell's own style.

Pure and scalar; the batch engine calls it once per distinct finding text.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

from auditor.book import Rule
from auditor.compare import factor_between, unit_of
from auditor.facts import FACT_PLACE, code_text, is_code
from auditor.marking.model import Marking, ServiceDescription
from auditor.statements import TEXTS
from auditor.tables import Tables

_UNIT_WORDS = {
    "kg": " kg",
    "lb": " lb",
    "kmh": " km/h",
    "mph": " mph",
    "mm": " mm",
    "in": " in",
    "kpa": " kPa",
    "psi": " psi",
    "bar": " bar",
    "32nds": "/32 in",
}
_DECIMALS = {"kg": 1, "lb": 0, "kmh": 0, "mph": 0, "mm": 1, "in": 2, "kpa": 0, "psi": 0, "bar": 2, "32nds": 1}

# Rules whose derived value is certain enough to be put into the cell.
CERTAIN = frozenset(
    {
        "load-overstated",
        "load-understated",
        "load-index-contradicted",
        "speed-overstated",
        "speed-understated",
        "speed-symbol-contradicted",
        "rim-mismatch",
        "width-mismatch",
        "aspect-mismatch",
        "construction-mismatch",
        "ply-rating-mismatch",
        "load-range-contradicted",
        "load-version-contradicted",
        "tire-class-mismatch",
    }
)
_CONSEQUENCES = {
    "load": "whoever relies on it overloads or underuses the tire",
    "dual load": "whoever relies on it overloads or underuses the tires in twin mounting",
    "speed": "whoever relies on it drives the tire faster or slower than it is rated",
    "rim": "a tire on a rim of another diameter can burst when it is mounted",
}


@dataclass(frozen=True, slots=True)
class MarkingWords:
    """The words of a marking that messages use."""

    canonical: str = ""
    size: str = ""
    load_index: str = ""
    speed_symbol: str = ""
    load_range: str = ""
    rim: str = ""
    reason: str = ""  # why it could not be read


def marking_words(marking: Marking, tables: Tables) -> MarkingWords:
    """The words of a marking that could be read."""
    service = marking.service
    described = [service, *marking.additional]
    indices = " or ".join(_index_text(one) for one in described if one.load_index is not None)
    symbols = " or ".join(_symbol_text(one) for one in described if one.speed_symbol is not None)
    letters = marking.load_range or ""
    if not letters and marking.ply_rating is not None:
        letters = f"{marking.ply_rating}PR"
    size = getattr(marking, "size_text", None) or marking.canonical.split(" ")[0]
    if marking.rim_diameter_in is not None:
        rim = number_text("rim_diameter_in", marking.rim_diameter_in)
    else:
        rim = "" if marking.rim_diameter_mm_marked is None else f"{marking.rim_diameter_mm_marked:g} mm"
    return MarkingWords(marking.canonical, size, indices, symbols or _size_symbol(marking), letters, rim)


def _index_text(service: ServiceDescription) -> str:
    dual = "" if service.load_index_dual is None else f"/{service.load_index_dual}"
    return f"{service.load_index}{dual}"


def _symbol_text(service: ServiceDescription) -> str:
    return f"({service.speed_symbol})" if service.speed_open else str(service.speed_symbol)


def _size_symbol(marking: Marking) -> str:
    if marking.size_speed_letter:
        return marking.size_speed_letter + "R"
    return "ZR" if marking.construction == "ZR" else ""


def number_text(field: str, value: float, tables: Tables | None = None) -> str:
    """A number as text in its field's unit, without the unit; a code where the field holds codes; "" for missing."""
    if value != value:
        return ""
    if is_code(field) and tables is not None:
        return code_text(field, value, tables)
    decimals = 0 if field.startswith("revs") else _DECIMALS.get(unit_of(field), 2)
    text = f"{value:.{decimals}f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def with_unit(field: str, text: str, open_ended: bool = False) -> str:
    """A derived text with its unit, as a message says it."""
    if not text:
        return "nothing that could be told"
    unit = _UNIT_WORDS.get(unit_of(field), "")
    if field in ("rim_diameter_in", "measuring_rim_in", "rim_width_min_in", "rim_width_max_in"):
        unit = " in"
    if unit in (" kg", " lb") and "." not in text and len(text) > 3:
        text = f"{int(text):,}"
    return ("above " if open_ended else "") + text + unit


@dataclass(frozen=True, slots=True)
class FindingParts:
    """What a finding is worded from."""

    rule: Rule
    report: str
    about: str
    column: str
    stated_text: str
    stated: float
    derived: float
    words: MarkingWords
    facts: tuple[float, ...]
    detail: str
    other_field: str
    other_text: str
    cause: str
    agree: tuple[str, ...]
    differ: tuple[str, ...]
    also: tuple[str, ...]
    subject: str
    second_description: bool


@dataclass(frozen=True, slots=True)
class FindingWords:
    """The worded columns of a finding."""

    derived: str
    evidence: str
    suggestion: str
    message: str


def word(parts: FindingParts, tables: Tables) -> FindingWords:
    """Words one finding."""
    rule = parts.rule
    derived = number_text(parts.about, parts.derived, tables)
    if rule.id == "marking-nonstandard":
        derived = parts.words.canonical
    open_ended = (
        parts.about.startswith("max_speed")
        and parts.facts[FACT_PLACE["speed_floor_kmh"]] == (parts.facts[FACT_PLACE["speed_floor_kmh"]])
    )
    shown = derived if rule.id == "marking-nonstandard" else with_unit(parts.about, derived, open_ended)
    pieces = {
        "stated": parts.stated_text if len(parts.stated_text) <= 200 else parts.stated_text[:200] + "...",
        "derived": shown,
        "field": parts.report,
        "column": parts.column,
        "marking": parts.words.canonical or "the marking",
        "size": parts.words.size or "the size",
        "load_index": parts.words.load_index or "(none)",
        "speed_symbol": parts.words.speed_symbol or "(none)",
        "load_range": parts.words.load_range or "(none)",
        "rim": parts.words.rim or "(none)",
        "other": parts.other_text,
        "detail": parts.detail or _detail(parts, derived),
    }
    message = _FIELD.sub(lambda match: pieces.get(match[1], match[0]), rule.says)
    return FindingWords(derived, _evidence(parts), _suggestion(parts, derived), message)


_FIELD = re.compile(r"\{([a-z_]+)\}")


def _evidence(parts: FindingParts) -> str:
    pieces = []
    by = f"by {parts.words.canonical}: " if parts.words.canonical else ""
    if parts.agree:
        pieces.append(f"{by}agree {', '.join(parts.agree)}")
        by = ""
    if parts.differ:
        pieces.append(f"{by}differ {', '.join(parts.differ)}")
    if not pieces:
        compared = parts.other_field or parts.report
        pieces.append(
            f"compared {compared}" + (f" with {parts.words.canonical}" if parts.words.canonical else "")
        )
    if parts.also:
        pieces.append(f"also on this cell: {', '.join(parts.also)}")
    if parts.rule.grade == "critical" and parts.subject in _CONSEQUENCES:
        pieces.append(f"consequence: {_CONSEQUENCES[parts.subject]}")
    return "; ".join(pieces)


def _detail(parts: FindingParts, derived: str) -> str:
    """The clause that a check's sentence needs beyond values of the listing."""
    maker = _DETAILS.get(parts.rule.id)
    return maker(parts, derived) if maker else ""


def _envelope_detail(parts: FindingParts, derived: str) -> str:
    facts = parts.facts
    special = facts[FACT_PLACE["special_use"]] == 1.0
    kind = "diameter_special" if special else "diameter"
    low, high = facts[FACT_PLACE[kind + "_min_mm"]], facts[FACT_PLACE[kind + "_max_mm"]]
    if unit_of(parts.about) == "in":
        return f"the standard allows {low / 25.4:.1f} to {high / 25.4:.1f} in"
    return f"the standard allows {low:.0f} to {high:.0f} mm"


def _width_detail(parts: FindingParts, derived: str) -> str:
    if parts.about.startswith("measured"):
        return ", and a width as measured lies between 5 % below and 8 % above it"
    return ""


def _rim_width_detail(parts: FindingParts, derived: str) -> str:
    return "the smallest, measuring and largest rim widths do not fit each other or the section width"


def _grade_detail(parts: FindingParts, derived: str) -> str:
    return {
        "treadwear": "treadwear comes in steps of 20",
        "traction": "traction is AA, A, B or C",
        "temperature": "temperature is A, B or C",
    }.get(parts.about, "no such grade exists")


def _ungraded_detail(parts: FindingParts, derived: str) -> str:
    if parts.facts[FACT_PLACE["rim_diameter_in"]] <= 12.0:
        return "tires for rims of 12 inches or less are exempt"
    return "only passenger car tires are graded"


def _label_detail(parts: FindingParts, derived: str) -> str:
    return "the classes are A to C" if parts.about == "noise_class" else "the classes are A to E"


def _snow_detail(parts: FindingParts, derived: str) -> str:
    if parts.about == "season":
        return "the listing also states the three-peak mountain snowflake"
    mark = "three-peak mountain snowflake" if parts.about == "severe_snow" else "M+S mark"
    return f"another statement of the listing says that it {'bears' if derived == 'yes' else 'does not bear'} the {mark}"


def _noise_detail(parts: FindingParts, derived: str) -> str:
    return "the stated noise value"


def _gtin_detail(parts: FindingParts, derived: str) -> str:
    digits = parts.stated_text.strip()
    if digits.isdecimal() and len(digits) in (8, 12, 13, 14):
        return "its last digit does not fit the others"
    return "it has to have 8, 12, 13 or 14 digits and a fitting last one"


def _dual_detail(parts: FindingParts, derived: str) -> str:
    if derived:
        return f"the single value is only {with_unit(parts.about, derived)}"
    return f"load index {parts.words.load_index} has the dual index above the single one"


def _pressure_detail(parts: FindingParts, derived: str) -> str:
    if unit_of(parts.about) == "psi":
        return "32, 35, 36, 40, 41, 44, 49, 50, 51 or 60 psi are usual"
    return "220, 240, 250, 280, 300, 340, 350 or 420 kPa are usual"


def _contradicted_detail(parts: FindingParts, derived: str) -> str:
    return f"at least two other statements of the listing ({', '.join(parts.differ)}) agree on something else"


_DETAILS = {
    "overall-diameter-off": _envelope_detail,
    "width-mismatch": _width_detail,
    "rim-width-out-of-range": _rim_width_detail,
    "grade-invalid": _grade_detail,
    "grade-not-applicable": _ungraded_detail,
    "label-class-invalid": _label_detail,
    "snow-mark-contradicted": _snow_detail,
    "noise-class-mismatch": _noise_detail,
    "gtin-check-digit": _gtin_detail,
    "dual-load-above-single": _dual_detail,
    "pressure-not-permitted": _pressure_detail,
    "marking-contradicted": _contradicted_detail,
}


_NUMBER = re.compile(r"\d[\d.,' \u00a0]*\d|\d")
_WRITTEN_UNITS = (
    (re.compile(r"\b(lbs?|pounds?)\b|#", re.I), "lb"),
    (re.compile(r"\bkgs?\b|kilogram", re.I), "kg"),
    (re.compile(r"\bmph\b|m\.p\.h", re.I), "mph"),
    (re.compile(r"km/?h|kmh|kph", re.I), "kmh"),
    (re.compile(r"\bmm\b", re.I), "mm"),
)


def _suggestion(parts: FindingParts, derived: str) -> str:
    """What to put into the cell, in the cell's own style; empty where nothing certain follows."""
    rule = parts.rule
    if rule.id == "marking-nonstandard":
        return parts.words.canonical
    if rule.id not in CERTAIN or not derived or parts.report in TEXTS or parts.second_description:
        return ""
    if parts.about.startswith("measured") or parts.cause == "unclear-unit":
        return ""
    if is_code(parts.about):
        return _code_in_style(parts, derived)
    return number_in_style(parts.stated_text, parts.about, parts.derived)


def _code_in_style(parts: FindingParts, derived: str) -> str:
    text = parts.stated_text
    if len(text.strip()) <= 3 or " " not in text.strip():
        return derived
    match = re.match(r"^(.*\s)(\S{1,3})(\s*)$", text)
    return f"{match[1]}{derived}{match[3]}" if match else derived


def number_in_style(text: str, field: str, value: float) -> str:
    """`value` written the way `text` writes its one number; empty where the cell holds more than one."""
    found = list(_NUMBER.finditer(text))
    if len(found) != 1:
        return ""
    start, end = found[0].span()
    if (
        text[start - 1 : start] == "."
        or text[end : end + 1] == "/"
        or "e" in text.lower()[end : end + 2].strip()
    ):
        if text[end : end + 1] == "/":
            return ""
    own = unit_of(field)
    for pattern, unit in _WRITTEN_UNITS:
        if own and unit != own and pattern.search(text):
            try:
                value = value * factor_between("x_" + own, "x_" + unit)
            except KeyError:
                return ""
            own = unit
            break
    plain = number_text("x_" + own if own else field, value)
    written = found[0].group()
    grouped = re.fullmatch(r"\d{1,3}([.,' \u00a0])\d{3}", written)
    if grouped and "." not in plain and len(plain) > 3:
        plain = f"{int(plain):,}".replace(",", grouped[1])
    elif "." in plain and re.search(r"\d,\d{1,2}$", written):
        plain = plain.replace(".", ",")
    return text[:start] + plain + text[end:]
