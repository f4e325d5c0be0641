"""The canonical form of a marking: the size, then everything else in one fixed order."""

from __future__ import annotations

from collections.abc import Collection

from auditor.marking.service import additional_text, text_of
from auditor.trade.marking_model import Marking, ServiceDescription

_IN_SIZE = frozenset({"IF", "VF", "TR", "SL", "FI"})  # may be molded as part of the size; not said twice
_BEFORE_SERVICE = ("M/C",)


def in_molded_order(letters: Collection[str]) -> tuple[str, ...]:
    """The letters without repetition: those of the size first, then M/C, then the rest as they came."""
    if len(letters) < 2:
        return tuple(letters)
    return tuple(
        sorted(
            dict.fromkeys(letters),
            key=lambda word: (word not in _IN_SIZE) + (word not in _IN_SIZE and word not in _BEFORE_SERVICE),
        )
    )


def service_text(
    main: ServiceDescription,
    additional: tuple[ServiceDescription, ...],
    unlisted: tuple[tuple[str, str], ...] = (),
) -> str:
    """`121/119R (122/119N)`, `155A8/152B`, `(98Y)`, or empty; with what no table lists as it was said, `102X`."""
    text = text_of(main, unlisted)
    return (text + additional_text(main, additional)).strip() if additional else text


def canonical_text(marking: Marking) -> str:
    """The canonical text of the parts of `marking`; what was not understood is not part of it."""
    parts = [marking.size_text]
    if marking.alternative:
        parts.append(f"({marking.alternative})")
    if marking.letters:
        parts += [word for word in marking.letters if word in _BEFORE_SERVICE]
    if marking.ply_rating is not None:
        parts.append(f"{marking.ply_rating}PR")
    if service := service_text(marking.service, marking.additional, marking.unlisted):
        parts.append(service)
    if marking.load_range:
        parts.append(marking.load_range if _stands_alone(marking) else f"LR {marking.load_range}")
    if marking.unlisted:
        parts += [f"LR {said}" for field, said in marking.unlisted if field == "load_range"]
    if marking.load_version and not _said_before(marking):
        parts.append(marking.load_version)
    if marking.letters:
        parts += [word for word in marking.letters if word not in _BEFORE_SERVICE and not _in_size(marking, word)]
    parts += marking.other_letters
    parts += marking.load_text
    return " ".join(parts)


def _stands_alone(marking: Marking) -> bool:
    """Whether the load range is plain as a lone letter, with no other way to read it."""
    letter, family = str(marking.load_range), marking.size_family
    if not family.bare_load_range:
        return False
    if letter == "C" and not family.c_is_load_range and not marking.size_text.endswith("LT"):
        return False
    if marking.service.speed_symbol is not None:
        return True
    if marking.service.load_index is not None:
        return False
    return letter <= "G" or family.name in ("truck-metric", "truck-numeric")


def _in_size(marking: Marking, word: str) -> bool:
    return word in _IN_SIZE and (marking.size_text.startswith(word) or marking.size_text.endswith(word))


def _said_before(marking: Marking) -> bool:
    if "RF" in marking.letters and marking.load_version == "XL":
        return True
    return marking.size_text.startswith(str(marking.load_version))
