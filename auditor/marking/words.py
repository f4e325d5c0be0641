"""The words of a marking that messages use."""

from __future__ import annotations

from typing import NamedTuple

from auditor.trade.marking_model import Marking, ServiceDescription
from auditor.trade.value_text import number_text


class MarkingWords(NamedTuple):
    """The words of a marking; each is empty where the marking does not say it."""

    canonical: str = ""
    size: str = ""
    load_index: str = ""
    speed_symbol: str = ""
    load_range: str = ""
    rim: str = ""
    reason: str = ""  # why it could not be read


def marking_words(marking: Marking) -> MarkingWords:
    """The words of a marking that could be read."""
    service = marking.service
    described = [service, *marking.additional]
    indices = " or ".join(_index_text(one) for one in described if one.load_index is not None)
    symbols = " or ".join(_symbol_text(one) for one in described if one.speed_symbol is not None)
    letters = marking.load_range or ""
    if not letters and marking.ply_rating is not None:
        letters = f"{marking.ply_rating}PR"
    size = marking.size_text or marking.canonical.split(" ")[0]
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
