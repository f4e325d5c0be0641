"""Commercial van tires: C after the rim, CP for camping vehicles."""

from __future__ import annotations

from typing import TYPE_CHECKING

from auditor.trade.family import COMMERCIAL, COMMERCIAL_SPECIAL, Family
from auditor.trade.marking_model import ServiceDescription

if TYPE_CHECKING:  # what a family is can be told without reading sizes
    from auditor.marking.shape import Size

RANK = 90
STANDARD = "UN Regulation No. 54, paragraph 3.1; ETRTO Standards Manual for CP (from memory)."
EXAMPLES = (
    "215/65R16C 109/107T",
    "195/70R15C 8PR 104/102R",
    "195R15C 106/104R",
    "225/75R16CP 116R",
)
FAMILY = Family(
    diameter_by_formula=True,
    limits=COMMERCIAL,
    special_limits=COMMERCIAL_SPECIAL,
    carries_more_when_slower=True,
    two_descriptions=True,
    bare_load_range=True,
)


def claims(size: Size, service: ServiceDescription, letters: frozenset[str]) -> bool:
    """Whether a size with this service description and these letters belongs to the family."""
    return size.suffix in ("C", "CP") and size.shape in ("metric", "numeric-mm", "numeric-inch")
