"""Many listings at the speed of the batch engine, each with the verdict that it would have alone."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from itertools import islice
from os import PathLike
from typing import TYPE_CHECKING

from auditor.programs.books import book_asked
from auditor.programs.one_listing import Outcome, audit_one
from auditor.programs.request import cells_of
from auditor.programs.verdict import Verdict, verdict_of
from auditor.rulebook.book import RuleBook

if TYPE_CHECKING:
    from auditor.programs.block_outcomes import BlockOutcomes

Cells = dict[str, str]

CHUNK = 4096  # listings judged at once; more would only take more memory
SAYS_WHERE_EMPTY = "severe_snow"  # a field that says something by being there: M+S is all that the listing claims
FEWEST = 64  # below this many, a block of arrays costs more than one listing after the other


def audit_listings(
    listings: Iterable[Mapping[str, object]],
    *,
    book: RuleBook | None = None,
    strict: bool = True,
    rules: str | PathLike[str] | None = None,
    policy: str | PathLike[str] | None = None,
    hold_from: str | None = None,
    market: str | None = None,
) -> Iterator[Verdict]:
    """The verdict on each of many listings, in their order; the same as `audit_listing` gives one by one.

    Listings are taken some thousand at a time, so that any number of them costs little memory, and judged together,
    so that one costs a tenth of what it costs alone.  Other listings change nothing: rules across listings are for
    `audit`.  Keywords and errors are those of `audit_listing`; an error comes in the place of its listing.

    >>> from auditor import audit_listings
    >>> many = ({"marking": "225/65R17 102H", "max_load_kg": load} for load in (850, 950, 850))
    >>> [verdict.verdict for verdict in audit_listings(many)]
    ['release', 'hold', 'release']
    """
    book = book_asked(book, rules, policy, hold_from, market)
    audit, held = ManyListings(book), book.held_grades()
    remaining = iter(listings)
    while chunk := list(islice(remaining, CHUNK)):
        cells, failure = _cells_of_all(chunk, strict, book)
        yield from (verdict_of(outcome, held) for outcome in audit(cells))
        if failure is not None:
            raise failure


def _cells_of_all(
    listings: Sequence[Mapping[str, object]], strict: bool, book: RuleBook
) -> tuple[list[Cells], Exception | None]:
    """The texts of the listings before the first that is none, and what is wrong with that one."""
    cells: list[Cells] = []
    for listing in listings:
        try:
            cells.append(cells_of(listing, strict=strict, own=book.own.fields))
        except Exception as error:  # whatever a caller's mapping raises comes in the place of its listing
            return cells, error
    return cells, None


class ManyListings:
    """Judges listings some at a time; what it has read of markings and cells serves the next ones too."""

    def __init__(self, book: RuleBook) -> None:
        self.book = book
        self._blocks: BlockOutcomes | None = None
        self._alone = False

    def __call__(self, listings: Sequence[Cells]) -> list[Outcome]:
        """What is found on each listing, in their order."""
        outcomes: dict[int, Outcome] = {}
        for there in (False, True):  # of a block of both, every listing would have the field
            places = [place for place, cells in enumerate(listings) if (SAYS_WHERE_EMPTY in cells) is there]
            outcomes.update(zip(places, self._judged([listings[place] for place in places]), strict=True))
        return [outcomes[place] for place in range(len(listings))]

    def _judged(self, listings: Sequence[Cells]) -> list[Outcome]:
        if len(listings) < FEWEST or not self._has_arrays():
            return [audit_one(cells, self.book) for cells in listings]
        assert self._blocks is not None
        return self._blocks(listings)

    def _has_arrays(self) -> bool:
        """Whether listings can be judged together; without the array libraries they are judged one by one."""
        if self._blocks is None and not self._alone:
            try:
                # Start-up: a few listings need no arrays.
                from auditor.programs.block_outcomes import BlockOutcomes
            except ModuleNotFoundError as error:
                if (error.name or "").partition(".")[0] not in ("numpy", "pyarrow"):
                    raise
                self._alone = True
            else:
                self._blocks = BlockOutcomes(self.book)
        return not self._alone
