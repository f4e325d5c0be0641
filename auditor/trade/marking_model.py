"""What a decoded marking is.  Plain typed values; no table look-ups, no derived facts."""

from __future__ import annotations

from dataclasses import dataclass

from auditor.trade.family import Family


@dataclass(frozen=True, slots=True)
class ServiceDescription:
    """Load index (single, or single/dual) plus speed symbol, `120/116S`.

    `speed_open` is true for a bracketed, open-ended symbol such as `(98Y)`.
    """

    load_index: int | None = None
    load_index_dual: int | None = None
    speed_symbol: str | None = None
    speed_open: bool = False


@dataclass(frozen=True, slots=True)
class Marking:
    """A marking, taken apart.  `str()` of it is the canonical form, and decodes to an equal Marking.

    Lengths keep the unit they are molded in: `section_width_mm` for metric sizes, `section_width_in` for inch
    sizes (exactly one of them is set when the size states a width); `overall_diameter_in` only where the size
    itself begins with it (flotation).  `rim_diameter_in` is the rim code, `rim_diameter_mm_marked` is set instead
    for metric rims (`220/55R390`).
    """

    size_family: Family
    section_width_mm: float | None = None
    section_width_in: float | None = None
    aspect_ratio: float | None = None
    construction: str | None = None  # R, ZR, B, D or None
    run_flat: bool = False  # RF / ZRF / F inside the size
    rim_diameter_in: float | None = None
    rim_diameter_mm_marked: float | None = None
    overall_diameter_in: float | None = None
    service: ServiceDescription = ServiceDescription()
    additional: tuple[ServiceDescription, ...] = ()  # second service descriptions, also 155A8/152B
    size_speed_letter: str | None = None  # old in-size letters: SR, HR, VR
    load_range: str | None = None
    ply_rating: int | None = None  # as marked (10PR); a load range alone leaves it None
    load_version: str | None = None  # SL, XL, HL, LL; None when unmarked
    letters: tuple[str, ...] = ()  # understood letters in canonical spelling: M+S, 3PMSF, TL, M/C, FRT, POR, BSW, ...
    other_letters: tuple[str, ...] = ()  # kept, not interpreted: vehicle makers' approval marks and the like
    alternative: str | None = None  # alternative size designation in brackets, canonical
    unread: tuple[str, ...] = ()  # what was not understood, as written
    canonical: str = ""
    nonstandard: bool = False  # the text was written otherwise than the canonical form's conventions allow
    size_text: str = ""  # canonical size designation alone, `LT265/70R17`
    size_code: str | None = None  # letter code that stands for the width, `F` of `F78-15`, `MT` of `MT90B16`
    overall_diameter_mm_marked: float | None = None  # only where the size states it, `205-640R440A`
    load_text: tuple[str, ...] = ()  # maximum load, speed and inflation pressure written out in words and numbers
    unlisted: tuple[tuple[str, str], ...] = ()  # what no published table lists, (field, as said): ("load_index", "302")

    @property
    def says_all(self) -> bool:
        """Whether the canonical form holds all of the text that may be a fact; names in words alone state none."""
        return not any(map(may_be_a_fact, self.unread))

    def __str__(self) -> str:
        return self.canonical

    @property
    def family(self) -> str:
        """The name of its size family, one of `auditor.marking.FAMILIES`."""
        return self.size_family.name


def may_be_a_fact(piece: str) -> bool:
    """Whether a stretch that was not understood may say something of a tire: names in words alone state nothing."""
    return len(piece) <= 2 or any(c.isdigit() for c in piece)


@dataclass(frozen=True, slots=True)
class Unreadable:
    """Why a text could not be read as a marking, where, and which readings were possible."""

    text: str
    position: int  # 0-based offset of the first character that did not fit
    reason: str  # one sentence
    readings: tuple[str, ...] = ()  # canonical forms of the possible readings, when ambiguous
    refused: str = ""  # "unsure" of something like a size that is not taken for one; "several" where it holds more


@dataclass(frozen=True, slots=True)
class ServiceText:
    """What a cell holds that quotes a service description without a size: `120/116S E`, `(98Y) XL`."""

    descriptions: tuple[ServiceDescription, ...]  # the governing one first; never empty
    load_range: str | None = None
    ply_rating: int | None = None
    load_version: str | None = None
    letters: tuple[str, ...] = ()
    other_letters: tuple[str, ...] = ()
    load_text: tuple[str, ...] = ()
    unread: tuple[str, ...] = ()
    canonical: str = ""
    nonstandard: bool = False
    unlisted: tuple[tuple[str, str], ...] = ()  # as in Marking

    def __str__(self) -> str:
        return self.canonical
