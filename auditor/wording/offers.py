"""What an offer of one tire in place of another lacks, in words: the half sentences of the rules of substitutes."""

from __future__ import annotations

from typing import NamedTuple

from auditor.judging.vocabulary import scalars
from auditor.marking import decode
from auditor.substitution.comparison import compare
from auditor.substitution.limits import Limits
from auditor.substitution.offers import facts_of
from auditor.trade.tables import Tables
from auditor.wording.substitution import NOT_MARKED, PointWords, Question, Side, point_words, with_article

# How a point is told: what stands before what the new tire has, and before what the old one asks.
_TOLD = {
    "rim": ("is for rims of {new}", "is for rims of {old}"),
    "diameter": ("measures {new}", "measures {old}"),
    "kind": ("is {new}", "is {old}"),
    "load": ("has load index {new}", "has {old}"),
    "dual-load": ("has dual load index {new}", "has {old}"),
    "load-range": ("has load range {new}", "has {old}"),
    "load-version": ("is {new}", "is {old}"),
    "speed": ("has speed symbol {new}", "has {old}"),
}
THIS_TIRE = ("this tire (", ")")  # around its marking: how a listing's own tire is called
FAILS_IN, COMPARED_WITH = "in place of it fails: ", "; compared with "


class OfferWords(NamedTuple):
    """What one pair of markings lacks by one rule."""

    has: str  # the new tire
    asks: str  # the old one
    apart: str  # how far, where both sides do not say it
    failing: str  # all points that fail
    old: str
    new: str


def offer_words(old: str, new: str, rule: str, limits: Limits, tables: Tables) -> OfferWords:
    """What the tire marked `new` lacks in place of the one marked `old`, of what a rule asks."""
    sides = [Side(decode(text), facts_of(text, tables)) for text in (old, new)]
    outcomes = compare(scalars, sides[0].facts, sides[1].facts, limits)
    points = point_words(Question(sides[0], sides[1], outcomes, limits))
    failing = [point for point in points if point.outcome == "fails"]
    told = next(point for point in failing if limits.points[point.name].rule == rule)
    both = (with_article(told.old), with_article(told.new)) if told.name == "kind" else (told.old, told.new)
    has, asks = (part.format(old=both[0], new=both[1]) for part in _TOLD[told.name])
    if told.new == NOT_MARKED:
        has, asks = f"has no {told.name.replace('-load', ' load index')} marked", f"has {told.old}"
    return OfferWords(has, asks, _apart(told), ", ".join(point.name for point in failing), old, new)


def _apart(point: PointWords) -> str:
    """How far apart two diameters are; of other points both sides say it."""
    return f", {point.margins['percent']:+.1f} %" if "percent" in point.margins else ""


def and_more(number: int) -> str:
    """How many other entries of a cell lack something, too."""
    return f"; {number:,} more of its entries fall{'s' if number == 1 else ''} short" if number else ""


def detail(words: OfferWords, entry: str, replaces: bool, more: int) -> str:
    """The half sentence of one offer; `entry` is what the listing names, `replaces` that its own tire is the new one.

    `auditor.across.offer_hits` says the same over columns.
    """
    this = THIS_TIRE[0] + (words.new if replaces else words.old) + THIS_TIRE[1]
    first, second = (this, entry) if replaces else (entry, this)
    return f"{first} {words.has} and {second} {words.asks}{words.apart}{and_more(more)}"
