"""The question that the auditor and its rivals all answer, and the small tables they share.

Question: in which cells does one of seven stated values differ from the marking by more than `TOL`?  A blank
or unreadable value on either side gives no answer.  The patterns are valid for Python's `re`, RE2 and Rust's
regex, so that every rival reads markings alike.

The load index and speed symbol values are those of UN Regulation No. 30, Annexes 4 and 1 (from memory of it).
"""

from __future__ import annotations

_FROM_60_TO_130 = """
250 257 265 272 280 290 300 307 315 325 335 345 355 365 375 387 400 412 425 437
450 462 475 487 500 515 530 545 560 580 600 615 630 650 670 690 710 730 750 775
800 825 850 875 900 925 950 975 1000 1030 1060 1090 1120 1150 1180 1215 1250 1285 1320 1360
1400 1450 1500 1550 1600 1650 1700 1750 1800 1850 1900
"""

LOAD_KG: dict[int, int] = {60 + i: int(kg) for i, kg in enumerate(_FROM_60_TO_130.split())}
SPEED_KMH: dict[str, int] = {
    "F": 80,
    "G": 90,
    "J": 100,
    "K": 110,
    "L": 120,
    "M": 130,
    "N": 140,
    "P": 150,
    "Q": 160,
    "R": 170,
    "S": 180,
    "T": 190,
    "U": 200,
    "H": 210,
    "V": 240,
    "W": 270,
    "Y": 300,
}
LB_PER_KG = 1 / 0.45359237
MPH_PER_KMH = 1 / 1.609344
MM_PER_INCH = 25.4

# Largest difference that is still agreement, in the field's own unit.
TOL: dict[str, float] = {
    "max_load_kg": 1.0,
    "max_load_lb": 6.0,
    "max_speed_kmh": 1.0,
    "max_speed_mph": 1.0,
    "section_width_mm": 1.0,
    "aspect_ratio": 0.01,
    "rim_diameter_in": 0.01,
}
FIELDS: tuple[str, ...] = tuple(TOL)
COLUMNS: tuple[str, ...] = ("marking", *FIELDS)

_RIM = r"(?:Z?R|D|B|-)(?P<r>\d{2}(?:\.5)?)"
_SERVICE = r"(?P<li>\d{2,3})(?:/\d{2,3})?(?P<sp>[A-Y])(?: (?:[A-N]|XL|SL))?"
METRIC = rf"^(?:P|LT|ST)?(?P<w>\d{{3}})/(?P<a>\d{{2,3}}){_RIM}(?:C|LT)? {_SERVICE}$"
FLOTATION = rf"^(?P<od>\d{{2}})[xX](?P<wi>\d{{1,2}}\.\d{{1,2}}){_RIM}(?:LT)? {_SERVICE}$"
METRIC_GROUPS = ("w", "a", "r", "li", "sp")
FLOTATION_GROUPS = ("od", "wi", "r", "li", "sp")
NUMBER = r"^\s*(\d[\d,]*(?:\.\d+)?)\s*[a-zA-Z/%]*\s*$"
