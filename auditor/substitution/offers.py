"""What a listing offers in place of what: its cells taken apart, its own tire, and which of what fails is the gravest.

Both ends stand on these: one listing, which needs no array library, and the joined offers of a whole run.  Patterns
are written so that Python and Arrow read them alike.
"""

from __future__ import annotations

import re
from functools import lru_cache
from typing import Any, NamedTuple

from auditor.marking import Marking, decode, find_markings
from auditor.rulebook.book import RuleBook
from auditor.rulebook.finding import GRADES
from auditor.substitution.comparison import POINTS, Outcomes
from auditor.substitution.facts import NO_TIRE, TireFacts, tire_facts
from auditor.substitution.limits import FAILS, Limits
from auditor.trade.codes import LOAD_VERSIONS
from auditor.trade.tables import Tables

FIELDS = ("substitutes", "replaces")  # offered in place of this tire; in place of which this tire is offered
# What a substitute may lack, in the order in which it is said where two of one grade are lacking.
LACKING = (
    "substitute_rim_differs",
    "substitute_load_lower",
    "substitute_load_range_lower",
    "substitute_kind_differs",
    "substitute_speed_lower",
    "substitute_version_lower",
    "substitute_diameter_off",
)
_BLANK = r"[\t\n\f\r ]"
LIKE_A_MARKING = rf"[0-9]{_BLANK}*/{_BLANK}*[0-9]|[0-9]{_BLANK}*[RrDdBb-]{_BLANK}*-?[0-9]{{2}}|[0-9]{_BLANK}*[xX][0-9]"
DECIMAL_COMMA = r"((?:^|[^0-9A-Za-z])[0-9]|[xX][0-9]{1,2}),([0-9]{1,2}[\t\n\f\r ]?[-Rr])"  # of 4,00-8 and 31x10,50R15
BRACKETS = rf'^{_BLANK}*\[|\]{_BLANK}*$|"'  # of a JSON array
AROUND = ";|, \t\r\n"
BETWEEN = rf"{_BLANK}*[;|,\t\r\n]+{_BLANK}*"
# What joins entries that begin with a size: "205/55R16 91V / 205/55R16 88V", "... or ...", "1) ... 2) ...".
JOINING = (
    rf"(?:(?:<[Bb][Rr] ?/?>|{_BLANK}(?:[/&+•-]|(?i:or|oder|ou|o|lub|and|und|et|e|y|i|of|en|bzw\.?|resp\.?)))"
    rf"{_BLANK}*|{_BLANK}+[1-9][).]{_BLANK}?)((?:LT|ST|HL|P|T)?[0-9]{{2,3}}(?:/[0-9]{{2}}|[xX.][0-9]|[Rr-][0-9]{{2}}))"
)
FIRST_OF_LIST = rf"^{_BLANK}*(?:1[).]|•|[*-]){_BLANK}+"


def parted(cell: str) -> list[str]:
    """The entries of a cell: parted by semicolon, bar, comma, tab or line end; also those of a JSON array."""
    whole = _BRACKETS.sub("", _DECIMAL_COMMA.sub(r"\1.\2", cell))
    whole = _JOINING.sub(r";\1", _FIRST_OF_LIST.sub("", whole))
    return _BETWEEN.split(whole.strip(AROUND))


_DECIMAL_COMMA, _BRACKETS, _BETWEEN = re.compile(DECIMAL_COMMA), re.compile(BRACKETS), re.compile(BETWEEN)
_JOINING, _FIRST_OF_LIST = re.compile(JOINING), re.compile(FIRST_OF_LIST)
_LIKE_A_MARKING = re.compile(LIKE_A_MARKING)


@lru_cache(maxsize=100_000)
def marking_of(text: str) -> str:
    """The marking that an entry is, in canonical form; empty where it is none, or holds more than one."""
    if _LIKE_A_MARKING.search(text) is None or len(find_markings(text)) != 1:
        return ""
    found = decode(text)
    return found.canonical if isinstance(found, Marking) else ""


def added_words(version: int | None, plies: int | None, snow: bool, tables: Tables) -> str:
    """What fields of their own add to a marking, as a marking says it; `version` is a place in LOAD_VERSIONS.

    Standard load is what an unmarked tire is.
    """
    letter = tables.ply_load_range.get(plies, "") if plies is not None else ""
    words = [f"LR {letter}"] if letter else []
    words += [] if version is None or LOAD_VERSIONS[version] == "SL" else [LOAD_VERSIONS[version]]
    return "".join(" " + word for word in [*words, *(["3PMSF"] if snow else [])])


def facts_of(marking: str, tables: Tables) -> TireFacts:
    """The facts of a tire by its marking; of "" those of no tire."""
    found = decode(marking) if marking else None
    return tire_facts(found, tables) if isinstance(found, Marking) else NO_TIRE


class Gravity(NamedTuple):
    """Which rule a failing point breaks, and which of two rules is the graver."""

    lacks: tuple[int, ...]  # by point: place in LACKING of what is asked by its rule; -1 where no rule asks
    ranks: tuple[int, ...]  # by place in LACKING: the smaller the graver; -1 where no rule is in force
    rules: dict[str, str]  # what may be lacking -> id of its rule

    @classmethod
    def of(cls, book: RuleBook, limits: Limits) -> Gravity:
        """The gravity of a rule book's substitute rules."""
        rules = {rule.check: rule for rule in book.rules if rule.kind == "across" and rule.check in LACKING}
        checks = {rule.id: check for check, rule in rules.items()}
        named = [checks.get(limits.points[name].rule, "") for name in POINTS]
        return cls(
            tuple(LACKING.index(check) if check else -1 for check in named),
            tuple(
                GRADES.index(rules[check].grade) * len(LACKING) + place if check in rules else -1
                for place, check in enumerate(LACKING)
            ),
            {check: rule.id for check, rule in rules.items()},
        )

    def gravest(self, ops: Any, found: Outcomes) -> Any:
        """Place in LACKING of the gravest rule that a pair breaks; -1 where it breaks none."""
        rank: Any = float(len(GRADES) * len(LACKING))
        lacks: Any = -1.0
        for point, number in zip(found, self.lacks, strict=False):
            if number >= 0:
                worse = (point == FAILS) & (self.ranks[number] < rank)
                rank, lacks = ops.where(worse, float(self.ranks[number]), rank), ops.where(worse, float(number), lacks)
        return lacks
