"""One pass over a numeric cell: its numbers, each with its unit, and a judgement of every other word."""

from __future__ import annotations

import re
from dataclasses import dataclass

from auditor.quantities.units import UNIT_OF_SPELLING, Measure, words
from auditor.rulebook.built_in import load_contract, words_of_headers
from auditor.rulebook.header_words import fold
from auditor.trade.patterns import Pattern
from auditor.trade.units import UNITS, Unit

RIM_FIELDS = frozenset({"rim_diameter_in", "measuring_rim_in", "rim_width_min_in", "rim_width_max_in"})

_TOKEN = Pattern(
    r"""\s*(?:
    (?P<unit>
      (?:km|mi(?:les?)?)\s?/\s?(?:hr?|u|std?|t|godz|saat|sa|jam)(?![a-z]) | km/ч
    | k\.?\s?[mp]\.?\s?h(?![a-z]) | m\.\s?p\.\s?h
    | (?:lbs?|pounds)\s?(?:/|per)\s?(?:in2|sq\.?\s?in(?:ch)?) | p\.\s?s\.\s?i | kgf?/cm2
    | 32nds
    | (?:(?:rev(?:olution)?s?|u)\.?\s?)?(?:/|per)\s?(?:km|miles?|mi)(?![a-z])
    | (?:miles?|km|kilomet(?:er|re)s?)\sper\shour
    | db\(a\) | inch\(es\) | lb's | ''|["\#%]
    )\.?
  | (?P<number>
      (?:[0-9]{1,3}(?:[ '’][0-9]{3})+(?![0-9])(?:[.,][0-9]+)?|[0-9]+(?:[.,][0-9]+)*|[.,][0-9]+)
      (?:e[+-]?[0-9]{1,3}(?![0-9a-z]))?
    )
  | (?P<word>[^\W\d_]+)\.?
  | (?P<mark>\S)
  )""",
    re.VERBOSE,
)

IGNORED = words(
    """max maximum maximal maximale min load capacity rating rated
    speed pressure inflation cold each tire tyre per index limit top is of nominal diameter
    width rim wheel weight depth tread tiefe size revs rev revolutions noise level aspect ratio up
    upto series serie and und or oder the a traglast geschwindigkeit durchmesser breite
    tragfähigkeit charge vitesse carico velocità carga velocidad draagvermogen snelheid nośność prędkość
    von from od de da dal от від ø ⌀ ∅
    pro je par por auf pr na op за на reifen rad räder pneu pneus neumático neumatico llanta gomma pneumatico opona
    oponę koło band wiel wheels roue rueda ruota däck dæk dekk шину шина колесо lastik
    : ; , . = ~ ≈ ± * | · & < ≤"""
)
V_MAX = Pattern(r"\bv[ ./]{0,2}max\b\.?")  # no speed symbol
_BRACKETS = frozenset("()[]")
MORE_THAN = words("above over more than exceeding beyond plus über oltre ponad > ≥ +")
SEPARATORS = words("/ x - – — to bis through till jusqu à … ... ÷")
_BETWEEN = words("~ a")  # separators behind a number; before one they say nothing: "~ 850"
_PER_GROUP = words("pair axle set pairs axles sets paar achse satz essieu eje asse as oś osie ось paire para coppia")
_SINGLE = words("single sgl simple einzel s")
_MOUNTINGS = frozenset({"single", "dual"})
_DUAL = words("dual twin dbl double doppel zwilling d")
# Letters of rim contours beside a width: "7.5J", "W15L", "DW16L", "5.50F SDC", "8.00V", "3.50MT".  From memory of the
# European tire and rim standards.
_RIM_WORDS = words("j jj jk jb k b d r zr c lt h w dw tw tdw dd l la lb e f g s t v p mt sdc dc")
_DENOMINATORS = words("2 4 8 16 32 64")
_SYMBOLS = frozenset("abcdefgjklmnpqrstuhvwy")


@dataclass(slots=True)
class Item:
    """One number of a cell while it is being put together."""

    text: str
    unit: Unit | None = None
    before: str = ""  # the separator between it and the number before
    role: str = ""  # "single" or "dual" where the cell says so
    value: float | None = None  # set for fractions, which are numbers already
    half_step: float = 0.0
    bracketed: bool = False
    slashes: int = 0  # slashes before it: numbers of one unit on two sides of one are a single/dual pair


@dataclass(slots=True)
class Scan:
    """What one pass over a cell has found so far; the last five fields belong to the number that follows."""

    items: list[Item]
    open_ended: bool = False
    symbol: str | None = None  # a speed symbol standing beside a speed
    problem: str = ""
    unknown: str = ""  # the first word that nobody knows
    before: str = ""
    role: str = ""  # or two, in their order
    leading_unit: Unit | None = None  # "psi: 80"
    bracketed: bool = False
    slashes: int = 0


def scan_cell(text: str, measure: Measure) -> Scan:
    """Splits a cell into numbers, each with its unit, and judges every other word and sign."""
    scan = Scan([])
    for match in _TOKEN.finditer(text):
        token = match[match.lastgroup] if match.lastgroup else ""
        if match.lastgroup == "number":
            role, _, scan.role = scan.role.partition(" ")
            scan.items.append(
                Item(
                    token,
                    scan.leading_unit,
                    scan.before,
                    role,
                    bracketed=scan.bracketed,
                    slashes=scan.slashes,
                )
            )
            scan.before, scan.leading_unit = "", None
        elif token in ("@", "at", "bei"):
            break  # what follows says under which pressure or load the value holds
        elif (unit := UNIT_OF_SPELLING.get(token.replace(" ", "").replace(".", ""))) and not (
            (token in _SYMBOLS and measure.stem == "max_speed")  # the T of 190 km/h is no tonne
            or (token in _RIM_WORDS and measure.field in RIM_FIELDS)  # nor that of a rim's contour
        ):
            _take_unit(scan, unit, leads=text[match.end() :].lstrip()[:1] in ("=", ":"))
        elif measure.stem.startswith("max_load") and (role := mounting(token)):
            _take_role(scan, role, text[: match.start("word")], text[match.end() :])
        elif not _take_separator(scan, token, measure):
            _take_other(scan, token, measure)
        if scan.problem:
            return scan
    if text.rstrip(" .").endswith(("/par", " par")):  # Spanish for a pair; "par pneu" is French
        scan.problem = "A value per pair is not a value per tire."
    if scan.open_ended and measure.stem != "max_speed":
        scan.problem = "Only a speed can be open-ended."
    _join_fractions(scan, measure)
    if scan.unknown and not (scan.items and _stay_apart(scan.items)):
        scan.problem = scan.problem or _not_understood(scan.unknown)
    return scan


def _take_unit(scan: Scan, unit: Unit, *, leads: bool) -> None:
    """A unit belongs to the number before it, or leads the one that follows: "LBS=3417|KG=1550"."""
    last = scan.items[-1] if scan.items and not scan.before and not leads else None
    if last is None:
        scan.leading_unit = unit
    elif last.unit is None:
        last.unit = unit
    elif last.unit is not unit:
        scan.problem = f"The number {last.text} has two units, {last.unit.name} and {unit.name}."


def _take_separator(scan: Scan, token: str, measure: Measure) -> bool:
    """Notes a sign or word between two numbers; False when the token is none."""
    in_rim = measure.field in RIM_FIELDS
    if token in ("jx", "jjx", "×") and (in_rim or token == "×"):
        scan.before = "x"
    elif token in (",", ";", "|") and in_rim:
        scan.before = ","
    elif token in _BETWEEN and scan.items:
        scan.before = "-"
    elif token not in SEPARATORS:
        return False
    elif scan.items:
        scan.before = token
        scan.slashes += token == "/"
    elif token in ("-", "–") and measure.field != "rim_diameter_in" and not scan.symbol:  # "T - 190 km/h"
        scan.problem = "A negative number cannot be."
    return True  # a leading "to" is that of "up to 210"


def _take_other(scan: Scan, token: str, measure: Measure) -> None:
    """Judges every word and sign that is neither unit nor separator."""
    in_rim = measure.field in RIM_FIELDS
    if token in MORE_THAN:
        scan.open_ended = True
    elif token in _PER_GROUP:
        scan.problem = f"A value per {token} is not a value per tire."
    elif token in _BRACKETS:
        scan.bracketed = token in "(["
    elif measure.stem == "max_speed" and token in _SYMBOLS:
        scan.symbol = token.upper()
    elif not scan.items and token in _DIMENSIONS.get(measure.stem, ()):
        return  # "B 205"
    elif token and token not in IGNORED and not (in_rim and token in _RIM_WORDS) and not _is_of_name(token, measure):
        if len(token) < _SHORT_UNKNOWN or _may_be_unit(scan):
            scan.problem = _not_understood(token)
        else:
            scan.unknown = scan.unknown or token


def _not_understood(token: str) -> str:
    return f"{token!r} is not understood here."


def _may_be_unit(scan: Scan) -> bool:
    """Whether an unknown word stands behind a number without a unit, so that it may be one: "615 daN"."""
    return bool(scan.items) and scan.items[-1].unit is None and not scan.before


def _stay_apart(items: list[Item]) -> bool:
    """Whether each number has a unit of its own or stands alone, so that words beside them change nothing."""
    units = [item.unit for item in items]
    return len(items) == 1 or (None not in units and len(set(map(id, units))) == len(units))


def _is_of_name(token: str, measure: Measure) -> bool:
    """Whether a word is one of those that columns of this quantity are headed by: "Höchstgeschwindigkeit 190 km/h"."""
    field = load_contract().fields.get(measure.field)
    return field is not None and len(token) > _SHORT_WORD and fold(token) in words_of_headers(frozenset({field.group}))


_SHORT_WORD, _SHORT_UNKNOWN = 3, 2  # letters
_DIMENSIONS = {"section_width": "bwl", "measured_width": "bwl", "aspect_ratio": "h", "overall_diameter": "dh"}


def names_group(text: str) -> bool:
    """Whether a cell in lower case speaks of several tires together: a pair, an axle, a set."""
    return any(match["word"] in _PER_GROUP for match in _TOKEN.finditer(text))


def mounting(token: str) -> str:
    """ "single" or "dual" for a word that says so in any language; "" for any other."""
    if token in _SINGLE:
        return "single"
    if token in _DUAL:
        return "dual"
    concept = load_contract().concepts.get(fold(token), "") if token not in IGNORED else ""
    return concept if concept in _MOUNTINGS else ""


def _take_role(scan: Scan, role: str, before: str, rest: str) -> None:
    """ "single" or "dual" belongs to the number before it, unless another follows at once that has none behind it."""
    items = scan.items
    leads = _digit_follows(rest) and not rest.startswith(")") and not _stands_behind_each(before, rest)
    if items and not items[-1].role and not leads:
        items[-1].role = role
    elif not leads and len(items) > 1 and not items[-2].role and items[-1].role != role:
        items[-2].role, items[-1].role = items[-1].role, role  # both words behind both numbers: "1215/1150 kg (S/D)"
    else:  # "S/D: 1215/1150 kg": words before the numbers, in their order
        scan.role = f"{scan.role} {role}" if scan.role in _MOUNTINGS - {role} else role


def _stands_behind_each(before: str, rest: str) -> bool:
    """Whether each number has its word behind it: "1.150 kg singolo - 1.090 kg gemellato"."""
    last = _LAST_WITH_WORD.match(rest)
    return last is not None and mounting(last["word"]) != "" and before.rstrip()[-1:].isalnum()


_LAST_WITH_WORD = Pattern(r"\.?\s*[-,;:|/]?\s*[0-9][0-9., '’]*\s?(?:kgs?|lbs?|кг)?\.?\s*\(?(?P<word>[^\W\d_]+)")


def _digit_follows(rest: str) -> bool:
    return rest.lstrip(" :=.-(")[:1].isdigit()


def _join_fractions(scan: Scan, measure: Measure) -> None:
    """Turns 10, 1 and 2 of "10 1/2" into 10.5, and 5 and 16 of a tread depth "5/16" into inches."""
    if measure.unit.dimension != "length" or len(scan.items) < 2:
        return
    joined: list[Item] = []
    for item in scan.items:
        above = joined[-1] if joined else None
        if above is None or not _is_fraction(above, item):
            joined.append(item)
            continue
        share, step = int(above.text) / int(item.text), 0.5 / int(item.text)
        whole = joined[-2] if len(joined) > 1 and above.before in ("", "-") else None
        if whole is not None and whole.text.isdecimal() and whole.unit is None:
            joined.pop()
            whole.value, whole.half_step, whole.unit = int(whole.text) + share, step, item.unit
        elif measure.stem == "tread_depth":
            above.value, above.half_step, above.unit = share, step, UNITS["in"]
        else:
            joined.append(item)
    scan.items[:] = joined


def _is_fraction(above: Item, below: Item) -> bool:
    """Whether two numbers with a slash between them are a proper fraction of a binary denominator."""
    if below.before != "/" or not (above.text.isdecimal() and below.text.isdecimal()):
        return False
    return below.text in _DENOMINATORS and 0 < int(above.text) < int(below.text)
