"""Which of the quantities in a text are claims: loads, speeds, pressures and ply ratings.

Each reader looks left and right from one quantity to the ends of its stretch.  What it meets decides: a word that
makes it a claim ("max load"), or one that makes it something else ("tire weight", "per pair", "tested at").
"""

from __future__ import annotations

from auditor.claims.tokens import Token
from auditor.trade.units import KG_PER_LB

ENDS = frozenset({"filler", "stop", "comma", "terrain", "terrain-letters"})
PLAIN = frozenset({"up", "to", "tire", "link"})
_LOAD_UNITS = frozenset({"lb", "kg"})
_SPEED_UNITS = frozenset({"mph", "kmh"})
_PRESSURE_UNITS = frozenset({"psi", "kpa", "bar"})
_LOAD_WORDS = frozenset({"load", "max", "rated", "single", "dual"})
_LOAD_PASSES = PLAIN | {"number", "letter", "service", "lr", "range", "index", "at", "inflate", "pressure"}
_NOT_THIS_TIRE = frozenset({"group", "vehicle", "beyond", "no", "tested", "from", "other", "more-of-them"})
_NOT_A_LIMIT = frozenset({"tested", "beyond", "from", "no", "inflate", "other", "more-of-them", "vehicle"})
_SPEED_PASSES = PLAIN | {"letter", "index", "symbol", "service", "number"}
BARE_FROM = {"mph": 85.0, "kmh": 140.0}  # a bare "130 mph" is a tire's limit, a bare "60 mph" is a road's
WEAK_FROM = {"mph": 75.0, "kmh": 120.0}  # "up to 75 mph"
LIGHTEST_KG = 45.0  # load index 0
PLIES = range(4, 33, 2)
_RIGHT_SINGLE = frozenset({"single", "dual"})


def previous(tokens: list[Token], index: int) -> int:
    """Place of the nearest token to the left that is no connecting word; -1 before the first."""
    index -= 1
    while index >= 0 and tokens[index].kind in PLAIN:
        index -= 1
    return index


def following(tokens: list[Token], index: int) -> int:
    """Place of the nearest token to the right that is no connecting word; len(tokens) after the last."""
    index += 1
    while index < len(tokens) and tokens[index].kind in PLAIN:
        index += 1
    return index


def kind_at(tokens: list[Token], index: int) -> str:
    """Kind of the token at a place, "" outside the text."""
    return tokens[index].kind if 0 <= index < len(tokens) else ""


def read_quantity(tokens: list[Token], index: int) -> int:
    """Sets `role` of the quantity at `index`; returns the place of the first token of the claim's words.

    Roles: load, load-single, load-dual, load-pair, speed, pressure, ply; "" where nothing is claimed.
    """
    token = tokens[index]
    if token.role == "range":
        token.role = ""
        return index
    if kind_at(tokens, index - 1) == "to" and kind_at(tokens, index - 2) in ("number", "quantity"):
        return index  # "600 to 1,400 lb"
    if token.unit in _LOAD_UNITS:
        return _settle_load(tokens, index)
    if token.unit in _SPEED_UNITS:
        return _settle_speed(tokens, index)
    if token.unit in _PRESSURE_UNITS:
        return _settle_pressure(tokens, index)
    return _settle_ply(tokens, index)


def _same_quantity_before(tokens: list[Token], index: int, units: frozenset[str]) -> Token | None:
    """The quantity that "(1,000 kg)" repeats in another unit: directly before, or after a comma or "or"."""
    position = index - 1
    if kind_at(tokens, position) in ("comma", "link"):
        position -= 1
    if kind_at(tokens, position) != "quantity" or tokens[position].unit not in units:
        return None
    return tokens[position]


def _settle_load(tokens: list[Token], index: int) -> int:
    token = tokens[index]
    if token.value * (KG_PER_LB if token.unit == "lb" else 1.0) < LIGHTEST_KG:
        return index
    before = _same_quantity_before(tokens, index, _LOAD_UNITS)
    if before is not None and before.unit != token.unit:
        token.role = before.role if _right_of_load(tokens, index)[0] != "not" else ""
        return index
    side, role_place = _right_of_load(tokens, index)
    if side == "not":
        return index
    start, governed, role = _left_of_load(tokens, index)
    if start < 0:
        return index
    if side in _RIGHT_SINGLE and not role:
        role = side
        tokens[role_place].role = "taken"
    if not role and before is not None and before.role == "load-single":
        role = "dual"
    if governed or side:
        token.role = "load-pair" if token.second is not None else f"load-{role}" if role else "load"
    return start


def _left_of_load(tokens: list[Token], index: int) -> tuple[int, bool, str]:
    """Start of the words, whether a load word governs, and single or dual; start -1 where it is no tire's load."""
    start, governed, role = index, False, ""
    position = index - 1
    while position >= 0:
        token = tokens[position]
        kind = token.kind
        if kind in _LOAD_WORDS:
            governed = True
            start = position
            if kind in _RIGHT_SINGLE and not role and token.role != "taken":
                role = kind
        elif kind == "tire" and governed:
            if kind_at(tokens, previous(tokens, position)) == "group":  # "all four tires carry"
                return -1, False, ""
            break
        elif kind == "weight":
            if kind_at(tokens, position + 1) != "load":  # "weight capacity" is a load
                return -1, False, ""
        elif kind in _NOT_THIS_TIRE and not (kind == "tested" and kind_at(tokens, position - 1) == "load"):
            return -1, False, ""  # but "load limit" is a load
        elif kind == "quantity":
            if token.unit not in _PRESSURE_UNITS:
                break
        elif kind not in _LOAD_PASSES and kind != "tested":
            break
        position -= 1
    return start, governed, role


def _right_of_load(tokens: list[Token], index: int) -> tuple[str, int]:
    """ "load", "single" or "dual" with its place, "not" where a word makes it no load of one tire, else ""."""
    side, where = "", index
    position = index + 1
    if kind_at(tokens, position) == "comma" and kind_at(tokens, following(tokens, position)) == "group":
        return "not", position  # "4,410 lbs, per pair"
    while position < len(tokens):
        token = tokens[position]
        kind = token.kind
        if kind in ("group", "vehicle"):
            return "not", position
        if kind == "weight" and kind_at(tokens, following(tokens, position)) not in ("quantity", "load"):
            return "not", position
        if kind in ENDS or kind in ("size", "weight"):
            break
        if kind == "quantity":
            if token.unit in _LOAD_UNITS:  # what follows a repetition in the other unit speaks of both
                if tokens[index].unit == token.unit or position != index + 1:
                    break
            elif token.unit not in _PRESSURE_UNITS:
                break
        if kind in _RIGHT_SINGLE and side not in _RIGHT_SINGLE:
            side, where = kind, position
        elif kind in _LOAD_WORDS and not side and not _opens_another(tokens, position):
            side, where = "load", position
        position += 1
    return side, where


def _opens_another(tokens: list[Token], position: int) -> bool:
    """Whether the load word at `position` belongs to a later quantity: "38 lb max load 2,205 lb"."""
    while position < len(tokens) and (tokens[position].kind in _LOAD_WORDS or tokens[position].kind in PLAIN):
        position += 1
    return kind_at(tokens, position) == "quantity"


def _settle_speed(tokens: list[Token], index: int) -> int:
    token = tokens[index]
    before = _same_quantity_before(tokens, index, _SPEED_UNITS)
    if before is not None and before.unit != token.unit:
        token.role = before.role
        return index
    start, strength = _left_of_speed(tokens, index)
    if strength == "not":
        return index
    position = index + 1
    while (
        position < len(tokens)
        and tokens[position].kind not in ENDS
        and tokens[position].kind not in ("size", "quantity")
    ):
        kind = tokens[position].kind
        if kind in ("tested", "from", "beyond", "no", "vehicle"):
            return index
        if kind in ("rated", "max"):
            strength = "strong"
        elif kind == "to" and kind_at(tokens, position + 1) == "number":
            return index  # "60 mph to 0"
        position += 1
    floor = {"strong": 0.0, "weak": WEAK_FROM[token.unit], "": BARE_FROM[token.unit]}[strength]
    if token.second is None and token.value >= floor:
        token.role = "speed"
    return start


def _left_of_speed(tokens: list[Token], index: int) -> tuple[int, str]:
    """Start of the words, and how surely they speak of a limit: "strong", "weak" ("up to"), "", or "not"."""
    start, strength, along = index, "", False
    position = index - 1
    while position >= 0:
        token = tokens[position]
        kind = token.kind
        if kind in ("max", "rated"):
            start, strength = position, "strong"
        elif kind == "speed":
            start = position
            if token.text.lower() != "speeds":
                strength = strength or "weak"
        elif kind == "up":
            start, strength = position, strength or "weak"
        elif kind == "at":
            if kind_at(tokens, position + 1) in ("speed", "up"):  # "carries 850 kg at up to 130 mph"
                strength = ""
                along = True
            elif kind_at(tokens, previous(tokens, position)) != "rated":
                return index, "not"
        elif kind in _NOT_A_LIMIT:
            return index, "not"
        elif kind not in _SPEED_PASSES:
            if along and kind == "quantity" and token.role.startswith("load"):
                strength = "strong"
            break
        position -= 1
    return start, strength


def _settle_pressure(tokens: list[Token], index: int) -> int:
    token = tokens[index]
    before = _same_quantity_before(tokens, index, _PRESSURE_UNITS)
    if before is not None and before.unit != token.unit:
        token.role = before.role
        return index
    if token.second is not None:
        return index
    start, governed, refused = index, False, False
    position = index - 1
    while position >= 0 and not governed:
        kind = tokens[position].kind
        if kind == "max":
            start, governed = position, True
        elif kind in ("pressure", "at"):
            start = position
        elif kind == "inflate":
            start, refused = position, True
        elif kind == "quantity" or kind == "size":
            governed = kind == "size" or tokens[position].role.startswith("load")
            governed = governed or tokens[position].role in ("ply", "speed")
            break
        elif kind in PLAIN or kind in ("letter", "lr", "service", "rated", "range", "load", "single", "dual"):
            governed = kind in ("lr", "service")
        else:
            refused = refused or kind in ("beyond", "no", "tested", "from", "other")
            break
        position -= 1
    after = kind_at(tokens, following(tokens, index))
    if after == "max":
        governed = True
    if governed and not (refused and kind_at(tokens, position) != "quantity") and after not in ("inflate", "vehicle"):
        token.role = "pressure"
    return start


def _settle_ply(tokens: list[Token], index: int) -> int:
    token = tokens[index]
    before = kind_at(tokens, previous(tokens, index))
    after = kind_at(tokens, following(tokens, index))
    plausible = token.value in PLIES and token.second is None  # "2-ply sidewalls" count plies
    if plausible and before not in ("no", "beyond", "other", "number") and after not in ("casing", "other", "beyond"):
        token.role = "ply"
    return index
