"""A table of distinct markings for generated feeds, with what each of them says."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from tests.benchmarks.tables import LOAD_KG, MM_PER_INCH, SPEED_KMH

INDICES = np.array(list(LOAD_KG))
INDEX_KG = np.array(list(LOAD_KG.values()))
SYMBOLS = np.array(list(SPEED_KMH))

_WIDTHS = np.arange(125, 400, 10)
_ASPECTS = np.arange(25, 90, 5)
_RIMS = np.arange(12, 25)
_FLOTATION_DIAMETERS = np.arange(26, 45)
_FLOTATION_WIDTHS = np.arange(8.5, 16.0, 0.5)
_LARGEST = 1_000_000

Ints = npt.NDArray[np.int64]
Floats = npt.NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class _Kind:
    """How one sort of tire is marked, and how its load grows with its size.

    kg = coefficient x width^a x height^b x (rim + height)^c in mm, near enough to real loads for a benchmark: powers
    0.8, 0.745 and 0.892 for passenger tires, 0.695, 0.695 and 1 for others.  Light truck tires wider than 295 mm carry
    what the next lower load range does.
    """

    before: str
    after: str
    letters: str
    symbols: str
    coefficient: float  # in millionths
    dual_below: int  # 0: no index for dual mounting
    ply_rating: int  # 0: not stated
    pressure_kpa: int
    pressure_psi: int


_METRIC_KINDS = (
    _Kind("", "", "", "QRSTUHVWY", 924, 0, 0, 300, 44),
    _Kind("", "", " XL", "QRSTUHVWY", 1028, 0, 0, 340, 50),
    _Kind("P", "", "", "QRSTUHV", 895, 0, 0, 300, 44),
    _Kind("LT", "", " C", "NPQRS", 985, 3, 6, 350, 50),
    _Kind("LT", "", " D", "NPQRS", 1148, 3, 8, 450, 65),
    _Kind("LT", "", " E", "NPQRS", 1320, 3, 10, 550, 80),
    _Kind("ST", "", " D", "LMNP", 1357, 4, 8, 450, 65),
    _Kind("ST", "", " E", "LMNP", 1542, 5, 10, 550, 80),
    _Kind("", "C", "", "NPQRST", 1420, 2, 0, 475, 69),
)
_FLOTATION_KINDS = (
    _Kind("", "LT", " C", "NPQRS", 780, 0, 6, 350, 50),
    _Kind("", "LT", " D", "NPQRS", 858, 0, 8, 450, 65),
    _Kind("", "LT", " E", "NPQRS", 977, 0, 10, 550, 80),
)
KINDS = _METRIC_KINDS + _FLOTATION_KINDS
_FIRST_FLOTATION = len(_METRIC_KINDS)


@dataclass(frozen=True, slots=True)
class MarkingTable:
    """Distinct markings, one per position; `nan` or -1 where a marking does not say.

    `load` and `dual` are positions in `INDICES`, `symbol` in `SYMBOLS`, `kind` in `KINDS`; widths and
    diameters are in the units of their names.
    """

    text: list[str]
    size: list[str]
    kind: Ints
    width_mm: Floats
    aspect: Floats
    rim_in: Ints
    diameter_in: Floats
    load: Ints
    dual: Ints
    symbol: Ints

    def __len__(self) -> int:
        return len(self.text)


def marking_table(count: int, seed: int = 1) -> MarkingTable:
    """`count` distinct markings of passenger, light truck, trailer, commercial and flotation tires, mixed.

    As long as they suffice, each size and kind has a single load index, as in a real catalog, so that no
    tire stands out among its peers; larger counts take indices nearby as well.
    """
    if not 1 <= count <= _LARGEST:
        raise ValueError(f"distinct markings must lie between 1 and {_LARGEST}, not {count}")
    rng = np.random.default_rng(seed)
    chosen: list[npt.NDArray[np.float64]] = []
    for offset in (0, 1, -1, 2, -2, 3, -3, 4, -4):
        batch = np.vstack([_metric(offset), _flotation(offset)])
        chosen.append(batch[rng.permutation(len(batch))])
        if sum(map(len, chosen)) >= count:
            break
    kind, width, aspect, rim, diameter, load, symbol = np.vstack(chosen)[:count].T
    kinds, loads, rims = kind.astype(np.int64), load.astype(np.int64), rim.astype(np.int64)
    below = np.array([k.dual_below for k in KINDS])[kinds]
    symbols = symbol.astype(np.int64)
    dual = np.where(below > 0, loads - below, -1)
    sizes = _sizes(kinds, width, aspect, rims, diameter)
    return MarkingTable(
        text=_texts(sizes, kinds, loads, dual, symbols),
        size=sizes,
        kind=kinds,
        width_mm=np.where(kinds < _FIRST_FLOTATION, width, width * MM_PER_INCH),
        aspect=np.where(kinds < _FIRST_FLOTATION, aspect, np.nan),
        rim_in=rims,
        diameter_in=diameter,
        load=loads,
        dual=dual,
        symbol=symbols,
    )


def _metric(offset: int) -> npt.NDArray[np.float64]:
    """All metric markings whose load index lies `offset` above the usual one, one row each."""
    width, aspect, rim = (a.ravel().astype(float) for a in np.meshgrid(_WIDTHS, _ASPECTS, _RIMS, indexing="ij"))
    height = width * aspect / 100
    diameter = (rim * MM_PER_INCH + 2 * height) / MM_PER_INCH
    return _rows(range(_FIRST_FLOTATION), width, aspect, rim, diameter, height, offset)


def _flotation(offset: int) -> npt.NDArray[np.float64]:
    """All flotation markings whose load index lies `offset` above the usual one; widths in inches."""
    axes = np.meshgrid(_FLOTATION_DIAMETERS, _FLOTATION_WIDTHS, _RIMS, indexing="ij")
    diameter, width, rim = (a.ravel().astype(float) for a in axes)
    height = (diameter - rim) / 2 * MM_PER_INCH
    kinds = range(_FIRST_FLOTATION, len(KINDS))
    return _rows(kinds, width, np.zeros_like(width), rim, diameter, height, offset)


def _rows(
    kinds: range, width: Floats, aspect: Floats, rim: Floats, diameter: Floats, height: Floats, offset: int
) -> npt.NDArray[np.float64]:
    """Crosses sizes with kinds and speed symbols, and keeps what could be a tire."""
    width_mm = np.where(aspect > 0, width, width * MM_PER_INCH)
    across, high = rim * MM_PER_INCH + height, np.maximum(height, 1.0)
    passenger = width_mm**0.8 * high**0.745 * across**0.892 / 1e6
    others = (width_mm * high) ** 0.695 * across / 1e6
    plausible = (diameter > 20) & (diameter < 45) & (height > 50)
    parts = []
    for number in kinds:
        kind = KINDS[number]
        lower = KINDS[number - 1].coefficient if kind.letters in (" D", " E") else kind.coefficient
        wide = (width_mm > 295.0) & (kind.before == "LT")
        size = passenger if kind.after == "" and kind.before in ("", "P") else others
        load = np.searchsorted(INDEX_KG, size * np.where(wide, lower, kind.coefficient)) + offset
        keep = plausible & (load - kind.dual_below >= 0) & (load < len(INDICES))
        for symbol in kind.symbols:
            code = list(SYMBOLS).index(symbol)
            fixed = np.full(int(keep.sum()), number), np.full(int(keep.sum()), code)
            sized = [a[keep] for a in (width, aspect, rim, diameter, load)]
            parts.append(np.column_stack([fixed[0], *sized, fixed[1]]))
    return np.vstack(parts)


def _sizes(kinds: Ints, width: Floats, aspect: Floats, rims: Ints, diameter: Floats) -> list[str]:
    def one(k: int, w: float, a: float, r: int, d: float) -> str:
        if k >= _FIRST_FLOTATION:
            return f"{d:.0f}x{w:.2f}R{r}{KINDS[k].after}"
        return f"{KINDS[k].before}{w:.0f}/{a:.0f}R{r}{KINDS[k].after}"

    columns = (column.tolist() for column in (kinds, width, aspect, rims, diameter))
    return [one(*values) for values in zip(*columns, strict=True)]


def _texts(sizes: list[str], kinds: Ints, loads: Ints, duals: Ints, symbols: Ints) -> list[str]:
    names, letters = INDICES.tolist(), [k.letters for k in KINDS]

    def one(size: str, k: int, load: int, dual: int, symbol: int) -> str:
        pair = f"{names[load]}/{names[dual]}" if dual >= 0 else f"{names[load]}"
        return f"{size} {pair}{SYMBOLS[symbol]}{letters[k]}"

    columns = (column.tolist() for column in (kinds, loads, duals, symbols))
    return [one(*values) for values in zip(sizes, *columns, strict=True)]
