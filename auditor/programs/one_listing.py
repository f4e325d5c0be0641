"""One listing, audited at once: the rules run over plain numbers, without any array library.

`audit_one` is what the Python call, the command and the stream stand on; the batch engine runs the same rules over
arrays and gives the same findings.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from auditor.judging.comparator import run_rules
from auditor.judging.keys import hash_text
from auditor.judging.single.hits import Hit, ScalarCollector, resolve, weigh
from auditor.judging.single.statements import ListingStatements
from auditor.judging.statements import IDENTITY, TEXTS, Slot
from auditor.rulebook.book import RuleBook
from auditor.rulebook.finding import CAUSES, GRADES
from auditor.trade.codes import is_code
from auditor.trade.facts import FACT_POSITION


@dataclass(frozen=True, slots=True)
class ListingFinding:
    """One finding of one listing: the finding record without feed and record number."""

    key: str
    rule: str
    grade: str
    field: str
    column: str
    stated: str
    derived: str
    deviation: float | None
    marking: str
    evidence: str
    likely_cause: str
    suggestion: str
    message: str


@dataclass(frozen=True, slots=True)
class Outcome:
    """What the audit of one listing gives before it is dressed as a verdict."""

    findings: tuple[ListingFinding, ...]
    marking: str
    could_not_tell: tuple[str, ...]
    statements: ListingStatements


def audit_one(cells: Mapping[str, str] | Iterable[tuple[str, str, str]], book: RuleBook) -> Outcome:
    """Audits one listing.  `cells` maps contract fields to text, or gives (field, header, text) triples."""
    triples = [(name, name, text) for name, text in cells.items()] if isinstance(cells, Mapping) else list(cells)
    st = ListingStatements(triples, book)
    out = ScalarCollector()
    run_rules(st, out)
    hits = resolve(weigh(st, out.hits))
    words = st.rows[st.governing.codes].words
    findings = tuple(_finding(st, hit) for hit in hits)
    return Outcome(findings, words.canonical, tuple(out.could_not_tell_rules), st)


def _finding(st: ListingStatements, hit: Hit) -> ListingFinding:
    # Start-up: a listing without findings needs neither votes nor causes nor words.
    from auditor.judging.causes import likely_cause
    from auditor.judging.votes import SUBJECT_OF, cause_field
    from auditor.wording.sentences import FindingParts, word

    source = st.sources[hit.source] if hit.source >= 0 else None
    stated_text = _stated_text(st, hit)
    row = st.rows[st.governing.codes]
    words, detail = row.words, ""
    if hit.rule.id == "marking-nonstandard":
        words = st.rows[st.codes[hit.report]].words
    if isinstance(hit.detail, tuple):
        detail = _detail(st, hit)
    elif hit.detail:
        detail = str(hit.detail)
    cause = CAUSES[int(likely_cause(st, cause_field(hit.about, hit.detail), hit.stated, hit.derived))]
    subject = SUBJECT_OF.get(hit.about, "")
    agree, differ = _sides(st, hit)
    parts = FindingParts(
        rule=hit.rule,
        report=hit.report,
        about=hit.about,
        column=source.header if source else "",
        stated_text=stated_text,
        stated=hit.stated,
        derived=hit.derived,
        words=words,
        facts=row.facts,
        detail=detail,
        other_field=st.sources[hit.partner].field if hit.partner >= 0 else "",
        other_text=st.texts[hit.partner].strip() if hit.partner >= 0 else "",
        cause=cause,
        agree=agree,
        differ=differ,
        also=tuple(hit.also),
        subject=subject,
        second_description=bool(st.rows[st.governing.codes].facts[FACT_POSITION["load_index_alt"]] >= 0),
    )
    worded = word(parts, st.book.tables)
    deviation = None
    if hit.derived == hit.derived and hit.stated == hit.stated and hit.derived and not is_code(hit.about):
        deviation = (hit.stated - hit.derived) / hit.derived
    if hit.about == "marking":
        deviation = None
    return ListingFinding(
        key=finding_key(st, hit.rule.id, hit.report, stated_text),
        rule=hit.rule.id,
        grade=GRADES[hit.rank],
        field=hit.report,
        column=parts.column,
        stated=stated_text,
        derived=worded.derived if hit.about != "marking" or hit.rule.id == "marking-nonstandard" else "",
        deviation=deviation,
        marking=row.words.canonical,
        evidence=worded.evidence,
        likely_cause=cause,
        suggestion=worded.suggestion,
        message=worded.message,
    )


def _stated_text(st: ListingStatements, hit: Hit) -> str:
    """The raw text of the whole cell, or the claim's own words."""
    if hit.source < 0:
        return ""
    if hit.report not in TEXTS or hit.about in TEXTS:  # the whole cell is in question, no claim in it
        return st.texts[hit.source]
    for about in (hit.about, "marking", "service_description"):
        kept = st.values.get(Slot(hit.source, about, hit.report, hit.occurrence))
        if kept is not None:
            return kept[3]
    return st.texts[hit.source]


def _detail(st: ListingStatements, hit: Hit) -> str:
    kind, what = hit.detail
    if kind == "reason":
        position = st.source_of(what)
        reason = st.reasons[position.position] if position else ""
        return reason.rstrip(".")[:1].lower() + reason.rstrip(".")[1:]
    if kind == "text":
        return f"the marking is {st.rows[st.governing.codes].words.canonical}"
    return ""


def _sides(st: ListingStatements, hit: Hit) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """Names of the statements that agree with the marking on the finding's subject, and of those that differ."""
    # Start-up: a listing without findings needs no votes.
    from auditor.judging.votes import wanted_subjects, witnesses

    wanted = wanted_subjects(hit.rule.id, hit.about, hit.detail)
    if not wanted:
        return (), ()
    agree: dict[str, None] = {}
    differ: dict[str, None] = {}
    for witness in st.cached(("witnesses",), lambda: witnesses(st)):
        if witness.subject in wanted:
            if witness.agrees:
                agree[witness.name] = None
            elif witness.differs:
                differ[witness.name] = None
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
    values = {source.field: st.texts[source.position] for source in st.sources if source.field in _KEY_FIELDS}
    parts = (values.get("supplier", "").strip(), listing_key(values), rule, report, stated)
    return hash_text("\x1f".join(parts))


_KEY_FIELDS = (*IDENTITY, "marking", "size")
