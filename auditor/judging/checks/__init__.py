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
