"""The answer whether one tire may stand in for another, as the terminal shows it: 80 columns."""

from __future__ import annotations

from collections.abc import Mapping
from textwrap import fill

from auditor.programs.substitution import Point, Substitution

_WIDTH = 80
_UNITS = {"kg": "kg", "lb": "lb", "kmh": "km/h", "mph": "mph", "mm": "mm", "percent": "%"}
_ORDER = ("fails", "cannot tell", "holds")


def in_words(found: Substitution, old: str, new: str) -> str:
    """The answer, then its points, the deciding ones first, sources and cautions; `old` and `new` as given."""
    points = sorted(found.points, key=lambda point: _ORDER.index(point.outcome))  # sorted keeps their own order
    lines = [_wrapped(_headline(found, old, new)), ""]
    for point in points:
        lines += _point(point)
    lines += ["", "  Sources:"]
    sources: dict[str, list[str]] = {}
    for point in points:
        sources.setdefault(point.source, []).append(point.name)
    lines += [_wrapped(f"{', '.join(names)}: {source}.", "    ", "      ") for source, names in sources.items()]
    lines += ["", "  Mind:"]
    lines += [_wrapped(caution, "    - ", "      ") for caution in found.cautions]
    return "\n".join(lines)


def _headline(found: Substitution, old: str, new: str) -> str:
    old, new = found.old or repr(old), found.new or repr(new)
    asks = f"what the vehicle requires ({old})" if found.required else old
    if found.answer == "yes":
        return f"Yes: by their markings, {new} is the same as or higher than {asks} in every point."
    deciding = ", ".join(found.with_outcome("fails" if found.answer == "no" else "cannot tell"))
    if found.answer == "no":
        return f"No: {new} does not stand in for {asks}; it fails in {deciding}."
    return f"Cannot tell whether {new} may stand in for {asks}: {deciding}."


def _point(point: Point) -> list[str]:
    margins = _margins(point.margins)
    head = f"  {point.outcome:<11}  {point.name:<12}  "
    texts = f"asks {point.old}; has {point.new}" + (f" ({margins})" if margins else "")
    if point.outcome == "holds" and point.old == point.new:
        texts = f"both {point.old}"
    lines = [_wrapped(head + texts, "", " " * len(head))]
    if point.why:
        lines.append(_wrapped(point.why, " " * len(head), " " * len(head)))
    return lines


def _margins(margins: Mapping[str, float]) -> str:
    return ", ".join(f"{_plain(value)} {_UNITS[unit]}" for unit, value in margins.items() if value)


def _plain(value: float) -> str:
    """A difference with its sign, whole where it is one or large."""
    return f"{value:+.0f}" if abs(value) >= 10.0 or value.is_integer() else f"{value:+.1f}"


def _wrapped(text: str, first: str = "", others: str = "") -> str:
    return fill(text, _WIDTH, initial_indent=first, subsequent_indent=others, break_on_hyphens=False)
