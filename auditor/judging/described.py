"""What completes the service description of a size: cells of its own, and what titles and descriptions say of it.

Written once for one listing and for a block of records, as `auditor.judging.statements` is.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, NamedTuple

from auditor.judging.rule_terms import is_of_family
from auditor.judging.statements import Statements

_SAME_SIZE = ("section_width_mm", "aspect_ratio", "rim_diameter_in", "rim_diameter_mm_marked")  # what makes a size
_DUAL_BELOW = 7.0  # steps; twin mounting lies up to some 6 below the single index (common practice, no source)
_NEVER_TWIN = ("metric", "p-metric", "temporary-spare", "motorcycle")  # a dual index beside one is a mistake of its own
_LEAST_INDEX = 30.0  # lower ones beside a letter are parts of sizes: "11L-15"


class MarkingCells(NamedTuple):
    """Rows of the marking store for the texts of listings, 0 where a text is absent or unreadable."""

    marking: Any
    size: Any
    service: Any
    titles: tuple[tuple[int, str, Any], ...]  # (source, report, rows) of what title and description claim
    whole_titles: tuple[tuple[int, Any], ...]  # (source, rows) of titles read as markings, where no cell gives one
    split_size: Any  # rows of sizes made of split fields, where neither marking nor size is given; None: of no listing


def is_same_size(st: Statements, one: Any, other: Any) -> Any:
    """Where nothing that makes a size differs between two markings, whatever letters stand around it."""
    return same_in(st, one, other, _SAME_SIZE)


def same_in(st: Statements, one: Any, other: Any, facts: Sequence[str]) -> Any:
    """Where none of some facts differs between two markings; one that either does not say does not."""
    ops, fact, same = st.ops, st.marking_fact, st.ops.no(st.never)
    for name in facts:
        same = same & ops.no(ops.magnitude(fact(name, one) - fact(name, other)) > 0.01)
    return same


def completed_by_texts(st: Statements, cells: MarkingCells, base: Any, known: Any, index: Any) -> list[Any]:
    """Where each title or description gives the service description of a size that no cell describes.

    Not where a text names another size as well, whose it may be.  A description tells it only whole, and after titles.
    """
    ops, fact = st.ops, st.marking_fact
    found = [st.never] * len(cells.titles)
    lacks = known & ops.missing(fact("load_index", base)) & ops.missing(index)
    if not found or not ops.any_of(lacks):
        return found
    lacks = lacks & ops.missing(fact("load_index", cells.service))
    in_cell = (base == cells.marking) | (base == cells.size)  # what else a title says, it says as a whole
    for title in (True, False):
        texts = [(at, codes) for at, (_, report, codes) in enumerate(cells.titles) if (report == "title") == title]
        for _, codes in texts:
            lacks = lacks & ops.no(ops.known(fact("family", codes)) & ops.no(is_same_size(st, codes, base)))
        for at, codes in texts:
            use = lacks & (fact("load_index", codes) >= _LEAST_INDEX) & ops.missing(fact("family", codes))
            found[at] = use = use & (in_cell if title else ops.known(fact("speed_symbol", codes)))
            lacks = lacks & ops.no(use)
    return found


class Apart(NamedTuple):
    """A service description in parts; missing where nothing says one."""

    index: Any
    dual: Any
    symbol: Any
    source: Any  # of the index


def described_apart(st: Statements, split: tuple[Any, Any, Any], positions: dict[str, int]) -> Apart:
    """What the split fields say, else what texts call the load index, dual load index and speed symbol."""
    ops, (index, dual, symbol) = st.ops, split
    in_cell = positions.get("load_index", -1)
    told, source = _claimed(st, "load_index")
    if told is not st.nothing:
        by_texts = ops.missing(index)
        dual = ops.where(by_texts, _claimed(st, "load_index_dual")[0], dual)
        index, in_cell = ops.first_known(index, told), ops.where(by_texts, source, in_cell)
    told, _ = _claimed(st, "speed_symbol")
    return Apart(index, dual, symbol if told is st.nothing else ops.first_known(symbol, told), in_cell)


def _claimed(st: Statements, field: str) -> tuple[Any, Any]:
    """The one value that texts claim of a field, and the source that claims it first."""
    ops, value, differ, source = st.ops, st.nothing, st.never, -1
    for slot in st.claims(field):
        said = st.value(slot)
        differ = differ | (ops.known(value) & ops.known(said) & (value != said))
        source = ops.where(ops.missing(value) & ops.known(said), slot.source, source)
        value = said if value is st.nothing else ops.first_known(value, said)
    return (ops.where(differ, st.nothing, value) if ops.any_of(differ) else value), source


def rest_of_voices(
    st: Statements, cells: MarkingCells, base: Any, known: Any, now: tuple[Any, Any, Any], apart: Apart
) -> tuple[Any, Any]:
    """The dual load index and the speed symbol that a description lacks; missing where it has them or none tells them.

    `now` are the load index, dual load index and speed symbol that are known of it.  The cell of the dual load index
    tells it beside no other load index; the cell of the service description, titles and descriptions tell the rest
    where they give the same load index, and no other size.
    """
    ops, fact = st.ops, st.marking_fact
    index, *lacked = now
    lacks = [known & ops.known(index) & ops.missing(one) for one in lacked]
    lacks[0] = lacks[0] & ops.no(is_of_family(_NEVER_TWIN)(ops, lambda name: fact(name, base)))
    told = [st.nothing, st.nothing]
    if apart.dual is not st.nothing:
        fits = (apart.dual <= index) & (apart.dual >= index - _DUAL_BELOW)
        fits = fits & (ops.missing(apart.index) | (apart.index == index))
        told[0] = ops.where(fits & lacks[0], apart.dual, st.nothing)
    for at_cell, codes in ((True, cells.service), *((False, codes) for _, _, codes in cells.titles)):
        fits = fact("load_index", codes) == index
        if at_cell:  # a cell for it may hold the symbol alone
            fits = fits | ((fact("readable", codes) == 1.0) & ops.missing(fact("load_index", codes)))
        fits = fits & ops.missing(fact("load_index_alt", codes))
        fits = fits & ops.no(fact("speed_symbol_open", codes) == 1.0)  # no symbol says what brackets do
        if not ops.any_of(fits):
            continue
        fits = fits & (ops.missing(fact("family", codes)) | is_same_size(st, codes, base))
        for at, name in enumerate(("load_index_dual", "speed_symbol")):
            said = ops.where(fits & lacks[at], fact(name, codes), st.nothing)
            told[at] = ops.first_known(told[at], said)
    return told[0], told[1]
