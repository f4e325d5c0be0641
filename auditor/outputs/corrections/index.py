"""Who gets what: a line per supplier, as a file for programs and as a page that leads to every letter."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

from auditor.outputs.corrections.letters import Letter
from auditor.outputs.csv_lines import csv_line
from auditor.outputs.findings import neutralize_text
from auditor.outputs.languages import Wordings
from auditor.outputs.states import day_in_words
from auditor.outputs.templates import templates_in
from auditor.rulebook.finding import GRADES

INDEX = ("supplier", "file", "letters", "feeds", "corrections", "confirmations", "listings", "groups", "held")
_TEMPLATES = Path(__file__).with_name("templates")


def write_index(
    folder: Path, letters: Sequence[Letter], wordings: Sequence[Wordings], summary: Mapping[str, Any]
) -> None:
    """Writes `index.csv`, by supplier, and `index.html`, the most dangerous first."""
    with (folder / "index.csv").open("w", encoding="utf-8", errors="replace", newline="") as file:
        file.write(csv_line(INDEX))
        for letter in letters:
            written = " ".join(f"{letter.name}.{words.language}.txt" for words in wordings)
            counts = (letter.counts["correct"] + letter.counts["spelling"], letter.counts["confirm"], letter.listings)
            about = (*counts, len(letter.groups), "yes" if letter.held else "no")
            feeds = neutralize_text("; ".join(letter.feeds))
            file.write(csv_line((neutralize_text(letter.supplier), f"{letter.name}.csv", written, feeds, *about)))
    html = (
        templates_in(_TEMPLATES)
        .get_template("index.html.j2")
        .render(
            letters=sorted(letters, key=lambda letter: _rank(letter, summary)),
            by_supplier=summary["by_supplier"],
            wordings=wordings,
            night=day_in_words(summary.get("night") or ""),
        )
    )
    (folder / "index.html").write_text(html, encoding="utf-8", errors="replace", newline="\n")


def _rank(letter: Letter, summary: Mapping[str, Any]) -> tuple[Any, ...]:
    """The order of the report's table of suppliers."""
    row = summary["by_supplier"].get(letter.supplier, {})
    return (*(-row.get(grade, 0) for grade in GRADES), -row.get("held", 0), letter.supplier)
