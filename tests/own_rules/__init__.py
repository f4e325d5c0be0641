"""Rules of an invented shop's own, as a retailer would lay them over the built-in book; `changed` makes variants."""

from __future__ import annotations

import shutil
from pathlib import Path

HOUSE = Path(__file__).with_name("house")

PLAIN = """\
subject = "shop"

[[rule]]
id = "shop-rule"
title = "A rule of the shop"
grade = "minor"
kind = "range"
field = "max_load_kg"
least = 400
says = "States {stated}, not {detail}."
why = "The shop sells nothing weaker."
source = "House rule"

  [[rule.example]]
  title = "too weak"
  listing = { marking = "145/70R12 69T", max_load_kg = "325" }
  finds = { field = "max_load_kg" }

  [[rule.example]]
  title = "strong enough"
  listing = { marking = "225/65R17 102H", max_load_kg = "850" }
  finds = "nothing"
"""


def house(folder: Path) -> Path:
    """A copy of the sample shop's rules."""
    return shutil.copytree(HOUSE, folder / "house")


def shop(folder: Path, text: str = PLAIN, *changes: tuple[str, str], **more: str) -> Path:
    """A folder with one file of rules, parts of it changed; `more` are other files by their stem."""
    own = folder / "own"
    own.mkdir(exist_ok=True)
    for before, after in changes:
        assert before in text, before
        text = text.replace(before, after)
    (own / "shop.toml").write_text(text, encoding="utf-8")
    for stem, content in more.items():
        (own / f"{stem}.toml").write_text(content, encoding="utf-8")
    return own
