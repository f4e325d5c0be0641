"""One element of an XML document as the cells of a listing.

Children are cells, deeper ones `outer.inner`; so are attributes.  Where an element is but a name and its value
(`<param name="Width">225</param>`, `<attribute><name>Width</name><value>225</value></attribute>`), the name is the
header; a unit that stands beside a value belongs to it.  Text with elements amidst it is one text.
"""

from __future__ import annotations

import json
import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from functools import lru_cache

from auditor.feeds.units_beside import measured

# The last word of an element's or attribute's name: `FNAME`, `attribute_name`, `Merkmalwert`.
_OF = r"(?:[a-z]|(?:attr|feat|prop|param|field|spec|char|merkmal)[a-z]*)?[_-]?"
_NAME, _VALUE, _UNIT = "name", "value", "unit"
_PARTS = {
    _NAME: re.compile(rf"{_OF}(?:name|nom|nome|nombre|naam|nazwa|bezeichnung)|key|label|title|n", re.IGNORECASE),
    _VALUE: re.compile(rf"{_OF}(?:value|val|wert|valeur|valore?|waarde|wartosc)|text|v", re.IGNORECASE),
    _UNIT: re.compile(r"[a-z]?units?|.*_units?|uom|einheit|unite|unidad|unita|eenheid|jednostka", re.IGNORECASE),
}
_MOST_PARTS = 3  # of a named value: name, value and unit
_ABOUT_XML = ("xmlns", "xsi:", "xml:")  # attributes that say how to read the document


@dataclass(slots=True)
class Element:
    """An element with what stands in it."""

    name: str
    attributes: Mapping[str, str]
    content: list[str | Element] = field(default_factory=list)  # in document order
    children: list[Element] = field(default_factory=list)

    def take(self, child: Element) -> None:
        """Takes an element into it."""
        self.content.append(child)
        self.children.append(child)

    @property
    def text(self) -> str:
        """Its own text, without blanks around it."""
        return "".join([one for one in self.content if isinstance(one, str)]).strip()

    def all_text(self) -> str:
        """Its text with that of the elements amidst it."""
        parts = [one if isinstance(one, str) else f" {one.all_text()} " for one in self.content]
        return " ".join("".join(parts).split())


def cells_of(record: Element, before: list[tuple[str, str]]) -> dict[str, str]:
    """The cells of a record by header, in document order; what occurs more than once is a JSON list.

    `before` are cells of what the record stands in.
    """
    found: dict[str, list[str]] = {}
    for header, text in before:
        found.setdefault(header, []).append(text)
    for header, text in _cells(record, ""):
        found.setdefault(header, []).append(text)
    if record.text and not record.children:
        found.setdefault(record.name, []).append(record.text)
    return {
        header: texts[0] if len(texts) == 1 else json.dumps(texts, ensure_ascii=False)
        for header, texts in found.items()
    }


def fields_of(element: Element) -> Iterator[tuple[str, str]]:
    """The cells that an element has of its own: attributes, children that are but a text, names with their values."""
    yield from _attributes(element)
    for child in element.children:
        if (named := _named(child)) is not None:
            yield named
        elif not child.children or child.text:
            yield child.name, child.all_text()


def about_the_element(attributes: Mapping[str, str], short: Mapping[str, str]) -> dict[str, str]:
    """Its attributes under their short names, without those that say how to read the document."""
    return {short.get(key, key): text for key, text in attributes.items() if not key.startswith(_ABOUT_XML)}


def _attributes(element: Element) -> Iterator[tuple[str, str]]:
    return ((name, text.strip()) for name, text in element.attributes.items() if not name.startswith(_ABOUT_XML))


def _cells(element: Element, before: str) -> Iterator[tuple[str, str]]:
    if element.attributes:
        for name, text in _attributes(element):
            yield f"{before}{name}", text
    for child in element.children:
        header = f"{before}{child.name}"
        if not child.children and not child.attributes:
            yield header, child.text
            continue
        if (named := _named(child)) is not None:
            yield named
            continue
        if not child.children:
            yield header, _with_unit(child)
        elif child.text:
            yield header, child.all_text()
            continue
        elif (value := _value_with_unit(child)) is not None:
            yield header, value
            continue
        for inner, text in _cells(child, f"{header}."):
            if child.children or _part(inner.rpartition(".")[2]) != _UNIT:
                yield inner, text


def _named(element: Element) -> tuple[str, str] | None:
    """Name and value of an element that is but these; None for any other."""
    if len(element.children) > _MOST_PARTS:
        return None
    parts: dict[str, list[str]] = {}
    if element.children:
        for child in element.children:
            if child.children or not (part := _part(child.name)):
                return None
            parts.setdefault(part, []).append(_with_unit(child))
    else:
        for name, text in _attributes(element):
            parts.setdefault(_part(name), []).append(text)
    names, values, units, others = (parts.get(part, ()) for part in (_NAME, _VALUE, _UNIT, ""))
    if names and not element.children and not values:
        values = [text] if (text := element.text) or not (others or units) else []
    if len(names) != 1 or len(values) != 1 or not names[0]:
        return None
    return names[0], _measured(values[0], units)


@lru_cache(maxsize=4_096)
def _part(name: str) -> str:
    """Which part of a named value an element or attribute of that name is; "" for none."""
    return next((part for part, pattern in _PARTS.items() if pattern.fullmatch(name)), "")


def _value_with_unit(element: Element) -> str | None:
    """The text of an element that holds but a value and its unit; None for any other."""
    if len(element.children) != 2 or element.attributes or any(child.children for child in element.children):
        return None
    parts = {_part(child.name): child.text for child in element.children}
    return _measured(parts[_VALUE], [parts[_UNIT]]) if parts.keys() == {_VALUE, _UNIT} else None


def _with_unit(element: Element) -> str:
    if not element.attributes:
        return element.text
    return _measured(element.text, [text for name, text in _attributes(element) if _part(name) == _UNIT])


def _measured(text: str, units: Sequence[str]) -> str:
    """A number with the unit that stands beside it."""
    return measured(text, units[0]) if len(units) == 1 else text
