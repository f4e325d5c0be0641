"""Where a rule applies: the families and suppliers that it and the policy name, over rows of facts."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np
import numpy.typing as npt

from auditor.across.item_numbers import supplier_numbers
from auditor.rulebook.rule import Rule, Selector
from auditor.trade.family import FAMILIES


def is_narrowed(rule: Rule) -> bool:
    """Whether a rule leaves out some families, suppliers or what a policy names."""
    return bool(rule.families or rule.not_families or rule.off_for or rule.only_for)


def in_scope(rule: Rule, base: npt.NDArray[Any]) -> npt.NDArray[np.bool_]:
    """For rows of facts.ROW, where a rule applies by family, supplier and policy."""
    inside = np.ones(len(base), dtype=np.bool_)
    if rule.families:
        inside &= _of_families(rule.families, base)
    if rule.not_families:
        inside &= ~_of_families(rule.not_families, base)
    for selector in rule.off_for:
        if selector.suppliers or selector.families:
            inside &= ~_selected(selector, base)
    if rule.only_for:
        inside &= np.logical_or.reduce([_selected(selector, base) for selector in rule.only_for])
    return inside


def _selected(selector: Selector, base: npt.NDArray[Any]) -> npt.NDArray[np.bool_]:
    hit = np.ones(len(base), dtype=np.bool_)
    if selector.suppliers:
        hit &= np.isin(base["supplier"], supplier_numbers(selector.suppliers))
    if selector.families:
        hit &= _of_families(selector.families, base)
    return hit


def _of_families(families: Sequence[str], base: npt.NDArray[Any]) -> npt.NDArray[np.bool_]:
    return np.isin(base["mark"]["family"], [FAMILIES.index(family) for family in families])
