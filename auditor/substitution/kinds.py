"""The kind of tire that a marking is of, as far as one may stand in for another."""

from __future__ import annotations

from math import nan

from auditor.trade.load_band import SMALLEST_FLOTATION_RIM_MM
from auditor.trade.marking_model import Marking

KINDS = (
    "passenger",
    "lt",
    "commercial",
    "camping",  # CP: of camping vehicles, for a pressure of its own
    "truck",
    "trailer",
    "motorcycle",
    "spare",
    "farm",
    "industrial",
    "off-road",
    "atv",
    "unsure",  # inch sizes without letters, which several kinds have
)
KIND_NUMBER = {name: float(position) for position, name in enumerate(KINDS)}
PASSENGER = KIND_NUMBER["passenger"]
KIND_WORDS = {
    "passenger": "passenger tire",
    "lt": "light truck tire (LT)",
    "commercial": "commercial tire (C)",
    "camping": "camping vehicle tire (CP)",
    "truck": "truck tire",
    "trailer": "special trailer tire (ST)",
    "motorcycle": "motorcycle tire",
    "spare": "temporary spare",
    "farm": "farm tire",
    "industrial": "industrial tire",
    "off-road": "off-the-road tire",
    "atv": "all-terrain vehicle tire",
    "unsure": "tire of a kind that its size does not tell",
}
_BY_FAMILY = {
    "metric": "passenger",
    "p-metric": "passenger",
    "metric-rim": "passenger",
    "lt-metric": "lt",
    "commercial": "commercial",
    "truck-metric": "truck",
    "truck-numeric": "truck",
    "special-trailer": "trailer",
    "motorcycle": "motorcycle",
    "temporary-spare": "spare",
    "agricultural": "farm",
    "industrial": "industrial",
    "off-road": "off-road",
}


def kind_of(marking: Marking, rim_mm: float | None) -> str:
    """The kind by family, suffix and letters; empty of a service description without a size."""
    family, size = marking.family, marking.size_text
    if "TEMPORARY" in marking.letters:
        return "spare"
    if family == "flotation":
        small = rim_mm is not None and rim_mm < SMALLEST_FLOTATION_RIM_MM
        return "atv" if size.startswith("AT") or (small and "LT" not in size) else "lt"
    if family == "numeric":
        if size.endswith("LT"):
            return "lt"
        return "passenger" if marking.size_code or marking.section_width_mm is not None else "unsure"
    if family == "commercial" and size.endswith("CP"):
        return "camping"
    return _BY_FAMILY.get(family, "")


def kind_number(marking: Marking, rim_mm: float | None) -> float:
    """The kind as a number; NaN without a size."""
    return KIND_NUMBER.get(kind_of(marking, rim_mm), nan)


def letters_left_out(marking: Marking) -> bool:
    """Whether a plain passenger size says what only light truck and commercial tires do: LT or C was left out."""
    many_plies = (marking.ply_rating or 0) > 6 or marking.load_range in tuple("DEFGHJLMN")
    return marking.family == "metric" and (marking.service.load_index_dual is not None or many_plies)
