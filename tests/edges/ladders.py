"""Which values climb in which listings: for every rule that judges a value, a tire of each kind it tells apart."""

from __future__ import annotations

from collections.abc import Callable

from tests.edges.cell_ladders import cells, read_all
from tests.edges.code_ladders import codes, labels
from tests.edges.decode_ladders import decode_all, decodes
from tests.edges.evidence_ladders import governs, votes
from tests.edges.ladder import Answer, Ladder
from tests.edges.marking_ladders import markings
from tests.edges.quantity_ladders import loads, pressures, speeds, units
from tests.edges.reading_ladders import (
    find_all,
    found,
    read_services,
    read_short,
    refuse_all,
    refused,
    services,
    short_way,
)
from tests.edges.size_ladders import rim_widths, sizes
from tests.edges.witness_ladders import answer_witnesses, witnessed

ROOMS: dict[str, Callable[[], list[Ladder]]] = {
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
# What is read, before anything is judged, and what listings of their own are answered: the ladders of a room, and what
# is read or answered on each rung of one.
ALONE: dict[str, tuple[Callable[[], list[Ladder]], Callable[[Ladder], list[Answer]]]] = {
    "decodes": (decodes, decode_all),
    "cells": (cells, read_all),
    "short_way": (short_way, read_short),
    "services": (services, read_services),
    "found": (found, find_all),
    "refused": (refused, refuse_all),
    "witnesses": (witnessed, answer_witnesses),
}
