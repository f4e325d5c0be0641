"""The drawings: within the terminal's width, complete, self-contained, safe."""

from __future__ import annotations

from xml.etree import ElementTree

import pytest
from hypothesis import given, settings

from auditor.marking import Marking, decode
from auditor.marking.explain.picture import html_picture, placed, svg_picture, terminal_drawing
from auditor.marking.explain.plain import CAUTION, explain
from tests.marking.grammar import CASES, Case


def _decoded(text: str) -> Marking:
    marking = decode(text)
    assert isinstance(marking, Marking), text
    return marking


def test_terminal_drawing_exactly() -> None:
    assert terminal_drawing(_decoded("225/65R17 102H")).splitlines() == [
        "  225/65R17 102H",
        "  │   │ ││  │  ╰─ speed symbol H",
        "  │   │ ││  ╰─ load index 102",
        "  │   │ │╰─ rim diameter 17",
        "  │   │ ╰─ construction R",
        "  │   ╰─ aspect ratio 65",
        "  ╰─ section width 225",
    ]


LONG = (
    "LT245/75R16 10PR 120/116S (121/117N) E M+S 3PMSF TL REGROOVABLE OWL MO"
    " MAX LOAD 1380 KG (3042 LBS) AT 550 KPA (80 PSI)"
)


@pytest.mark.parametrize("text", [LONG, "8.15-15 (225/75-15) 149A5", "MT90B16 M/C 72H", "205-640R440A 95V"])
def test_terminal_drawing_fits_eighty_columns_and_names_every_part(text: str) -> None:
    marking = _decoded(text)
    drawing = terminal_drawing(marking)
    assert max(len(line) for line in drawing.splitlines()) <= 80
    assert drawing.count("╰─") == len(explain(marking))


@settings(max_examples=100)
@given(CASES)
def test_every_part_is_placed_where_it_stands(case: Case) -> None:
    marking = _decoded(case[0])
    spots = placed(marking, explain(marking))
    assert len(spots) == len(explain(marking))
    for position, part in spots:
        assert marking.canonical[position : position + len(part.text)] == part.text


def test_picture_is_one_self_contained_page() -> None:
    page = html_picture(_decoded("LT265/70R17 121/118S E <script>alert(1)</script>"))
    assert page.startswith("<!doctype html>") and CAUTION.replace("'", "&#x27;") in page
    assert "<script" not in page and "&lt;script&gt;" in page
    assert "http" not in page.replace("http://www.w3.org/2000/svg", "")
    assert page.count("<tr>") == 1 + 10  # heading, nine parts, one not understood


def test_drawing_is_well_formed() -> None:
    marking = _decoded("31x10.50R15LT 109S C M+S *")
    parts = explain(marking)
    root = ElementTree.fromstring(svg_picture(marking, parts))
    texts = [element.text for element in root.iter() if element.tag.endswith("text")]
    for part in parts:
        assert part.text in texts and f"{part.name} {part.text}" in texts
