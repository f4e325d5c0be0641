"""Pictures of a marking with its parts labeled: lines for a terminal, a page with a drawing for a browser."""

from __future__ import annotations

from html import escape

from auditor.marking.explain.plain import CAUTION, Part, explain
from auditor.trade.marking_model import Marking

COLUMNS = 80
_ROW = 44  # columns of the marking drawn in one row; labels need the rest
_COLORS = {  # one hue for each kind of statement, readable on the dark band and on paper
    "size": "#f2c14e",
    "load": "#7fd1ae",
    "speed": "#f78154",
    "strength": "#9bb8ff",
    "letters": "#d9d4c7",
}


def placed(marking: Marking, parts: tuple[Part, ...]) -> list[tuple[int, Part]]:
    """(offset in the canonical text, part) of every part that the canonical text shows, in order."""
    spots: list[tuple[int, Part]] = []
    cursor = 0
    for part in parts:
        if part.kind == "unread":
            continue
        position = marking.canonical.find(part.text, cursor)
        if position >= 0:
            spots.append((position, part))
            cursor = position + len(part.text)
    return spots


def _rows(marking: Marking, spots: list[tuple[int, Part]]) -> list[tuple[int, int, list[tuple[int, Part]]]]:
    """Cuts the canonical text into rows (start, end, spots) at a part's beginning."""
    rows: list[tuple[int, int, list[tuple[int, Part]]]] = []
    start = 0
    row: list[tuple[int, Part]] = []
    for position, part in spots:
        if row and position + len(part.text) - start > _ROW:
            rows.append((start, position, row))
            start, row = position, []
        row.append((position, part))
    rows.append((start, len(marking.canonical), row))
    return rows


def terminal_drawing(marking: Marking, parts: tuple[Part, ...] | None = None) -> str:
    """The marking with a leader from each part to its name, at most 80 columns wide.

    Above each name stands nothing but its own leader, so that it reads without color.
    """
    lines: list[str] = []
    for start, end, spots in _rows(marking, placed(marking, parts or explain(marking))):
        text = marking.canonical[start:end].rstrip()
        if lines:
            lines.append("")
        lines.append("  " + text[: COLUMNS - 2])
        columns = [2 + position - start for position, _ in spots]
        for index in range(len(spots) - 1, -1, -1):
            part = spots[index][1]
            leaders = [" "] * columns[index]
            for column in columns[:index]:
                leaders[column] = "│"
            lines.append(("".join(leaders) + "╰─ " + _label(part))[:COLUMNS])
    return "\n".join(lines)


def _label(part: Part) -> str:
    text = part.text if len(part.text) <= 16 else part.text[:15] + "…"
    return f"{part.name} {text}"


def html_picture(marking: Marking, parts: tuple[Part, ...] | None = None) -> str:
    """A page of its own, without scripts or outside files: the drawing, every part in words, the caution."""
    parts = parts or explain(marking)
    title = escape(marking.canonical)
    rows = "".join(
        f"<tr><th scope='row'><code>{escape(part.text)}</code></th><td>{escape(part.name)}</td>"
        f"<td>{escape(part.meaning)}{f' <em>{escape(part.remark)}</em>' if part.remark else ''}</td></tr>"
        for part in parts
    )
    return (
        "<!doctype html><html lang='en'><head><meta charset='utf-8'>"
        "<meta name='viewport' content='width=device-width, initial-scale=1'>"
        f"<title>{title}</title><style>{_STYLE}</style></head><body><main><h1>{title}</h1>"
        f"{svg_picture(marking, parts)}<table><caption>Its parts, in the order they are molded</caption>"
        f"<thead><tr><th scope='col'>Molded</th><th scope='col'>Name</th><th scope='col'>What it says</th></tr></thead>"
        f"<tbody>{rows}</tbody></table><p class='caution'>{escape(CAUTION)}</p></main></body></html>\n"
    )


_STYLE = (
    "body{margin:0;background:#f6f3ec;color:#26231d;font:16px/1.5 Georgia,'Times New Roman',serif}"
    "main{max-width:60rem;margin:0 auto;padding:2rem 1rem}h1{font-size:1.4rem;letter-spacing:.04em}"
    "svg{width:100%;height:auto}table{border-collapse:collapse;width:100%;margin-top:1rem}"
    "caption{text-align:left;font-style:italic;padding:.4rem 0}"
    "th,td{text-align:left;vertical-align:top;padding:.4rem .7rem;border-top:1px solid #cfc8b8}"
    "code{font:600 1rem ui-monospace,Menlo,Consolas,monospace;white-space:nowrap}em{color:#6a4b1c}"
    ".caution{border-left:.3rem solid #a8431f;padding-left:.8rem}"
)
_MOLDED = "font-family='ui-monospace,Menlo,Consolas,monospace' font-weight='700' font-size='30'"
_STEP = 22  # width of one letter of the drawing
_LINE = 26  # height of one label


def svg_picture(marking: Marking, parts: tuple[Part, ...]) -> str:
    """The marking on a band of rubber, a leader from each part to its label; one drawing, no outside fonts."""
    spots = placed(marking, parts)
    width = max(_STEP * len(marking.canonical) + 80, 640)
    height = 120 + _LINE * (len(spots) + 1)
    pieces = [
        f"<svg xmlns='http://www.w3.org/2000/svg' viewBox='0 0 {width} {height}' role='img' "
        f"aria-label='The marking {escape(marking.canonical, quote=True)} with its parts labeled'>",
        f"<path d='M0 34 Q{width / 2:g} -6 {width} 34 V104 Q{width / 2:g} 64 0 104 Z' fill='#2b2a28'/>",
        f"<path d='M0 42 Q{width / 2:g} 2 {width} 42' fill='none' stroke='#4a4845' stroke-width='2'/>",
    ]
    for index, (position, part) in enumerate(spots):
        left = 40 + _STEP * position
        wide = _STEP * len(part.text)
        color = _COLORS[part.kind]
        label_y = 120 + _LINE * (len(spots) - index)
        pieces.append(
            f"<text x='{left}' y='66' textLength='{wide - 4}' lengthAdjust='spacingAndGlyphs' fill='{color}' {_MOLDED}>"
            f"{escape(part.text)}</text>"
            f"<path d='M{left + 8} 76 V{label_y - 6} h10' fill='none' stroke='#8a8272'/>"
            f"<text x='{left + 24}' y='{label_y}' fill='#26231d' font-family='Georgia,serif' font-size='16'>"
            f"{escape(_label(part))}</text>"
        )
    covered = {spot for position, part in spots for spot in range(position, position + len(part.text))}
    for position, character in enumerate(marking.canonical):
        if position not in covered and character != " ":
            pieces.append(
                f"<text x='{40 + _STEP * position}' y='66' fill='#d9d4c7' {_MOLDED}>{escape(character)}</text>"
            )
    return "".join(pieces) + "</svg>"
