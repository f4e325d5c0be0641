"""Which values climb in which listings: for every rule that judges a value, a tire of each kind it tells apart."""

from __future__ import annotations

from tests.edges.code_ladders import codes, labels
from tests.edges.evidence_ladders import governs, votes
from tests.edges.marking_ladders import markings
from tests.edges.quantity_ladders import loads, pressures, speeds, units
from tests.edges.size_ladders import rim_widths, sizes

ROOMS = {
    "markings": markings,
    "loads": loads,
    "speeds": speeds,
    "sizes": sizes,
    "rim_widths": rim_widths,
    "pressures": pressures,
    "units": units,
    "codes": codes,
    "labels": labels,
    "votes": votes,
    "governs": governs,
}
