"""The parts of a marking, as the report draws them."""

from __future__ import annotations

from auditor.marking import Marking, decode
from auditor.marking.explain.picture import placed
from auditor.marking.explain.plain import explain


def parts_of(marking: str) -> list[tuple[str, str, str]]:
    """(characters, what they are, what they mean) of each part of a marking, in reading order.

    The characters together are the marking; those between parts, such as a slash, have neither name nor
    meaning.  `marking` is in canonical form; a text that is no marking has no parts.
    """
    decoded = decode(marking)
    if not isinstance(decoded, Marking):
        return []
    text = decoded.canonical
    parts: list[tuple[str, str, str]] = []
    end = 0
    for position, part in placed(decoded, explain(decoded)):
        if position > end:
            parts.append((text[end:position], "", ""))
        parts.append((part.text, part.name, part.meaning))
        end = position + len(part.text)
    if end < len(text):
        parts.append((text[end:], "", ""))
    return parts
