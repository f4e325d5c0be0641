"""The call that asks whether one tire may stand in for another."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from os import PathLike
from typing import Any, Literal

from auditor.errors import UsageError
from auditor.judging.vocabulary import scalars
from auditor.marking import Marking
from auditor.programs.books import book_asked
from auditor.programs.plain_json import compact_json
from auditor.rulebook.book import RuleBook
from auditor.substitution.comparison import compare
from auditor.substitution.facts import NO_TIRE, tire_facts
from auditor.substitution.limits import limits_for
from auditor.substitution.reading import read_tire
from auditor.wording.substitute_cautions import cautions
from auditor.wording.substitution import MARGINS, Question, Side, point_words

Answer = Literal["yes", "no", "cannot tell"]
Held = Literal["holds", "fails", "cannot tell"]
_ANSWERS: tuple[Answer, ...] = ("yes", "cannot tell", "no")  # by the worst outcome


@dataclass(frozen=True, slots=True)
class Point:
    """One thing that the new tire has to have.

    `name` is the point, such as "load"; `outcome` is "holds", "fails" or "cannot tell"; `old` and `new` say in words
    what the old tire asks and the new one has; `margins` is by how much the new one is above the old one, in kg and
    lb, kmh (km/h) and mph, mm and percent, as far as these can be told; `why` is a sentence, empty where the two
    texts say it all; `source` is where the demand comes from.
    """

    name: str
    outcome: Held
    old: str
    new: str
    margins: Mapping[str, float] = field(hash=False)
    why: str
    source: str


@dataclass(frozen=True, slots=True)
class Substitution:
    """Whether a tire may stand in for another one, by their markings alone.

    `answer` is "yes", "no" or "cannot tell"; `old` and `new` are the markings as read, None where one could not be
    read; `points` come in a fixed order, those that the old tire asks nothing of left out; `cautions` belong to every
    use of the answer; `market` is US, EU or all; `required` tells whether the old marking was a vehicle's requirement.
    """

    answer: Answer
    old: str | None
    new: str | None
    market: str
    required: bool
    points: tuple[Point, ...]
    cautions: tuple[str, ...]

    def with_outcome(self, outcome: Held) -> tuple[str, ...]:
        """The names of the points of an outcome."""
        return tuple(point.name for point in self.points if point.outcome == outcome)

    def as_json(self) -> dict[str, Any]:
        """The answer as plain data, in the shape of the `substitute` schema; margins that cannot be told are null."""
        return {
            "answer": self.answer,
            "old": self.old,
            "new": self.new,
            "market": self.market,
            "required": self.required,
            "points": [
                {
                    "name": point.name,
                    "outcome": point.outcome,
                    "old": point.old,
                    "new": point.new,
                    "margins": {unit: point.margins.get(unit) for unit in MARGINS},
                    "why": point.why,
                    "source": point.source,
                }
                for point in self.points
            ],
            "cautions": list(self.cautions),
        }

    def to_json(self) -> str:
        """The same as JSON text."""
        return compact_json(self.as_json())


def substitute(
    old: str,
    new: str,
    *,
    required: bool = False,
    book: RuleBook | None = None,
    rules: str | PathLike[str] | None = None,
    policy: str | PathLike[str] | None = None,
    market: str | None = None,
) -> Substitution:
    """Whether the tire marked `new` may stand in for the one marked `old`: the same or higher in every point.

    With `required`, `old` is what a vehicle's placard asks, such as "225/65R17 102H" or "102H" alone: then another
    rim is a question of other wheels, which cannot be told.  `market` is US, EU or all, the policy's unless given.
    Raises UsageError where a marking is no text, RuleBookError where the rule book is not whole.

    >>> from auditor import substitute
    >>> found = substitute("225/65R17 102H", "225/65R17 100V")
    >>> found.answer, found.with_outcome("fails")
    ('no', ('load',))
    >>> found.points[-2].old, found.points[-2].new, dict(found.points[-2].margins)
    ('102 = 850 kg (1,874 lb)', '100 = 800 kg (1,764 lb)', {'kg': -50.0, 'lb': -110.2})
    >>> substitute("102H", "225/65R17 102H", required=True).answer
    'cannot tell'
    """
    for name, text in (("old", old), ("new", new)):
        if not isinstance(text, str):
            raise UsageError(f"{name} should be a marking as text, such as '225/65R17 102H', not {text!r}.")
    return answer_for(old, new, book_asked(book, rules, policy, None, market), required=required)


def answer_for(old: str, new: str, book: RuleBook, *, required: bool = False) -> Substitution:
    """The answer for two markings under a book."""
    limits = limits_for(book)
    one, other = _side(old, book), _side(new, book)
    outcomes = compare(scalars, one.facts, other.facts, limits, required)
    asked = Question(one, other, outcomes, limits, required)
    points = tuple(Point(*words) for words in point_words(asked))  # type: ignore[arg-type]  # outcomes are of Held
    return Substitution(
        _ANSWERS[int(outcomes.answer(scalars))],
        _canonical(one),
        _canonical(other),
        book.market,
        required,
        points,
        cautions(asked),
    )


def _side(text: str, book: RuleBook) -> Side:
    found = read_tire(text)
    return Side(found, tire_facts(found, book.tables) if isinstance(found, Marking) else NO_TIRE)


def _canonical(side: Side) -> str | None:
    return side.marking.canonical if isinstance(side.marking, Marking) else None
