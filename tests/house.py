"""How the rooms of `auditor/` stand: which may import from which, and a drawing of it for DEVELOPERS.md.

`python -m tests.house` writes the drawing into DEVELOPERS.md; `tests/test_house.py` holds the code to the order.
"""

from __future__ import annotations

import ast
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from pathlib import Path

CHECKOUT = Path(__file__).parents[1]
PACKAGE = "auditor"

# From the ground up: a room imports only from those before it.
ROOMS = {
    "errors": "what can go wrong in a way that a caller can mend",
    "rules_folder": "where the rule book lies",
    "version": "the version of the program",
    "trade": "published tables, units, and the registry of derived facts",
    "rulebook": "rules, policy and listing fields as data: loading, checking, compiling",
    "marking": "the text of a marking -> Marking; explain/ puts it in plain words and pictures",
    "substitution": "may one tire stand in for another: two markings compared point by point",
    "quantities": '"1,360 kg" -> 1360.0 kg',
    "columns": "each distinct text of a column read once: codes into kept values",
    "claims": "what titles and sales texts say of this tire, one text or whole columns",
    "feeds": "a file in any supplier's dialect -> Arrow columns with exact record numbers",
    "mapping": "which column holds what, in which unit",
    "judging": "rules over a vocabulary, votes, causes; single/ and block/ are its two ends",
    "wording": "every sentence the product says of a finding",
    "across": "rules that look at more than one listing",
    "ledger": "what is remembered from night to night: findings, decisions, deliveries",
    "outputs": "findings, summary, report, workbook, corrections, the folder that appears whole",
    "engine": "whole runs: units, workers, findings merged in order, accounts",
    "programs": "the calls a program makes: one listing, frames, the line stream",
    "shell": "the commands of the terminal",
    "__main__": "`python -m auditor`",
}
SINGLE_MODULES = ("errors", "rules_folder", "version", "__main__")  # of the root, no rooms of their own
BEGIN, END = "<!-- rooms: written by python -m tests.house -->\n", "<!-- end of rooms -->\n"


@dataclass(frozen=True, slots=True)
class Import:
    """One module imported by another; `indented` inside a function."""

    by: str
    line: int
    module: str
    indented: bool


def name_of(path: Path) -> str:
    """The module that a file is."""
    parts = path.relative_to(CHECKOUT).with_suffix("").parts
    return ".".join(parts[:-1] if parts[-1] == "__init__" else parts)


@cache
def modules() -> dict[str, Path]:
    """Every module of the package and its file."""
    return {name_of(path): path for path in sorted((CHECKOUT / PACKAGE).rglob("*.py"))}


@cache
def tree_of(path: Path) -> ast.Module:
    """A file's syntax tree."""
    return ast.parse(path.read_text(encoding="utf-8"))


def room_of(module: str) -> str:
    """The room a module is in; the package itself is nobody's room."""
    return module.split(".")[1] if "." in module else module


def _top_level(tree: ast.Module) -> set[int]:
    """Statements that run on import, and those under `if TYPE_CHECKING`."""
    found = set()
    for statement in tree.body:
        found.add(id(statement))
        if isinstance(statement, ast.If | ast.Try):
            found |= {id(node) for node in ast.walk(statement)}
    return found


def _targets(node: ast.AST) -> Iterator[str]:
    """Modules of the package that a statement imports."""
    if isinstance(node, ast.Import):
        yield from (alias.name for alias in node.names if alias.name in modules())
    elif isinstance(node, ast.ImportFrom):
        assert node.level == 0, "imports name the whole path"
        for alias in node.names:
            name = f"{node.module}.{alias.name}"
            if name in modules():
                yield name
            elif node.module in modules():
                yield node.module


@cache
def imports() -> tuple[Import, ...]:
    """Every import of one module of the package by another, top-level, indented, or for types alone."""
    found = []
    for name, path in modules().items():
        tree = tree_of(path)
        top = _top_level(tree)
        for node in ast.walk(tree):
            for target in _targets(node):
                found.append(Import(name, node.lineno, target, id(node) not in top))  # type: ignore[attr-defined]
    return tuple(found)


def arrows() -> dict[str, set[str]]:
    """For each room the rooms it imports from."""
    found: dict[str, set[str]] = {room: set() for room in ROOMS}
    for one in imports():
        by, target = room_of(one.by), room_of(one.module)
        if by != target and by != PACKAGE:
            found[by].add(target)
    return found


def circles(edges: dict[str, set[str]]) -> list[list[str]]:
    """Groups of names that reach each other."""
    reach: dict[str, set[str]] = {}
    for start in edges:
        seen: set[str] = set()
        waiting = list(edges[start])
        while waiting:
            name = waiting.pop()
            if name not in seen:
                seen.add(name)
                waiting.extend(edges.get(name, ()))
        reach[start] = seen
    groups = {tuple(sorted(b for b in reach[a] if a in reach.get(b, ()))) for a in edges if a in reach[a]}
    return sorted(map(list, groups))


def drawing() -> str:
    """The rooms as boxes, each above all that it imports from, then who imports from whom."""
    uses = arrows()
    floors: dict[str, int] = {}
    for room in ROOMS:  # from the ground up
        floors[room] = 1 + max((floors[one] for one in uses[room] if one in floors), default=-1)
    lines = []
    for floor in range(max(floors.values()), -1, -1):
        own = [room for room in ROOMS if floors[room] == floor]
        lines.append("  ".join(f"[ {room} ]" for room in own).center(72).rstrip())
    lines.append("")
    width = max(map(len, ROOMS))
    for room in reversed(ROOMS):
        if room in SINGLE_MODULES:
            continue
        lines.append(f"{room:<{width}}  {ROOMS[room]}")
        below = [one for one in reversed(ROOMS) if one in uses[room] and one not in SINGLE_MODULES]
        lines.append(f"{'':<{width}}  <- {', '.join(below)}" if below else f"{'':<{width}}  <- nothing")
    return "\n".join(lines) + "\n"


def with_drawing(text: str) -> str:
    """DEVELOPERS.md with the drawing as it should be."""
    before, rest = text.split(BEGIN)
    _, after = rest.split(END)
    return f"{before}{BEGIN}```text\n{drawing()}```\n{END}{after}"


def main() -> None:
    """Writes the drawing into DEVELOPERS.md."""
    path = CHECKOUT / "DEVELOPERS.md"
    path.write_text(with_drawing(path.read_text(encoding="utf-8")), encoding="utf-8")


if __name__ == "__main__":
    main()
