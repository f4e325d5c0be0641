"""What a sales text is read beside where no cell says it: the marking, or its service description, of a text.

A feed of titles and descriptions alone has no marking in a cell, and still says which tire it speaks of.  A title tells
it before a description, which tells it for its own other sentences.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import NamedTuple

from auditor.claims.own_cells import OF_SERVICE, described_by, is_filled, own_of_cells
from auditor.claims.terms.own import quoted, size_key
from auditor.marking.store import SERVICE_MARK


def with_told(own: tuple[str, ...], keys: Sequence[str]) -> tuple[str, ...]:
    """The cells of `own_of_cells` with what a text claims, as keys of the marking store, where they lack it."""
    cells = own_of_cells(*own).quoted
    if cells.service:
        return own
    services = [key.removeprefix(SERVICE_MARK) for key in keys if key.startswith(SERVICE_MARK)]
    told = told_by_text(cells.size, (key for key in keys if not key.startswith(SERVICE_MARK)), services)
    marking, size, service, brand, model, *parts = own
    if told.service is not None:
        service = told.service
    elif not is_filled(service):
        service = described_by(*parts[:OF_SERVICE])
    return (told.marking or marking, size, service, brand, model, *parts)


class Told(NamedTuple):
    """What a text tells; an empty marking and None leave what cells say."""

    marking: str = ""
    service: str | None = None


def told_by_text(size: str, markings: Iterable[str], services: Iterable[str]) -> Told:
    """What a text tells a listing whose cells give no more than a size, or nothing.

    `markings` and `services` are what it claims.  One that names two sizes or two service descriptions, or another size
    than the listing's, tells nothing of that kind.
    """
    claimed = {marking for marking in markings if marking}
    described = {service for service in services if service}
    if size and any(size_key(quoted(one).size).numbers != size_key(size).numbers for one in claimed):
        return Told()
    if not size and len(claimed) != 1:
        return Told()
    within = {quoted(one).service for one in claimed} - {""}
    if not size and within:  # the marking has it
        return Told(claimed.pop(), "")
    described |= within
    service = described.pop() if len(described) == 1 else None
    return Told("" if size else claimed.pop(), service)
