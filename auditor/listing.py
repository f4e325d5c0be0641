"""One listing, audited at once: the rules run over plain numbers, without any array library.

`audit_one` is what the Python call, the command and the stream stand on; the batch engine runs the same rules over
arrays and gives the same findings.
"""

from __future__ import annotations

from collections.abc import Hashable, Iterable, Mapping
from dataclasses import dataclass, field
from math import nan
from typing import Any

from auditor.book import GROUPS, Rule, RuleBook
from auditor.checks.identities import gtin_is_faulty
from auditor.compare import run_rules
from auditor.facts import FACT_PLACE, code_text, is_code
from auditor.finding import CAUSES, GRADES
from auditor.keys import hash_text
from auditor.marking_store import NO_ROW, SERVICE_MARK, SHORT_KEY, MarkingRow, joined_key, read_row, read_short_row
from auditor.readings import (
    BLANK,
    READ,
    SHORT,
    UNREADABLE,
    Parsed,
    marking_text,
    parse_cell,
    parse_claims,
    parse_short_cell,
)
from auditor.statements import (
    CELL_FIELDS,
    IDENTITY,
    MARKING_TEXTS,
    TEXTS,
    Governing,
    MarkingCells,
    Slot,
    Source,
    Statements,
    TextMarking,
    govern,
)
from auditor.vocabulary import scalars


@dataclass(slots=True)
class Hit:
    """One failed rule on one cell of one listing."""

    rule: Rule
    source: int
    report: str
    about: str
    stated: float
    derived: float
    rank: int
    detail: Any
    partner: int
    turn: int
    also: list[str] = field(default_factory=list)


@dataclass(slots=True)
class ScalarCollector:
    """Collects the hits of one listing."""

    hits: list[Hit] = field(default_factory=list)
    untold_rules: dict[str, int] = field(default_factory=dict)

    def add(
        self,
        rule: Rule,
        source: int,
        report: str,
        about: str,
        where: bool,
        stated: float,
        derived: float,
        *,
        raised: bool | None = None,
        grade: str | None = None,
        detail: Any = "",
        partner: int = -1,
        turn: int = 0,
    ) -> None:
        if where:
            name = rule.grade_when_higher if raised and rule.grade_when_higher else grade or rule.grade
            self.hits.append(
                Hit(rule, source, report, about, stated, derived, GRADES.index(name), detail, partner, turn)
            )

    def untold(self, rule: Rule, where: bool) -> None:
        if where:
            self.untold_rules[rule.id] = 1


_CELLS = frozenset(CELL_FIELDS)
_FILLED, _EMPTY = Parsed(READ), Parsed(BLANK)


class ListingStatements(Statements):
    """The statements of one listing."""

    ops = scalars
    nothing = nan
    never = False

    def __init__(self, cells: Iterable[tuple[str, str, str]], book: RuleBook) -> None:
        """`cells` are (field, header, text); a field may come more than once."""
        self.book = book
        self.memo: dict[Hashable, Any] = {}
        self.texts: list[str] = []
        self.rows: list[MarkingRow] = [NO_ROW]
        self.status: list[int] = []
        self.reasons: list[str] = []
        self.values: dict[Slot, tuple[float, float, bool, str]] = {}
        sources: list[Source] = []
        grouped: dict[str, list[Slot]] = {}
        own: dict[str, list[Slot]] = {}
        self.codes: dict[str, int] = {}
        self.keys: list[str] = [""]
        self.title_codes: list[tuple[int, str, int]] = []
        for name, header, text in cells:
            sources.append(Source(len(sources), name, header))
            self.texts.append(text)
            self._read(sources[-1], text, grouped, own)
        self.sources = tuple(sources)
        self.slots = {name: tuple(slots) for name, slots in grouped.items()}
        self.own_slots = {name: tuple(slots) for name, slots in own.items()}
        self.facts: dict[str, float] = {}
        self.governing = self._govern()

    def _read(self, source: Source, text: str, grouped: dict[str, list[Slot]], own: dict[str, list[Slot]]) -> None:
        tables = self.book.tables
        place, field, _ = source
        if field in _CELLS:
            parse = parse_short_cell if len(text) <= SHORT else parse_cell
            parsed = parse(text, field, tables)
            for said in parsed.said:
                name = said.field
                slot = Slot(place, name, name, said.turn)
                self.values[slot] = (said.value, said.half_step, said.open_ended, said.words or text)
                if name in own:
                    grouped[name].append(slot)
                    own[name].append(slot)
                else:
                    grouped.setdefault(name, []).append(slot)
                    own[name] = [slot]
        elif field in MARKING_TEXTS:
            parsed = self._read_marking(source, text)
        elif field in TEXTS:
            parsed = parse_claims(text, tables)
            self._take_claims(source, parsed, text, grouped)
        else:
            parsed = _FILLED if text.strip() else _EMPTY
        self.status.append(parsed.status)
        self.reasons.append(parsed.reason)

    def _take_claims(self, source: Source, parsed: Parsed, text: str, grouped: dict[str, list[Slot]]) -> None:
        for said in parsed.said:
            slot = Slot(source.place, said.field, source.field, said.turn)
            self.values[slot] = (said.value, said.half_step, said.open_ended, said.words or text)
            if said.field in ("marking", "service_description"):
                mark = SERVICE_MARK if said.field == "service_description" else ""
                self.title_codes.append((source.place, source.field, self._row(mark + said.words)))
            else:
                grouped.setdefault(said.field, []).append(slot)

    def _read_marking(self, source: Source, text: str) -> Parsed:
        key = marking_text(text)
        if not key:
            self.codes[source.field] = 0
            return Parsed(BLANK)
        self.codes[source.field] = self._row(SERVICE_MARK + key if source.field == "service_description" else key)
        row = self.rows[self.codes[source.field]]
        return Parsed(READ if row.facts[0] == 1.0 else UNREADABLE, reason=row.words.reason)

    def _row(self, key: str) -> int:
        if not key or key == SERVICE_MARK:
            return 0
        if key in self.keys:  # a title often repeats the marking
            return self.keys.index(key)
        read = read_short_row if len(key) <= SHORT_KEY else read_row
        self.rows.append(read(key, self.book.tables))
        self.keys.append(key)
        return len(self.rows) - 1

    def _govern(self) -> Governing:
        places = {source.field: source.place for source in reversed(self.sources)}
        cells = MarkingCells(
            self.codes.get("marking", 0),
            self.codes.get("size", 0),
            self.codes.get("service_description", 0),
            tuple(self.title_codes),
        )
        split = (self.first("load_index"), self.first("load_index_dual"), self.first("speed_symbol"))
        return govern(self, cells, places, split, self._compose)

    def _compose(
        self, need: bool, base: int, service: int, index: float, dual: float, symbol: float, use_service: bool
    ) -> int:
        described = self.keys[service][1:] if use_service else ""
        return self._row(
            joined_key(self.keys[base], described, index, dual, code_text("speed_symbol", symbol, self.book.tables))
        )

    def own(self, field: str) -> tuple[Slot, ...]:
        return self.own_slots.get(field, ())

    def fact(self, name: str) -> float:
        found = self.facts.get(name)
        if found is None:
            found = self.facts[name] = self._fact(name)
        return found

    def value(self, slot: Slot) -> float:
        return self.values[slot][0]

    def half_step(self, slot: Slot) -> float:
        return self.values[slot][1]

    def open_ended(self, slot: Slot) -> bool:
        return self.values[slot][2]

    def unreadable(self, source: Source) -> bool:
        return self.status[source.place] == UNREADABLE

    def all_readable(self) -> bool:
        return UNREADABLE not in self.status

    def repeats_governing(self, text: TextMarking) -> bool:
        return text.codes == 0 or text.codes == self.governing.codes

    def filled(self, source: Source) -> bool:
        return self.status[source.place] != BLANK

    def marking_fact(self, name: str, codes: int) -> float:
        return self.rows[codes].facts[FACT_PLACE[name]]

    def text_fact(self, field: str, name: str) -> float:
        return self.marking_fact(name, self.codes.get(field, 0))

    def supplier_in(self, names: tuple[str, ...]) -> bool:
        source = self.source_of("supplier")
        return source is not None and self.texts[source.place].strip() in names

    def gtin_fault(self, source: Source) -> bool:
        return gtin_is_faulty(self.texts[source.place])

    def at(self, rows: Any) -> ListingStatements:
        return self


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
    return Outcome(findings, words.canonical, tuple(out.untold_rules), st)


def weigh(st: ListingStatements, hits: list[Hit]) -> list[Hit]:
    """Lets the votes decide: where the marking is outvoted, one hit on it replaces those that go by it."""
    if not hits:
        return hits
    from auditor import culprit

    if not any(hit.rule.id in culprit.GO_BY_MARKING for hit in hits):
        return hits
    contradicted = next((rule for rule in st.book.rules if rule.id == "marking-contradicted"), None)
    verdicts = culprit.votes_against(st) if contradicted is not None else []
    if not verdicts or contradicted is None:
        return hits
    halves = {culprit.is_service_subject(verdict.subject) for verdict in verdicts}
    silenced = [hit for hit in hits if _silenced(st, hit, halves)]
    kept = [hit for hit in hits if not any(hit is gone for gone in silenced)]
    raised = any(hit.rank == 0 for hit in silenced)
    for verdict in verdicts:
        service = culprit.is_service_subject(verdict.subject)
        place = st.governing.service_source if service else st.governing.size_source
        higher = service and verdict.agreed > verdict.marked
        collector = ScalarCollector()
        source = st.sources[place]
        collector.add(
            contradicted,
            place,
            source.field,
            "marking",
            True,
            verdict.marked,
            verdict.agreed,
            raised=raised or higher or verdict.subject == "rim",
            detail=("outvoted", verdict.subject),
        )
        kept.extend(collector.hits)
    return kept


def _silenced(st: ListingStatements, hit: Hit, halves: set[bool]) -> bool:
    """Whether an outvoted marking silences a hit.

    The half that is not outvoted may be wrong with it (a marking copied from another tire); a value there that a
    slip of its own explains is a mistake of its own.
    """
    from auditor import culprit
    from auditor.causes import SLIPS, likely_cause

    if hit.rule.id not in culprit.GO_BY_MARKING:
        return False
    subject = culprit.SUBJECT_OF.get(hit.about)
    if subject is None or culprit.is_service_subject(subject) in halves:
        return True
    return CAUSES[int(likely_cause(st, hit.about, hit.stated, hit.derived))] not in SLIPS


def resolve(hits: list[Hit]) -> list[Hit]:
    """One hit per cell: highest grade, then rules against the marking before units before plausibility."""
    against = {hit.source for hit in hits if hit.rule.group == "marking"}
    by_cell: dict[tuple[int, str], list[Hit]] = {}
    for hit in hits:
        if hit.rule.group == "units" and (hit.partner in against or hit.source in against):
            continue
        by_cell.setdefault((hit.source, hit.report if hit.source < 0 else ""), []).append(hit)
    winners = []
    for cell in by_cell.values():
        cell.sort(key=lambda hit: (hit.rank, GROUPS.index(hit.rule.group), hit.rule.order))
        winner = cell[0]
        winner.also = [rule_id for rule_id in dict.fromkeys(hit.rule.id for hit in cell) if rule_id != winner.rule.id]
        winners.append(winner)
    return sorted(winners, key=lambda hit: (hit.rule.order, hit.report, hit.source))


def _finding(st: ListingStatements, hit: Hit) -> ListingFinding:
    from auditor.causes import likely_cause
    from auditor.culprit import SUBJECT_OF
    from auditor.wording import FindingParts, word

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
    cause = CAUSES[int(likely_cause(st, _cause_field(hit), hit.stated, hit.derived))]
    subject = SUBJECT_OF.get(hit.about, "")
    agree, differ = _sides(st, hit, subject)
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
        second_description=bool(st.rows[st.governing.codes].facts[FACT_PLACE["load_index_alt"]] >= 0),
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


_OUTVOTED_FIELDS = {
    "load": "max_load_kg",
    "dual load": "max_load_dual_kg",
    "speed": "max_speed_kmh",
    "width": "section_width_mm",
    "aspect": "aspect_ratio",
    "rim": "rim_diameter_in",
    "strength": "load_range",
}


def _cause_field(hit: Hit) -> str:
    if isinstance(hit.detail, tuple) and hit.detail[0] == "outvoted":
        return _OUTVOTED_FIELDS[hit.detail[1]]
    return hit.about


def _stated_text(st: ListingStatements, hit: Hit) -> str:
    """The raw text of the whole cell, or the claim's own words."""
    if hit.source < 0:
        return ""
    if hit.report not in TEXTS:
        return st.texts[hit.source]
    for about in (hit.about, "marking", "service_description"):
        kept = st.values.get(Slot(hit.source, about, hit.report, hit.turn))
        if kept is not None:
            return kept[3]
    return st.texts[hit.source]


def _detail(st: ListingStatements, hit: Hit) -> str:
    kind, what = hit.detail
    if kind == "reason":
        place = st.source_of(what)
        reason = st.reasons[place.place] if place else ""
        return reason.rstrip(".")[:1].lower() + reason.rstrip(".")[1:]
    if kind == "text":
        return f"the marking is {st.rows[st.governing.codes].words.canonical}"
    return ""


def _sides(st: ListingStatements, hit: Hit, subject: str) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """Names of the statements that agree with the marking on the finding's subject, and of those that differ."""
    wanted = {subject} if subject else set()
    if isinstance(hit.detail, tuple) and hit.detail[0] == "outvoted":
        wanted = {hit.detail[1]}
    elif hit.rule.id == "marking-contradicted":
        wanted = {"load", "dual load", "speed", "width", "aspect", "rim"}
    if not wanted:
        return (), ()
    from auditor.culprit import witnesses

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
    values = {source.field: st.texts[source.place] for source in st.sources if source.field in _KEY_FIELDS}
    parts = (values.get("supplier", "").strip(), listing_key(values), rule, report, stated)
    return hash_text("\x1f".join(parts))


_KEY_FIELDS = (*IDENTITY, "marking", "size")
