"""One edge: a number that judges, told by a listing that is just inside of it and one that is just outside."""

from __future__ import annotations

from dataclasses import dataclass

from tests.edges.paths import Found, Listing


@dataclass(frozen=True, slots=True)
class Edge:
    """A pair of listings, one on each side of a number; `key` names the number as its file or its rule does.

    In the listing, `{x}` stands for the value that differs.  `finds` is what the outside listing gets and the inside
    one does not; where `instead` is given, the inside one gets that.
    """

    key: str
    listing: Listing
    inside: str
    outside: str
    rule: str
    field: str
    grade: str = ""
    instead: tuple[str, str] = ("", "")  # rule and grade of the inside listing on that field

    def listings(self) -> tuple[Listing, Listing]:
        """The listing inside and the one outside."""
        return filled(self.listing, self.inside), filled(self.listing, self.outside)

    def faults(self, inside: list[Found], outside: list[Found]) -> list[str]:
        """What is wrong with the two answers, in words; empty where the edge stands where it should."""
        wrong = []
        if not any(self._is(one) for one in outside):
            wrong.append(f"{self.outside} should be found by {self.rule} ({self.grade or 'any'}): {_short(outside)}")
        if any(self._is(one) for one in inside):
            wrong.append(f"{self.inside} should not be found by {self.rule}: {_short(inside)}")
        rule, grade = self.instead
        if rule and not any((one.rule, one.grade, one.field) == (rule, grade, self.field) for one in inside):
            wrong.append(f"{self.inside} should be found by {rule} ({grade}): {_short(inside)}")
        return wrong

    def _is(self, one: Found) -> bool:
        return one.rule == self.rule and self.field in ("*", one.field) and self.grade in ("", one.grade)


def filled(listing: Listing, value: str) -> Listing:
    """The listing with the value in its place."""
    return {name: text.replace("{x}", value) for name, text in listing.items()}


def number(value: float) -> str:
    """A number as a cell holds it."""
    return f"{round(value, 6):.6f}".rstrip("0").rstrip(".")


def around(
    key: str,
    listing: Listing,
    at: float,
    rule: str,
    field: str,
    *,
    step: float,
    below: bool = False,
    grade: str = "",
    instead: tuple[str, str] = ("", ""),
) -> Edge:
    """The edge at a value of the field: one step short of it, and one step beyond (below it where `below`)."""
    sign = -1.0 if below else 1.0
    inside, outside = number(at - sign * step), number(at + sign * step)
    return Edge(key, {**listing, field: "{x}"}, inside, outside, rule, field, grade, instead)


def _short(found: list[Found]) -> list[tuple[str, str, str]]:
    return [(one.rule, one.grade, one.field) for one in found]
