"""Loads of single and dual mounting that stand together: "Load capacity (single / dual): 1,215 kg / 1,150 kg".

Two names and two figures go by their order, whatever mark joins them.  They become one item with two numbers, that of
single mounting first.
"""

from __future__ import annotations

from collections.abc import Sequence

from auditor.claims.terms.items import LOAD_UNITS, Item

JOINED = "joined"  # the role of such an item
_MOUNTINGS = frozenset({"single", "dual"})
_UNITS = frozenset(LOAD_UNITS)
_JOINING_MARKS, _JOINING = frozenset("/-|+,;"), frozenset({"and", "or"})
_LED_BY_MARKS = frozenset("():=")
_MOST_BETWEEN = 6  # items between names and figures
_FIGURES = frozenset({"number", "pair", "range"})


def with_joined_loads(items: list[Item]) -> list[Item]:
    """Items with the loads of single and dual mounting, whose names stand together, as one item."""
    named = [at for at, item in enumerate(items) if item.roles & _MOUNTINGS]
    if len(named) != 2 or (order := _order(items, *named)) is None:
        return items
    before = range(named[1] + 1, min(named[1] + 1 + _MOST_BETWEEN, len(items)))
    first = next((at for at in before if items[at].numbers), -1)
    if first < 0 or not all(_leads(items[at]) for at in range(named[1] + 1, first)):
        first = _first_of_figures(items, named[0])
    joined = _joined(items, first, order) if first >= 0 else None
    if joined is None:
        return items
    return [*items[:first], joined, *(item for item in items[first + 1 :] if item.first > joined.last)]


def _order(items: Sequence[Item], first: int, second: int) -> int | None:
    """1 where single is named before dual, -1 where dual is; None where the names do not stand together."""
    names = [items[at].roles & _MOUNTINGS for at in (first, second)]
    joined = second - first == 2 and _joins(items[first + 1])
    if not joined or any(len(name) != 1 for name in names) or names[0] == names[1]:
        return None
    return 1 if "single" in names[0] else -1


def _joins(item: Item) -> bool:
    return item.text in _JOINING_MARKS or bool(item.roles & _JOINING)


def _leads(item: Item) -> bool:
    """Whether an item may stand between names and their figures."""
    return item.text in _LED_BY_MARKS or bool(item.roles & ({"is", "max", "load", "each", "at"} | _UNITS))


def _first_of_figures(items: Sequence[Item], names: int) -> int:
    """Where figures begin that end, with their unit, before names; -1 for none."""
    at = names - 1
    while at > 0 and (items[at].text in ("(", ",", ":") or items[at].roles & {"is", "load", "prep"}):
        at -= 1
    if at < 1 or not items[at].roles & _UNITS:
        return -1
    for first in range(at - 1, max(at - 5, -1), -1):
        if items[first].kind in ("pair", "range"):
            return first
        if items[first].kind == "number" and first != at - 1:
            return first
    return -1


def _joined(items: Sequence[Item], first: int, order: int) -> Item | None:
    """Two figures as one item; None where there are not two, of one unit."""
    item = items[first]
    if item.kind not in _FIGURES or not item.numbers:
        return None
    last, numbers = first, item.numbers
    if len(numbers) == 1:
        last = first + 1
        unit = items[last].roles & _UNITS if last < len(items) else frozenset()
        last += 1 if unit else 0
        second = items[last + 1] if last + 1 < len(items) and _joins(items[last]) else None
        if second is None or second.kind != "number" or len(second.numbers) != 1:
            return None
        last += 1
        numbers += second.numbers
        of_second = items[last + 1].roles & _UNITS if last + 1 < len(items) else frozenset()
        if unit and unit != of_second:
            return None
    if len(numbers) != 2:
        return None
    text = "/".join(one.text for one in items[first : last + 1] if one.numbers)
    joined = Item("pair", item.first, items[last].last, text.replace("-", "/"), item.roles | {JOINED}, numbers[::order])
    joined.halves = item.halves
    return joined
