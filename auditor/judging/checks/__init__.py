"""The few rules that are no plain comparisons.  Each is one function over a vocabulary, named by the rule book."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from auditor.judging.checks import (
    descriptions,
    gradings,
    identities,
    labels,
    loads,
    markings,
    plausibility,
    pressures,
    seasons,
    sizes,
    texts,
    usual_figures,
)
from auditor.judging.failures import Collector
from auditor.rulebook.rule import Rule

Check = Callable[[Rule, Any, Collector], None]

# Checks that say nothing, and leave nothing untold, where no cell and no text states any field of their rule.
OF_STATED = frozenset(
    {"load_unverified", "speed_unverified", "load_implausible", "descriptions_mixed", "strength_on_passenger",
     "standard_load_on_light_truck", "width_mismatch", "overall_diameter_off", "rim_width_out_of_range",
     "pressure_not_permitted", "pressure_unlike_load_range", "grade_invalid", "grade_contradicted",
     "grade_not_applicable", "tire_class_mismatch", "noise_class_mismatch", "tread_depth_implausible",
     "weight_implausible", "revolutions_unlike_diameter", "dual_load_unlike_single", "size_cells_swapped",
     "plies_for_load_range", "pressure_impossible", "diameter_within_rim"}
)  # fmt: skip
CHECKS: dict[str, Check] = {
    **markings.CHECKS,
    **loads.CHECKS,
    **descriptions.CHECKS,
    **plausibility.CHECKS,
    **sizes.CHECKS,
    **pressures.CHECKS,
    **gradings.CHECKS,
    **seasons.CHECKS,
    **labels.CHECKS,
    **identities.CHECKS,
    **texts.CHECKS,
    **usual_figures.CHECKS,
}
