"""Speed symbols, rim diameters, load ranges and label limits against published sources and `pint`."""

from __future__ import annotations

import csv
from math import inf

import pint
import pytest

from auditor.rules_folder import rules_folder
from auditor.trade.tables import default_tables

TABLES = default_tables()
UNITS = pint.UnitRegistry()

# UN Regulations No. 30 and 54, table of speed categories: symbols and km/h.
REGULATION_KMH = {
    "A1": 5, "A2": 10, "A3": 15, "A4": 20, "A5": 25, "A6": 30, "A7": 35, "A8": 40, "B": 50, "C": 60, "D": 65,
    "E": 70, "F": 80, "G": 90, "J": 100, "K": 110, "L": 120, "M": 130, "N": 140, "P": 150, "Q": 160, "R": 170,
    "S": 180, "T": 190, "U": 200, "H": 210, "V": 240, "W": 270, "Y": 300,
}  # fmt: skip
# The list that U.S. tire makers print.
PRINTED_MPH = {
    "L": 75, "M": 81, "N": 87, "P": 93, "Q": 99, "R": 106, "S": 112, "T": 118, "U": 124, "H": 130,
    "V": 149, "W": 168, "Y": 186,
}  # fmt: skip
# UN Regulations No. 30 and 54, nominal rim diameter d (from memory).
RIM_TABLE_MM = {
    10: 254, 12: 305, 13: 330, 14: 356, 15: 381, 16: 406, 17: 432, 18: 457, 19: 483, 20: 508, 21: 533,
    22: 559, 23: 584, 24: 610, 25: 635, 26: 660, 28: 711, 30: 762,
    14.5: 368, 16.5: 419, 17.5: 445, 19.5: 495, 22.5: 572, 24.5: 622,
}  # fmt: skip


def test_symbols_in_the_regulations_order_with_h_between_u_and_v() -> None:
    assert list(TABLES.speed_kmh.items()) == list(REGULATION_KMH.items())
    assert list(TABLES.speed_kmh.values()) == sorted(TABLES.speed_kmh.values())


def test_letters_that_are_no_symbol() -> None:
    assert not {"I", "O", "X", "Z"} & set(TABLES.speed_kmh)


def test_printed_mph_is_the_list_of_us_tire_makers() -> None:
    assert {symbol: TABLES.speed_mph_printed[symbol] for symbol in PRINTED_MPH} == PRINTED_MPH


@pytest.mark.parametrize("symbol", TABLES.speed_kmh)
def test_printed_mph_is_the_nearest_whole_mph_by_pint(symbol: str) -> None:
    exact = UNITS.Quantity(TABLES.speed_kmh[symbol], "km/h").to("mile/hour").magnitude
    assert TABLES.speed_mph_printed[symbol] == round(exact)


def test_open_ended_marks() -> None:
    # ZR above 240 km/h: UN Regulation No. 30; the bracketed ones: from memory of No. 30 and No. 75.
    assert TABLES.speed_floor_kmh == {"ZR": 240, "(V)": 240, "(W)": 270, "(Y)": 300}


def test_rim_diameters_of_the_regulations() -> None:
    assert {code: TABLES.rim_diameter_mm[code] for code in RIM_TABLE_MM} == RIM_TABLE_MM


@pytest.mark.parametrize("code", [*TABLES.rim_diameter_mm, 8, 11, 27, 34, 46, 49, 63])
def test_every_rim_diameter_is_its_code_in_inches_by_pint(code: float) -> None:
    assert abs(TABLES.rim_of(code) - UNITS.Quantity(code, "inch").to("mm").magnitude) <= 0.5 + 1e-9


def test_half_millimetres_round_up() -> None:
    assert (TABLES.rim_of(12.5), TABLES.rim_of(17.5), TABLES.rim_of(22.5)) == (318, 445, 572)  # 317.5, 444.5, 571.5


def test_load_ranges_skip_i_and_k() -> None:
    # U.S. load range letters as tire makers' data sheets give them.
    assert dict(TABLES.load_range_ply) == dict(zip("ABCDEFGHJLMN", range(2, 26, 2), strict=True))
    assert TABLES.ply_load_range[10] == "E"


def noise_limit_db(
    tire_class: str, width_mm: float, *, snow: bool = False, extra: bool = False, use: str = ""
) -> float:
    """The limit of a tire by the rows of the table; extras are not added up."""
    with (rules_folder() / "tables" / "eu_noise_limit.csv").open(encoding="utf-8", newline="") as file:
        (row,) = (
            row
            for row in csv.DictReader(file)
            if (row["tire_class"], row["use"]) == (tire_class, use or "normal")
            and float(row["width_over_mm"]) < width_mm <= float(row["width_up_to_mm"] or inf)
        )
    more = (snow * float(row["snow_extra_db"]), extra * float(row["extra_load_extra_db"]))
    return float(row["limit_db"]) + max(more)


def test_allowances_of_noise_limits() -> None:
    """(EC) 661/2009 Annex II C: C1 one for snow, extra load, or both; those of C2 and C3 from memory of it."""
    with (rules_folder() / "tables" / "eu_noise_limit.csv").open(encoding="utf-8", newline="") as file:
        allowed = {
            (row["tire_class"], row["use"]): (int(row["snow_extra_db"]), int(row["extra_load_extra_db"]))
            for row in csv.DictReader(file)
        }
    assert allowed == {
        ("C1", "normal"): (1, 1),
        ("C2", "normal"): (1, 0),
        ("C2", "traction"): (2, 0),
        ("C3", "normal"): (1, 0),
        ("C3", "traction"): (1, 0),
    }


@pytest.mark.parametrize(
    ("width_mm", "limit_db"),
    [(165, 70), (185, 70), (195, 71), (215, 71), (225, 71), (245, 71), (255, 72), (275, 72), (285, 74)],
)
def test_noise_limits_of_c1_by_width(width_mm: float, limit_db: float) -> None:
    # Regulation (EC) No 661/2009, Annex II, Part C, 1.
    assert noise_limit_db("C1", width_mm) == limit_db


def test_noise_extras_are_not_added_up() -> None:
    # Regulation (EC) No 661/2009, Annex II, Part C, 1: 1 dB for snow, extra load, or both.
    assert noise_limit_db("C1", 225, snow=True, extra=True) == 72
    assert noise_limit_db("C2", 215) == 72
    assert noise_limit_db("C3", 315, use="traction") == 75


@pytest.mark.parametrize(
    ("width_mm", "extra_load", "level_db", "noise_class"),
    [(235, True, 72, "B"), (325, True, 73, "B"), (235, False, 69, "B")],
)
def test_noise_limits_fit_real_label_rows(width_mm: float, extra_load: bool, level_db: float, noise_class: str) -> None:
    # Label rows of 235/65R17 XL, 325/25ZR21 XL and 235/75R15; B reaches to 3 dB below LV: from memory of
    # Regulation (EU) 2020/740.
    limit = noise_limit_db("C1", width_mm, extra=extra_load)
    assert noise_class == "B"
    assert limit - 3 < level_db <= limit
