"""A marking in plain words: its parts in the order they are molded, what each says, what is unusual about it."""

from __future__ import annotations

from dataclasses import dataclass

from auditor.marking.explain.words import (
    CONSTRUCTIONS,
    FAMILY_PREFIX,
    FAMILY_SUFFIX,
    LOAD_VERSION_WORDS,
    OPEN_SPEED,
    letters_words,
    speed_remark,
)
from auditor.trade.derive import Derived, derive
from auditor.trade.marking_model import Marking, ServiceDescription
from auditor.trade.patterns import Pattern
from auditor.trade.tables import Tables, default_tables
from auditor.trade.units import KG_PER_LB, KMH_PER_MPH, MM_PER_INCH

CAUTION = (
    "This explains a marking; it does not approve a tire for a vehicle. The vehicle placard, the owner's manual, "
    "the tire itself and a trained fitter decide, and local law applies."
)


@dataclass(frozen=True, slots=True)
class Part:
    """One part of a marking: its text as molded, its name, what it says, and what is unusual about it."""

    text: str
    name: str
    meaning: str
    remark: str = ""
    kind: str = "size"  # size | load | speed | strength | letters | unread


_SIZE = Pattern(
    r"(?P<prefix>LT|ST|HL|LL|IF|VF|AT|P|T)?(?:(?P<overall>[\d.]+)x)?(?P<code>M?[A-Z](?=R?\d))?(?P<coded>R)?(?P<width>[\d.]+)"
    r"(?P<low>L(?=[-R]))?(?:/(?P<aspect>[\d.]+))?(?P<con>ZRF|RF|ZR|[SHVTQU]?R|[HVS]?B|D|[HVS]|-)(?P<rim>[\d.]+)"
    r"(?P<suffix>[A-Z]{0,2})"
)
_STATED = Pattern(r"(?P<width>\d+)-(?P<overall>\d+)(?P<con>R)(?P<rim>\d+)(?P<suffix>A?)")


def number(value: float) -> str:
    """A number without needless decimals, thousands grouped: 1,030; 10.5; 46.2."""
    return f"{value:,.1f}".rstrip("0").rstrip(".") if value % 1 else f"{value:,.0f}"


def _kg_and_lb(load_kg: float) -> str:
    return f"{number(load_kg)} kg ({load_kg / KG_PER_LB:,.0f} lb)"


def explain(marking: Marking, derived: Derived | None = None, tables: Tables | None = None) -> tuple[Part, ...]:
    """The parts of a marking in molded order; what was not understood stands at the end.

    `derived` is computed from the marking where it is not given; `tables` are the published ones unless given.
    """
    tables = tables or default_tables()
    derived = derived or derive(marking, tables)
    parts = _size_parts(marking, derived, tables)
    if marking.alternative:
        says = f"The same tire's size in another notation: {marking.alternative}."
        parts.append(Part(marking.alternative, "alternative size", says))
    if "M/C" in marking.letters:
        parts.append(_letters_part("M/C"))
    if marking.ply_rating is not None:
        parts.append(_ply_part(marking.ply_rating))
    parts += _service_parts(marking, derived, tables)
    if marking.load_range:
        parts.append(_load_range_part(marking, derived))
    version = marking.load_version
    if version and "RF" not in marking.letters and not marking.size_text.startswith(version):
        parts.append(Part(version, "load version", *LOAD_VERSION_WORDS[version], "strength"))
    parts += [_letters_part(word) for word in marking.letters if _stands_apart(marking, word)]
    parts += [
        Part(
            word,
            "other letters",
            "Kept as molded; letters like these are a vehicle maker's approval mark or a maker's own sign.",
            "They say nothing about load, speed or rim.",
            "letters",
        )
        for word in marking.other_letters
    ]
    parts += [Part(words, "load and pressure", "Written out on the tire.", "", "load") for words in marking.load_text]
    parts += [
        Part(words, "not understood", "Not part of any marking known here.", "", "unread") for words in marking.unread
    ]
    parts += [
        Part(said, name.replace("_", " "), "No published table lists it.", "", "unread")
        for name, said in marking.unlisted
    ]
    return tuple(parts)


def _stands_apart(marking: Marking, word: str) -> bool:
    return word != "M/C" and not marking.size_text.startswith(word) and not marking.size_text.endswith(word)


def _letters_part(word: str) -> Part:
    says, remark = letters_words(word)
    return Part(word, "letters", says, remark, "letters")


def _size_parts(marking: Marking, derived: Derived, tables: Tables) -> list[Part]:
    match = _SIZE.fullmatch(marking.size_text) or _STATED.fullmatch(marking.size_text)
    if match is None:  # two widths, as in 4.80/4.00-8
        return [Part(marking.size_text, "size designation", "The size, of a form of its own.")]
    found = match.groupdict()
    parts: list[Part] = []
    if found.get("prefix"):
        parts.append(Part(found["prefix"], "tire type", *FAMILY_PREFIX[found["prefix"]]))
    if found["overall"] and marking.overall_diameter_in is not None:
        parts.append(_overall_part(found["overall"], marking))
    if found.get("code"):
        says = f"The letter code {found['code']} stands for the width; its millimeters are in the standard's table."
        parts.append(Part(found["code"], "width code", says))
        if found["coded"]:
            parts.append(Part("R", "construction", *CONSTRUCTIONS["R"]))
        parts.append(_aspect_part(found["width"]))
    else:
        parts.append(_width_part(found["width"], marking, derived))
    if found["overall"] and marking.overall_diameter_mm_marked is not None:
        parts.append(_overall_part(found["overall"], marking))
    if found.get("low"):
        parts.append(Part("L", "section form", "A low section, of farm implement and tractor tires."))
    if found.get("aspect"):
        parts.append(_aspect_part(found["aspect"]))
    construction = found["con"] if not (found.get("coded") and found["con"] == "-") else ""
    parts += _construction_parts(construction, marking, tables)
    parts.append(_rim_part(found["rim"], marking, derived))
    if found.get("suffix"):
        parts.append(Part(found["suffix"], "tire type", *FAMILY_SUFFIX[found["suffix"]]))
    return parts


def _overall_part(text: str, marking: Marking) -> Part:
    if marking.overall_diameter_in is not None:
        size_mm = marking.overall_diameter_in * MM_PER_INCH
        says = f"Overall diameter {text} in ({size_mm:,.0f} mm), nominal."
        return Part(text, "overall diameter", says, "The first figure of such a size is the diameter, not the width.")
    return Part(text, "overall diameter", f"Overall diameter {text} mm.")


def _width_part(text: str, marking: Marking, derived: Derived) -> Part:
    if marking.section_width_in is not None:
        says = f"Section width {text} in ({number(marking.section_width_in * MM_PER_INCH)} mm)."
        return Part(text, "section width", says)
    inches = f" ({derived.section_width_in:.2f} in)" if derived.section_width_in is not None else ""
    remark = "Nominal; the width measured on the rim differs by some millimeters." if marking.aspect_ratio else ""
    return Part(text, "section width", f"Nominal section width {text} mm{inches}.", remark)


def _aspect_part(text: str) -> Part:
    return Part(text, "aspect ratio", f"The sidewall is {text} % of the section width high.")


def _construction_parts(text: str, marking: Marking, tables: Tables) -> list[Part]:
    if not text:
        return []
    if marking.size_speed_letter is None or text in CONSTRUCTIONS:
        return [Part(text, "construction", *CONSTRUCTIONS[text])]
    letter = marking.size_speed_letter
    if letter == "V":
        says = "Speed letter of old sizes: above 210 km/h (130 mph)."
    else:
        speed_kmh = tables.speed_kmh[letter]
        says = f"Speed letter of old sizes: up to {number(speed_kmh)} km/h ({speed_kmh / KMH_PER_MPH:.0f} mph)."
    parts = [Part(letter, "speed letter", says, "Such sizes often carry no service description.", "speed")]
    if len(text) == 2:
        parts.append(Part(text[1], "construction", *CONSTRUCTIONS[text[1]]))
    return parts


def _rim_part(text: str, marking: Marking, derived: Derived) -> Part:
    if marking.rim_diameter_mm_marked is not None:
        says = f"For rims of {text} mm diameter."
        return Part(text, "rim diameter", says, "A metric rim: no inch rim fits, however near its size.")
    millimeters = f" ({number(derived.rim_diameter_mm)} mm)" if derived.rim_diameter_mm is not None else ""
    remark = ""
    if "." in text:
        remark = "A code with a fraction is a rim of its own: never mount on the whole-inch rim beside it."
    return Part(text, "rim diameter", f"For rims of diameter code {text}{millimeters}.", remark)


def _service_parts(marking: Marking, derived: Derived, tables: Tables) -> list[Part]:
    parts = _one_service(marking.service, derived.load_single_kg, derived.load_dual_kg, tables)
    for extra in marking.additional:
        loads_kg = tables.load_of(extra.load_index), tables.load_of(extra.load_index_dual)
        for part in _one_service(extra, *loads_kg, tables):
            says = f"Of the additional service description: {part.meaning}"
            parts.append(Part(part.text, f"second {part.name}", says, part.remark, part.kind))
    return parts


def _one_service(
    service: ServiceDescription, single_kg: float | None, dual_kg: float | None, tables: Tables
) -> list[Part]:
    parts: list[Part] = []
    if service.load_index is not None and single_kg is not None:
        where = " in single mounting (two tires on the axle)" if service.load_index_dual is not None else ""
        says = f"Up to {_kg_and_lb(single_kg)} per tire{where}."
        parts.append(Part(str(service.load_index), "load index", says, "", "load"))
    if service.load_index_dual is not None and dual_kg is not None:
        says = f"Up to {_kg_and_lb(dual_kg)} per tire in dual mounting (four tires on the axle)."
        remark = "The second figure is for twin tires side by side, not for trailers."
        parts.append(Part(str(service.load_index_dual), "dual load index", says, remark, "load"))
    if service.speed_symbol is not None:
        parts.append(_speed_part(service, tables))
    return parts


def _speed_part(service: ServiceDescription, tables: Tables) -> Part:
    symbol = service.speed_symbol or ""
    speed_kmh = tables.speed_kmh[symbol]
    if service.speed_open:
        floor_kmh = tables.speed_floor_kmh.get(f"({symbol})", speed_kmh)
        says = f"Above {number(floor_kmh)} km/h ({floor_kmh / KMH_PER_MPH:.0f} mph); the maker states the limit."
        return Part(symbol, "speed symbol", says, OPEN_SPEED, "speed")
    says = f"Up to {number(speed_kmh)} km/h ({speed_kmh / KMH_PER_MPH:.0f} mph)."
    return Part(symbol, "speed symbol", says, speed_remark(symbol), "speed")


def _ply_part(ply: int) -> Part:
    says = f"Ply rating {ply}: a class of strength."
    return Part(f"{ply}PR", "ply rating", says, "It is not the number of plies in the tire.", "strength")


def _load_range_part(marking: Marking, derived: Derived) -> Part:
    ply = derived.ply_rating if marking.ply_rating is None else None
    strength = f", ply rating {ply:g}" if ply else ""
    remark = "A class of strength, not a count of plies; the load itself is on the sidewall or in the load index."
    if marking.load_range == "C":
        remark = "Here C is the load range; C right behind a rim diameter would mean a commercial tire."
    return Part(
        str(marking.load_range), "load range", f"Load range {marking.load_range}{strength}.", remark, "strength"
    )
