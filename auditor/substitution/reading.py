"""Reads what stands on either side of a comparison: a marking, or a service description alone, as placards give it."""

from __future__ import annotations

from auditor.marking import Marking, Unreadable, decode, decode_service
from auditor.trade.family import NO_FAMILY


def read_tire(text: str) -> Marking | Unreadable:
    """The marking of a text; of a service description alone a marking without a size.  Never raises."""
    found = decode(text)
    if isinstance(found, Marking):
        return found
    described = decode_service(text)
    if isinstance(described, Unreadable) or described.unread:
        return found
    return Marking(
        size_family=NO_FAMILY,
        service=described.descriptions[0],
        additional=described.descriptions[1:],
        load_range=described.load_range,
        ply_rating=described.ply_rating,
        load_version=described.load_version,
        letters=described.letters,
        canonical=described.canonical,
        unlisted=described.unlisted,
    )
