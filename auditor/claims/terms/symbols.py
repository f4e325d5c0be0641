"""Speed symbols of one letter, by how fast they are; the slow ones are letters of load ranges as well."""

from __future__ import annotations

SYMBOLS = frozenset("BCDEFGHJKLMNPQRSTUVWY")
NO_LABEL_CLASSES = SYMBOLS - frozenset("BC")  # B and C are classes of labels first
FROM_80_KMH = SYMBOLS - frozenset("BCDE")
FROM_150_KMH = frozenset("PQRSTUVWY")
OF_CARS = FROM_150_KMH | {"H"}  # which is a load range first
SLOW_RANGES = frozenset("BCDEFG")  # letters that alone are load ranges rather than symbols
