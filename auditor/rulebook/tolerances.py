"""The tolerances of a policy by their names, and what each means in a unit: asked for every value that is compared."""

from __future__ import annotations

from typing import Any, NamedTuple

Amount = tuple[float, tuple[tuple[str, float], ...]]


class Share(NamedTuple):
    """A tolerance as a share of the value."""

    given: bool  # whether the tolerance is one
    usual: float
    by_family: tuple[tuple[str, float], ...]
    without_p: float  # for sizes that are sold without their P or LT


class Tolerances(dict[str, dict[str, Any]]):
    """The tables of a policy's tolerances; they do not change once read."""

    def __init__(self, tables: dict[str, dict[str, Any]]) -> None:
        super().__init__(tables)
        self._amounts: dict[tuple[str, str], Amount] = {}
        self._shares: dict[str, Share] = {}

    def amount(self, name: str, unit: str) -> Amount:
        """A tolerance as an amount in some unit: the usual one, and those of families that have their own."""
        found = self._amounts.get((name, unit))
        if found is None:
            values = self.get(name, {})
            by_family = tuple(values.get(f"{unit}_in", {}).items())
            found = self._amounts[name, unit] = float(values.get(unit, values.get("absolute", 0.0))), by_family
        return found

    def share(self, name: str) -> Share:
        """A tolerance as a share of the value."""
        found = self._shares.get(name)
        if found is None:
            values = self.get(name, {})
            given = values.get("percent")
            percent = float(given or 0.0)
            by_family = tuple((family, float(value) / 100.0) for family, value in values.get("percent_in", {}).items())
            without_p = float(values.get("percent_without_p", percent))
            found = self._shares[name] = Share(given is not None, percent / 100.0, by_family, without_p / 100.0)
        return found
