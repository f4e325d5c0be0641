"""Clauses that the sentences of some checks need beyond the values of a listing.

Each names what it is made of, so that a feed's clauses are made once per distinct combination of just that.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import NamedTuple

from auditor.trade.units import MM_PER_INCH, unit_of


class Detail(NamedTuple):
    """A clause, and what it is made of: facts, or pieces of the finding.

    The pieces are the field that the value speaks about (`about`), the texts `derived` (a bare number or code), `shown`
    (the same with its unit), `stated`, `load_index`, and the names of the statements that `differ`.
    """

    needs: tuple[str, ...]
    make: Callable[..., str]


def _envelope_detail(about: str, special_use: float, *limits: float) -> str:
    low, high = limits[2:] if special_use == 1.0 else limits[:2]
    if unit_of(about) == "in":
        return f"the standard allows {low / MM_PER_INCH:.1f} to {high / MM_PER_INCH:.1f} in"
    return f"the standard allows {low:.0f} to {high:.0f} mm"


def _width_detail(about: str) -> str:
    if about.startswith("measured"):
        return ", and a width as measured lies between 5 % below and 8 % above it"
    return ""


def _rim_width_detail() -> str:
    return "the smallest, measuring and largest rim widths do not fit each other or the section width"


def _grade_detail(about: str) -> str:
    return {
        "treadwear": "treadwear comes in steps of 20",
        "traction": "traction is AA, A, B or C",
        "temperature": "temperature is A, B or C",
    }.get(about, "no such grade exists")


def _ungraded_detail(rim_in: float) -> str:
    if rim_in <= 12.0:
        return "tires for rims of 12 inches or less are exempt"
    return "only passenger car tires are graded"


def _label_detail(about: str) -> str:
    return "the classes are A to C" if about == "noise_class" else "the classes are A to E"


def _snow_detail(about: str, derived: str) -> str:
    if about == "season":
        return "the listing also states the three-peak mountain snowflake"
    mark = "three-peak mountain snowflake" if about == "severe_snow" else "M+S mark"
    return (
        f"another statement of the listing says that it {'bears' if derived == 'yes' else 'does not bear'} the {mark}"
    )


def _noise_detail() -> str:
    return "the stated noise value"


def _gtin_detail(stated: str) -> str:
    digits = stated.strip()
    if digits.isdecimal() and len(digits) in (8, 12, 13, 14):
        return "its last digit does not fit the others"
    return "it has to have 8, 12, 13 or 14 digits and a fitting last one"


def _dual_detail(derived: str, shown: str, load_index: str) -> str:
    if derived:
        return f"the single value is only {shown}"
    return f"load index {load_index} has the dual index above the single one"


def _pressure_detail(about: str) -> str:
    if unit_of(about) == "psi":
        return "32, 35, 36, 40, 41, 44, 49, 50, 51 or 60 psi are usual"
    return "220, 240, 250, 280, 300, 340, 350 or 420 kPa are usual"


def _contradicted_detail(differ: tuple[str, ...]) -> str:
    return f"at least two other statements of the listing ({', '.join(differ)}) agree on something else"


_ENVELOPE = (
    "special_use",
    "diameter_min_mm",
    "diameter_max_mm",
    "diameter_special_min_mm",
    "diameter_special_max_mm",
)
DETAILS: dict[str, Detail] = {
    "overall-diameter-off": Detail(("about", *_ENVELOPE), _envelope_detail),
    "width-mismatch": Detail(("about",), _width_detail),
    "rim-width-out-of-range": Detail((), _rim_width_detail),
    "grade-invalid": Detail(("about",), _grade_detail),
    "grade-not-applicable": Detail(("rim_diameter_in",), _ungraded_detail),
    "label-class-invalid": Detail(("about",), _label_detail),
    "snow-mark-contradicted": Detail(("about", "derived"), _snow_detail),
    "noise-class-mismatch": Detail((), _noise_detail),
    "gtin-check-digit": Detail(("stated",), _gtin_detail),
    "dual-load-above-single": Detail(("derived", "shown", "load_index"), _dual_detail),
    "pressure-not-permitted": Detail(("about",), _pressure_detail),
    "marking-contradicted": Detail(("differ",), _contradicted_detail),
}
