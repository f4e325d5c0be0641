"""Words of load versions, without blanks and signs."""

from __future__ import annotations

VERSIONS = {
    "sl": "SL", "std": "SL", "standard": "SL", "standardload": "SL", "normal": "SL", "normalload": "SL",
    "xl": "XL", "el": "XL", "rf": "XL", "reinf": "XL", "reinforced": "XL", "extraload": "XL", "extra": "XL",
    "verstärkt": "XL", "renforcé": "XL", "renforce": "XL", "reforzado": "XL", "rinforzato": "XL",
    "wzmocniona": "XL", "hl": "HL", "highload": "HL", "ll": "LL", "lightload": "LL",
}  # fmt: skip
TWO_WORD_VERSIONS = (("extra load", "xl"), ("standard load", "sl"), ("light load", "ll"), ("high load", "hl"))
