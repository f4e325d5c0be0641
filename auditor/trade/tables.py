"""The published tables of the trade, read from the rule book's `tables/` folder; sources in its `SOURCES.md`.

Pure Python and read on first use, because a single-listing check has to start in milliseconds.
`default_tables()` are those of the program; `load_tables(folder)` reads other ones.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache, lru_cache
from math import floor
from pathlib import Path
from typing import NamedTuple

from auditor.errors import RuleBookError
from auditor.rules_folder import rules_folder
from auditor.trade.units import MM_PER_INCH

_COLUMNS = {  # file -> columns of text, columns of numbers
    "load_index.csv": (("load_index",), ("load_kg",)),
    "speed_symbol.csv": (("speed_symbol", "open_ended"), ("speed_kmh", "speed_mph")),
    "rim_diameter.csv": ((), ("rim_code", "rim_diameter_mm")),
    "load_range.csv": (("load_range",), ("ply_rating",)),
    "eu_noise_limit.csv": (
        ("tire_class", "use", "width_up_to_mm"),
        ("width_over_mm", "limit_db", "snow_extra_db", "extra_load_extra_db"),
    ),
    "permitted_pressure.csv": (("use", "unit"), ("value", "same_as")),
    "high_speed_load.csv": (("speed_symbol",), ("speed_kmh", "load_percent")),
    "commercial_speed_load.csv": (("load_index_over", "load_index_up_to"), ("speed_kmh", "load_percent")),
    "replaces_words.csv": (("language", "words"), ()),
    "load_band.csv": (
        ("family", "load_version", "load_range", "width_over_mm", "rim_up_to_mm"),
        ("coefficient", "width_power", "height_power", "diameter_power", "steps_below", "steps_above"),
    ),
}


class NoiseLimit(NamedTuple):
    """One row of the EU rolling noise limits: LV in dB for a class, use and nominal width range in mm."""

    tire_class: str
    use: str  # normal or traction
    width_over_mm: float
    width_up_to_mm: float
    limit_db: float
    snow_extra_db: float  # not added up with the next
    extra_load_extra_db: float


class MarkedPressure(NamedTuple):
    """One maximum pressure that tires are marked with, and what stands beside it in the other unit."""

    use: str  # passenger, spare or light-truck
    unit: str  # psi or kPa
    value: float
    same_as: float  # in the other of the two units


class LoadBand(NamedTuple):
    """One row: the middle of the band by formula, and how many index steps a real tire may lie off it."""

    load_version: str
    load_range: str
    width_over_mm: float  # light truck tires wider than this have less pressure at the same letter
    rim_up_to_mm: float  # commercial tires of small rims, those of trailers, have more pressure than their size tells
    coefficient: float
    width_power: float
    height_power: float
    diameter_power: float
    steps_below: float
    steps_above: float


@dataclass(frozen=True, slots=True, eq=False)  # one object per folder: it can key what is kept of readings
class Tables:
    """All published tables of one rule book; lengths in mm, loads in kg, speeds in km/h unless named."""

    load_kg: tuple[float, ...]
    speed_kmh: dict[str, float]
    speed_place: dict[str, float]  # speed symbol -> its place by speed
    speed_mph_printed: dict[str, float]
    speed_floor_kmh: dict[str, float]
    rim_diameter_mm: dict[float, float]
    load_range_ply: dict[str, int]
    ply_load_range: dict[int, str]
    noise_limits: tuple[NoiseLimit, ...]
    pressures: tuple[MarkedPressure, ...]  # what tires are marked with as maximum, by rule and by practice
    high_speed_load_percent: dict[str, tuple[tuple[float, float], ...]]  # symbol -> (km/h, % of index load)
    commercial_load_percent: tuple[tuple[float, float, float, float], ...]  # over LI, up to LI, km/h, % of load
    load_bands: dict[str, tuple[LoadBand, ...]]  # family -> rows by strength, the one of unmarked strength first
    replaces_words: frozenset[str]  # with which a text says that its tire stands in for another, in small letters

    def marked_pressures(self, use: str, unit: str) -> tuple[float, ...]:
        """The maximum pressures that tires of a use are marked with in psi or kPa, lowest first."""
        return tuple(sorted(row.value for row in self.pressures if (row.use, row.unit) == (use, unit)))

    def load_of(self, index: int | None) -> float | None:
        """kg of a load index, None for no index or one outside the table."""
        if index is None or not 0 <= index < len(self.load_kg):
            return None
        return self.load_kg[index]

    def speed_of(self, symbol: str | None) -> float | None:
        """km/h of a speed symbol, None for no symbol or an unknown one."""
        return self.speed_kmh.get(symbol or "")

    def floor_of(self, written: str) -> float | None:
        """km/h that a tire is rated above, for "ZR" and bracketed symbols, "(Y)"."""
        return self.speed_floor_kmh.get(written)

    def place_of(self, symbol: str | None) -> float | None:
        """The place of a speed symbol among all, by speed."""
        return self.speed_place.get(symbol or "")

    def ply_of(self, load_range: str | None) -> int | None:
        """The ply rating of a load range letter."""
        return self.load_range_ply.get(load_range or "")

    def rim_of(self, code: float) -> float:
        """mm of a rim diameter code: listed, else 25.4 times the code rounded half up to a whole mm."""
        listed = self.rim_diameter_mm.get(code)
        # The small allowance keeps 12.5 x 25.4 = 317.49999... on the side where exact arithmetic puts it.
        return floor(MM_PER_INCH * code + 0.5 + 1e-9) if listed is None else listed


Folders = tuple[Path, ...]  # where tables are looked for, in this order


@cache
def default_tables() -> Tables:
    """The tables of the rule book that came with the program, read once."""
    return load_tables(rules_folder() / "tables")


@lru_cache(maxsize=8)
def load_tables(folder: Path, own: Path | None = None, stamp: str = "") -> Tables:
    """Reads every table from `folder` (the `tables/` folder of the rule book), or from `own` where it stands there.

    `stamp` stands for what the tables hold: those of another stamp are read anew.
    Raises RuleBookError for a missing file, a missing or wrongly named column, or a cell that is no number.
    """
    folders = (folder,) if own is None else (own, folder)
    ranges = {r["load_range"]: int(r["ply_rating"]) for r in _rows(folders, "load_range.csv")}
    speeds = list(_rows(folders, "speed_symbol.csv"))
    closed = [row for row in speeds if row["open_ended"] != "yes"]
    return Tables(
        load_kg=_load_column(folders),
        speed_kmh={row["speed_symbol"]: float(row["speed_kmh"]) for row in closed},
        speed_place={row["speed_symbol"]: float(place) for place, row in enumerate(closed)},
        speed_mph_printed={row["speed_symbol"]: float(row["speed_mph"]) for row in closed},
        speed_floor_kmh={r["speed_symbol"]: float(r["speed_kmh"]) for r in speeds if r["open_ended"] == "yes"},
        rim_diameter_mm={
            float(row["rim_code"]): float(row["rim_diameter_mm"]) for row in _rows(folders, "rim_diameter.csv")
        },
        load_range_ply=ranges,
        ply_load_range={ply: letter for letter, ply in ranges.items()},
        noise_limits=tuple(_noise_rows(folders)),
        pressures=tuple(
            MarkedPressure(row["use"], row["unit"], float(row["value"]), float(row["same_as"]))
            for row in _rows(folders, "permitted_pressure.csv")
        ),
        high_speed_load_percent=_high_speed_rows(folders),
        commercial_load_percent=tuple(_commercial_rows(folders)),
        load_bands=_load_bands(folders),
        replaces_words=frozenset(row["words"] for row in _rows(folders, "replaces_words.csv")),
    )


def _load_column(folders: Folders) -> tuple[float, ...]:
    """The load column by position; the index column has to count 0, 1, 2, ... without a gap."""
    column: list[float] = []
    for row in _rows(folders, "load_index.csv"):
        if row["load_index"] != str(len(column)):
            raise RuleBookError(
                f"{_path(folders, 'load_index.csv')}: row {len(column) + 1} should be load index {len(column)}, "
                f"not {row['load_index']!r}; give every index once, in order from 0."
            )
        column.append(float(row["load_kg"]))
    return tuple(column)


def _noise_rows(folders: Folders) -> Iterator[NoiseLimit]:
    for row in _rows(folders, "eu_noise_limit.csv"):
        yield NoiseLimit(
            tire_class=row["tire_class"],
            use=row["use"],
            width_over_mm=float(row["width_over_mm"]),
            width_up_to_mm=float(row["width_up_to_mm"] or "inf"),
            limit_db=float(row["limit_db"]),
            snow_extra_db=float(row["snow_extra_db"]),
            extra_load_extra_db=float(row["extra_load_extra_db"]),
        )


def _high_speed_rows(folders: Folders) -> dict[str, tuple[tuple[float, float], ...]]:
    steps: dict[str, tuple[tuple[float, float], ...]] = {}
    for row in _rows(folders, "high_speed_load.csv"):
        step = (float(row["speed_kmh"]), float(row["load_percent"]))
        steps[row["speed_symbol"]] = (*steps.get(row["speed_symbol"], ()), step)
    return steps


def _commercial_rows(folders: Folders) -> Iterator[tuple[float, float, float, float]]:
    for row in _rows(folders, "commercial_speed_load.csv"):
        over, up_to = float(row["load_index_over"] or "-inf"), float(row["load_index_up_to"] or "inf")
        yield over, up_to, float(row["speed_kmh"]), float(row["load_percent"])


def _load_bands(folders: Folders) -> dict[str, tuple[LoadBand, ...]]:
    bands: dict[str, tuple[LoadBand, ...]] = {}
    for row in _rows(folders, "load_band.csv"):
        numbers = [float(row[name]) for name in LoadBand._fields[4:]]
        over, up_to = float(row["width_over_mm"] or 0.0), float(row["rim_up_to_mm"] or "inf")
        band = LoadBand(row["load_version"], row["load_range"], over, up_to, *numbers)
        bands[row["family"]] = (*bands.get(row["family"], ()), band)
    return bands


def _rows(folders: Folders, name: str) -> Iterator[dict[str, str]]:
    """The rows of one table as dicts by header, after checking the header and every number in it."""
    path = _path(folders, name)
    text_columns, number_columns = _COLUMNS[name]
    try:
        lines = path.read_text(encoding="utf-8").splitlines()
    except (OSError, UnicodeDecodeError) as error:
        raise RuleBookError(f"{path}: this table cannot be read ({error}); restore it from the program.") from error
    header = lines[0].split(",") if lines else []
    for column in (*text_columns, *number_columns):
        if column not in header:
            raise RuleBookError(f"{path}: the column {column!r} is missing from the header; add it.")
    for position, line in enumerate(lines[1:], start=2):
        cells = line.split(",")
        if len(cells) != len(header):
            raise RuleBookError(
                f"{path}: line {position} has {len(cells)} cells, its header {len(header)}; complete it."
            )
        row = dict(zip(header, cells, strict=True))
        for column in number_columns:
            _check_number(path, position, column, row[column])
        yield row


def _path(folders: Folders, name: str) -> Path:
    """Where a table stands: in the first of the folders that holds it."""
    return next((folder / name for folder in folders if (folder / name).is_file()), folders[-1] / name)


def _check_number(path: Path, position: int, column: str, cell: str) -> None:
    try:
        float(cell)
    except ValueError as error:
        raise RuleBookError(f"{path}: line {position}, {column}: {cell!r} should be a number.") from error
