"""One rule of the book: its table as the program knows it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any, NamedTuple

from auditor.errors import RuleBookError
from auditor.rulebook.demands import Demand, demand_of, detail_words
from auditor.rulebook.files import nearest
from auditor.rulebook.finding import GRADES
from auditor.rulebook.subjects import GROUPS


class Pair(NamedTuple):
    """One comparison of a rule: a stated field with a derived fact, or with another stated field."""

    stated: str
    derived: str = ""
    other: str = ""
    settled_by: tuple[str, ...] = ()  # facts of the marking that settle which of two units is right


class Selector(NamedTuple):
    """Whom a policy line is about; an empty tuple means everyone."""

    rule: str
    suppliers: tuple[str, ...] = ()
    families: tuple[str, ...] = ()
    markets: tuple[str, ...] = ()


class Exemption(NamedTuple):
    """Statements that a comparison rule lets pass although they differ; an empty condition holds for all."""

    families: tuple[str, ...] = ()
    stated: tuple[float, ...] = ()  # just these values
    at_least: tuple[tuple[str, float], ...] = ()  # unit, and from which value on


class Condition(NamedTuple):
    """What a fact of the marking has to be; a bound that is a text is a limit of the rule."""

    fact: str
    relation: str  # equals | at_most | at_least
    bound: float | str


class Clause(NamedTuple):
    """A clause that takes the place of {detail} in a rule's sentence, and when it does; the first that fits is said."""

    says: str
    basis: str = ""  # what the hit rests on: outvoted | other-text | like-...; empty for all others
    fields: tuple[str, ...] = ()
    derived: str | None = None  # the derived value's text; "" where there is none
    stated_like: str = ""  # a pattern that the stated text has to match whole
    where: tuple[Condition, ...] = ()


@dataclass(frozen=True, slots=True, eq=False)  # one object per book: it can key what is kept of its limits
class Rule:
    """One rule of the book, with everything that the program knows of it."""

    id: str
    order: int
    subject: str
    title: str
    grade: str
    grade_when_higher: str | None
    kind: str
    group: str
    pairs: tuple[Pair, ...]
    finds: str
    tolerance: str
    allowance: str
    check: str
    families: tuple[str, ...]
    not_families: tuple[str, ...]
    markets: tuple[str, ...]
    says: str
    why: str
    source: str
    demand: Demand | None = None  # what a rule that looks at a field by itself asks of it
    own: bool = False  # of a retailer's own book
    grade_when_slight: str | None = None
    fields: tuple[str, ...] = ()  # that a check looks at, or that it takes seriously
    goes_by_marking: bool = True  # silent where the marking is outvoted
    certain: bool | tuple[str, ...] = False  # whether what it derives may be put into the cell; or for which fields
    certain_where: str = ""  # lower | agreed: when it may, where the characteristic of the field does not say
    advice: tuple[str, str] = ("", "")  # how the sentence ends: where it may, and where it may not
    takes: str = ""  # hits of other rules that it reports: outvoted-marking | whole-column
    derives: str = "value"  # value, denial (said not to be so), or marking: that of the text it is about
    in_texts: bool = False  # also judges what sizes in titles and descriptions say beside them
    counted_in: tuple[str, ...] = ()  # figures of the report that count its findings
    limits: Mapping[str, Any] = field(default_factory=dict, hash=False)
    exempt: tuple[Exemption, ...] = ()
    detail: tuple[Clause, ...] = ()
    off_for: tuple[Selector, ...] = ()
    only_for: tuple[Selector, ...] = ()

    def is_certain(self, field: str) -> bool:
        """Whether what the rule derives for a field may be put into the cell."""
        return self.certain if isinstance(self.certain, bool) else field in self.certain

    def limit(self, name: str) -> Any:
        """A limit of the rule's table; RuleBookError where its check needs one that is not there."""
        try:
            return self.limits[name]
        except KeyError:
            raise RuleBookError(
                f"Rule {self.id!r}: limits: its check needs the limit {name!r}; "
                f"{nearest(name, list(self.limits)) if self.limits else 'the rule has none.'}"
            ) from None


def rule_of(
    entry: dict[str, Any], order: int, grades: dict[str, str], off: list[Selector], only: list[Selector]
) -> Rule:
    """The rule of a checked table, under a policy's grades and lines."""
    graded_up = entry.get("grade_when_higher")
    grade = grades.get(entry["id"], entry["grade"])
    if graded_up is not None and GRADES.index(graded_up) > GRADES.index(grade):
        graded_up = grade
    demand = demand_of(entry)
    certain = entry.get("certain", False)
    return Rule(
        id=entry["id"],
        order=order,
        subject=entry["subject"],
        title=entry["title"],
        grade=grade,
        grade_when_higher=graded_up,
        kind=entry["kind"],
        group=entry.get("group", GROUPS[-1]),
        pairs=tuple(_pair(line) for line in entry.get("pairs", [])),
        finds=entry.get("finds", "differs"),
        tolerance=entry.get("tolerance", ""),
        allowance=entry.get("allowance", ""),
        check=entry.get("check", ""),
        families=tuple(entry.get("families", [])),
        not_families=tuple(entry.get("not_families", [])),
        markets=tuple(entry.get("markets", [])),
        says=entry["says"].replace("{detail}", detail_words(entry["kind"], demand)) if demand else entry["says"],
        why=entry["why"],
        source=entry["source"],
        demand=demand,
        own=bool(entry.get("own")),
        grade_when_slight=_milder(grade, entry.get("grade_when_slight")),
        fields=tuple(entry.get("fields", [])),
        goes_by_marking=entry.get("goes_by_marking", entry["kind"] == "comparison"),
        certain=certain if isinstance(certain, bool) else tuple(certain),
        certain_where=entry.get("certain_where", ""),
        advice=(entry["advice"]["certain"], entry["advice"]["unsure"]) if "advice" in entry else ("", ""),
        takes=entry.get("takes", ""),
        derives=entry.get("derives", "value"),
        in_texts=entry.get("in_texts", False),
        counted_in=tuple(entry.get("counted_in", [])),
        limits=entry.get("limits", {}),
        exempt=tuple(_exemption(line) for line in entry.get("exempt", [])),
        detail=tuple(_clause(line) for line in entry.get("detail", [])),
        off_for=tuple(s for s in off if s.rule == entry["id"]),
        only_for=tuple(s for s in only if s.rule == entry["id"]),
    )


def _milder(grade: str, slight: str | None) -> str | None:
    """The grade of a slight failure: never above that of the rule, which a policy may have graded down."""
    return slight if slight is None else max(grade, slight, key=GRADES.index)


def _pair(line: dict[str, Any]) -> Pair:
    return Pair(line["stated"], line.get("derived", ""), line.get("other", ""), tuple(line.get("settled_by", [])))


def _exemption(line: dict[str, Any]) -> Exemption:
    return Exemption(
        tuple(line.get("families", [])), tuple(line.get("stated", [])), tuple(line.get("at_least", {}).items())
    )


def _clause(line: dict[str, Any]) -> Clause:
    where = tuple(
        Condition(fact, relation, bound)
        for fact, wanted in line.get("where", {}).items()
        for relation, bound in (wanted if isinstance(wanted, dict) else {"equals": wanted}).items()
    )
    return Clause(
        line["says"],
        line.get("basis", ""),
        tuple(line.get("fields", [])),
        line.get("derived"),
        line.get("stated_like", ""),
        where,
    )


def selectors_of(lines: list[dict[str, Any]]) -> list[Selector]:
    """The lines of a policy that say whom a rule is for."""
    return [
        Selector(
            line["rule"],
            tuple(line.get("suppliers", [])),
            tuple(line.get("families", [])),
            tuple(line.get("markets", [])),
        )
        for line in lines
    ]


def is_off(rule: Rule, market: str) -> bool:
    """Whether a rule never runs under this market and policy; lines about some suppliers or families do not count."""
    if rule.markets and market != "all" and market not in rule.markets:
        return True
    for selector in rule.off_for:
        everywhere = not selector.suppliers and not selector.families
        if everywhere and (not selector.markets or market in selector.markets):
            return True
    return any(s.markets and market not in s.markets for s in rule.only_for if not s.suppliers and not s.families)
