"""Texts that differ in their digits only claim the same things: each such shape is read once, its numbers as arrays.

Shapes are those of `auditor.columns.digit_shapes`. What the reader does with the text of a shape depends further on
the sizes of some numbers ("60 mph" is a road's speed, "130 mph" a tire's), so a shape has one reading per combination
of such number classes.
"""

from __future__ import annotations

from collections.abc import Callable
from math import nan
from typing import Any, NamedTuple

import numpy as np
import numpy.typing as npt

from auditor.claims.claimed_letters import HIGHEST_INDEX
from auditor.claims.claimed_quantities import BARE_FROM, LIGHTEST_KG, PLIES, WEAK_FROM
from auditor.claims.claimed_values import WHOLE
from auditor.claims.find import find_claims
from auditor.claims.tokens import Token, decimals_of, tokens_of
from auditor.quantities.cell_values import code_or_number
from auditor.trade.tables import Tables
from auditor.trade.units import KG_PER_LB

_MOST_NUMBERS = 30  # in one text; with more, combinations of their classes do not fit a number
_KINDS = 4  # classes per number at most
_POWERS = 10.0 ** np.arange(20)


class Part(NamedTuple):
    """One claim of a shape; positions are bytes from the beginning of the text."""

    field: str
    order: int  # among the claims of the text
    value: float  # of a code or number word; NaN where `digits` or `whole` say more
    half_step: float
    open_ended: bool
    start: int  # the claim's words; for `whole` claims the text to decode
    end: int
    digits: tuple[int, ...]  # places of the digits of the value
    decimals: int
    whole: bool


class Number(NamedTuple):
    """A number whose size may decide what is claimed."""

    unit: str
    digits: tuple[int, ...]
    decimals: int


def numbers_at(rows: Callable[[tuple[int, ...]], npt.NDArray[Any]], digits: tuple[int, ...], decimals: int) -> Any:
    """The numbers of the texts of one shape; `rows(places)` gives their characters there, texts x places."""
    whole = (rows(digits) - np.uint8(48)).astype(np.float64) @ _POWERS[len(digits) - 1 :: -1][: len(digits)]
    return whole / 10.0**decimals if decimals else whole


class Shape:
    """How the texts of one shape are read."""

    __slots__ = ("numbers", "one_by_one", "parts")

    def __init__(self, text: str) -> None:
        """`text` is any text of the shape."""
        tokens = tokens_of(text)
        self.numbers = tuple(number for token in tokens for number in _numbers(token, text))
        two_sizes = sum(token.kind == "size" for token in tokens) > 1  # whether they are equal decides
        self.one_by_one = two_sizes or len(self.numbers) > _MOST_NUMBERS
        self.parts: dict[int, tuple[Part, ...]] = {}

    def classes(self, rows: Callable[[tuple[int, ...]], npt.NDArray[Any]], count: int) -> npt.NDArray[np.int64]:
        """For each text the combination of the classes of its numbers."""
        result = np.zeros(count, dtype=np.int64)
        for number in self.numbers:
            values = numbers_at(rows, number.digits, number.decimals)
            result = result * _KINDS + _class_of(number.unit, values)
        return result


def _class_of(unit: str, values: npt.NDArray[np.float64]) -> Any:
    """What the readers of claims ask about a number, as 0 to 3."""
    if unit in ("lb", "kg"):
        return values * (KG_PER_LB if unit == "lb" else 1.0) < LIGHTEST_KG
    if unit in BARE_FROM:
        return (values >= WEAK_FROM[unit]).astype(np.int64) + (values >= BARE_FROM[unit])
    plies = np.isin(values, np.array(PLIES, dtype=np.float64))
    return plies if unit == "ply" else plies + 2 * (values > HIGHEST_INDEX)


def _numbers(token: Token, text: str) -> list[Number]:
    if token.kind == "quantity" and token.unit in ("lb", "kg", "ply", *BARE_FROM):
        return [_number(token.unit, text, token.start, token.start + token.length)]
    if token.kind != "number":
        return []
    found, start = [], token.start
    for piece in token.text.split("/"):
        if piece.strip().isdecimal():
            found.append(_number("", text, start, start + len(piece)))
        start += len(piece) + 1
    return found


def _number(unit: str, text: str, start: int, end: int) -> Number:
    return Number(unit, _digit_places(text, start, end), decimals_of(text[start:end].strip()))


def _digit_places(text: str, start: int, end: int) -> tuple[int, ...]:
    first = len(text[:start].encode())
    characters = text[start:end].encode()
    return tuple(first + position for position, byte in enumerate(characters) if 48 <= byte < 58)


def parts_of(text: str, tables: Tables) -> tuple[Part, ...]:
    """The claims of one text or piece of a text, with places in bytes; several seasons are left to who has it all."""
    plain = text.isascii()
    parts = []
    for order, found in enumerate(find_claims(text, one_season=False)):
        whole = found.field in WHOLE
        start, end = (found.from_, found.upto) if whole else (found.start, found.end)
        digits: tuple[int, ...] = ()
        decimals = 0
        value = nan
        if not whole:
            value = code_or_number(found.field, found.value, tables)
            if found.from_ >= 0:
                digits = _digit_places(text, found.from_, found.upto)
                decimals = decimals_of(text[found.from_ : found.upto])
        if not plain:
            start, end = len(text[:start].encode()), len(text[:end].encode())
        parts.append(
            Part(found.field, order, value, found.half_step, found.open_ended, start, end, digits, decimals, whole)
        )
    return tuple(parts)
