"""The summary of a finished audit as plain data; its shape is `rules/schemas/summary.json`."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from typing import Any

import numpy as np
import numpy.typing as npt

from auditor.engine.feed_run import FeedRun
from auditor.engine.known_feeds import KnownFeeds
from auditor.engine.merge import Tally
from auditor.engine.unit_work import FURNITURE_RECORD, REJECTED_RECORD
from auditor.feeds.model import HELD, REJECTED, RELEASED, ColumnUse
from auditor.rulebook.book import RuleBook
from auditor.rulebook.finding import GRADES
from auditor.version import __version__

REPEATED_MOST = 2_000  # in the summary; repeated.csv has all
_AT_ONCE = 1 << 20  # records; what is worked out about all of them at once must not take eight bytes for each

Layouts = dict[tuple[Any, ...], list[dict[str, Any]]]  # how columns are read, by what is said of them


def dispositions(run: FeedRun, book: RuleBook) -> npt.NDArray[np.uint8]:
    """Released, held or rejected for every record (see `auditor.feeds.model`)."""
    worst = run.worst if run.holding is None else run.holding
    disposition = np.empty(len(worst), dtype=np.uint8)
    kinds = np.full(FURNITURE_RECORD + 1, HELD if holds_whole(run, book) else RELEASED, dtype=np.uint8)
    kinds[: GRADES.index(book.hold_from) + 1] = HELD
    kinds[REJECTED_RECORD:] = REJECTED  # furniture goes to neither file either
    for start in range(0, len(disposition), _AT_ONCE):
        disposition[start : start + _AT_ONCE] = kinds[worst[start : start + _AT_ONCE]]
    return disposition


def holds_whole(run: FeedRun, book: RuleBook) -> bool:
    """Whether the policy holds every listing of the feed, since a column of it that matters was not read."""
    return book.holds_unread and bool(run.feed.mapping.unread)


def _worst_counts(run: FeedRun) -> list[int]:
    """Records by worst grade, by place in GRADES, NO_GRADE REJECTED_RECORD or FURNITURE_RECORD."""
    counts = np.zeros(FURNITURE_RECORD + 1, dtype=np.int64)
    for start in range(0, len(run.worst), _AT_ONCE):
        counts += np.bincount(run.worst[start : start + _AT_ONCE], minlength=len(counts))
    return counts.tolist()


def feed_counts(run: FeedRun, book: RuleBook) -> dict[str, int]:
    """Records, released, held, rejected and furniture of a feed; rejected stretches without a number count one each."""
    counts = _worst_counts(run)
    held, numbered = sum(counts[: GRADES.index(book.hold_from) + 1]), counts[REJECTED_RECORD]
    held -= sum(run.let_through.values())
    unnumbered = max(run.rejected - numbered, 0)
    records = len(run.worst) + unnumbered
    rejected, furniture = numbered + unnumbered, counts[FURNITURE_RECORD]
    if holds_whole(run, book):
        held = records - rejected - furniture
    return {
        "records": records,
        "released": records - held - rejected - furniture,
        "held": held,
        "rejected": rejected,
        "furniture": furniture,
    }


def exit_code(summary: Mapping[str, Any]) -> int:
    """What a script learns: a feed not read beats what else has to be looked after, and that beats a listing held."""
    if summary["unreadable_feeds"]:
        return 3
    changed = any(one["sets_exit_code"] for one in summary.get("delivery_changed", ()))
    if summary["unread_columns"] or changed or summary.get("decisions", {}).get("refused"):
        return 5
    return 1 if summary["totals"]["held"] or summary["totals"]["rejected"] else 0


def summarize(
    runs: Sequence[FeedRun],
    book: RuleBook,
    tally: Tally,
    known: KnownFeeds,
    repeated: Sequence[dict[str, Any]] = (),
) -> dict[str, Any]:
    """Builds the summary; `repeated` are the repeated mistakes, worst first."""
    layouts: Layouts = {}
    feeds = [_feed(run, book, tally, layouts) for run in runs]
    totals: dict[str, Any] = {
        name: sum(feed[name] for feed in feeds) for name in ("records", "released", "held", "rejected", "furniture")
    }
    totals["findings"] = {grade: tally.by_grade.get(grade, 0) for grade in GRADES}
    worst = [_worst_counts(run) for run in runs]
    totals["listings_with"] = {
        grade: sum(counts[position] for counts in worst) for position, grade in enumerate(GRADES)
    }
    subjects = {rule.id: rule.subject for rule in book.rules}
    could_not_tell: Counter[str] = Counter()
    for run in runs:
        could_not_tell.update(run.could_not_tell.counted())
        could_not_tell.update(_untold(run, book))
    return {
        "schema": 1,
        "program": __version__,
        "rules": _rules(runs, book, tally),
        "loosened_safety": list(book.loosened),
        "policy": {"name": book.policy_name, "sha256": book.policy_sha256, "signed": book.signed},
        "hold_from": book.hold_from,
        "market": book.market,
        "totals": totals,
        "feeds": feeds,
        "by_rule": {
            rule.id: {"grade": rule.grade, "findings": tally.by_rule[rule.id]}
            for rule in book.rules
            if tally.by_rule.get(rule.id)
        },
        "by_supplier": _suppliers(runs, book, tally),
        "by_subject_supplier": _by_subject(tally, subjects),
        "by_cause": dict(sorted(tally.by_cause.items())),
        "by_field": dict(sorted(tally.by_field.items())),
        "load_deviation": tally.histogram(),
        "index_confusions": [
            {"stated": stated, "derived": derived, "count": count}
            for (stated, derived), count in sorted(tally.confusions.items(), key=lambda item: (-item[1], item[0]))[:50]
        ],
        "unverified_listings": tally.unverified,
        "repeated": list(repeated[:REPEATED_MOST]),
        "repeated_in_all": len(repeated),
        "column_findings": [_column(group) for group in repeated if group["folded"] and group["column"]],
        "could_not_tell": dict(sorted(could_not_tell.items())),
        "unread_columns": [column for run in runs for column in _unread(run)],
        "unreadable_feeds": [{"feed": name, "reason": reason} for name, reason in sorted(known.unreadable)],
        "skipped": [{"file": name, "reason": reason} for name, reason in known.skipped],
    }


def _unread(run: FeedRun) -> list[dict[str, Any]]:
    """The feed's columns that matter and were not read."""
    return [
        {"feed": run.feed.name, "sheet": run.feed.sheet, "header": left.column, "why": left.why, "takes": left.takes}
        for left in run.feed.mapping.unread
    ]


def _without_listings(run: FeedRun) -> list[str]:
    """What is said of a delivery that holds a header and nothing else: it may be meant as one of many listings."""
    counts = _worst_counts(run)
    others = len(run.worst) - counts[FURNITURE_RECORD]
    return [] if others or run.rejected else ["It holds a header, and no listing."]


def _untold(run: FeedRun, book: RuleBook) -> dict[str, int]:
    """The rules that would have judged a column that was not read, each with all the feed's listings."""
    mapping = run.feed.mapping
    unread = {name for left in mapping.unread for name in left.fields}
    unread -= {name for use in mapping.columns for name in use.fields}
    counts = feed_counts(run, book)
    listings = counts["records"] - counts["rejected"] - counts["furniture"]
    needed = [rule.id for rule in book.rules if unread & {pair.stated for pair in rule.pairs}]
    return dict.fromkeys(needed, listings) if listings else {}


def _rules(runs: Sequence[FeedRun], book: RuleBook, tally: Tally) -> dict[str, Any]:
    """The book in force; of an own one also what it changes, and how often its rules find something."""
    if book.own.folder is None:
        return {"sha256": book.sha256}
    also: Counter[str] = Counter()
    for run in runs:
        also.update(run.also)
    return {
        "sha256": book.sha256,
        "own": {
            rule.id: {"findings": tally.by_rule.get(rule.id, 0), "also_on_cell": also[rule.id]}
            for rule in book.rules
            if rule.own
        },
        "replaced": list(book.own.replaced),
        "dropped": list(book.own.dropped),
        "fields": sorted(book.own.fields),
        "tables": list(book.own.tables),
    }


def _layout(uses: Sequence[ColumnUse], known: Layouts) -> list[dict[str, Any]]:
    """How columns are read; feeds of one layout share it."""
    said = tuple((use.column, use.fields, use.unit, round(use.confidence, 3)) for use in uses)
    if said not in known:
        known[said] = [
            {"column": column, "fields": list(fields), "unit": unit, "confidence": confidence}
            for column, fields, unit, confidence in said
        ]
    return known[said]


def _feed(run: FeedRun, book: RuleBook, tally: Tally, layouts: Layouts) -> dict[str, Any]:
    mapping = run.feed.mapping
    grades = tally.feed_grades.get(run.number, Counter())
    return {
        "feed": run.feed.name,
        "sheet": run.feed.sheet,
        "supplier": run.feed.supplier,
        "format": run.feed.format,
        "bytes": run.feed.size_bytes(),
        "sha256": run.sha256(),
        **feed_counts(run, book),
        "findings": {grade: grades.get(grade, 0) for grade in GRADES},
        "map": {
            "name": mapping.name,
            "columns": _layout(mapping.columns, layouts),
            "ignored": list(mapping.ignored),
            "warnings": [*mapping.warnings, *_without_listings(run)],
            "left_out": [{"column": left.column, "why": left.why} for left in mapping.left_out],
        },
        **_offers(run),
    }


def _offers(run: FeedRun) -> dict[str, Any]:
    """What became of the substitutes that a feed names; nothing where it names none."""
    offers = run.offers
    if offers is None:
        return {}
    return {
        "substitutes": {
            "yes": offers.answers["yes"],
            "no": offers.answers["no"],
            "cannot_tell": offers.answers["cannot tell"],
            "unknown": offers.unknown,
            "unknown_examples": offers.unknown_texts,
        }
    }


def _suppliers(runs: Sequence[FeedRun], book: RuleBook, tally: Tally) -> dict[str, Any]:
    held_to = GRADES.index(book.hold_from)
    found: dict[str, dict[str, int]] = {}
    for run in runs:
        for (supplier, worst), count in run.suppliers.items():
            if count <= 0:
                continue
            entry = found.setdefault(supplier, {"records": 0, "held": 0, **dict.fromkeys(GRADES, 0)})
            entry["records"] += count
            if worst <= held_to or (worst != REJECTED_RECORD and holds_whole(run, book)):
                entry["held"] += count
        for supplier, count in run.let_through.items():
            found[supplier]["held"] -= count
    for (supplier, grade), count in tally.by_supplier.items():
        entry = found.setdefault(supplier, {"records": 0, "held": 0, **dict.fromkeys(GRADES, 0)})
        entry[grade] += count
    return dict(sorted(found.items()))


def _by_subject(tally: Tally, subjects: dict[str, str]) -> list[dict[str, Any]]:
    summed: Counter[tuple[str, str]] = Counter()
    for (rule, supplier), count in tally.by_rule_supplier.items():
        summed[(subjects[rule], supplier)] += count
    return [
        {"subject": subject, "supplier": supplier, "findings": count}
        for (subject, supplier), count in sorted(summed.items())
    ]


def _column(group: dict[str, Any]) -> dict[str, Any]:
    """A whole column in doubt."""
    names = ("feed", "sheet", "supplier", "column", "field", "rule", "grade", "cause", "count", "share")
    return {**{name: group[name] for name in names}, "readable": group["readable"], "message": group["says"]}
