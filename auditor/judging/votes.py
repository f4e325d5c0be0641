"""Weighs the evidence inside a listing: whether the marking itself is the odd one out, and who agrees with whom.

Independent votes: kg and lb together one, the split field one, title and description together one, the marking one.
The marking is outvoted only by at least two votes that agree with each other, with none for it.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, NamedTuple

from auditor.judging.comparator import judge
from auditor.judging.rule_terms import band
from auditor.judging.statements import Slot, Statements
from auditor.trade.facts import SECOND_DESCRIPTION
from auditor.trade.units import KG_PER_LB, KMH_PER_MPH, MM_PER_INCH

# What a finding's field speaks about; one wrong marking gives one finding for all of these.
SUBJECT_OF = {
    "max_load_kg": "load",
    "max_load_lb": "load",
    "load_index": "load",
    "max_load_dual_kg": "dual load",
    "max_load_dual_lb": "dual load",
    "load_index_dual": "dual load",
    "max_speed_kmh": "speed",
    "max_speed_mph": "speed",
    "speed_symbol": "speed",
    "section_width_mm": "width",
    "section_width_in": "width",
    "measured_width_mm": "width",
    "measured_width_in": "width",
    "aspect_ratio": "aspect",
    "rim_diameter_in": "rim",
    "ply_rating": "strength",
    "load_range": "strength",
}
# The field that stands for a subject on which the marking is outvoted, where its cause is sought.
_OUTVOTED_FIELDS = {
    "load": "max_load_kg",
    "dual load": "max_load_dual_kg",
    "speed": "max_speed_kmh",
    "width": "section_width_mm",
    "aspect": "aspect_ratio",
    "rim": "rim_diameter_in",
    "strength": "load_range",
}
_SERVICE_SUBJECTS = ("load", "dual load", "speed", "strength")

# Rules that go by the marking's facts: silent where the marking is outvoted.
GO_BY_MARKING = frozenset(
    {
        "marking-contradicted",
        "load-overstated",
        "load-understated",
        "load-off-table",
        "load-index-contradicted",
        "dual-load-above-single",
        "speed-overstated",
        "speed-understated",
        "speed-symbol-contradicted",
        "zr-symbol-conflict",
        "rim-mismatch",
        "width-mismatch",
        "aspect-mismatch",
        "construction-mismatch",
        "overall-diameter-off",
        "rim-width-out-of-range",
        "revolutions-off",
        "ply-rating-mismatch",
        "load-range-contradicted",
        "load-version-contradicted",
        "pressure-not-permitted",
        "pressure-unlike-load-range",
        "grade-not-applicable",
        "tire-class-mismatch",
        "noise-class-mismatch",
        "index-unlike-peers",
        "load-unverified",
        "speed-unverified",
        "winter-without-snow-mark",
    }
)


class Verdict(NamedTuple):
    """Where the marking is outvoted on one subject: by what value, and whether that promises more than it."""

    subject: str
    outvoted: Any
    marked: Any
    agreed: Any


def votes_against(st: Statements) -> list[Verdict]:
    """The verdict on every subject on which at least two independent votes can stand against the marking."""
    subjects: tuple[tuple[str, str, Callable[[str], tuple[Any, list[Any], Agree]]], ...] = (
        ("load", "load_single_kg", lambda fact: _load_votes(st, fact, "max_load_kg", "max_load_lb", "load_index")),
        (
            "dual load",
            "load_dual_kg",
            lambda fact: _load_votes(st, fact, "max_load_dual_kg", "max_load_dual_lb", "load_index_dual"),
        ),
        ("speed", "speed_kmh", lambda fact: _speed_votes(st, fact)),
        (
            "width",
            "section_width_mm",
            lambda fact: _size_votes(st, fact, ("section_width_mm", "section_width_in"), 0.6),
        ),
        ("aspect", "aspect_ratio", lambda fact: _size_votes(st, fact, ("aspect_ratio",), 0.01)),
        ("rim", "rim_diameter_in", lambda fact: _size_votes(st, fact, ("rim_diameter_in",), 0.05)),
        ("strength", "load_range", lambda fact: _strength_votes(st, fact)),
    )
    verdicts = []
    for subject, fact, make in subjects:
        marked, votes, agree = make(fact)
        votes = [vote for vote in votes if vote is not None]
        if len(votes) < 2:
            continue
        verdict = _count(st, subject, marked, votes, agree)
        verdict = _spare_second_description(st, fact, verdict, votes, agree)
        if st.ops.any_of(verdict.outvoted):
            verdicts.append(verdict)
    return verdicts


Agree = Callable[[Any, Any], Any]


def _count(st: Statements, subject: str, marked: Any, votes: list[Any], agree: Agree) -> Verdict:
    ops = st.ops
    none_for = ops.known(marked)
    for vote in votes:
        none_for = none_for & ops.no(agree(vote, marked))
    pair, agreed = st.never, st.nothing
    for position, vote in enumerate(votes):
        for other in votes[position + 1 :]:
            together = agree(vote, other)
            agreed = ops.where(together & ops.no(pair), vote, agreed)
            pair = pair | together
    return Verdict(subject, none_for & pair, marked, agreed)


def _spare_second_description(st: Statements, fact: str, verdict: Verdict, votes: list[Any], agree: Agree) -> Verdict:
    """A vote that fits the marking's second service description is a vote for the marking."""
    ops = st.ops
    if fact not in SECOND_DESCRIPTION or not ops.any_of(verdict.outvoted):
        return verdict
    second = st.fact(SECOND_DESCRIPTION[fact])
    outvoted = verdict.outvoted
    for vote in votes:
        outvoted = outvoted & ops.no(agree(vote, second))
    return Verdict(verdict.subject, outvoted, verdict.marked, verdict.agreed)


def _one_vote(st: Statements, values: list[Any], marked: Any, agree: Agree) -> Any:
    """Joins statements that are no independent votes: the one that sides with the marking, else what they agree on."""
    if not values:
        return None
    ops = st.ops
    vote = values[0]
    for value in values[1:]:
        apart = ops.known(vote) & ops.known(value) & ops.no(agree(vote, value))
        for_marking = agree(value, marked)
        joined = ops.either(vote, value)
        vote = ops.where(apart & for_marking, value, ops.where(apart & ops.no(agree(vote, marked)), st.nothing, joined))
    return vote


def _text_values(st: Statements, fact: str, reports: tuple[str, ...]) -> list[Any]:
    return [st.marking_fact(fact, text.codes) for text in st.governing.texts if text.report in reports]


def _load_votes(st: Statements, fact: str, kg: str, lb: str, index: str) -> tuple[Any, list[Any], Agree]:
    ops = st.ops
    marked = st.fact(fact)
    share = _allowance(st)

    def agree(a: Any, b: Any) -> Any:
        return ops.magnitude(a - b) <= ops.larger(b * share, 1.2)

    cells = [st.value(slot) for slot in st.own(kg)] + [st.value(slot) * KG_PER_LB for slot in st.own(lb)]
    split = []
    if st.own(index):
        free = ops.where(st.governing.index_stands_in, st.nothing, st.first(index))
        split = [ops.look_up(st.book.tables.load_kg, free)]
    texts = [st.value(slot) for slot in st.claims(kg)] + [st.value(slot) * KG_PER_LB for slot in st.claims(lb)]
    texts += [ops.look_up(st.book.tables.load_kg, st.value(slot)) for slot in st.claims(index)]
    texts += _text_values(st, fact, ("title", "description"))
    size_texts = _text_values(st, fact, ("size", "service_description"))
    votes = [_one_vote(st, values, marked, agree) for values in (cells, split, texts, size_texts)]
    return marked, votes, agree


def _allowance(st: Statements) -> Any:
    return st.cached(("allowance",), lambda: band(st, "load_off_table", "share", st.ops.constant(1.0, st.nothing)))


def _speed_votes(st: Statements, fact: str) -> tuple[Any, list[Any], Agree]:
    ops = st.ops
    floor = st.fact("speed_floor_kmh")
    marked = ops.either(st.fact(fact), floor)
    speeds = tuple(st.book.tables.speed_kmh.values())

    def agree(a: Any, b: Any) -> Any:
        return (ops.magnitude(a - b) <= 1.7) | ((b == floor) & (a >= b - 1.7))

    cells = [st.value(s) for s in st.own("max_speed_kmh")]
    cells += [st.value(s) * KMH_PER_MPH for s in st.own("max_speed_mph")]
    split = []
    if st.own("speed_symbol"):
        free = ops.where(st.governing.symbol_stands_in, st.nothing, st.first("speed_symbol"))
        split = [ops.look_up(speeds, free)]
    texts = [st.value(s) for s in st.claims("max_speed_kmh")]
    texts += [st.value(s) * KMH_PER_MPH for s in st.claims("max_speed_mph")]
    texts += [ops.look_up(speeds, st.value(s)) for s in st.claims("speed_symbol")]
    texts += _text_values(st, fact, ("title", "description"))
    size_texts = _text_values(st, fact, ("size", "service_description"))
    votes = [_one_vote(st, values, marked, agree) for values in (cells, split, texts, size_texts)]
    return marked, votes, agree


def _size_votes(st: Statements, fact: str, fields: tuple[str, ...], tolerance: float) -> tuple[Any, list[Any], Agree]:
    ops = st.ops
    marked = st.fact(fact)

    def agree(a: Any, b: Any) -> Any:
        return ops.magnitude(a - b) <= tolerance

    cells = [st.value(s) * (MM_PER_INCH if f.endswith("width_in") else 1.0) for f in fields for s in st.own(f)]
    texts = _text_values(st, fact, ("title", "description"))
    size_texts = _text_values(st, fact, ("size",))
    return marked, [_one_vote(st, values, marked, agree) for values in (cells, texts, size_texts)], agree


def _strength_votes(st: Statements, fact: str) -> tuple[Any, list[Any], Agree]:
    ops = st.ops
    marked = st.fact(fact)

    def agree(a: Any, b: Any) -> Any:
        return a == b

    cells = [ops.where(st.value(s) < 0, st.nothing, st.value(s)) for s in st.own("load_range")]
    cells += [st.value(s) for s in st.own("ply_rating")]
    texts = [st.value(s) for f in ("ply_rating", "load_range") for s in st.claims(f)]
    texts += _text_values(st, fact, ("title", "description"))
    size_texts = _text_values(st, fact, ("size", "service_description"))
    return marked, [_one_vote(st, values, marked, agree) for values in (cells, texts, size_texts)], agree


def cause_field(about: str, detail: Any) -> str:
    """The field whose value explains a hit: what the hit is about, or what the marking is outvoted on."""
    if isinstance(detail, tuple) and detail[0] == "outvoted":
        return _OUTVOTED_FIELDS[detail[1]]
    return about


def wanted_subjects(rule_id: str, about: str, detail: Any) -> frozenset[str]:
    """The subjects whose witnesses belong into a finding's evidence."""
    if isinstance(detail, tuple) and detail[0] == "outvoted":
        return frozenset({detail[1]})
    if rule_id == "marking-contradicted":
        return frozenset({"load", "dual load", "speed", "width", "aspect", "rim"})
    subject = SUBJECT_OF.get(about)
    return frozenset({subject}) if subject else frozenset()


def is_service_subject(subject: str) -> bool:
    """Whether the subject is settled by the service description rather than by the size."""
    return subject in _SERVICE_SUBJECTS


class Witness(NamedTuple):
    """One statement that bears on a subject, and how it stands to the marking."""

    name: str
    subject: str
    agrees: Any
    differs: Any


WITNESS_FACTS = (  # field, fact, tolerance, allowance
    ("max_load_kg", "load_single_kg", "load", "load_off_table"),
    ("max_load_lb", "load_single_lb", "load", "load_off_table"),
    ("load_index", "load_index", "exact", ""),
    ("max_load_dual_kg", "load_dual_kg", "load", "load_off_table"),
    ("max_load_dual_lb", "load_dual_lb", "load", "load_off_table"),
    ("load_index_dual", "load_index_dual", "exact", ""),
    ("max_speed_kmh", "speed_kmh", "speed", ""),
    ("max_speed_mph", "speed_mph", "speed", ""),
    ("speed_symbol", "speed_symbol", "exact", ""),
    ("section_width_mm", "section_width_mm", "exact", ""),
    ("aspect_ratio", "aspect_ratio", "exact", ""),
    ("rim_diameter_in", "rim_diameter_in", "rim", ""),
    ("load_range", "load_range", "exact", ""),
    ("ply_rating", "ply_rating", "exact", ""),
)
_TEXT_FACTS = (
    ("load", "load_index"),
    ("dual load", "load_index_dual"),
    ("speed", "speed_symbol"),
    ("width", "section_width_mm"),
    ("aspect", "aspect_ratio"),
    ("rim", "rim_diameter_in"),
    ("strength", "load_range"),
)


def witnesses(st: Statements) -> list[Witness]:
    """Every statement that bears on a subject of the marking; for the evidence of findings."""
    ops = st.ops
    found = []
    for field, fact, tolerance, allowance in WITNESS_FACTS:
        for slot in st.slots.get(field, ()):
            how = judge(st, slot, fact, tolerance, allowance)
            free = _free(slot, st)
            differs = (how.above | how.below) & free
            found.append(Witness(slot.report, SUBJECT_OF[field], how.known & free & ops.no(differs), differs))
    for text in st.governing.texts:
        for subject, fact in _TEXT_FACTS:
            own, marked = st.marking_fact(fact, text.codes), st.fact(fact)
            known = ops.known(own) & ops.known(marked)
            found.append(Witness(text.report, subject, known & (own == marked), known & (own != marked)))
    return found


def _free(slot: Slot, st: Statements) -> Any:
    """Where a split field is a witness of its own, and not used in place of a service description."""
    ops = st.ops
    if slot.field in ("load_index", "load_index_dual") and not slot.is_claim:
        return ops.no(st.governing.index_stands_in | st.never)
    if slot.field == "speed_symbol" and not slot.is_claim:
        return ops.no(st.governing.symbol_stands_in | st.never)
    return ops.no(st.never)
