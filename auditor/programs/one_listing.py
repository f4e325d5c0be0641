"""One listing, audited at once: the rules run over plain numbers, without any array library.

`audit_one` is what the Python call, the command and the stream stand on; the batch engine runs the same rules over
arrays and gives the same findings.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from functools import lru_cache
from typing import NamedTuple

from auditor.judging.failures import REASON
from auditor.judging.keys import hash_text, joined_parts
from auditor.judging.single.hits import Hit, ScalarCollector, one_per_cell, settled_by_votes
from auditor.judging.single.statements import ListingStatements
from auditor.judging.statements import IDENTITY, TEXTS, Slot, place_of, said_as
from auditor.programs.listing_finding import ListingFinding
from auditor.rulebook.book import RuleBook
from auditor.rulebook.finding import CAUSES, GRADES
from auditor.trade.codes import is_code


class Outcome(NamedTuple):
    """What the audit of one listing gives before it is dressed as a verdict."""

    findings: tuple[ListingFinding, ...]
    marking: str
    could_not_tell: tuple[str, ...]


def audit_one(cells: Mapping[str, str] | Iterable[tuple[str, str, str]], book: RuleBook) -> Outcome:
    """Audits one listing.  `cells` maps contract fields to text, or gives (field, header, text) triples."""
    if isinstance(cells, Mapping):
        triples = [(name, name, cells[name]) for name in _in_place(tuple(cells))]
    else:
        triples = sorted(cells, key=_place)
    st = ListingStatements(triples, book)
    out = ScalarCollector()
    st.run_rules(out)
    hits = one_per_cell(settled_by_votes(st, out.hits))
    words = st.rows[st.governing.codes].words
    findings = [_finding(st, hit) for hit in hits]
    untold: Iterable[str] = out.could_not_tell_rules
    if may_offer(st):
        findings, untold = _with_offers(st, findings, set(untold))
    return Outcome(tuple(findings), words.canonical, tuple(untold))


def _with_offers(
    st: ListingStatements, findings: list[ListingFinding], untold: set[str]
) -> tuple[list[ListingFinding], list[str]]:
    """What is found on the tires that a listing names beside its own, among the other findings, in the book's order."""
    # Start-up: few listings name another tire.
    from auditor.programs.own_offers import offers_of_listing

    offers = offers_of_listing(st, _known_as(st))
    order = {rule.id: rule.order for rule in st.book.rules}
    found = sorted([*findings, *offers.findings], key=lambda one: (order[one.rule], one.field))
    return found, [rule.id for rule in st.book.rules if rule.id in untold | offers.untold]


def may_offer(st: ListingStatements) -> bool:
    """Whether a listing may name tires that are offered in place of its own, or that its own is offered for."""
    return any(
        bool(st.texts[source.position]) if source.field in OFFERS else replaces_some(st.texts[source.position], st.book)
        for source in st.sources
        if source.field in OFFERS or source.field in TEXTS
    )


def replaces_some(text: str, book: RuleBook) -> bool:
    """Whether a text may say that its tire replaces another one."""
    folded = text.casefold()
    return any(word in folded for word in book.tables.replaces_words)


@lru_cache(maxsize=512)
def _in_place(names: tuple[str, ...]) -> tuple[str, ...]:
    return tuple(sorted(names, key=place_of))


def _place(cell: tuple[str, str, str]) -> tuple[int, str]:
    return place_of(cell[0])


def _finding(st: ListingStatements, hit: Hit) -> ListingFinding:
    # Start-up: a listing without findings needs neither votes nor causes nor words.
    from auditor.judging.causes import likely_cause
    from auditor.judging.votes import cause_field
    from auditor.wording.sentences import FindingParts, word

    source = st.sources[hit.source] if hit.source >= 0 else None
    stated_text = _stated_text(st, hit)
    row = st.rows[st.governing.codes]
    derives_marking = hit.rule.derives == "marking"
    cause = CAUSES[int(likely_cause(st, cause_field(st.book, hit.about, hit.basis), hit.stated, hit.derived))]
    agree, differ = _sides(st, hit)
    certain, others = _certainty(st, hit)
    parts = FindingParts(
        rule=hit.rule,
        report=hit.report,
        about=hit.about,
        basis=hit.basis,
        column=source.header if source else "",
        stated_text=stated_text,
        derived=hit.derived,
        words=st.rows[st.codes[hit.report]].words if derives_marking else row.words,
        facts=row.facts,
        reason=_reason(st, hit),
        other_field=st.sources[hit.partner].field if hit.partner >= 0 else "",
        other_text=st.texts[hit.partner].strip() if hit.partner >= 0 else "",
        agree=agree,
        differ=differ,
        also=tuple(hit.also),
        certain=certain,
        source_field=source.field if source else "",
        others=others,
    )
    worded = word(parts, st.book)
    return ListingFinding(
        key=finding_key(st, hit.rule.id, hit.report, stated_text),
        rule=hit.rule.id,
        grade=GRADES[hit.rank],
        field=hit.report,
        column=parts.column,
        stated=stated_text,
        derived=worded.derived if hit.about != "marking" or derives_marking else "",
        deviation=_deviation(hit),
        marking=row.words.canonical,
        evidence=worded.evidence,
        likely_cause=cause,
        suggestion=worded.suggestion,
        message=worded.message,
    )


def _certainty(st: ListingStatements, hit: Hit) -> tuple[bool, dict[str, float]]:
    """Whether what is derived may be put into the cell, and what else in it has to be put right with it."""
    # Start-up: a listing without findings asks for nothing of this.
    from auditor.judging.certainty import is_certain, other_parts

    cell = (hit.source, hit.about)
    certain = is_certain(st, hit.rule, cell, (hit.stated, hit.derived), lambda answer: answer)
    parts = other_parts(st, cell, lambda answer: answer) if certain else []
    others = {part.field: part.right for part in parts if part.right == part.right}
    return certain and not any(part.unsure for part in parts), others


def _deviation(hit: Hit) -> float | None:
    """(stated - derived) / derived where both are numbers."""
    if hit.about == "marking" or is_code(hit.about) or not hit.derived:
        return None
    return (hit.stated - hit.derived) / hit.derived if hit.derived == hit.derived and hit.stated == hit.stated else None


def _stated_text(st: ListingStatements, hit: Hit) -> str:
    """The raw text of the whole cell, or the claim's own words."""
    if hit.source < 0:
        return ""
    if hit.report not in TEXTS or hit.about in TEXTS:  # the whole cell is in question, no claim in it
        return st.texts[hit.source]
    claims = [
        st.values.get(Slot(hit.source, about, hit.report, occurrence))
        for about, occurrence in said_as(hit.rule, hit.about, hit.occurrence)
    ]
    # A text that says nothing but the listing's own marking is in question as a whole.
    return next((kept[3] for kept in claims if kept is not None and kept[3]), st.texts[hit.source])


def _reason(st: ListingStatements, hit: Hit) -> str:
    """Why the cell that a hit is about could not be read."""
    if hit.basis.kind != REASON:
        return ""
    source = st.source_of(hit.basis.about)
    return st.reasons.get(source.position, "") if source else ""


def _sides(st: ListingStatements, hit: Hit) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """Names of the statements that agree with the marking on what the finding is about, and of those that differ."""
    # Start-up: a listing without findings needs no votes.
    from auditor.judging.evidence import evidence_on
    from auditor.judging.votes import characteristics_in_evidence

    wanted = characteristics_in_evidence(st.book, hit.about, hit.basis)
    if not wanted:
        return (), ()
    agree: dict[str, None] = {}
    differ: dict[str, None] = {}
    for one in evidence_on(st, wanted):
        if one.agrees:
            agree[one.name] = None
        elif one.differs:
            differ[one.name] = None
    return tuple(agree), tuple(differ)


def listing_key(values: Mapping[str, str]) -> str:
    """What identifies a listing from day to day: its sku, else part number, else GTIN, else its marking."""
    for name in ("sku", "part_number", "gtin", "marking", "size"):
        text = values.get(name, "").strip()
        if text:
            return f"{name}={text}"
    return ""


def finding_key(st: ListingStatements, rule: str, report: str, stated: str) -> str:
    """The same mistake has the same key tomorrow: supplier, listing key, rule, field and stated text."""
    return hash_text(joined_parts((*_known_as(st), rule, report, stated)))


def _known_as(st: ListingStatements) -> tuple[str, str]:
    """What a listing is known by from day to day: its supplier, and what identifies it."""
    values = {source.field: st.texts[source.position] for source in st.sources if source.field in _KEY_FIELDS}
    return values.get("supplier", "").strip(), listing_key(values)


_KEY_FIELDS = (*IDENTITY, "marking", "size")
OFFERS = ("substitutes", "replaces")
