"""Reads what stands on either side of a comparison: a marking, or a service description alone, as placards give it."""

from __future__ import annotations

from auditor.marking import Marking, Unreadable, decode, decode_service, service_alone


def read_tire(text: str) -> Marking | Unreadable:
    """The marking of a text; of a service description alone a marking without a size.  Never raises."""
    found = decode(text)
    if isinstance(found, Marking):
        return found
    described = decode_service(text)
    if isinstance(described, Unreadable) or described.unread:
        return found
    return service_alone(described)
