"""One element of an XML document as the cells of a listing.

Children are cells, deeper ones `outer.inner`; so are attributes.  Where an element is but a name and its value
(`<param name="Width">225</param>`, `<attribute><name>Width</name><value>225</value></attribute>`), the name is the
header; a unit that stands in an attribute belongs to the value.
"""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field

_NAMES = frozenset({"name", "key", "label", "title", "attributename"})
_VALUES = frozenset({"value", "val", "text", "attributevalue"})
_UNITS = frozenset({"unit", "units", "uom"})


@dataclass(slots=True)
class Element:
    """An element with what stands in it."""

    name: str
    attributes: Mapping[str, str]
    texts: list[str] = field(default_factory=list)
    children: list[Element] = field(default_factory=list)

    @property
    def text(self) -> str:
        """Its own text, without blanks around it."""
        return "".join(self.texts).strip()


def cells_of(record: Element) -> dict[str, str]:
    """The cells of a record by header, in document order; what occurs more than once is a JSON list."""
    found: dict[str, list[str]] = {}
    for header, text in _cells(record, ""):
        found.setdefault(header, []).append(text)
    if record.text and not record.children:
        found.setdefault(record.name, []).append(record.text)
    return {
        header: texts[0] if len(texts) == 1 else json.dumps(texts, ensure_ascii=False)
        for header, texts in found.items()
    }


def _cells(element: Element, before: str) -> Iterator[tuple[str, str]]:
    for name, text in element.attributes.items():
        yield f"{before}{name}", text.strip()
    for child in element.children:
        named = _named(child)
        if named is not None:
            yield named
            continue
        header = f"{before}{child.name}"
        if not child.children:
            yield header, _with_unit(child)
        for inner, text in _cells(child, f"{header}."):
            if child.children or inner.rpartition(".")[2].lower() not in _UNITS:
                yield inner, text


def _named(element: Element) -> tuple[str, str] | None:
    """Name and value of an element that is but these; None for any other."""
    if not element.children:
        names = [text.strip() for name, text in element.attributes.items() if name.lower() in _NAMES]
        return (names[0], _with_unit(element)) if len(names) == 1 and names[0] else None
    parts = {child.name.lower(): child for child in element.children if not child.children}
    names = [child.text for name, child in parts.items() if name in _NAMES]
    values = [child for name, child in parts.items() if name in _VALUES]
    if len(names) != 1 or len(values) != 1 or not names[0] or len(parts) != len(element.children):
        return None
    units = [child.text for name, child in parts.items() if name in _UNITS]
    return (names[0], _measured(_with_unit(values[0]), units)) if len(parts) == 2 + len(units) else None


def _with_unit(element: Element) -> str:
    return _measured(element.text, [text for name, text in element.attributes.items() if name.lower() in _UNITS])


def _measured(text: str, units: list[str]) -> str:
    """A number with the unit that stands beside it."""
    return f"{text} {units[0].strip()}" if len(units) == 1 and text[-1:].isdecimal() else text
