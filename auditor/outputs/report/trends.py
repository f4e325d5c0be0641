"""How the last nights went, as small pictures made of characters: readable without color, by any reader."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from auditor.outputs.report.data import shorten

_STEPS = "▁▂▃▄▅▆▇█"
_SUPPLIERS_MOST = 8


def trends_shown(summary: Mapping[str, Any]) -> dict[str, Any] | None:
    """New and held by night, of all and of the suppliers with most held; None before the second night."""
    trend = summary.get("trend", ())
    nights = sorted({row["night"] for row in trend})
    if len(nights) < 2:
        return None
    by_supplier: dict[str, dict[str, Mapping[str, Any]]] = {}
    for row in trend:
        by_supplier.setdefault(row["supplier"], {})[row["night"]] = row
    last = nights[-1]
    ranked = sorted(
        by_supplier, key=lambda name: (-_figure(by_supplier[name], last, "held"), -_total(by_supplier[name]), name)
    )
    whole = {
        night: {name: sum(_figure(rows, night, name) for rows in by_supplier.values()) for name in ("new", "held")}
        for night in nights
    }
    rows: list[tuple[str, Mapping[str, Mapping[str, Any]]]] = [("All suppliers", whole)]
    rows += [(name or "(not named)", by_supplier[name]) for name in ranked[:_SUPPLIERS_MOST]]
    return {
        "first": nights[0],
        "last": last,
        "rows": [_row(name, figures, nights) for name, figures in rows],
        "more": max(len(ranked) - _SUPPLIERS_MOST, 0),
    }


def _row(name: str, figures: Mapping[str, Mapping[str, Any]], nights: Sequence[str]) -> dict[str, Any]:
    shown: dict[str, Any] = {"name": shorten(name)}
    for what in ("new", "held"):
        values = [_figure(figures, night, what) for night in nights]
        shown[what] = {
            "picture": _picture(values),
            "now": values[-1],
            "words": ", ".join(f"{night}: {value:,}" for night, value in zip(nights, values, strict=True)),
        }
    return shown


def _figure(rows: Mapping[str, Mapping[str, Any]], night: str, name: str) -> int:
    return int(rows[night][name]) if night in rows else 0


def _total(rows: Mapping[str, Mapping[str, Any]]) -> int:
    return sum(int(row["held"]) + int(row["new"]) for row in rows.values())


def _picture(values: Sequence[int]) -> str:
    """A bar for each value, as high as it is among them; nothing is the lowest."""
    most = max(values)
    return "".join(_STEPS[0 if not value else max(1, round(value * (len(_STEPS) - 1) / most))] for value in values)
