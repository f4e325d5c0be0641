"""What may stand in for a tire, in one line: the same or higher."""

from __future__ import annotations

from auditor.trade.marking_model import Marking, ServiceDescription

_KINDS = {
    "lt-metric": "LT",
    "commercial": "C",
    "special-trailer": "ST",
    "motorcycle": "motorcycle tire",
    "temporary-spare": "spare",
    "agricultural": "farm tire",
}


def replaced_by(marking: Marking) -> str:
    """What a marking asks of a tire in its place; empty where it says neither load nor speed.

    >>> from auditor import decode
    >>> replaced_by(decode("225/65R17 102H"))
    'may be replaced by: 17 in rim, index 102 or higher, H or higher'
    """
    asked = _service(marking.service)
    if not asked:
        return ""
    rim, metric_rim = marking.rim_diameter_in, marking.rim_diameter_mm_marked
    words = [_KINDS[marking.family]] if marking.family in _KINDS else []
    words += [f"{rim:g} in rim"] if rim is not None else [f"{metric_rim:g} mm rim"] if metric_rim is not None else []
    words += asked
    if marking.load_range is not None:
        words.append(f"load range {marking.load_range} or higher")
    elif marking.ply_rating is not None and marking.family not in ("metric", "p-metric"):
        words.append(f"ply rating {marking.ply_rating} or higher")
    if marking.load_version in ("XL", "HL"):
        words.append("XL or HL" if marking.load_version == "XL" else "HL")
    return "may be replaced by: " + ", ".join(words)


def _service(service: ServiceDescription) -> list[str]:
    words = []
    if service.load_index is not None:
        dual = "" if service.load_index_dual is None else f"/{service.load_index_dual}"
        words.append(f"index {service.load_index}{dual} or higher")
    if service.speed_symbol is not None:
        symbol = f"({service.speed_symbol})" if service.speed_open else service.speed_symbol
        words.append(f"{symbol} or higher")
    return words
