"""A decoded marking as plain data: the same keys for every text, null where a fact does not apply."""

from __future__ import annotations

from typing import Any

from auditor.trade.derive import Derived, derive
from auditor.trade.marking_model import Marking, ServiceDescription, Unreadable
from auditor.trade.tables import Tables
from auditor.version import __version__

KEYS = (
    "marking",
    "family",
    "section_width_mm",
    "aspect_ratio",
    "construction",
    "rim_diameter_in",
    "rim_diameter_mm",
    "overall_diameter_mm",
    "load_index",
    "load_index_dual",
    "load_single_kg",
    "load_single_lb",
    "load_dual_kg",
    "load_dual_lb",
    "speed_symbol",
    "speed_open",
    "speed_kmh",
    "speed_mph",
    "load_range",
    "ply_rating",
    "load_version",
    "additional_service_descriptions",
    "unread",
    "program",
)


def decoded_json(found: Marking | Unreadable, tables: Tables | None = None) -> dict[str, Any]:
    """One object with exactly the keys of KEYS, as the `decode` schema has it; `tables` are the published ones.

    Loads in lb and speeds in mph are whole, as they are printed on tires.  Open-ended speeds: `(98Y)` gives its
    floor, 300 km/h, a bare ZR gives null, both with `speed_open` true.  A text that could not be read gives nulls,
    and itself under `unread`.
    """
    if isinstance(found, Unreadable):
        nothing: dict[str, Any] = dict.fromkeys(KEYS)
        return nothing | {"additional_service_descriptions": [], "unread": [found.text], "program": __version__}
    derived = derive(found, tables)
    service = found.service
    return {
        "marking": found.canonical,
        "family": found.family,
        "section_width_mm": whole(derived.section_width_mm),
        "aspect_ratio": whole(derived.aspect_ratio),
        "construction": found.construction,
        "rim_diameter_in": whole(derived.rim_diameter_in),
        "rim_diameter_mm": whole(derived.rim_diameter_mm),
        "overall_diameter_mm": whole(_overall_mm(found, derived)),
        "load_index": service.load_index,
        "load_index_dual": service.load_index_dual,
        "load_single_kg": whole(derived.load_single_kg),
        "load_single_lb": _printed(derived.load_single_lb),
        "load_dual_kg": whole(derived.load_dual_kg),
        "load_dual_lb": _printed(derived.load_dual_lb),
        "speed_symbol": service.speed_symbol,
        "speed_open": derived.speed_floor_kmh is not None,
        "speed_kmh": whole(derived.speed_kmh),
        "speed_mph": _printed(derived.speed_mph),
        "load_range": found.load_range,
        "ply_rating": whole(derived.ply_rating),
        "load_version": found.load_version,
        "additional_service_descriptions": [service_text(extra) for extra in found.additional],
        "unread": [*found.unread, *(said for _, said in found.unlisted)],
        "program": __version__,
    }


def _overall_mm(found: Marking, derived: Derived) -> float | None:
    if found.overall_diameter_mm_marked is not None:
        return found.overall_diameter_mm_marked
    return derived.overall_diameter_mm


def service_text(service: ServiceDescription) -> str:
    """A service description as molded: 120/116S, (98Y)."""
    index = "/".join(str(part) for part in (service.load_index, service.load_index_dual) if part is not None)
    text = index + (service.speed_symbol or "")
    return f"({text})" if service.speed_open else text


def whole(value: float | None) -> float | int | None:
    """The number as an integer where it is one."""
    if value is None:
        return None
    return int(value) if float(value).is_integer() else round(value, 4)


def _printed(value: float | None) -> int | None:
    """A converted value as tires and charts print it: whole."""
    return None if value is None else int(value + 0.5)
