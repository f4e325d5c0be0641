"""Works out the report's pictures: where each ring, bar and curve goes.  Drawing is the templates' work."""

from __future__ import annotations

import math
from collections import Counter, defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from auditor.trade.units import KG_PER_LB

OTHERS = "all others"
MOST_SUPPLIERS = 10
MOST_PAIRS = 14


@dataclass(frozen=True, slots=True)
class Ring:
    """Findings of one supplier and subject: a ring at (x, y) whose area stands for the count."""

    x: float
    y: float
    radius: float
    count: int
    supplier: str
    subject: str


@dataclass(frozen=True, slots=True)
class RingPicture:
    width: float
    height: float
    left: float  # where the first column begins
    suppliers: tuple[tuple[str, float], ...]  # name, y
    subjects: tuple[tuple[str, float], ...]  # name, x
    rings: tuple[Ring, ...]


def rings_by_supplier_and_subject(
    rows: Sequence[Mapping[str, Any]], subjects: Sequence[str] = ()
) -> RingPicture | None:
    """Suppliers down, subjects across; `rows` are the summary's `by_subject_supplier`.  None if there are none.

    `subjects` gives the order of the columns; suppliers go by their findings, those beyond MOST_SUPPLIERS as
    one row.
    """
    by_supplier: Counter[str] = Counter()
    by_subject: Counter[str] = Counter()
    for row in rows:
        by_supplier[row["supplier"]] += row["findings"]
        by_subject[row["subject"]] += row["findings"]
    if not by_supplier:
        return None
    ranked = sorted(by_supplier, key=lambda name: (-by_supplier[name], name))
    own = ranked[:MOST_SUPPLIERS] if len(ranked) > MOST_SUPPLIERS + 1 else ranked
    positions = {name: min(position, len(own)) for position, name in enumerate(ranked)}
    names = [*own, OTHERS] if len(own) < len(ranked) else own
    across = [name for name in subjects if name in by_subject]
    across += sorted(set(by_subject) - set(across))
    counts: dict[tuple[int, str], int] = defaultdict(int)
    for row in rows:
        counts[positions[row["supplier"]], row["subject"]] += row["findings"]
    left, step_y, top, largest = 230.0, 62.0, 34.0, 27.0
    step_x = max(92.0, min(150.0, 880.0 / len(across)))
    most = max(counts.values())
    xs = {name: left + step_x * (position + 0.5) for position, name in enumerate(across)}
    ys = [top + step_y * (position + 0.5) for position in range(len(names))]
    rings = tuple(
        Ring(xs[subject], ys[position], max(5.0, largest * math.sqrt(count / most)), count, names[position], subject)
        for (position, subject), count in sorted(counts.items(), key=lambda item: (item[0][0], xs[item[0][1]]))
    )
    return RingPicture(
        width=left + step_x * len(across) + 10,
        height=top + step_y * len(names) + 8,
        left=left,
        suppliers=tuple(zip(names, ys, strict=True)),
        subjects=tuple(xs.items()),
        rings=rings,
    )


@dataclass(frozen=True, slots=True)
class Bar:
    x: float
    y: float
    width: float
    height: float
    count: int
    above: bool  # more than the marking allows
    label: str
    step: int  # the per cent that it begins at, by which its findings are chosen


@dataclass(frozen=True, slots=True)
class BarPicture:
    width: float
    height: float
    base: float  # y of the axis
    zero: float  # x of "as the marking says"
    bars: tuple[Bar, ...]
    ticks: tuple[tuple[float, str], ...]
    notes: tuple[tuple[float, float, str], ...]  # x, y of the bar's top, text


# Where a mix-up puts a load.
_KNOWN_DEVIATIONS = (
    (1 / KG_PER_LB - 1, "pounds written as kilograms"),
    (KG_PER_LB - 1, "kilograms written as pounds"),
    (1.0, "a pair written as one tire"),
)


def bars_of_load_deviation(steps: Sequence[Mapping[str, Any]]) -> BarPicture | None:
    """How far stated loads lie from derived ones; `steps` are the summary's `load_deviation`."""
    filled = [step for step in steps if step["count"]]
    if not filled:
        return None
    low = min(min(step["from"] for step in filled), -0.25)
    high = max(max(step["to"] for step in filled), 0.25)
    shown = [step for step in steps if step["from"] >= low - 1e-9 and step["to"] <= high + 1e-9]
    width, height, base, margin = 760.0, 270.0, 216.0, 24.0
    most = max(step["count"] for step in filled)

    def x_of(value: float) -> float:
        return float(margin + (width - 2 * margin) * (value - low) / (high - low))

    bars = []
    for step in shown:
        tall = 150 * step["count"] / most if step["count"] else 0.0
        tall = max(tall, 2.0) if step["count"] else 0.0
        x, right = x_of(step["from"]), x_of(step["to"])
        label = f"{_percent(step['from'])} to {_percent(step['to'])}"
        above = step["from"] >= -1e-9
        place = (x + 0.5, base - tall, max(right - x - 1, 1), tall)
        bars.append(Bar(*place, step["count"], above, label, percent_of(step["from"])))
    every = next(size for size in (0.1, 0.25, 0.5, 1.0, 2.0, 5.0) if (high - low) / size <= 9)
    first = math.ceil(low / every - 1e-9)
    last = math.floor(high / every + 1e-9)
    ticks = tuple((x_of(position * every), _percent(position * every)) for position in range(first, last + 1))
    notes = tuple(
        (bar.x + bar.width / 2, bar.y, text)
        for value, text in _KNOWN_DEVIATIONS
        for bar, step in zip(bars, shown, strict=True)
        if step["from"] <= value < step["to"] and step["count"] >= max(2, most / 20)
    )
    notes += tuple(
        (bar.x + bar.width / 2, bar.y, text)
        for bar, step, last, text in (
            (bars[0], shown[0], steps[0], "and less"),
            (bars[-1], shown[-1], steps[-1], "and more"),
        )
        if step is last and step["count"]
    )
    return BarPicture(width, height, base, x_of(0.0), tuple(bars), ticks, _apart(notes))


def _apart(notes: Sequence[tuple[float, float, str]]) -> tuple[tuple[float, float, str], ...]:
    """Lifts a note that would stand in its left neighbor's words."""
    placed: list[tuple[float, float, str]] = []
    for x, y, text in sorted(notes):
        if placed and x - placed[-1][0] < 170 and abs(y - placed[-1][1]) < 14:
            y = placed[-1][1] - 15
        placed.append((x, y, text))
    return tuple(placed)


def percent_of(value: float) -> int:
    """A share in whole per cent."""
    return round(100 * value)


def _percent(value: float) -> str:
    rounded = percent_of(value)
    return "0 %" if rounded == 0 else f"{rounded:+d} %".replace("-", "−")


@dataclass(frozen=True, slots=True)
class Curve:
    """A mix-up of two load indices; `above` where the listing promises more than the marking."""

    path: str
    thickness: float
    above: bool
    derived: str
    stated: str
    count: int


@dataclass(frozen=True, slots=True)
class CurvePicture:
    width: float
    height: float
    left: tuple[tuple[str, float], ...]  # index in the marking, y
    right: tuple[tuple[str, float], ...]  # index in the listing, y
    curves: tuple[Curve, ...]
    left_out: int  # pairs


def curves_of_index_confusions(pairs: Sequence[Mapping[str, Any]]) -> CurvePicture | None:
    """Which load index is written for which; `pairs` are the summary's `index_confusions`."""
    shown = sorted(pairs, key=lambda pair: -pair["count"])[:MOST_PAIRS]
    if not shown:
        return None
    left = sorted({pair["derived"] for pair in shown}, key=_index_order)
    right = sorted({pair["stated"] for pair in shown}, key=_index_order)
    step, top = 26.0, 44.0
    tall = max(len(left), len(right)) * step
    left_y = {name: top + tall * (position + 0.5) / len(left) for position, name in enumerate(left)}
    right_y = {name: top + tall * (position + 0.5) / len(right) for position, name in enumerate(right)}
    most = shown[0]["count"]
    curves = tuple(
        Curve(
            f"M130 {left_y[pair['derived']]:.1f} C260 {left_y[pair['derived']]:.1f} 260 {right_y[pair['stated']]:.1f} "
            f"390 {right_y[pair['stated']]:.1f}",
            1.5 + 8 * pair["count"] / max(most, 6),
            _index_order(pair["stated"]) > _index_order(pair["derived"]),
            pair["derived"],
            pair["stated"],
            pair["count"],
        )
        for pair in reversed(shown)
    )
    return CurvePicture(
        520, top + tall + 10, tuple(left_y.items()), tuple(right_y.items()), curves, len(pairs) - len(shown)
    )


def _index_order(text: str) -> tuple[int, str]:
    digits = text.split("/")[0].strip()
    return (int(digits) if digits.isascii() and digits.isdigit() else 10_000, text)
