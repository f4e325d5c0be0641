"""How the workbook's cells look."""

from __future__ import annotations

from dataclasses import dataclass

import xlsxwriter
from xlsxwriter.format import Format

DECISIONS = ("accept", "ask", "wrong")


@dataclass(frozen=True, slots=True)
class Styles:
    """The formats of one workbook; `grades` maps a grade to its own, told apart by weight and slant too."""

    title: Format
    sentence: Format
    section: Format
    heading: Format
    number_heading: Format
    plain: Format
    wrapped: Format
    number: Format
    percent: Format
    decision: Format
    decided: Format
    link: Format
    grades: dict[str, Format]


def make_styles(book: xlsxwriter.Workbook) -> Styles:
    """Adds the formats to the workbook."""
    top = {"valign": "top"}
    heading = {"bold": True, "bg_color": "#2B2A27", "font_color": "#FFFFFF", "valign": "vcenter"}
    return Styles(
        title=book.add_format({"bold": True, "font_size": 20}),
        sentence=book.add_format({"font_size": 12, "text_wrap": True, **top}),
        section=book.add_format({"bold": True, "font_size": 13, "bottom": 6, "top": 0}),
        heading=book.add_format(heading),
        number_heading=book.add_format({**heading, "align": "right"}),
        plain=book.add_format(top),
        wrapped=book.add_format({"text_wrap": True, **top}),
        number=book.add_format({"num_format": "#,##0", **top}),
        percent=book.add_format({"num_format": "+0.0%;-0.0%;0.0%", **top}),
        decision=book.add_format({"bg_color": "#FFF6CC", "border": 1, "border_color": "#D8CFA0", **top}),
        decided=book.add_format({"font_strikeout": True, "font_color": "#6B675E"}),
        link=book.add_format({"font_color": "#1F4E79", "underline": 1, **top}),
        grades={
            "critical": book.add_format({"bold": True, "bg_color": "#A3161B", "font_color": "#FFFFFF", **top}),
            "major": book.add_format({"bold": True, "bg_color": "#F6D9A8", **top}),
            "minor": book.add_format({"italic": True, **top}),
        },
    )
