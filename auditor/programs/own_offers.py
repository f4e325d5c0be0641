"""What one listing offers by itself: tires that it names by their markings, each held to the same or higher.

SKUs are those of a catalog, which one listing does not know; a whole audit joins them (`auditor.across.offers`) and
gives the same findings on markings.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from functools import lru_cache
from typing import NamedTuple

from auditor.claims.replaced import replaced_in_text
from auditor.claims.terms.lexicon import lexicon_of
from auditor.judging.keys import hash_text, joined_parts
from auditor.judging.rule_terms import in_force
from auditor.judging.single.statements import ListingStatements
from auditor.judging.statements import TEXTS
from auditor.judging.vocabulary import scalars
from auditor.programs.listing_finding import ListingFinding
from auditor.rulebook.book import RuleBook
from auditor.rulebook.finding import GRADES
from auditor.rulebook.rule import Rule
from auditor.substitution.comparison import compare
from auditor.substitution.facts import TireFacts
from auditor.substitution.limits import CANNOT_TELL, limits_for
from auditor.substitution.offers import FIELDS, LACKING, Gravity, added_words, facts_of, marking_of, parted
from auditor.trade.tables import Tables
from auditor.wording.offers import FAILS_IN, detail, offer_words
from auditor.wording.sentences import filled, quoted


class Offer(NamedTuple):
    """A tire that a cell names."""

    field: str
    said: str  # as it stands there; of a text the marking
    marking: str

    @property
    def is_old(self) -> bool:
        """Whether the listing's own tire is the new one, offered in place of this one."""
        return self.field != FIELDS[0]

    def pair(self, own: str) -> tuple[str, str]:
        """(old tire, new tire), given the listing's own."""
        return (self.marking, own) if self.is_old else (own, self.marking)


class Offering(NamedTuple):
    """A listing, as far as it offers something."""

    tire: str  # its own marking, with what fields of their own add; "" where it cannot be read
    marking: str  # as findings quote it
    known_as: tuple[str, str]  # supplier and listing, in keys
    cells: Mapping[str, tuple[str, str]]  # field -> header and text
    offers: Sequence[Offer]


class FoundOffers(NamedTuple):
    """What became of the offers of one listing."""

    findings: list[ListingFinding]
    untold: set[str]  # rules that could not tell of one of them


def offers_of_listing(st: ListingStatements, known_as: tuple[str, str]) -> FoundOffers:
    """What is found on the offers of one listing."""
    book = st.book
    cells = {
        source.field: (source.header, st.texts[source.position])
        for source in reversed(st.sources)
        if source.field in FIELDS or source.field in TEXTS
    }
    marking = st.rows[st.governing.codes].words.canonical
    offering = Offering(_own_tire(st, marking), marking, known_as, cells, list(_offers(cells, book)))
    return found_offers(offering, book, lambda rule: in_force(rule, st) in (None, True))


def _own_tire(st: ListingStatements, marking: str) -> str:
    """The listing's own tire, as `auditor.across.block_offers` gives it over a block."""
    if not marking:
        return ""

    def own(name: str) -> int | None:
        fact = st.marking_fact(name, st.governing.codes)
        stated = st.first(name)
        return int(stated) if fact != fact and stated >= 0 else None

    snow = st.first("severe_snow") == 1.0 and st.marking_fact("severe_snow", st.governing.codes) != 1.0
    return marking + added_words(own("load_version"), own("load_range"), snow, st.book.tables)


def _offers(cells: Mapping[str, tuple[str, str]], book: RuleBook) -> Iterator[Offer]:
    for field in FIELDS:
        for said in parted(cells[field][1]) if field in cells else ():
            marking = marking_of(said)
            if marking:
                yield Offer(field, said, marking)
    for field in TEXTS:
        if field in cells:
            text = cells[field][1]
            for marking in replaced_in_text(text, lexicon_of(book.own.folder), book.tables.replaces_words):
                yield Offer(field, marking, marking)


def found_offers(offering: Offering, book: RuleBook, applies: Callable[[Rule], bool]) -> FoundOffers:
    """One finding for each cell that names a tire which lacks something, by its gravest rule.

    `applies` tells whether a rule is in force for the listing.
    """
    limits, gravity = limits_for(book), Gravity.of(book, limits_for(book))
    rules = {rule.id: rule for rule in book.rules}
    lacking: dict[str, list[_Lacking]] = {}
    untold: set[str] = set()
    for offer in offering.offers:
        old, new = (_facts(text, book.tables) for text in offer.pair(offering.tire))
        outcomes = compare(scalars, old, new, limits)
        for point, number in zip(outcomes, gravity.lacks, strict=False):
            if number >= 0 and point == CANNOT_TELL:
                untold.add(gravity.rules[LACKING[number]])
        lacks = int(gravity.gravest(scalars, outcomes))
        if lacks >= 0 and applies(rule := rules[gravity.rules[LACKING[lacks]]]):
            lacking.setdefault(offer.field, []).append(_Lacking(gravity.ranks[lacks], offer, rule))
    found = []
    for cell in lacking.values():
        worst = min(cell, key=lambda one: one.rank)  # of equals the first
        words = offer_words(*worst.offer.pair(offering.tire), worst.rule.id, limits, book.tables)
        found.append(_finding(offering, worst, detail(words, worst.offer.said, worst.offer.is_old, len(cell) - 1),
                              FAILS_IN + words.failing))  # fmt: skip
    return FoundOffers(found, untold)


class _Lacking(NamedTuple):
    """An offer that lacks something."""

    rank: int
    offer: Offer
    rule: Rule


@lru_cache(maxsize=2_048)
def _facts(marking: str, tables: Tables) -> TireFacts:
    return facts_of(marking, tables)


def _finding(offering: Offering, lacking: _Lacking, said: str, evidence: str) -> ListingFinding:
    rule, field = lacking.rule, lacking.offer.field
    header, text = offering.cells[field]
    pieces = {"stated": quoted(text), "field": field, "column": header, "marking": offering.marking, "detail": said,
              "derived": ""}  # fmt: skip
    return ListingFinding(
        key=hash_text(joined_parts((*offering.known_as, rule.id, field, text))),
        rule=rule.id,
        grade=GRADES[GRADES.index(rule.grade)],
        field=field,
        column=header,
        stated=text,
        derived="",
        deviation=None,
        marking=offering.marking,
        evidence=evidence,
        likely_cause="unclear",
        suggestion="",
        message=filled(rule.says, pieces),
    )
