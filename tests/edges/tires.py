"""One tire of each family, with the values around which its ladders are finest."""

from __future__ import annotations

from dataclasses import dataclass

KG_PER_LB, KMH_PER_MPH, MM_PER_INCH = 0.45359237, 1.609344, 25.4


@dataclass(frozen=True, slots=True)
class Tire:
    """A marking, and the values around which its ladders are finest."""

    marking: str
    load_kg: float
    dual_kg: float
    speed_kmh: float
    width_mm: float
    aspect: float
    rim_in: float
    diameter_mm: float


TIRES = (
    Tire("225/65R17 102H", 850, 0, 210, 225, 65, 17, 724),
    Tire("P205/75R15 97T", 730, 0, 190, 205, 75, 15, 689),
    Tire("LT265/70R17 121/118S E", 1450, 1320, 180, 265, 70, 17, 804),
    Tire("31x10.50R15LT 109S C", 1030, 0, 180, 266.7, 0, 15, 787.4),
    Tire("215/65R16C 109/107T", 1030, 975, 190, 215, 65, 16, 686),
    Tire("ST225/75R15 117/112M E", 1285, 1120, 130, 225, 75, 15, 719),
    Tire("T145/70D17 106M", 950, 0, 130, 145, 70, 17, 636),
    Tire("315/80R22.5 156/150L", 4000, 3350, 120, 315, 80, 22.5, 1076),
    Tire("11R22.5 144/142L G", 2800, 2650, 120, 279.4, 0, 22.5, 0),
    Tire("7.50-16 LT 112/107N", 1120, 975, 140, 190.5, 0, 16, 0),
    Tire("120/70ZR17 M/C (58W)", 236, 0, 270, 120, 70, 17, 600),
    Tire("520/85R38 155A8/152B", 3875, 0, 40, 520, 85, 38, 1849),
    Tire("26.5R25 193B", 11500, 0, 50, 673.1, 0, 25, 0),
    Tire("220/55R390 88W", 560, 0, 270, 220, 55, 0, 0),
)
