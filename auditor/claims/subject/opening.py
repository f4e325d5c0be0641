"""What the opening of a long sales text calls its tire: "Norvane Orvex 225/65R17 106V is a tire for".

The first sentence of a product page that names one size names its own product's, unless it says that it is another's.
Of single sentences that holds less often, so this counts in long texts alone.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from auditor.claims.subject.subjects import Cues
from auditor.claims.terms.items import Item, names_size
from auditor.claims.terms.words import OWN, OWN_SERVICE

_OWN_TIRES = frozenset({"", "asked", "stranger"})  # "Looking for a 205/55R16 tire?"


def may_be_called(tokens: Sequence[str]) -> bool:
    """Whether a sentence names a size; others are read as an opening as they are read anywhere."""
    return any(token == OWN or names_size(tokens, place) for place, token in enumerate(tokens))


def called(items: Sequence[Item], cues: Cues) -> Iterator[tuple[str, str]]:
    """Field and value of the size or service description by which a first sentence calls its tire, no own one."""
    sizes = [place for place, item in enumerate(items) if item.kind == "size" or item.text == OWN]
    services = [item.text for item in items if item.kind == "service" or item.text == OWN_SERVICE]
    if not sizes or len({items[place].text for place in sizes}) > 1 or len(set(services)) > 1:
        return
    place = sizes[0]
    behind = items[place + 1] if place + 1 < len(items) else None
    described = behind.text if behind is not None and behind.kind == "service" else ""
    if items[place].text == OWN:
        if described:
            yield "service_description", described
    elif cues.reason("size", place, place) in _OWN_TIRES:
        yield "marking", f"{items[place].text} {described}".strip()
