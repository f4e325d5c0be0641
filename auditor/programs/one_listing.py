"""One listing, audited at once: the rules run over plain numbers, without any array library.

`audit_one` is what the Python call, the command and the stream stand on; the batch engine runs the same rules over
arrays and gives the same findings.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from auditor.judging.comparator import run_rules
from auditor.judging.failures import REASON
from auditor.judging.keys import hash_text, joined_parts
from auditor.judging.single.hits import Hit, ScalarCollector, one_per_cell, settled_by_votes
from auditor.judging.single.statements import ListingStatements
from auditor.judging.statements import IDENTITY, TEXTS, Slot, place_of, said_as
from auditor.programs.plain_json import compact_json
from auditor.rulebook.book import RuleBook
from auditor.rulebook.finding import CAUSES, GRADES, Cause, Grade
from auditor.trade.codes import is_code


@dataclass(frozen=True, slots=True)
class ListingFinding:
    """One finding of one listing: one wrong cell, or one text that is not true of the tire.

    * `key`: 24 hexadecimal digits, a hash of supplier, listing, rule, field and stated text: the same mistake has the
      same key tomorrow, and from a feed, a frame or a call.
    * `rule`: the rule's id; `auditor book RULE` tells what it compares, by which tolerance and which source.
    * `grade`: critical (could hurt someone if believed), major (wrong facts) or minor (rounding, form).
    * `field`, `column`: the listing field called into question, and the header under which it came; "" where none did.
    * `stated`: the raw text of the whole cell, or the claim in a text's own words.
    * `derived`: what it should be, in the unit of `field`, from the marking by the published tables; "" where nothing
      follows.
    * `deviation`: (stated - derived) / derived as a fraction, 0.1 for ten percent too high; None where they are no
      numbers.
    * `marking`: the marking as read, in canonical form; "" where none could be read.
    * `evidence`: which other statements of the listing agree with the marking, and which do not.
    * `likely_cause`: how the value probably came about; "unclear" where nothing known explains it.
    * `suggestion`: the text to put into the cell, in its own style; "" unless it is certain and harmless.
    * `message`: all that in one sentence.
    """

    key: str
    rule: str
    grade: Grade
    field: str
    column: str
    stated: str
    derived: str
    deviation: float | None
    marking: str
    evidence: str
    likely_cause: Cause
    suggestion: str
    message: str

    def as_json(self) -> dict[str, Any]:
        """The finding as plain data; empty texts stay empty, a missing deviation is None."""
        return {name: getattr(self, name) for name in IN_JSON}

    def to_json(self) -> str:
        """The same as JSON text, as it stands in a verdict."""
        return compact_json(self.as_json())


IN_JSON = (
    "rule",
    "grade",
    "field",
    "column",
    "stated",
    "derived",
    "deviation",
    "marking",
    "evidence",
    "likely_cause",
    "suggestion",
    "message",
    "key",
)


@dataclass(frozen=True, slots=True)
class Outcome:
    """What the audit of one listing gives before it is dressed as a verdict."""

    findings: tuple[ListingFinding, ...]
    marking: str
    could_not_tell: tuple[str, ...]


def audit_one(cells: Mapping[str, str] | Iterable[tuple[str, str, str]], book: RuleBook) -> Outcome:
    """Audits one listing.  `cells` maps contract fields to text, or gives (field, header, text) triples."""
    triples = [(name, name, text) for name, text in cells.items()] if isinstance(cells, Mapping) else list(cells)
    triples.sort(key=_place)
    st = ListingStatements(triples, book)
    out = ScalarCollector()
    run_rules(st, out)
    hits = one_per_cell(settled_by_votes(st, out.hits))
    words = st.rows[st.governing.codes].words
    findings = tuple(_finding(st, hit) for hit in hits)
    return Outcome(findings, words.canonical, tuple(out.could_not_tell_rules))


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
    return st.reasons[source.position] if source else ""


def _sides(st: ListingStatements, hit: Hit) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """Names of the statements that agree with the marking on what the finding is about, and of those that differ."""
    # Start-up: a listing without findings needs no votes.
    from auditor.judging.evidence import evidence_of
    from auditor.judging.votes import characteristics_in_evidence

    wanted = characteristics_in_evidence(st.book, hit.about, hit.basis)
    if not wanted:
        return (), ()
    agree: dict[str, None] = {}
    differ: dict[str, None] = {}
    for one in st.cached(("evidence",), lambda: evidence_of(st)):
        if one.characteristic in wanted:
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
    values = {source.field: st.texts[source.position] for source in st.sources if source.field in _KEY_FIELDS}
    parts = (values.get("supplier", "").strip(), listing_key(values), rule, report, stated)
    return hash_text(joined_parts(parts))


_KEY_FIELDS = (*IDENTITY, "marking", "size")
