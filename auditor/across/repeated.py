"""Repeated mistakes: findings of one supplier's column with one rule, direction and cause, from five on.

Findings whose cause is unclear are one mistake where they have the same ratio of stated to derived, the same stated
text, or the same reason why it cannot be read.  Groups are counted over the final findings, so that a group and the
findings that belong to it can never differ.
"""

from __future__ import annotations

import math
from collections import Counter, defaultdict
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from typing import Any, NamedTuple

import numpy as np
import numpy.typing as npt
import pyarrow as pa
import pyarrow.compute as pc

from auditor.across.habits import NO_RATIO, RATIO_STEP, ratio_steps
from auditor.across.ratios import Span, same_ratio
from auditor.rulebook.finding import GRADES

LEAST = 5
_FEW = 500  # findings that are looked at one by one first: to group them costs as much as looking at a thousand
_MOST_WAITING = 2_000_000  # rows of unclear findings in memory; beyond it what occurs once only is forgotten
_UNCLEAR = "unclear"
Ints = npt.NDArray[np.int64]


class Kind(NamedTuple):
    """What findings of one mistake have in common beside their cause."""

    supplier: str
    column: str
    field: str
    rule: str
    direction: int


@dataclass(slots=True)
class Part:
    """Some findings of one kind and cause: how many, how bad, and where the first of them stand."""

    count: int = 0
    worst: int = 9
    deviation: float = float("nan")
    first: list[int] = field(default_factory=list)  # their places among all findings

    def take(self, count: int, worst: int, deviation: float, first: list[int]) -> None:
        """Adds findings that come after those that are in it."""
        self.count += count
        self.worst = min(self.worst, worst)
        if self.deviation != self.deviation or abs(deviation) > abs(self.deviation):
            self.deviation = deviation
        if len(self.first) < 3:
            self.first = (self.first + first)[:3]

    def join(self, other: Part) -> None:
        """Adds another part, wherever its findings stand."""
        first = sorted([*self.first, *other.first])[:3]
        self.take(other.count, other.worst, other.deviation, [])
        self.first = first


@dataclass(frozen=True, slots=True)
class Group:
    """One repeated mistake of a feed; `ratio`, `stated` or `reason` says what unclear ones have in common."""

    kind: Kind
    cause: str
    part: Part
    ratio: Span | None = None
    stated: str | None = None
    reason: str | None = None
    steps: Counter[int] | None = None  # of the ratios of those that share a text


@dataclass(slots=True)
class RepeatedMistakes:
    """Counts the findings of one feed at a time."""

    rows: int = 0  # findings taken, of all feeds
    _parts: dict[tuple[Kind, str, int], Part] = field(default_factory=dict)  # by kind, cause and ratio
    _texts: list[pa.Table] = field(default_factory=list)  # of unclear findings: what they state, and why
    _waiting: int = 0
    _few: list[tuple[int, pa.Table]] = field(default_factory=list)  # not counted yet, and the place of their first
    _fewer: int = 0  # of them

    def take(self, table: pa.Table) -> None:
        """Takes findings in their final order; those that stand for a whole column are groups already."""
        first = self.rows
        self.rows += table.num_rows
        self._few.append((first, table))
        self._fewer += table.num_rows
        if self._fewer > _FEW:
            self._count_few()

    def _count_few(self) -> None:
        few, self._few, self._fewer = self._few, [], 0
        for first, table in few:
            self._count(first, table)

    def _count(self, first: int, table: pa.Table) -> None:
        single = pc.equal(table["stands_for"], 1).to_numpy(zero_copy_only=False)
        places = first + np.flatnonzero(single)
        if len(places) == 0:
            return
        table = table.filter(pa.array(single)) if len(places) < table.num_rows else table
        kinds, number = _kinds(table)
        ranks = pc.index_in(table["grade"], value_set=pa.array(list(GRADES))).to_numpy().astype(np.int64)
        deviations = table["deviation"].to_numpy()
        steps = ratio_steps(deviations)
        wide = number * (2 << 12) + steps - NO_RATIO
        order = np.argsort(wide, kind="stable")
        ordered = wide[order]
        starts = np.flatnonzero(np.concatenate([[True], ordered[1:] != ordered[:-1]]))
        ends = [*starts[1:].tolist(), len(ordered)]
        worst = np.minimum.reduceat(ranks[order], starts).tolist()
        above = np.fmax.reduceat(deviations[order], starts).tolist()
        below = np.fmin.reduceat(deviations[order], starts).tolist()
        for place, start, end, grade, high, low in zip(
            ordered[starts].tolist(), starts.tolist(), ends, worst, above, below, strict=True
        ):
            kind, cause = kinds[place // (2 << 12)]
            part = self._parts.setdefault((kind, cause, place % (2 << 12) + NO_RATIO), Part())
            foremost = places[order[start : min(start + 3, end)]].tolist()
            part.take(end - start, grade, high if kind.direction >= 0 else low, foremost)
        self._keep_texts(table, places, steps, ranks)

    def _keep_texts(self, table: pa.Table, places: Ints, steps: Ints, ranks: Ints) -> None:
        unclear = pc.equal(table["likely_cause"], _UNCLEAR)
        some = table.filter(unclear).select(["supplier", "column", "field", "rule", "direction", "stated", "reason"])
        if some.num_rows:
            mine = unclear.to_numpy(zero_copy_only=False)
            numbers = {"place": places[mine], "step": steps[mine], "rank": ranks[mine]}
            for name, values in numbers.items():
                some = some.append_column(name, pa.array(values))
            self._texts.append(some.combine_chunks())
            self._waiting += some.num_rows
        if self._waiting > _MOST_WAITING:
            self._forget_single_ones()

    def _forget_single_ones(self) -> None:
        whole = pa.concat_tables(self._texts)
        names = ["supplier", "column", "field", "rule", "direction", "stated", "reason"]
        often = whole.group_by(names).aggregate([([], "count_all")]).filter(pc.field("count_all") > 1)
        self._texts = [whole.join(often, names, join_type="left semi").combine_chunks()]
        self._waiting = self._texts[0].num_rows

    def groups(self) -> list[Group]:
        """The repeated mistakes of the feed that was taken last; the next one begins anew."""
        if not self._parts and not _may_repeat([table for _, table in self._few]):
            self._few, self._fewer = [], 0
            return []
        self._count_few()
        found: list[Group] = []
        texts = pa.concat_tables(self._texts) if self._texts else None
        if texts is not None:  # one value in place of many different ones, before chance makes factors of it
            texts = _same_texts(texts, "stated", found, least_steps=3)
            for group in found:
                self._take_out(group)
        by_kind: dict[Kind, dict[tuple[str, int], Part]] = defaultdict(dict)
        for (kind, cause, step), part in self._parts.items():
            if part.count > 0:
                by_kind[kind][cause, step] = part
        self._parts, self._texts, self._waiting = {}, [], 0
        factors = [group for kind, parts in by_kind.items() for group in _of_kind(kind, parts)]
        found += factors
        if texts is not None:
            texts = _without(texts, factors)
            for name in ("reason", "stated"):
                texts = _same_texts(texts, name, found)
        return found

    def _take_out(self, group: Group) -> None:
        """Lets findings that share a stated text count among those with a ratio no more."""
        for step, count in (group.steps or {}).items():
            part = self._parts[group.kind, _UNCLEAR, step]
            part.count -= count


def _may_repeat(few: list[pa.Table]) -> bool:
    """Whether enough of some findings are of one kind: in most small feeds there are not, and no group is sought."""
    counts: Counter[tuple[Any, ...]] = Counter()
    for table in few:
        counts.update(zip(*(table[name].to_pylist() for name in Kind._fields), strict=True))
    return max(counts.values(), default=0) >= LEAST


def _kinds(table: pa.Table) -> tuple[list[tuple[Kind, str]], Ints]:
    """The distinct kinds and causes of findings, and for each finding the place of its own among them."""
    names = ("supplier", "column", "field", "rule", "direction", "likely_cause")
    codes = np.zeros(table.num_rows, dtype=np.int64)
    values = []
    for name in names:
        encoded = table[name].combine_chunks().dictionary_encode()
        values.append(encoded.dictionary.to_pylist())
        codes = codes * max(len(values[-1]), 1) + encoded.indices.to_numpy()
    distinct, number = np.unique(codes, return_inverse=True)
    kinds = []
    for code in distinct.tolist():
        parts = []
        for listed in reversed(values):
            code, place = divmod(code, max(len(listed), 1))
            parts.append(listed[place])
        *kind, cause = reversed(parts)
        kinds.append((Kind(*kind), cause))
    return kinds, number.astype(np.int64)


def _of_kind(kind: Kind, parts: Mapping[tuple[str, int], Part]) -> Iterator[Group]:
    """The groups of one kind: one factor for nearly all of it, else one group per cause, and factors of the unclear."""
    total = sum(part.count for part in parts.values())
    if total < LEAST:
        return
    by_cause: Counter[str] = Counter()
    ratios: Counter[int] = Counter()
    for (cause, step), part in parts.items():
        by_cause[cause] += part.count
        ratios[step] += part.count
    span = same_ratio(ratios)
    most = max(by_cause.values())
    if span is not None and span.values >= 0.8 * total and span.values >= LEAST and most < 0.8 * total:
        yield Group(kind, _UNCLEAR, _joined(parts, None, span), span)
        parts = {key: part for key, part in parts.items() if not span.low <= key[1] <= span.high}
        by_cause = Counter()
        for (cause, _), part in parts.items():
            by_cause[cause] += part.count
    for cause, count in sorted(by_cause.items()):
        if cause != _UNCLEAR and count >= LEAST:
            yield Group(kind, cause, _joined(parts, cause, None))
    unclear = Counter({step: part.count for (cause, step), part in parts.items() if cause == _UNCLEAR})
    for found in _factors(unclear):
        yield Group(kind, _UNCLEAR, _joined(parts, _UNCLEAR, found), found)


def _factors(counts: Counter[int]) -> Iterator[Span]:
    """Spans of one per cent in which values crowd: twice as many as in those around, so that chance makes none."""
    left = Counter(counts)
    del left[NO_RATIO]
    while (span := same_ratio(left)) is not None and span.values >= LEAST:
        around = sum(count for step, count in counts.items() if abs(step - span.low) <= 40) - span.values
        if span.values < LEAST + around / 10:
            return
        yield span
        for step in range(span.low, span.high + 1):
            del left[step]


def _joined(parts: Mapping[tuple[str, int], Part], cause: str | None, span: Span | None) -> Part:
    joined = Part()
    for (own, step), part in sorted(parts.items()):
        if (cause is None or own == cause) and (span is None or span.low <= step <= span.high):
            joined.join(part)
    return joined


def _without(texts: pa.Table, factors: list[Group]) -> pa.Table:
    """The texts of findings that belong to no factor."""
    step = texts["step"].to_numpy()
    gone = np.zeros(texts.num_rows, dtype=np.bool_)
    for group in factors:
        if group.ratio is not None:
            mine = (step >= group.ratio.low) & (step <= group.ratio.high)
            for name, value in zip(Kind._fields, group.kind, strict=True):
                mine &= pc.equal(texts[name], value).to_numpy(zero_copy_only=False)
            gone |= mine
    return texts.filter(pa.array(~gone)) if gone.any() else texts


def _same_texts(texts: pa.Table, name: str, found: list[Group], least_steps: int = 0) -> pa.Table:
    """Adds to `found` the unclear findings that share a text; gives back the other ones.

    `least_steps` asks for that many ratios among them, so that the text and no factor is what they have in common.
    """
    filled = texts.filter(pc.not_equal(texts[name], ""))
    counted = filled.group_by([*Kind._fields, name], use_threads=False).aggregate(
        [("place", "count"), ("rank", "min"), ("place", "list"), ("step", "list"), ("step", "count_distinct")]
    )
    enough = pc.and_(
        pc.greater_equal(counted["place_count"], LEAST), pc.greater_equal(counted["step_count_distinct"], least_steps)
    )
    gone = [np.zeros(0, dtype=np.int64)]
    for row in counted.filter(enough).to_pylist():
        steps, places = Counter(row["step_list"]), sorted(row["place_list"])
        if least_steps and NO_RATIO in steps:
            continue
        furthest = max(steps, key=abs)
        deviation = float("nan") if furthest == NO_RATIO else math.expm1(furthest * RATIO_STEP)
        part = Part(len(places), row["rank_min"], deviation, places[:3])
        shared = {name: row[name]}
        found.append(Group(Kind(*(row[key] for key in Kind._fields)), _UNCLEAR, part, steps=steps, **shared))
        gone.append(np.array(places))
    left = ~np.isin(texts["place"].to_numpy(), np.concatenate(gone))
    return texts.filter(pa.array(left))
