"""Titles and sales texts in which brand, model, marking, season, figures and phrases come in any order and number.

Hardly two texts are alike, and none repeats another's sentence with its figures, as in a catalog that many hands wrote.
All that they say of a tire is right.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import pyarrow as pa
import pyarrow.compute as pc

from tests.benchmarks.markings import INDEX_KG, INDICES, Ints, MarkingTable
from tests.benchmarks.planted import SPEEDS_KMH
from tests.benchmarks.tables import LB_PER_KG, MPH_PER_KMH

_JOINTS = (" ", " ", " ", " - ", ", ", " | ")
_SEASON_WORDS = {
    "summer": ("Summer", "Summer Tire", "summer tread", "for summer"),
    "all-season": ("All-Season", "All Season Tire", "all-season tread", "for all seasons"),
}
_PHRASES = (
    *("New", "Radial", "Tubeless", "Black Sidewall", "Outlined White Letters", "Free Shipping", "In Stock"),
    *("Highway", "Touring", "Performance", "Quiet Ride", "Long Mileage", "Wet Grip", "Fuel Saver", "Best Seller"),
    *("Comfort", "Premium", "Value", "Made to last", "Factory fresh", "Rim protector", "Directional", "Asymmetric"),
    *("For SUV", "For sedans", "For vans", "Open shoulder", "Deep tread", "Sport", "Eco", "Economy", "Clearance"),
)
_FIGURES = (  # of one marking each
    "Size {size}.",
    "Marked {marking}.",
    "Carries up to {kg:,.0f} kg ({lb:,.0f} lb) per tire.",
    "Maximum load {lb:,.0f} lbs.",
    "Load index {index}, good for {kg:.0f} kg.",
    "Top speed {mph:.0f} mph.",
    "Rated for speeds up to {kmh:.0f} km/h.",
    "It fits a {rim} inch rim.",
)
_WHO = (  # brand and model, or one of them
    ("", "brand", " ", "model", ""),
    ("The ", "model", ""),
    ("This ", "brand", " tire"),
    ("The ", "model", " by ", "brand", ""),
    ("", "model", ", a ", "brand", " tire,"),
    ("Our ", "model", ""),
)
_DOES = (
    *("grips wet roads well", "wears evenly", "runs quietly", "clears water fast", "saves fuel", "steers precisely"),
    *("brakes in a short distance", "stays calm in crosswinds", "shrugs off gravel", "rides softly"),
    *("holds its line in bends", "copes with heat", "forgives rough ramps", "keeps its shape", "lasts and lasts"),
)
_THANKS = (
    *("thanks to wide grooves", "thanks to a stiff belt", "thanks to a silica compound", "thanks to its sturdy bead"),
    *("with its open shoulder blocks", "with a closed center rib", "by its even footprint", "with fine sipes"),
    *("for many miles", "on every trip", "in town and out of it", "whatever the load", "day after day", "all year"),
)


class FreeTexts:
    """The tables of sentences of one feed, and texts put together from them for records."""

    def __init__(self, table: MarkingTable) -> None:
        self._markings = pa.array([*table.text, *map(_spaced, table.text), *table.size])
        self._count = len(table)
        self._figures = pa.array(_sentences(table))

    def title(self, row: Ints, marking: Ints, brand: pa.Array, model: pa.Array, season: pa.Array) -> pa.Array:
        """Some of the parts, in an order of their own, joined by signs that differ, too."""
        form = scatter(row, 21) % 3  # whole, with blanks, or the size alone
        parts = [
            brand,
            self._markings.take(pa.array(form * self._count + marking)),
            _left_out(model, scatter(row, 22) % 5 == 0),
            _left_out(_season(row, season), scatter(row, 23) % 2 == 0),
            _left_out(_pick(_PHRASES, row, 24), scatter(row, 25) % 4 == 0),
            _left_out(_pick(_PHRASES, row, 26), scatter(row, 27) % 2 == 0),
        ]
        joints = [_pick(_JOINTS, row, 30 + slot) for slot in range(len(parts))]
        return _joined(_shuffled(parts, row, 28), joints)

    def description(self, row: Ints, marking: Ints, brand: pa.Array, model: pa.Array) -> pa.Array:
        """Sentences of figures and of praise in any order."""
        parts = [_praise(row, brand, model, salt) for salt in (41, 51, 61)]
        for salt in (71, 73, 75):
            which = scatter(row, salt) % len(_FIGURES)
            sentence = self._figures.take(pa.array(which * self._count + marking))
            parts.append(_left_out(sentence, scatter(row, salt + 1) % 3 == 0))
        return _joined(_shuffled(parts, row, 80), [pa.repeat(" ", len(row))] * len(parts))


def scatter(row: Ints, salt: int) -> Ints:
    """A number per record that looks unrelated to its neighbors' and to those of other salts."""
    mixed = (row.astype(np.uint64) + np.uint64(salt * 7919)) * np.uint64(0x9E3779B97F4A7C15)
    mixed = (mixed ^ (mixed >> np.uint64(32))) * np.uint64(0xD6E8FEB86659FD93)
    return (mixed >> np.uint64(33)).astype(np.int64)


def _spaced(text: str) -> str:
    """`225/65R17 102H` -> `225/65 R17 102H`, as many shops write it."""
    size, _, rest = text.partition(" ")
    return f"{size.replace('R', ' R', 1)} {rest}"


def _sentences(table: MarkingTable) -> list[str]:
    """Every sentence of figures for every marking: all of the first sentence, then all of the second, and so on."""
    kg, kmh = INDEX_KG[table.load].astype(float), SPEEDS_KMH[table.symbol].astype(float)
    columns = zip(
        table.size, table.text, kg.tolist(), kmh.tolist(), INDICES[table.load].tolist(), table.rim_in.tolist(),
        strict=True,
    )  # fmt: skip
    facts = [
        {"size": size, "marking": text, "kg": k, "lb": k * LB_PER_KG, "kmh": v, "mph": v * MPH_PER_KMH, "index": index,
         "rim": rim}
        for size, text, k, v, index, rim in columns
    ]  # fmt: skip
    return [sentence.format(**one) for sentence in _FIGURES for one in facts]


def _pick(texts: Sequence[str], row: Ints, salt: int) -> pa.Array:
    return pa.array(texts, pa.string()).take(pa.array(scatter(row, salt) % len(texts)))


def _left_out(texts: pa.Array, where: np.ndarray[tuple[int], np.dtype[np.bool_]]) -> pa.Array:
    return pc.if_else(pa.array(where), "", texts)


def _season(row: Ints, season: pa.Array) -> pa.Array:
    summer, other = (_pick(words, row, 29) for words in _SEASON_WORDS.values())
    return pc.if_else(pc.equal(season, "summer"), summer, other)


def _praise(row: Ints, brand: pa.Array, model: pa.Array, salt: int) -> pa.Array:
    """`The Kestrane Touring by Orlavik runs quietly thanks to a stiff belt.`"""
    named = {"brand": brand, "model": model}
    forms = [pc.binary_join_element_wise(*(named.get(piece, piece) for piece in form), "") for form in _WHO]
    who = pc.choose(pa.array(scatter(row, salt) % len(_WHO)), *forms)
    return pc.binary_join_element_wise(
        pc.binary_join_element_wise(who, _pick(_DOES, row, salt + 1), _pick(_THANKS, row, salt + 2), " "), ".", ""
    )


def _shuffled(parts: Sequence[pa.Array], row: Ints, salt: int) -> list[pa.Array]:
    """The parts of each record in an order of its own."""
    order = np.argsort([scatter(row, salt + place) for place in range(len(parts))], axis=0)
    return [pc.choose(pa.array(places), *parts) for places in order]


def _joined(parts: Sequence[pa.Array], joints: Sequence[pa.Array]) -> pa.Array:
    """The parts that are there, with a joint between each two."""
    text = parts[0]
    for part, joint in zip(parts[1:], joints, strict=False):
        between = pc.if_else(pc.or_(pc.equal(text, ""), pc.equal(part, "")), "", joint)
        text = pc.binary_join_element_wise(text, between, part, "")
    return text
