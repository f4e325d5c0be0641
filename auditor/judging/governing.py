"""Which marking governs a listing: chosen from the texts and split fields that state one.

Written once for one listing and for a block of records, as `auditor.judging.statements` is.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any, NamedTuple

from auditor.judging.described import (
    MarkingCells,
    completed_by_texts,
    described_apart,
    is_same_size,
    rest_of_voices,
    same_in,
)
from auditor.judging.statements import Governing, Statements, TextMarking
from auditor.trade.codes import SIZE_PREFIXES
from auditor.trade.facts import UNSURE

_MORE_OF_A_SIZE = (
    "rim_diameter_in",
    "overall_diameter_in",
    "construction",
    "split_letters",
    "split_affix",
    "load_version",
)
SplitSizeNumbers = tuple[Any, ...]  # in the order of `auditor.marking.split_size.SplitSize`
_SAME_BUT_HEIGHT = ("section_width_mm", "rim_diameter_in")


def split_size_numbers(st: Statements) -> SplitSizeNumbers | None:
    """The numbers of the split size fields; None where no listing can have a size of them."""
    ops = st.ops
    widths = (*st.own("section_width_mm"), *st.own("section_width_in"))
    if not widths or not st.own("rim_diameter_in"):
        return None
    step = st.nothing
    for slot in widths:
        step = ops.first_known(step, ops.where(ops.known(st.value(slot)), st.half_step(slot), st.nothing))
    aspect = st.first("aspect_ratio")
    for source in st.sources:
        if source.field == "aspect_ratio":  # a height that cannot be read is not one that is left out
            aspect = ops.where(st.unreadable(source), -1.0, aspect)
    return (
        st.first("section_width_mm"),
        st.first("section_width_in"),
        step,
        aspect,
        *(stated_prefix(st) if field == "split_affix" else st.first(field) for field in _MORE_OF_A_SIZE),
    )


def stated_prefix(st: Statements) -> Any:
    """The letters of the size that a cell of their own gives, or one beside a width or rim."""
    beside, own = st.first("split_affix"), st.first("size_prefix")
    if beside is st.nothing or own is st.nothing:
        return own if beside is st.nothing else beside
    return st.ops.first_known(beside, own)


def _split_governs(st: Statements, cells: MarkingCells, index: Any, described: bool) -> Any:
    """Where the split fields make a size; not where a title states the same and, alone, a load index or a height."""
    ops, fact = st.ops, st.marking_fact
    size = cells.split_size
    governs = fact("readable", size) == 1.0
    lacks = ops.missing(index)
    if described:
        lacks = lacks & ops.missing(fact("load_index", cells.service))
    for codes in _told_by_texts(cells):
        whole = ops.known(fact("family", codes))
        fuller = lacks & ops.known(fact("load_index", codes)) & whole
        governs = governs & ops.no(fuller & is_same_size(st, codes, size))
        flat = ops.missing(fact("aspect_ratio", size)) & ops.known(fact("aspect_ratio", codes)) & whole
        governs = governs & ops.no(flat & same_in(st, codes, size, _SAME_BUT_HEIGHT))
    return governs


def _told_by_texts(cells: MarkingCells) -> list[Any]:
    """The rows of all markings that titles and descriptions state, whole titles first."""
    return [*(codes for _, codes in cells.whole_titles), *(codes for _, _, codes in cells.titles)]


class Taken(NamedTuple):
    """What a marking takes from fields of their own; missing where it takes nothing."""

    index: Any
    dual: Any
    symbol: Any
    prefix: Any


LIGHT_TRUCK, COMMERCIAL = (float(SIZE_PREFIXES.index(letters)) for letters in ("LT", "C"))
_ROOM = 0.95  # below a band; about two load indices


def _prefix_taken(
    st: Statements, cells: MarkingCells, base: Any, known: Any, split_used: Any, index: Any
) -> tuple[Any, Any]:
    """(where the size lacks its letters and a cell or, for split fields, a text gives them, which)

    Width, aspect ratio and rim in cells of their own have no place for LT or C: where a text gives the very size with
    letters, the cells left them out.  An index that only a tire of the size without LT or C has speaks against them.
    """
    ops, fact, prefix = st.ops, st.marking_fact, stated_prefix(st)
    of_split = ops.any_of(split_used)
    if prefix is st.nothing and not of_split:
        return st.never, prefix
    load = fact("load_single_kg", base)
    if of_split:  # what their cells say is in the size already
        prefix = ops.where(split_used, _letters_of_texts(st, cells, base), prefix)
        described = ops.first_known(fact("load_single_kg", cells.service), ops.look_up(st.book.tables.load_kg, index))
        load = ops.where(split_used, described, load)
    takes = known & ops.missing(fact("size_prefix", base)) & ops.known(prefix) & (prefix >= 0.0)
    for letters, kind in ((LIGHT_TRUCK, "lt"), (COMMERCIAL, "commercial")):
        least, most = fact(f"load_as_{kind}_min_kg", base), fact(f"load_as_{kind}_max_kg", base)
        off = ((load < least * _ROOM) | (load > most)) & (load <= fact("load_band_max_kg", base))
        takes = takes & ops.no((prefix == letters) & off)
    return takes, prefix


def _letters_of_texts(st: Statements, cells: MarkingCells, size: Any) -> Any:
    """The letters with which a title or description gives a size that stands without any; missing where none does."""
    ops, letters = st.ops, st.nothing
    for codes in _told_by_texts(cells):
        said = st.marking_fact("size_prefix", codes)
        letters = ops.first_known(letters, ops.where(is_same_size(st, codes, size), said, st.nothing))
    return letters


def governing_marking(
    st: Statements,
    cells: MarkingCells,
    positions: dict[str, int],
    split: tuple[Any, Any, Any],
    compose: Callable[[Any, Any, Any, Taken, Any], Any],
) -> Governing:
    """Chooses the marking that governs each listing.

    `marking` where it can be read, else `size`, else the split size fields, else the title read as a marking, else a
    size that a text claims.
    A marking without a load index takes the service description field, else the split fields, else the service
    description that a title or, whole, a description gives beside the very size, else what texts call its load index.
    A speed symbol is taken from its own field, else from what texts call it, else with a dual load index from a cell,
    title or description that gives the same load index.
    A size without letters takes LT, ST, P, T, HL or C from the field of the prefix, one of split fields from a text.
    `compose(need, base, service, taken, use_service)` returns the rows of the joined markings.
    """
    ops, fact = st.ops, st.marking_fact
    base, size_source, known, split_used, title_used = _size(st, cells, positions, index := split[0])
    has_marking = fact("readable", cells.marking) == 1.0
    described = "service_description" in positions
    use_prefix, prefix = _prefix_taken(st, cells, base, known, split_used, index)
    by_text = completed_by_texts(st, cells, base, known, index)
    apart = described_apart(st, split, positions)
    takes = described or bool(cells.titles) or any(part is not st.nothing for part in apart[:3])
    if not takes and all(use is st.never for use in (use_prefix, *by_text)):
        texts = _other_texts(st, cells, positions, has_marking, st.never, title_used)
        return Governing(base, size_source, size_source, st.never, st.never, split_used, texts)
    has_index = ops.known(fact("load_index", base))
    has_symbol = ops.known(fact("speed_symbol", base))
    service_known = fact("readable", cells.service) == 1.0 if described else st.never
    of_cell = use_service = known & ops.no(has_index) & service_known
    service_source = ops.where(of_cell, positions.get("service_description", -1), size_source)
    service = cells.service
    for (source, _, codes), use in zip(cells.titles, by_text, strict=True):
        service, use_service = ops.where(use, codes, service), use_service | use
        service_source = ops.where(use, source, service_source)
    has_index = has_index | (use_service & ops.known(fact("load_index", service)))
    has_symbol = has_symbol | (use_service & ops.known(fact("speed_symbol", service)))
    use_index = known & ops.no(has_index) & ops.known(apart.index)
    use_symbol = known & ops.no(has_symbol) & ops.known(apart.symbol) & (apart.symbol >= 0)
    service_source = ops.where(use_index, apart.source, service_source)
    taken = Taken(
        ops.where(use_index, apart.index, st.nothing),
        ops.where(use_index, apart.dual, st.nothing),
        ops.where(use_symbol, apart.symbol, st.nothing),
        ops.where(use_prefix, prefix, st.nothing),
    )
    now = _known_of_service(st, base, service, use_service, taken)
    dual, symbol = rest_of_voices(st, cells, base, known, now, apart)
    use_rest = ops.known(dual) | ops.known(symbol)
    taken = taken._replace(dual=ops.first_known(taken.dual, dual), symbol=ops.first_known(taken.symbol, symbol))
    need = use_service | use_index | use_symbol | use_prefix | use_rest
    codes = compose(need, base, service, taken, use_service) if ops.any_of(need) else base
    title_used = [used | use for used, use in zip(title_used, by_text, strict=True)]
    texts = _other_texts(st, cells, positions, has_marking, of_cell, title_used)
    return Governing(codes, size_source, service_source, use_index, use_symbol, split_used, texts)


def _known_of_service(st: Statements, base: Any, service: Any, use_service: Any, taken: Taken) -> tuple[Any, Any, Any]:
    """Load index, dual load index and speed symbol that the size, its description and loose cells have.

    Of the size's own description and one beside it the former goes first.
    """
    ops, fact = st.ops, st.marking_fact
    names = ("load_index", "load_index_dual", "speed_symbol")
    index, dual, symbol = (
        ops.first_known(fact(name, base), ops.where(use_service, fact(name, service), st.nothing)) for name in names
    )
    return tuple(map(ops.first_known, (index, dual, symbol), taken[:3]))


def _size(
    st: Statements, cells: MarkingCells, positions: dict[str, int], index: Any
) -> tuple[Any, Any, Any, Any, list[Any]]:
    """(rows of the texts that give the size, their sources, where one does, where split fields do, where titles do)"""
    ops, fact = st.ops, st.marking_fact
    cells = _without_refused(st, cells)
    has_marking = fact("readable", cells.marking) == 1.0
    has_size = fact("readable", cells.size) == 1.0 if "size" in positions else st.never
    base = ops.where(has_marking, cells.marking, cells.size)
    size_source = ops.where(has_marking, positions.get("marking", -1), positions.get("size", -1))
    known = has_marking | has_size
    split_used = st.never
    if cells.split_size is not None:
        split_used = ops.no(known) & _split_governs(st, cells, index, "service_description" in positions)
        base = ops.where(split_used, cells.split_size, base)
        rim = positions.get("rim_diameter_in", -1)  # of the cells that make the size, the one that matters most
        size_source = ops.where(split_used, rim, size_source)
        known = known | split_used
    title_used, by_title = [], dict[int, Any]()
    whole = [(source, codes, "readable") for source, codes in cells.whole_titles]
    for source, codes, told in (*whole, *((source, codes, "family") for source, _, codes in cells.titles)):
        stated = ops.known(fact(told, codes)) & (fact("readable", codes) == 1.0)
        use = ops.no(known) & stated
        base = ops.where(use, codes, base)
        size_source = ops.where(use, source, size_source)
        known = known | stated
        if told == "readable":
            by_title[source] = use
        else:
            title_used.append(use | by_title.get(source, st.never))
    return base, size_source, known, split_used, title_used


def _without_refused(st: Statements, cells: MarkingCells) -> MarkingCells:
    """What a title as a whole is not taken for, no part of it says either; of several sizes one may be this tire's."""
    refused = {source: st.marking_fact("refused", codes) == UNSURE for source, codes in cells.whole_titles}
    if not any(map(st.ops.any_of, refused.values())):
        return cells
    titles = [
        (source, report, st.ops.where(refused[source], 0, codes) if source in refused else codes)
        for source, report, codes in cells.titles
    ]
    return cells._replace(titles=tuple(titles))


def _other_texts(
    st: Statements,
    cells: MarkingCells,
    positions: dict[str, int],
    has_marking: Any,
    use_service: Any,
    title_used: Sequence[Any],
) -> tuple[TextMarking, ...]:
    ops = st.ops
    texts = []
    if "marking" in positions and "size" in positions:
        texts.append(TextMarking(positions["size"], "size", ops.where(has_marking, cells.size, 0)))
    if "service_description" in positions:
        codes = ops.where(use_service, 0, cells.service)
        texts.append(TextMarking(positions["service_description"], "service_description", codes))
    for (source, report, codes), used in zip(cells.titles, title_used, strict=True):
        texts.append(TextMarking(source, report, ops.where(used, 0, codes)))
    return tuple(texts)
