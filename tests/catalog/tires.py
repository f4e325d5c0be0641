"""The invented tires: what a size and service description say, worked out with the catalog's own tables."""

from __future__ import annotations

import re
from dataclasses import dataclass
from pathlib import Path

from tests.catalog.tables import PLY_OF_RANGE, SPEED_KMH, load_kg, rim_mm

_METRIC = re.compile(r"(HL|LT|P|ST|T|IF|VF)?(\d+)/(\d+)(ZR|RF|R|D|B|-)(\d+(?:\.5)?)(LT|C)?( M/C)?")
_INCH = re.compile(r"(\d+)x(\d+\.\d\d)(R|-)(\d+)LT")
_NUMERIC = re.compile(r"(\d+(?:\.\d+)?)(R|-)(\d+(?:\.5)?)(LT|TR|C)?( M/C)?")
_US = ("P", "LT", "ST")
_US_WITHOUT_PREFIX = ("lt-suffix", "lt-left-out", "metric-p-left-out")


@dataclass(frozen=True, slots=True)
class Tire:
    """One size with one service description.  Loads in kg, speeds in km/h, lengths in the unit named."""

    variant: str
    family: str
    size: str
    prefix: str
    width_mm: float | None  # nominal, metric sizes
    width_in: float | None  # nominal, flotation
    aspect: int | None
    construction: str | None
    rim_in: float | None
    diameter_in: float | None  # flotation: the figure in the size
    index: int | None
    index_dual: int | None
    symbol: str | None
    open_ended: bool
    version: str | None
    load_range: str | None
    ply_marked: int | None
    psi: int | None
    second: str | None

    @property
    def service(self) -> str:
        """The service description as molded, "" when the tire has none."""
        if self.index is None:
            return ""
        pair = f"{self.index}/{self.index_dual}" if self.index_dual is not None else f"{self.index}"
        return f"({pair}{self.symbol})" if self.open_ended else f"{pair}{self.symbol}"

    @property
    def single_kg(self) -> float | None:
        return None if self.index is None else load_kg(self.index)

    @property
    def dual_kg(self) -> float | None:
        return None if self.index_dual is None else load_kg(self.index_dual)

    @property
    def kmh(self) -> int | None:
        return None if self.symbol is None else SPEED_KMH[self.symbol]

    @property
    def ply(self) -> int | None:
        """Ply rating, from the mark or the load range."""
        return self.ply_marked or (PLY_OF_RANGE[self.load_range] if self.load_range else None)

    @property
    def us_tables(self) -> bool:
        """Whether U.S. load tables apply, which differ from the load index by up to 2 %."""
        return self.prefix in _US or self.diameter_in is not None or self.variant in _US_WITHOUT_PREFIX

    @property
    def p_left_out(self) -> bool:
        """Whether this may be a P-metric size sold without its P, which has the loads of the U.S. table."""
        plain = self.family == "metric" and self.aspect is not None and self.rim_in is not None
        return plain and 70 <= self.aspect <= 80 and 13 <= self.rim_in <= 16

    @property
    def left_out(self) -> bool:
        """Whether the size lacks the LT or C that its tire is marked with."""
        return self.variant.endswith("-left-out") and self.variant != "metric-p-left-out"

    @property
    def passenger(self) -> bool:
        return self.family in ("metric", "p-metric")

    @property
    def radial(self) -> bool:
        return self.construction in ("R", "ZR", "RF")

    @property
    def formula_mm(self) -> tuple[float, float] | None:
        """Rim diameter and twice the section height in mm, where the formula of UN R30 paragraph 6.1.2.1
        holds.
        """
        silent = ("agricultural", "off-road", "industrial", "metric-rim", "numeric", "truck-numeric")
        if self.aspect is None or self.width_mm is None or self.rim_in is None or self.family in silent:
            return None
        return rim_mm(self.rim_in), 2 * int(self.width_mm * self.aspect / 100 + 0.5)

    @property
    def diameter_mm(self) -> float | None:
        """Nominal overall diameter in mm."""
        if self.diameter_in is not None:
            return self.diameter_in * 25.4
        return sum(self.formula_mm) if self.formula_mm else None

    @property
    def diameter_limits_mm(self) -> tuple[float, float] | None:
        """Envelope of the overall diameter: UN R30 / R54 factors; -3 % to +1 % of the nominal for flotation
        sizes.
        """
        if self.diameter_in is not None:
            return self.diameter_in * 25.4 * 0.97, self.diameter_in * 25.4 * 1.01
        if self.formula_mm is None:
            return None
        rim, height = self.formula_mm
        upper = 1.04 if self.radial else 1.07
        return rim + height * 0.97, rim + height * upper


def _family(variant: str) -> str:
    for family in ("metric-rim", "p-metric", "lt-metric", "truck-metric", "truck-numeric", "off-road"):
        if variant.startswith(family):
            return family
    if variant in ("lt-suffix", "lt-left-out"):
        return "lt-metric"
    for family in ("special-trailer", "temporary-spare", "commercial", "motorcycle", "agricultural"):
        if variant.startswith(family):
            return family
    return "metric" if variant.startswith("metric") else variant


def _parts(
    size: str,
) -> tuple[str, float | None, float | None, int | None, str | None, float | None, float | None]:
    """prefix, width mm, width in, aspect, construction, rim in, diameter in."""
    if found := _INCH.fullmatch(size):
        return "", None, float(found[2]), None, found[3], float(found[4]), float(found[1])
    if found := _METRIC.fullmatch(size):
        rim = float(found[5])
        return (
            found[1] or "",
            float(found[2]),
            None,
            int(found[3]),
            found[4],
            rim if rim < 100 else None,
            None,
        )
    if found := _NUMERIC.fullmatch(size):
        return "", None, None, None, found[2], float(found[3]), None
    rim_of = {"MT90B16 M/C": ("B", 16.0), "8.15-15 (225/75-15)": ("-", 15.0)}
    construction, rim = rim_of[size]
    return "", None, None, None, construction, rim, None


def _read() -> dict[str, tuple[Tire, ...]]:
    by_variant: dict[str, list[Tire]] = {}
    for line in Path(__file__).with_name("sizes.txt").read_text("utf-8").splitlines():
        if line.startswith("#") or not line.strip():
            continue
        cells = [cell.strip() for cell in line.split("|")] + [""] * 8
        variant, size, indices, symbols, version, load_range, ply, psi, second = cells[:9]
        prefix, width_mm, width_in, aspect, construction, rim_in, diameter_in = _parts(size)
        index, _, dual = indices.partition("/")
        for symbol in symbols.split() or [""]:
            by_variant.setdefault(variant, []).append(
                Tire(
                    variant, _family(variant), size, prefix, width_mm, width_in, aspect, construction, rim_in,
                    diameter_in, int(index) if index else None, int(dual) if dual else None, symbol or None,
                    variant.endswith("-open"), version or None, load_range or None, int(ply) if ply else None,
                    int(psi) if psi else None, second or None,
                )
            )  # fmt: skip
    return {variant: tuple(tires) for variant, tires in by_variant.items()}


TIRES: dict[str, tuple[Tire, ...]] = _read()
VARIANTS: tuple[str, ...] = tuple(TIRES)
