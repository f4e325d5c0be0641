"""Columns whose cells all begin with one name, "Width: 205" under "Attribute 1", as pages of shops list attributes."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace

from auditor.mapping.proposal import Proposal, Sample
from auditor.mapping.unit_rows import is_known, proposed_with_units, under_headers
from auditor.rulebook.listing_fields import Contract

_FEW, _NEARLY_ALL = 5, 0.95  # cells, and the share of them that begin with the name
_NAME = re.compile(r"\s*([^\W\d_][^:=\n]{0,39}?)\s*[:=]\s*(?=\S)")


def proposed_with_labels(sample: Sample, contract: Contract) -> Proposal:
    """The proposal for a sample whose cells may begin with the names of what they hold."""
    labels = _labels(sample, contract)
    if not labels:
        return proposed_with_units(sample, contract)
    headers = tuple(labels.get(position, header) for position, header in enumerate(sample.headers))
    cells = tuple(
        tuple(map(_without_name, column)) if position in labels else column
        for position, column in enumerate(sample.cells)
    )
    found = under_headers(proposed_with_units(Sample(headers, cells), contract), sample.headers)
    columns = tuple(replace(use, label=labels.get(use.position, "")) for use in found.mapping.columns)
    return replace(found, mapping=replace(found.mapping, columns=columns))


def _labels(sample: Sample, contract: Contract) -> dict[int, str]:
    """By column the known name that nearly all of its cells begin with, under a header that says nothing."""
    found = {}
    for position, (header, cells) in enumerate(zip(sample.headers, sample.cells, strict=True)):
        label = _shared_name([cell for cell in cells if cell.strip()])
        if label and is_known(label, contract) and not is_known(header, contract):
            found[position] = label
    return found


def _shared_name(cells: Sequence[str]) -> str:
    if len(cells) < _FEW or (first := _NAME.match(cells[0])) is None:
        return ""
    alike = sum((found := _NAME.match(cell)) is not None and found[1] == first[1] for cell in cells)
    return first[1] if alike >= _NEARLY_ALL * len(cells) else ""


def _without_name(cell: str) -> str:
    found = _NAME.match(cell)
    return cell[found.end() :] if found else cell
