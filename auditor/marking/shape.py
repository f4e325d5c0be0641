"""One size designation found in a text, before a family has claimed it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from auditor.marking.service import LETTERS

# Rim diameter codes in use; half-inch and other fractional ones are listed, never rounded.
RIM_CODES: dict[str, float] = {str(code): float(code) for code in (*range(4, 55), 57, 63)}
RIM_CODES.update({f"{code}.5": code + 0.5 for code in (12, 14, 15, 16, 17, 19, 22, 24, 26, 30)})
RIM_CODES.update({"15.3": 15.3, "16.1": 16.1})
RIM_MILLIMETRES = frozenset(
    {"315", "340", "365", "380", "390", "400", "415", "420", "440", "460", "480", "500", "520", "540"}
)
DROPPED_DOT = {"175": "17.5", "195": "19.5", "225": "22.5", "245": "24.5"}  # `11R225`
DOT_OR_EXTRA_DIGIT = {"145": ("14.5", "14"), "165": ("16.5", "16"), **{k: (v, k[:2]) for k, v in DROPPED_DOT.items()}}


@dataclass(slots=True)
class Size:
    """A size designation with its parts; lengths in the unit they are molded in.  Not frozen, to be made quickly."""

    shape: str  # metric | inch-diameter | numeric-inch | numeric-mm | alpha | stated-diameter
    start: int
    end: int
    text: str  # canonical
    prefix: str = ""  # P, LT, ST, T, HL, LL, IF, VF, AT
    suffix: str = ""  # LT, C, CP, ST, TR, ...
    width_mm: float | None = None
    width_in: float | None = None
    overall_in: float | None = None
    overall_mm: float | None = None
    aspect: float | None = None
    construction: str | None = None
    run_flat: bool = False
    speed_letter: str | None = None
    rim_in: float | None = None
    rim_mm: float | None = None
    code: str | None = None
    decimals: int = 0  # of an inch width
    weak: bool = False  # separators or the construction letter are missing


@dataclass(frozen=True, slots=True)
class Misfit:
    """A stretch that looks like a size but states what no size has."""

    start: int
    reason: str
    readings: tuple[str, ...] = ()  # what it could stand for
    doubt: bool = False  # it may be a size, or something that is none


Found = Iterator[Size | Misfit]

# Pieces of the patterns of sizes: where one may begin, blanks, and the rim diameter code.
FREE = r"(?<![A-Z0-9])(?<![0-9][.,/\-])(?<![$€£])"
B = r" {0,2}"
# A number that counts plies is no rim: `125R 12PR`; in `R22.5PR20`, `R22.5 PR 20` and `R20 ply 18` the plies follow.
_COUNT = r" (?:[468]|[12][02468])(?![0-9/A-Z.,])"
_NO_PLIES = rf"(?! ?-?P\.?R(?![{LETTERS}]|(?<=PR)\d|{_COUNT})| ?-?PL[YI](?!(?<= PLY)(?: ?RATING)?{_COUNT}))"
# The rest of a service description behind a dot: `R16.91V`.
_INDEX_ON = r"\d{1,2}(?:/\d{2,3})?[J-NP-UHVWY](?![A-Z0-9])"
RIM = (
    rf"(?![1-4]\d5 ?/ ?\d\d)(?P<rim>\d{{3}}(?!\d)|\d{{2}}(?:[.,]5|[.,][13](?!\d))?|\d(?!\d))"
    rf"(?!\.\d(?!{_INDEX_ON})|,\d(?!\d)){_NO_PLIES}"
)


def read_rim(code: str) -> tuple[float | None, float | None, str] | None:
    """(inch code, millimetres, canonical text) of a rim diameter, or None where no rim has it."""
    code = code.replace(",", ".")
    if code in RIM_CODES:
        return RIM_CODES[code], None, code
    if code in RIM_MILLIMETRES:
        return None, float(code), code
    if code in DROPPED_DOT:
        fixed = DROPPED_DOT[code]
        return RIM_CODES[fixed], None, fixed
    return None


def read_construction(letters: str) -> tuple[str | None, str | None, bool, str]:
    """(construction, in-size speed letter, run-flat, canonical text) of what stands between width and rim.

    `R F` and `ZRF` are the run-flat marks of UN Regulation No. 30, paragraph 3.1.  A letter before R is the speed
    letter of old markings (`SR`, `HR`, `VR`); before a bare rim it stands alone (`130/90V16`).
    """
    plain = letters.replace(" ", "").strip("-/") if letters != "-" else "-"
    if plain == "RF":
        return "R", None, True, "RF"
    if plain == "ZRF":
        return "ZR", None, True, "ZRF"
    if plain in ("ZR", "R", "B", "D"):
        return plain, None, False, plain
    if plain in ("", "-", "X"):
        return None, None, False, "-"
    if len(plain) == 2:  # SR, HR, VR, VB
        return plain[1], plain[0], False, plain
    return None, plain, False, plain


def truck_alone(width: int, aspect: int, rim: str) -> bool:
    """Whether a rim code that lost its dot (`R225`) can only be a truck's half-inch rim.

    Passenger tires are made for the whole-inch rims too, but not so high or so wide (from memory of the tables).
    """
    if rim == "225":
        return aspect >= 70 or width >= 355 or (aspect >= 60 and width >= 295)
    return rim in DROPPED_DOT and (aspect >= 70 or width >= 385)
