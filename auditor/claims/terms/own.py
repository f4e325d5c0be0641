"""The listing's own marking as texts quote it, so that "this tire, as marked" is one sign."""

from __future__ import annotations

from functools import lru_cache
from typing import NamedTuple

from auditor.claims.terms.lexicon import Lexicon
from auditor.claims.terms.names import names_of
from auditor.claims.terms.weights import ALONE, ANY, Weights
from auditor.claims.terms.words import OWN, OWN_SERVICE, SERVICE, SIZE, clean, tokens_of_word
from auditor.marking import Marking, Unreadable, decode
from auditor.trade.marking_model import ServiceDescription
from auditor.trade.patterns import Pattern
from auditor.trade.tables import default_tables
from auditor.trade.units import MM_PER_INCH

RANGE_LETTERS = "BCDEFGHJLMN"
HIGHEST_LIGHT_INDEX = 121  # above it tires are truck tires, and "H-rated" is a load range
_NUMBER = Pattern(r"[0-9]+(?:[.,][0-9]+)?")
_PREFIX = Pattern(r"[A-Z]*")
_CONSTRUCTION = Pattern(r"(?<=[0-9])(Z?RF?|B|D|-)(?=[0-9])")


# Of what no label names: whether it may be this tire's at all, and not a pair's, a parcel's or a trail's.
LIKELY_LOAD, LIKELY_EACH, LIKELY_SPEED = "likely_load_kg", "likely_load_of_each_kg", "likely_speed_kmh"
LIKELY_INDEX = "likely_load_index"
LIKELY_FULL = "likely_load_at_a_pressure_kg"  # less is the load at a lower pressure
LIKELY_NAMED = "likely_load_by_its_label_kg"
LIKELY_CLOSE = "likely_load_without_a_unit_kg"  # so close that no pounds are taken for kilograms
EITHER = "_of_either_mounting"  # behind a name: nothing says whether of one tire or of two side by side
SURELY = "_of_this_marking"  # behind a name: not where the marking does not say
OTHER_LETTER = "letter_that_the_marking_has_not"  # the marking's own may be its load range or its speed symbol
_LIKELY = (LIKELY_LOAD, LIKELY_EACH, LIKELY_SPEED, LIKELY_INDEX, LIKELY_FULL, LIKELY_NAMED, LIKELY_CLOSE)
LIKELY = frozenset((*_LIKELY, *(name + behind for name in _LIKELY for behind in (EITHER, SURELY))))
_UNKNOWN = -0.2  # what a figure is worth beside no marking or a size alone: the words have to leave less doubt
_FULL = 0.97
_DUAL_WIDTH = 0.006
_TOTALS, _TOTAL_WIDTH = (2, 4, 6, 8), 0.02
_LOAD_SPAN, _SPEED_SPAN = (0.44, 2.6), (0.5, 2.0)  # pounds taken for kilograms are within
_CLOSE_SPAN = (0.75, 1.35)
_INDEX_SPAN = 40.0  # "e 125" of a moped's tire is no load index; that of a van's is mistaken for a car's


def _is_likely(field: str, value: float, own: Marking) -> bool:
    """Whether a figure is near enough to the marking's, and a load no total of several tires."""
    tables = default_tables()
    unknown = not field.endswith(SURELY)
    field = field.removesuffix(SURELY)
    if field == LIKELY_SPEED:
        speed = tables.speed_of(own.service.speed_symbol)
        return unknown if speed is None else _SPEED_SPAN[0] * speed <= value <= _SPEED_SPAN[1] * speed
    indices = own.service.load_index, own.service.load_index_dual
    if field == LIKELY_INDEX:
        return any(index is not None and abs(value - index) <= _INDEX_SPAN for index in indices)
    single, dual = map(tables.load_of, indices)
    loads = [load for load in (single, dual) if load]
    if field.endswith(EITHER):
        if single and dual and abs(value - dual) <= _DUAL_WIDTH * dual:
            return False
        field = field.removesuffix(EITHER)
    if field == LIKELY_NAMED:
        return True
    if field == LIKELY_FULL:
        return not loads or value >= _FULL * min(loads)
    totals = [times * load for load in loads for times in _TOTALS]
    if field == LIKELY_LOAD and any(abs(value - total) <= _TOTAL_WIDTH * value for total in totals):
        return False
    least, most = _CLOSE_SPAN if field == LIKELY_CLOSE else _LOAD_SPAN
    return unknown if not loads else least * min(loads) <= value <= most * max(loads)


STRONGER = frozenset({"C", "LT"})  # letters of sizes


_SERVICE_PARTS = Pattern(r"([0-9]{2,3})(?:/([0-9]{2,3}))?(A[1-8]|[A-Z])")
_WIDEST_RIM_IN, _FAR_IN = 13.0, 5.0  # of a rim's width; how far a diameter lies from it
_FARM = "agricultural"  # the family
_LEAST_FARM_ASPECT, _SAME_WIDTH, _SECOND_BELOW = 65, 0.08, 4  # percent; of a width; indices
_LEAST_SINGLE = 140  # index of wide truck tires, that never run in pairs
_APART = Pattern(r"([0-9/]+)(A[1-8]|[A-Z])")


class SizeKey(NamedTuple):
    """What makes two spellings the same size."""

    prefix: str
    numbers: tuple[float, ...]
    construction: str

    def adds_letters(self, other: SizeKey) -> bool:
        """Whether this has C or LT, which make a stronger tire, and the other has no letters."""
        return not other.prefix and self.prefix in STRONGER

    def same(self, other: SizeKey) -> bool:
        """Whether two texts say one size; an omitted prefix or construction differs from none."""
        return (
            self.numbers == other.numbers
            and (not self.prefix or not other.prefix or self.prefix == other.prefix)
            and (self.construction == other.construction or "-" in (self.construction, other.construction))
        )


@lru_cache(maxsize=16_384)
def size_key(text: str) -> SizeKey:
    """The key of a size designation."""
    found = _PREFIX.match(text)
    prefix = text[-2:] if text.endswith("LT") else "C" if text.endswith("C") else found[0] if found else ""
    numbers = tuple(float(part.replace(",", ".")) for part in _NUMBER.findall(text))
    letters = _CONSTRUCTION.findall(text.upper())
    kind = letters[0] if letters else "-"
    return SizeKey(prefix, numbers, {"ZR": "R", "RF": "R", "ZRF": "R", "B": "D"}.get(kind, kind))


class Quoted(NamedTuple):
    """The tokens of a marking by which texts quote it; "" for what it has not."""

    size: str = ""
    other: str = ""  # an industrial size's other name, in brackets: "8.15-15 (225/75-15)"
    service: str = ""
    letter: str = ""  # the load range that stands behind the service description


@lru_cache(maxsize=16_384)
def quoted(marking: str) -> Quoted:
    """What texts quote of the text of a marking, a size or a service description."""
    size, other, service, letter = "", "", "", ""
    tokens = [token for word in clean(marking).split() for token in tokens_of_word(word)]
    for place, token in enumerate(tokens):
        if SIZE.fullmatch(token):
            if not size:
                size = token
            elif not other and tokens[place - 1] == "(":
                other = token
        elif not service and SERVICE.fullmatch(token):
            service = token
            letter = "".join(tokens[place + 1 : place + 2])
    return Quoted(size, other, service, letter if letter in RANGE_LETTERS else "")


def part_of(size: str) -> str:
    """Width and aspect ratio, by which texts call a size, too: "225/65"."""
    width, slash, rest = size.lstrip("LTSPHVIF").partition("/")
    return f"{width}/{rest[:2]}" if slash else ""


def may_be_accounted_for(field: str, value: float | str) -> bool:
    """Whether some marking may account for a value that a sales text claims; see `Own.accounts_for`."""
    if isinstance(value, float):
        return field == "rim_diameter_in" and value <= _WIDEST_RIM_IN
    return field in ("marking", "service_description") and value not in (OWN, OWN_SERVICE)


def service_apart(service: str) -> tuple[str, str]:
    """A service description as titles write it in two words: "150/147", "L"; empty words for none."""
    found = _APART.fullmatch(service)
    return (found[1], found[2]) if found else ("", "")


class Own:
    """What the listing's own marking and names look like in a text, and what the marking says."""

    __slots__ = ("_decoded", "_keys", "_names", "_part", "_quoted", "_texts")

    def __init__(self, marking: str, service: str = "", names: tuple[str, ...] = ()) -> None:
        """`marking` is the text of the marking or the size, `service` that of the service description."""
        self._texts = marking, service
        self._names = names
        self._quoted: Quoted | None = None
        self._decoded: Marking | Unreadable | None = None

    @property
    def quoted(self) -> Quoted:
        """What texts quote of it."""
        if self._quoted is None:
            found, described = map(quoted, self._texts)
            if not found.service:
                found = found._replace(service=described.service, letter=described.letter)
            self._quoted = found
            self._keys = [size_key(size) for size in found[:2] if size]
            self._part = part_of(found.size)
        return self._quoted

    @property
    def signs(self) -> dict[str, str]:
        """What the signs stand for."""
        return {OWN: self.quoted.size, OWN_SERVICE: self.quoted.service}

    def names(self, lexicon: Lexicon, *, title: bool) -> list[tuple[str, ...]]:
        """The names that texts are not to be read by; of sales texts without the model, which is this tire there."""
        texts = self._names if title else self._names[:1]
        return [name for text in texts for name in names_of(text, lexicon)]

    def models(self, lexicon: Lexicon) -> list[tuple[str, ...]]:
        """The tokens of the model, without their case, in each way that texts have it."""
        return names_of(self._names[1], lexicon, hiding=False) if len(self._names) > 1 else []

    def sign(self, token: str, *, title: bool) -> str:
        """The sign that stands for a token, "" where it is none of the marking's.

        In sales texts letters of a size that the marking has not say more than it; what titles add is read apart.
        """
        if token == self.quoted.service:
            return OWN_SERVICE
        if token == self._part:
            return OWN
        if not self._keys or not SIZE.fullmatch(token):
            return ""
        of_token = size_key(token)
        named = any(of_token.same(key) and (title or not of_token.adds_letters(key)) for key in self._keys)
        return OWN if named else ""

    @property
    def decoded(self) -> Marking | Unreadable:
        """What the marking says."""
        if self._decoded is None:
            marking, service = self._texts
            whole = decode(f"{marking} {service}".strip())
            # A listing may give the service description once more beside a whole marking.
            self._decoded = decode(marking) if service and isinstance(whole, Unreadable) else whole
        return self._decoded

    def accounts_for(self, field: str, value: float | str) -> bool:
        """Whether a size or service description that a text names beside the marking's may be this tire's as well.

        A farm tire has a size in inches and one in millimeters (16.9R34 and 420/85R34); a truck tire may have a second
        service description, of less load at a higher speed.  A rim far smaller than the marking's is told by its width
        ("on a 10 in wheel").  Common practice, no source.
        """
        if not may_be_accounted_for(field, value):
            return False
        if isinstance(value, float):
            numbers = size_key(self.quoted.size).numbers
            return bool(numbers) and numbers[-1] - value >= _FAR_IN
        if field == "service_description":
            return self._is_second(value)
        return self._is_other_name(value.partition(" ")[0])

    def _is_other_name(self, size: str) -> bool:
        if isinstance(self.decoded, Unreadable) or self.decoded.size_family.name != _FARM:
            return False  # 12R22.5 and 315/80R22.5 of trucks are two sizes
        metric, inches = (size_key(one).numbers for one in (self.quoted.size, size))
        if len(metric) < len(inches):
            metric, inches = inches, metric
        if len(metric) != 3 or len(inches) != 2 or metric[2] != inches[1] or metric[1] < _LEAST_FARM_ASPECT:
            return False
        return abs(metric[0] / MM_PER_INCH - inches[0]) <= _SAME_WIDTH * inches[0]

    def _is_second(self, service: str) -> bool:
        own, other = (_SERVICE_PARTS.fullmatch(one) for one in (self.quoted.service, service))
        if own is None or other is None or bool(own[2]) != bool(other[2]):
            return False
        if not own[2] and int(own[1]) < _LEAST_SINGLE:
            return False  # no tire of a truck
        lower = 0 < int(own[1]) - int(other[1]) <= _SECOND_BELOW
        speeds = default_tables().speed_of(own[3]), default_tables().speed_of(other[3])
        return lower and speeds[0] is not None and speeds[1] is not None and speeds[1] > speeds[0]

    def has(self, field: str, value: float | str) -> bool:
        """Whether the marking has a value, for claims about tires that have it; False where it does not say."""
        own = self.decoded
        if isinstance(own, Unreadable):
            return value == "none" or field == OTHER_LETTER or (field in LIKELY and not field.endswith(SURELY))
        if field == OTHER_LETTER:
            return value not in (own.load_range, own.service.speed_symbol)
        if field in LIKELY:
            return _is_likely(field, float(value), own)
        if field == "load_range" and value == "none":
            return own.load_range is None and 0 < (own.service.load_index or 0) <= HIGHEST_LIGHT_INDEX
        if field == "load_version":
            return (own.load_version or "SL") == value
        if field == "service_description":
            return value == OWN_SERVICE
        services = (own.service, *own.additional)
        if value == "any":
            return any(getattr(service, field) is not None for service in services)
        if field in ("load_index", "load_index_dual", "speed_symbol"):
            return any(getattr(service, field) == value for service in services)
        if field == "construction":
            return (own.construction or "").replace("ZR", "R") == value
        return bool(getattr(own, field, None) == value)

    def has_load_up_to(self, load_kg: float, step_kg: float, *, dual: bool) -> bool:
        """Whether the load of the marking, or the dual one, is cut off to a figure: "1.2 t" for 1,215 kg."""
        if isinstance(self.decoded, Unreadable):
            return False
        service = self.decoded.service
        load = default_tables().load_of(service.load_index_dual if dual else service.load_index)
        return load is not None and load_kg <= load < load_kg + step_kg

    def worth(self, field: str, value: float | str, weights: Weights) -> float:
        """What a figure tells beside the marking, and what that lacks, for it is most likely this tire's."""
        own = self.decoded
        if isinstance(own, Unreadable):
            return weights.of_kind(ANY).get(ALONE, 0.0) if field == "marking" else _UNKNOWN
        service = own.service
        if field == "service_description" and _completes(str(value), service):
            return weights.of_kind(ANY).get(ALONE, 0.0)
        if (field.startswith("max_load") and not service.load_index) or (
            field.startswith("max_speed") and not service.speed_symbol
        ):
            return _UNKNOWN  # the marking is a size alone
        return weights.worth(field, value, service.load_index, service.load_index_dual, service.speed_symbol)


def _completes(value: str, own: ServiceDescription) -> bool:
    """Whether the marking lacks its load index or speed symbol, and a service description has the one that it has."""
    if own.load_index and own.speed_symbol:
        return False
    said = _SERVICE_PARTS.fullmatch(value)
    if said is None:
        return not own.load_index and not own.speed_symbol
    return own.load_index in (None, int(said[1])) and own.speed_symbol in (None, said[3])


NOBODY = Own("")
