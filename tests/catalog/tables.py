"""The few published tables the catalog needs, entered here on their own.

Load index: one decade (108 = 1,000 kg to 187 = 9,750 kg) as printed in UN Regulations No. 30 and No. 54,
Annex 4; the rest is ten times every 80 indices, cut to a tenth under 100 kg and to a whole kilogram under
1,000 kg.
Speed symbols and rim codes in mm: the tables of UN Regulations No. 30 and No. 54, from memory of the paragraphs.
"""

from __future__ import annotations

import math

KG_PER_LB = 0.45359237
KM_PER_MILE = 1.609344
KPA_PER_PSI = 6.894757

# fmt: off
_DECADE = (
    1000, 1030, 1060, 1090, 1120, 1150, 1180, 1215, 1250, 1285,
    1320, 1360, 1400, 1450, 1500, 1550, 1600, 1650, 1700, 1750,
    1800, 1850, 1900, 1950, 2000, 2060, 2120, 2180, 2240, 2300,
    2360, 2430, 2500, 2575, 2650, 2725, 2800, 2900, 3000, 3075,
    3150, 3250, 3350, 3450, 3550, 3650, 3750, 3875, 4000, 4125,
    4250, 4375, 4500, 4625, 4750, 4875, 5000, 5150, 5300, 5450,
    5600, 5800, 6000, 6150, 6300, 6500, 6700, 6900, 7100, 7300,
    7500, 7750, 8000, 8250, 8500, 8750, 9000, 9250, 9500, 9750,
)
# fmt: on


def load_kg(index: int) -> float:
    """The load in kg of a load index 0-279."""
    row = index - 108
    value = _DECADE[row % 80] * 10.0 ** (row // 80)
    if value < 100:
        return math.floor(value * 10 + 1e-6) / 10
    if value < 1000:
        return float(math.floor(value + 1e-6))
    return value


SPEED_KMH: dict[str, int] = {f"A{n}": 5 * n for n in range(1, 9)} | {
    "B": 50, "C": 60, "D": 65, "E": 70, "F": 80, "G": 90, "J": 100, "K": 110, "L": 120, "M": 130, "N": 140,
    "P": 150, "Q": 160, "R": 170, "S": 180, "T": 190, "U": 200, "H": 210, "V": 240, "W": 270, "Y": 300,
}  # fmt: skip
SYMBOLS = tuple(SPEED_KMH)

RIM_MM: dict[float, int] = {
    10: 254, 12: 305, 13: 330, 14: 356, 15: 381, 16: 406, 17: 432, 18: 457, 19: 483, 20: 508, 21: 533,
    22: 559,
    23: 584, 24: 610, 14.5: 368, 16.5: 419, 17.5: 445, 19.5: 495, 22.5: 572, 24.5: 622,
}  # fmt: skip


def rim_mm(code: float) -> int:
    """Diameter in mm of a rim code in inches."""
    return RIM_MM.get(code, round(25.4 * code))


PLY_OF_RANGE = {
    "A": 2, "B": 4, "C": 6, "D": 8, "E": 10, "F": 12, "G": 14, "H": 16, "J": 18, "L": 20, "M": 22, "N": 24,
}  # fmt: skip
RANGES = tuple(PLY_OF_RANGE)

# Maximum pressures as catalogs print them for passenger tires, psi with kPa (49 CFR 571.139 S5.5.4 rounds
# psi upwards).
PASSENGER_PRESSURES = ((32, 220), (35, 240), (36, 250), (41, 280), (44, 300), (50, 340), (51, 350))
PRESSURE_KPA = {
    35: 240, 50: 350, 60: 420, 65: 450, 80: 550, 95: 650, 100: 690, 105: 720, 110: 760, 115: 790,
    120: 830, 123: 850, 125: 860, 130: 900,
}  # fmt: skip


def to_lb(kg: float) -> int:
    """Whole pounds of a load in kg."""
    return round(kg / KG_PER_LB)


def to_mph(kmh: float) -> int:
    """Whole miles per hour of a speed in km/h."""
    return round(kmh / KM_PER_MILE)


def noise_limit(tire_class: str, width_mm: float, extra: bool) -> int:
    """Limit in dB of rolling noise: Regulation (EC) 661/2009, Annex II part C (C2 and C3: normal use)."""
    if tire_class != "C1":
        return {"C2": 72, "C3": 73}[tire_class]
    for upper, limit in ((185, 70), (215, 71), (245, 71), (275, 72)):
        if width_mm <= upper:
            return limit + extra
    return 74 + extra


def check_digit(digits: str) -> str:
    """The GS1 check digit that follows `digits` (GS1 General Specifications, section 7.9)."""
    total = sum(int(digit) * (3 if position % 2 == 0 else 1) for position, digit in enumerate(reversed(digits)))
    return str(-total % 10)
