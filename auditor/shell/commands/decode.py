"""`auditor decode TEXT...`: a marking in plain words, with everything that follows from it."""

from __future__ import annotations

import argparse
import json
import sys
from pathlib import Path
from textwrap import fill

from auditor.errors import OutputError, UsageError
from auditor.marking import decode
from auditor.marking.explain.decoded import decoded_json
from auditor.marking.explain.picture import html_picture, terminal_drawing
from auditor.marking.explain.plain import CAUTION, Part, explain
from auditor.trade.derive import (
    Derived,
    commercial_loads_by_speed,
    derive,
    load_at_top_speed_kg,
    load_per_axle_kg,
    section_width_on_rim_mm,
)
from auditor.trade.marking_model import Marking, Unreadable
from auditor.trade.tables import Tables, default_tables
from auditor.trade.units import KG_PER_LB, MM_PER_INCH
from auditor.wording.replacement import replaced_by

EPILOG = """\
Exit code 1 where a text could not be read. With --json, one text gives an
object, several give an array; a text that could not be read gives nulls and
stands under `unread`, and the reason goes to the error stream.

  auditor decode "LT265/70R17 121/118S E"
  auditor decode --json "225/65R17 102H" "11R22.5 144/142L G"

With --text, shows clause by clause what a title or sales text was understood
to say of its tire, and why something does not count.

  auditor decode --text "Each tire carries 850 kg." --marking "225/65R17 102H" """

_WIDTH = 80


def arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("texts", nargs="*", metavar="TEXT", help="a marking, quoted")
    parser.add_argument("--text", metavar="SENTENCES", help="a title or sales text to understand")
    parser.add_argument("--marking", metavar="MARKING", default="", help="with --text: the marking of its listing")
    parser.add_argument("--title", action="store_true", help="with --text: read it as a title")
    parser.add_argument("--json", action="store_true", help="print JSON")
    parser.add_argument("--rules", metavar="DIR", type=Path, help="a folder of own rules: its tables count")
    parser.add_argument("--html", metavar="FILE", type=Path, help="also write a page with the marking drawn (one TEXT)")


def run(options: argparse.Namespace) -> int:
    if options.text is not None:
        return _understand(options)
    if not options.texts:
        raise UsageError("decode needs a TEXT to decode, or --text SENTENCES; see auditor decode --help.")
    tables = _tables(options.rules)
    found = [decode(text) for text in options.texts]
    if options.html is not None:
        _write_page(options.html, found, tables)
    if options.json:
        objects = [decoded_json(one, tables) for one in found]
        print(json.dumps(objects[0] if len(objects) == 1 else objects, ensure_ascii=False, indent=1))
    else:
        print("\n\n".join(in_words(one, tables) for one in found if isinstance(one, Marking)), end="")
        if any(isinstance(one, Marking) for one in found):
            print("\n\n" + fill(CAUTION, _WIDTH))
    sys.stdout.flush()
    unread = [one for one in found if isinstance(one, Unreadable)]
    for one in unread:
        print(f"auditor: {_why_not(one)}", file=sys.stderr)
    return 1 if unread else 0


def _tables(rules: Path | None) -> Tables:
    """The tables of a folder of own rules, the published ones without it."""
    if rules is None:
        return default_tables()
    # Start-up: a marking alone needs no rules.
    from auditor.programs.books import load_book
    from auditor.shell.book_options import say_loosened

    book = load_book(rules)
    say_loosened(book)
    return book.tables


def _understand(options: argparse.Namespace) -> int:
    if options.texts:
        raise UsageError("--text takes one text; give the marking of its listing with --marking.")
    # Start-up: the lexicon of texts is large.
    from auditor.shell.text_words import understood

    sys.stdout.write(understood(options.text, options.marking, options.rules, title=options.title))
    return 0


def in_words(marking: Marking, tables: Tables | None = None) -> str:
    """The marking drawn with its parts, each part in words, and what follows from all of it; 80 columns."""
    derived = derive(marking, tables)
    parts = explain(marking, derived, tables)
    lines = [terminal_drawing(marking, parts), "", f"  Family: {marking.family}", *map(_part, parts)]
    follows = [*load_lines(marking, derived, tables), *dimension_lines(derived)]
    if follows:
        lines += ["", "  It follows:", *(f"    {line}" for line in follows)]
    stand_in = replaced_by(marking)
    if stand_in:
        lines += ["", fill(f"  {stand_in}", _WIDTH, subsequent_indent="      ", break_on_hyphens=False)]
    return "\n".join(lines)


def _part(part: Part) -> str:
    head = f"  {part.text}  {part.name}: "
    says = f"{head}{part.meaning}{' ' + part.remark if part.remark else ''}"
    return fill(says, _WIDTH, subsequent_indent="      ", break_on_hyphens=False)


def load_lines(marking: Marking, derived: Derived, tables: Tables | None = None) -> list[str]:
    """What an axle carries, and what a tire carries at other speeds than its own, in kg and lb."""
    lines = []
    two, four = load_per_axle_kg(derived)
    if two is not None:
        lines.append(f"load per axle    {_kg(two)} on two tires")
    if four is not None:
        lines.append(f"                 {_kg(four)} on four, in dual mounting")
    at_top = load_at_top_speed_kg(marking, tables)
    if at_top is not None and derived.speed_kmh is not None:
        lines.append(f"at {derived.speed_kmh:.0f} km/h      {_kg(at_top)} per tire")
    for speed_kmh, single_kg, dual_kg in commercial_loads_by_speed(marking, tables):
        dual = "" if dual_kg is None else f", in dual mounting {_kg(dual_kg)}"
        lines.append(f"up to {speed_kmh:>3.0f} km/h   {_kg(single_kg)}{dual}")
    return lines


def _kg(load_kg: float) -> str:
    return f"{load_kg:,.0f} kg ({load_kg / KG_PER_LB:,.0f} lb)"


def dimension_lines(derived: Derived) -> list[str]:
    """What follows from the size, each with its unit."""
    lines = []
    if derived.section_height_mm is not None:
        lines.append(f"section height   {_mm(derived.section_height_mm)}")
    if derived.overall_diameter_mm is not None:
        lines.append(f"overall diameter {_mm(derived.overall_diameter_mm)}")
    if derived.diameter_min_mm is not None and derived.diameter_max_mm is not None:
        low, high = derived.diameter_min_mm, derived.diameter_max_mm
        if derived.special_use and derived.diameter_special_min_mm and derived.diameter_special_max_mm:
            low, high = derived.diameter_special_min_mm, derived.diameter_special_max_mm
        lines.append(f"allowed for it   {low:,.0f} to {high:,.0f} mm by the standard, new and unloaded")
    if derived.revs_per_km is not None and derived.revs_per_mile is not None:
        lines.append(
            f"revolutions      about {derived.revs_per_km:,.0f} per km ({derived.revs_per_mile:,.0f} per mile)"
        )
    if derived.section_width_mm is not None and derived.section_height_mm is not None:
        per_inch = section_width_on_rim_mm(derived.section_width_mm, 0.0, 1.0) - derived.section_width_mm
        lines.append(f"on another rim   about {per_inch:.0f} mm per inch of rim width (estimate)")
    if derived.ply_rating is not None:
        lines.append(f"ply rating       {derived.ply_rating:g}, a class of strength")
    return lines


def _mm(length_mm: float) -> str:
    return f"{length_mm:,.0f} mm ({length_mm / MM_PER_INCH:,.1f} in)"


def _why_not(found: Unreadable) -> str:
    shown = found.text if len(found.text) <= 60 else found.text[:57] + "..."
    shown = "".join(char if char.isprintable() else " " for char in shown)
    could = f" It could be {' or '.join(found.readings)}." if found.readings else ""
    return f"{shown!r} could not be read as a marking: {found.reason.rstrip('.')}.{could}"


def _write_page(path: Path, found: list[Marking | Unreadable], tables: Tables) -> None:
    if len(found) != 1:
        raise UsageError("--html draws one marking; give one TEXT.")
    if isinstance(found[0], Unreadable):
        return
    try:
        path.write_text(html_picture(found[0], explain(found[0], tables=tables)), encoding="utf-8")
    except OSError as error:
        raise OutputError(f"{path} cannot be written ({(error.strerror or str(error)).lower()}).") from error
