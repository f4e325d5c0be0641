"""A size put together from split fields: width, aspect ratio and rim in columns of their own."""

from __future__ import annotations

from typing import NamedTuple

from auditor.trade.codes import SIZE_PREFIXES
from auditor.trade.units import MM_PER_INCH

# What a width or rim cell may say beside its number: "LT265", "16C", "17LT"; cells state the place in this list.
AFFIXES = SIZE_PREFIXES
# What stands between aspect ratio and rim: "ZR18", "55R".
CONSTRUCTION_LETTERS = ("R", "ZR", "B", "D", "RF", "ZRF")

_LEAST_MM = 60.0  # no metric size is narrower, and no inch width is larger
_LEAST_FLOTATION_MM = 400.0  # the diameters that sizes in inches name, in mm
_MOST_INCH_WIDTH = 25.0  # no inch width and no flotation width is larger, no aspect ratio of such sizes smaller
_MOST_WITHOUT_MM, _MOST_WITHOUT_IN = 215.0, 16.0  # sizes that name no height, as 205R16, are no larger
_MOST_ASPECT = 110.0
_SMALL_RIM = 14.0  # sizes of small machines name their diameter too: 21x8.00-9


class SplitSize(NamedTuple):
    """The numbers of split fields; NaN where a listing does not state one."""

    width_mm: float
    width_in: float
    width_step: float  # half of the last digit of the width as written: 11.00 is not 11
    aspect: float  # negative where it cannot be read
    rim: float  # of 100 or more: in mm, as metric rims are marked
    overall_in: float
    construction: float  # place among the codes R, B, D
    letters: float  # place in CONSTRUCTION_LETTERS, where a cell wrote them
    affix: float  # place in AFFIXES
    version: float  # 3.0: HL, whose sizes are marked so


def split_size_text(size: SplitSize) -> str:
    """The size designation that split fields make together; empty where they make none."""
    width, inches = (size.width_mm, size.width_mm < _LEAST_MM) if _known(size.width_mm) else (size.width_in, True)
    if not (_known(width) and _known(size.rim)) or width <= 0.0 or size.rim <= 0.0 or size.aspect < 0.0:
        return ""
    if not inches and width >= _LEAST_FLOTATION_MM and size.aspect < _MOST_INCH_WIDTH:
        width, inches = round(width / MM_PER_INCH, 2), True  # 33" | 12.50 | 15: the cell's unit was taken into account
    if inches:
        return _inch_text(size, width)
    if size.aspect > _MOST_ASPECT:
        return ""  # a width in its cell
    prefix = _affix(size)
    suffix = "C" if prefix == "C" else ""
    if not _known(size.aspect) and not suffix and not (width <= _MOST_WITHOUT_MM and size.rim <= _MOST_WITHOUT_IN):
        return ""  # a height was left out of these, and which one cannot be told
    height = f"/{size.aspect:g}" if _known(size.aspect) else ""
    letters = _letters(size, width, prefix)
    return f"{'' if suffix else prefix}{width:g}{height}{letters}{size.rim:g}{suffix}"


def _known(value: float) -> bool:
    return value == value


def _affix(size: SplitSize) -> str:
    if _known(size.affix):
        return AFFIXES[int(size.affix)]
    return "HL" if size.version == 3.0 else ""


def _letters(size: SplitSize, width: float, prefix: str) -> str:
    """The letters between width and rim; where nothing says them, those of most tires of such a width."""
    if _known(size.letters):
        found = CONSTRUCTION_LETTERS[int(size.letters)]
    elif _known(size.construction) and size.construction >= 0.0:
        found = "RBD"[int(size.construction)]
    else:
        narrow = width < 125.0 or (width < 135.0 and size.rim >= 16.0)  # most are of two-wheelers
        found = "D" if narrow else "R"
    return "-" if found == "D" and prefix not in ("T", "ST", "P") else found


def _inch_text(size: SplitSize, width: float) -> str:
    """Sizes in inches: 7.50R16, 11R22.5, and with the diameter in front 35x12.50R17LT."""
    overall, step = size.overall_in, size.width_step
    if _known(size.aspect) and size.aspect < _MOST_INCH_WIDTH and size.aspect < width:
        overall, width, step = width, size.aspect, 0.0  # 35 | 12.50 | 17 in the columns of a metric size
    if width > _MOST_INCH_WIDTH:
        return ""
    suffix = _affix(size)
    suffix = suffix if suffix in ("LT", "C", "ST") else ""
    figures = f"{width:g}" if width.is_integer() and not 0.0 < step < 0.05 else f"{width:.2f}"
    whole_rim = float(size.rim).is_integer()
    named = whole_rim and (size.rim <= _SMALL_RIM or (width >= 8.0 and width % 1.0 == 0.5))
    radial = "R" if size.rim >= 12.0 else "-"
    letters = _letters(size, 200.0, "") if _known(size.letters) or _known(size.construction) else radial
    if named and _known(overall):
        # A diameter as measured is none that a size names.
        return f"{overall:g}x{width:.2f}{letters}{size.rim:g}{suffix}" if (overall * 2.0).is_integer() else ""
    return f"{figures}{letters}{size.rim:g}{suffix}"
