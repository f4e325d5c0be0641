"""Claims that a title or a sales text makes about its own tire: sizes, loads, speeds, plies, pressures, snow marks."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Claim:
    """One statement found in a text.

    `field` is the contract field it speaks about (`max_load_kg`, `max_speed_mph`, `ply_rating`, `load_range`,
    `load_version`, `max_pressure_psi`, `severe_snow`, ... or `marking` for an embedded size, with or without a
    service description, or `service_description`).  `value` is a number in that field's unit, or a code, or for
    `marking` and `service_description` the text to decode.  `words` is the exact stretch of the text.
    """

    field: str
    value: float | str
    words: str
    half_step: float = 0.0  # half of the last stated digit, in the field's unit
    open_ended: bool = False  # "300+"


def read_claims(text: str) -> tuple[Claim, ...]:
    """Reads the claims of one text, in text order.  Never raises."""
    raise NotImplementedError
