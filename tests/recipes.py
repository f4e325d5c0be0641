"""Reads the recipes of DEVELOPERS.md and follows them in a copy of the tree.

A recipe begins with `<!-- recipe: NAME -->` and ends with the next heading.  The line above each of its blocks says
what becomes of it.
"""

from __future__ import annotations

import os
import re
import shutil
import subprocess
import sys
from dataclasses import dataclass
from functools import cache
from pathlib import Path

CHECKOUT = Path(__file__).parents[1]
_NEEDED = ("auditor", "rules", "tests/reference/markings.csv")
_BEGIN = re.compile(r"^<!-- recipe: ([a-z ]+) -->$", re.MULTILINE)
_STEP = re.compile(
    r"^(?:A copy of `(?P<original>[^`]+)` as `(?P<copy>[^`]+)`\."
    r"|(?P<how>A new file|At the end of|In) `(?P<path>[^`]+)`"
    r"(?:, (?P<place>above|below|instead of) `(?P<line>[^`]+)`)?:"
    r"\n\n```(?P<kind>[a-z]+)\n(?P<block>.*?)^```)$",
    re.MULTILINE | re.DOTALL,
)


@dataclass(frozen=True, slots=True)
class Step:
    """One thing that a recipe says is to be done."""

    path: str
    block: str
    how: str  # copy, A new file, At the end of, above, below, instead of
    line: str = ""  # the line above or below which, or instead of which, the block is put; or the file that is copied


@cache
def recipes() -> dict[str, tuple[Step, ...]]:
    """Every recipe by its name."""
    text = (CHECKOUT / "DEVELOPERS.md").read_text(encoding="utf-8")
    begins = list(_BEGIN.finditer(text))
    ends = [one.start() for one in re.finditer(r"^##+ ", text, re.MULTILINE)] + [len(text)]
    found = {}
    for begin in begins:
        part = text[begin.end() : min(end for end in ends if end > begin.end())]
        steps = tuple(_step(match) for match in _STEP.finditer(part))
        blocks = part.count("\n```") // 2
        assert blocks == sum(step.how != "copy" for step in steps), f"{begin[1]}: a block without a place"
        found[begin[1]] = steps
    return found


def _step(match: re.Match[str]) -> Step:
    if match["copy"]:
        return Step(match["copy"], "", "copy", match["original"])
    assert (match["how"] == "In") == bool(match["place"]), match[0].splitlines()[0]
    return Step(match["path"], match["block"], match["place"] or match["how"], match["line"] or "")


def touched(name: str) -> list[str]:
    """The files that a recipe makes or changes."""
    return list(dict.fromkeys(step.path for step in recipes()[name]))


class House:
    """A copy of the tree in which recipes are followed."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        for name in _NEEDED:
            source, target = CHECKOUT / name, folder / name
            if source.is_dir():
                shutil.copytree(source, target, ignore=shutil.ignore_patterns("*.book"))
            else:
                target.parent.mkdir(parents=True)
                shutil.copyfile(source, target)

    def follow(self, name: str) -> House:
        """Does what the recipe says, step by step."""
        for step in recipes()[name]:
            path = self.folder / step.path
            if step.how == "copy":
                assert not path.exists(), step.path
                shutil.copyfile(self.folder / step.line, path)
            elif step.how == "A new file":
                assert not path.exists(), step.path
                path.write_text(step.block, encoding="utf-8")
            else:
                path.write_text(_changed(path.read_text(encoding="utf-8"), step), encoding="utf-8")
        return self

    def run(self, *args: str, stdin: str = "", codes: tuple[int, ...] = (0,)) -> str:
        """What a fresh process says that runs the copy's Python with these arguments."""
        environment = {
            **{name: value for name, value in os.environ.items() if not name.startswith(("PYTHON", "COV"))},
            "PYTHONPATH": str(self.folder),
            "XDG_CACHE_HOME": str(self.folder / "cache"),
        }
        done = subprocess.run(
            [sys.executable, "-W", "error", *args],
            cwd=self.folder,
            env=environment,
            input=stdin,
            capture_output=True,
            text=True,
            check=False,
        )
        assert done.returncode in codes, done.stdout + done.stderr
        return done.stdout


def _changed(text: str, step: Step) -> str:
    if step.how == "At the end of":
        return text + ("\n" if step.path.endswith(".toml") else "") + step.block
    lines = text.splitlines(keepends=True)
    # Of lines that say the same the last one; a line may go on with a comment.
    places = [number for number, line in enumerate(lines) if line.strip().startswith(step.line)]
    assert places, f"{step.path} has no line {step.line!r}"
    place = places[-1]
    if step.how == "instead of":
        lines[place] = step.block
    else:
        lines.insert(place + (step.how == "below"), step.block)
    return "".join(lines)
