"""What kinds of elements an XML document has, and which of them is the listing.

The listing is the outermost element that repeats with a few fields, of those that have a size where some do: a model
with its sizes in elements within it is as many listings.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from xml.parsers import expat

from auditor.feeds.xml_readable import Document, Fault, parse
from auditor.feeds.xml_records import Element, fields_of

SAMPLE_BYTES = 4 << 20
_FEWEST_FIELDS = 3  # of a listing: an article number, a size and something to compare with it
_LOOKED_AT = 500  # elements of a kind, to tell their fields
_MOST_TEXT = 200  # of a cell that may be a size
DEEPEST = 100  # elements within one another
_SIZE = re.compile(
    r"(?<!\d)\d{2,3} ?/ ?\d{2}\D{0,4}\d{2}(?!\d)"
    r"|(?<!\d)\d{1,3}(?:[.,]\d\d?)? ?-?Z?R ?\d{2}(?!\d)"
    r"|(?<!\d)\d{2} ?[xX] ?\d{1,2}[.,]\d\d?\D{0,3}\d{2}(?!\d)"
)
_WIDTHS, _ASPECTS, _RIMS = range(105, 456), range(25, 96, 5), range(10, 27)  # of a size in cells of their own

Route = tuple[str, ...]


@dataclass(slots=True)
class _Kind:
    """Elements of one path."""

    count: int = 0
    own: set[str] = field(default_factory=set)  # its attributes, and its children that hold nothing but a text
    many: bool = False  # several of them stand in one element
    sized: int = 0  # how many of them hold a size as a field of their own


@dataclass(slots=True)
class Kinds:
    """The kinds of elements of the first stretch of a document."""

    kinds: dict[Route, _Kind] = field(default_factory=dict)
    names: set[str] = field(default_factory=set)
    fault: Fault | None = None

    def record(self) -> Route | None:
        """The path of the listings; None where nothing repeats as listings do."""
        full = [path for path in self.kinds if len(path) > 1 and len(self._fields(path)) >= _FEWEST_FIELDS]
        often = [path for path in full if self.kinds[path].count > 1]
        if not full:  # one listing alone, with nothing around it
            return next((path for path in self.kinds if len(path) == 1 and self._is_alone(path)), None)
        if not often:
            return min(full, key=lambda path: (-len(self._fields(path)), len(path)), default=None)
        sized = [path for path in often if self._sized(path)]
        found = min(sized or often, key=lambda path: (len(path), -self.kinds[path].count))
        while (
            not self.kinds[found].own and len(only := list(self._within(found))) == 1 and not self.kinds[only[0]].many
        ):
            found = only[0]  # an element that holds but the listing
        return found

    def repeats(self, path: Route) -> bool:
        """Whether a document has more than one element of a path."""
        return path in self.kinds and self.kinds[path].count > 1

    def short_names(self) -> dict[str, str]:
        """Names without the prefix of their namespace, where no other name is the same without its own."""
        bare = [name.rpartition(":")[2] for name in self.names]
        return {name: short for name in self.names if bare.count(short := name.rpartition(":")[2]) == 1}

    def _within(self, path: Route) -> Iterator[Route]:
        return (one for one in self.kinds if one[:-1] == path)

    def _fields(self, path: Route) -> set[str]:
        """The fields of an element, with those of elements that occur once within it."""
        inner = (one for one in self._within(path) if not self.kinds[one].many)
        return self.kinds[path].own.union(*(self._fields(one) for one in inner))

    def _is_alone(self, path: Route) -> bool:
        return len(self._fields(path)) >= _FEWEST_FIELDS and self._sized(path)

    def _sized(self, path: Route) -> bool:
        """Whether most elements of a path have a size, be it in an element that occurs once within it."""
        inner = (one for one in self._within(path) if not self.kinds[one].many)
        return 2 * self.kinds[path].sized > min(self.kinds[path].count, _LOOKED_AT) or any(
            self._sized(one) for one in inner
        )


def kinds_of(document: Document, name: str) -> Kinds:
    """The kinds of elements in the first stretch of a document."""
    found, open_elements, seen = Kinds(), list[Element](), list[set[str]]()
    path: list[str] = []

    def start(tag: str, attributes: dict[str, str]) -> None:
        check_depth(len(path))
        path.append(tag)
        found.names.update((tag, *attributes))
        if seen and tag in seen[-1]:
            found.kinds.setdefault(tuple(path), _Kind()).many = True
        if seen:
            seen[-1].add(tag)
        seen.append(set())
        open_elements.append(Element(tag, attributes))

    def end(tag: str) -> None:
        element = open_elements.pop()
        kind = found.kinds.setdefault(tuple(path), _Kind())
        kind.count += 1
        seen.pop()
        if kind.count <= _LOOKED_AT:
            cells = list(fields_of(element))
            kind.own.update(header for header, _ in cells)
            kind.sized += _are_sized([text for _, text in cells])
        path.pop()
        if open_elements and (not element.children or _is_short(element)):
            open_elements[-1].take(element)

    def text(words: str) -> None:
        if open_elements:
            open_elements[-1].content.append(words)

    def attach(parser: expat.XMLParserType, _: int) -> None:
        parser.StartElementHandler, parser.EndElementHandler = start, end
        parser.CharacterDataHandler = text

    found.fault = parse(document, name, attach, SAMPLE_BYTES)
    return found


def _is_short(element: Element) -> bool:
    """Whether an element may be a name with its value: its children hold texts alone."""
    return all(not child.children for child in element.children)


def _are_sized(texts: list[str]) -> bool:
    """Whether one of the texts holds a size, or three of them are one."""
    if any(len(text) <= _MOST_TEXT and _SIZE.search(text) for text in texts):
        return True
    numbers = {int(text) for text in texts if text.isascii() and text.isdecimal() and len(text) <= 3}
    return all(not numbers.isdisjoint(of) for of in (_WIDTHS, _ASPECTS, _RIMS))


def check_depth(depth: int) -> None:
    """Refuses elements that stand too deep in one another to be a feed's."""
    if depth >= DEEPEST:
        raise ValueError(f"its elements stand more than {DEEPEST} deep in one another")
