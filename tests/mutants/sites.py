"""Finds every place that can be mutated, and what it is changed into."""

from __future__ import annotations

import ast
import operator
import random
import re
from collections.abc import Callable, Iterator, Sequence
from functools import partial
from pathlib import Path
from typing import Any, NamedTuple

from tests.mutants.targets import CODE, LEFT_OUT, RULES, SHARES

ROOT = Path(__file__).parents[2]
_SIGNS = {
    ast.Lt: ("<", ("<=", ">=")),
    ast.LtE: ("<=", ("<", ">")),
    ast.Gt: (">", (">=", "<=")),
    ast.GtE: (">=", (">", "<")),
    ast.Eq: ("==", ("!=",)),
    ast.NotEq: ("!=", ("==",)),
}
_FINDS = {"above": "below", "below": "above", "differs": "above", "between": "above"}
# The value of a key, or one of a list; a key like 32nds is none.
_TOML_NUMBER = re.compile(r"(?:(?<=[=\[,])|^)\s*(-?[0-9]+(?:\.[0-9]+)?)(?![0-9.\w])")
_RANKED = "auditor/marking/families"
_RANK = re.compile(r"^RANK = ([0-9]+)$", re.MULTILINE)
_HOLDS: dict[type[ast.cmpop], Callable[[Any, Any], bool]] = {
    ast.Lt: operator.lt,
    ast.LtE: operator.le,
    ast.Gt: operator.gt,
    ast.GtE: operator.ge,
    ast.Eq: operator.eq,
    ast.NotEq: operator.ne,
}
_STRING = re.compile(r'"(?:[^"\\]|\\.)*"|\'[^\']*\'')


class Mutant(NamedTuple):
    """One change: the text between two places of a line becomes another."""

    file: str  # relative to the root of the tree, with slashes
    line: int  # from 1
    start: int
    end: int
    old: str
    new: str

    def __str__(self) -> str:
        return f"{self.file}:{self.line}:{self.start + 1}  {self.old} -> {self.new}"

    @property
    def kind(self) -> str:
        """The ending of the file's name: py, toml or csv."""
        return self.file.rsplit(".", 1)[-1]

    def apply(self, root: Path) -> None:
        """Changes the file below `root`; raises ValueError where the old text is not there."""
        path = root / self.file
        lines = path.read_text(encoding="utf-8").splitlines(keepends=True)
        line = lines[self.line - 1]
        if line[self.start : self.end] != self.old:
            raise ValueError(f"{self}: the line reads {line!r}")
        lines[self.line - 1] = line[: self.start] + self.new + line[self.end :]
        path.write_text("".join(lines), encoding="utf-8")


def all_mutants(root: Path = ROOT) -> list[Mutant]:
    """Every mutant of every target, in the order of files and lines."""
    found: list[Mutant] = []
    ranks = [float(match[1]) for path in (root / _RANKED).glob("*.py") for match in _RANK.finditer(_text(path))]
    for path in target_files(root):
        name = path.relative_to(root).as_posix()
        text = _text(path)
        if path.suffix == ".py":
            ranked = {text[: match.start()].count("\n") + 1 for match in _RANK.finditer(text) if _RANKED in name}
            found += [
                mutant for mutant in _of_python(name, text) if mutant.line not in ranked or _reorders(mutant, ranks)
            ]
        elif path.suffix == ".toml":
            found += _of_toml(name, text)
        else:
            found += _of_table(name, text)
    return found


def _text(path: Path) -> str:
    return path.read_text(encoding="utf-8")


def _reorders(mutant: Mutant, ranks: Sequence[float]) -> bool:
    """Whether the rank of a size family moves past another one: nothing but the order of the ranks is looked at."""
    old, new = float(mutant.old), float(mutant.new)
    return any(min(old, new) <= rank <= max(old, new) for rank in ranks if rank != old)


def target_files(root: Path = ROOT) -> list[Path]:
    """The files that the patterns name; raises ValueError for a pattern that names none."""
    files: dict[Path, None] = {}
    for pattern in (*RULES, *CODE):
        matched = sorted(path for path in root.glob(pattern) if path.is_file())
        if not matched:
            raise ValueError(f"{pattern}: no such file; tests/mutants/targets.py has to follow what moved")
        files.update(dict.fromkeys(matched))
    return [path for path in files if path.relative_to(root).as_posix() not in LEFT_OUT]


def chosen(mutants: Sequence[Mutant], count: int, seed: int) -> list[Mutant]:
    """A random draw, with each kind of file at its share; the same seed draws the same from the same tree."""
    dice = random.Random(seed)
    picked: list[Mutant] = []
    kinds = sorted(SHARES, key=lambda kind: SHARES[kind])
    for kind in kinds:
        places: dict[tuple[str, int, int], list[Mutant]] = {}
        for mutant in mutants:
            if mutant.kind == kind:
                places.setdefault(mutant[:3], []).append(mutant)
        wanted = count - len(picked) if kind == kinds[-1] else round(count * SHARES[kind])
        drawn = dice.sample(sorted(places), min(wanted, len(places)))
        picked += [dice.choice(places[place]) for place in drawn]
    return dice.sample(picked, len(picked))  # so that the first of them are a fair draw, too


def _changed_number(text: str) -> tuple[str, ...]:
    """Other numbers for one: half as much again, and one more; a step of a tenth for small fractions."""
    value = float(text)
    whole = re.fullmatch(r"-?[0-9_]+", text) is not None
    if whole:
        half_again = round(value * 1.5)
        return tuple(dict.fromkeys(str(int(new)) for new in (value + 1, half_again) if new != value))
    return tuple(dict.fromkeys(repr(new) for new in (value * 1.5, value + 1.0) if new != value))


def _of_python(name: str, text: str) -> Iterator[Mutant]:
    lines = text.splitlines()
    tree = ast.parse(text)
    bounds = _bounds_of_missing(tree)
    # Columns of the syntax tree count bytes; they are characters in lines of ASCII only.
    for node in _judging_nodes(tree):
        if isinstance(node, ast.Constant):
            line = lines[node.lineno - 1]
            if node.lineno != node.end_lineno or not line.isascii() or node.end_col_offset is None:
                continue
            old = line[node.col_offset : node.end_col_offset]
            if re.fullmatch(r"[0-9][0-9_.e+-]*", old):
                told = bounds.get((node.lineno, node.col_offset), lambda _: True)
                for new in filter(told, _changed_number(old.replace("_", ""))):
                    yield Mutant(name, node.lineno, node.col_offset, node.end_col_offset, old, new)
        elif isinstance(node, ast.Compare):
            yield from _of_comparison(name, lines, node)


def _bounds_of_missing(tree: ast.Module) -> dict[tuple[int, int], Callable[[str], bool]]:
    """For each N of an `(x or N) < 12`: whether another number in its place is on the other side of the bound.

    On the same side it stands for a missing x just as N does, and nothing can tell the two.
    """
    found: dict[tuple[int, int], Callable[[str], bool]] = {}
    for node in ast.walk(tree):
        if not (isinstance(node, ast.Compare) and len(node.ops) == 1 and isinstance(node.left, ast.BoolOp)):
            continue
        missing, bound, holds = node.left.values[-1], node.comparators[0], _HOLDS.get(type(node.ops[0]))
        if not (isinstance(node.left.op, ast.Or) and isinstance(missing, ast.Constant) and holds is not None):
            continue
        if isinstance(bound, ast.Constant) and isinstance(bound.value, int | float):
            side = holds(missing.value, bound.value)
            found[missing.lineno, missing.col_offset] = partial(_changes_side, holds, bound.value, side)
    return found


def _changes_side(holds: Callable[[Any, Any], bool], bound: float, side: bool, new: str) -> bool:
    return holds(float(new), bound) != side


def _judging_nodes(tree: ast.Module) -> Iterator[ast.AST]:
    """Every node but those of annotations, and how much a cache keeps: a number in one judges nothing."""
    waiting: list[ast.AST] = [tree]
    while waiting:
        node = waiting.pop()
        if isinstance(node, ast.keyword) and node.arg == "maxsize":
            continue
        yield node
        for field, value in ast.iter_fields(node):
            if field in ("annotation", "returns"):
                continue
            for child in value if isinstance(value, list) else [value]:
                if isinstance(child, ast.AST):
                    waiting.append(child)


def _of_comparison(name: str, lines: Sequence[str], node: ast.Compare) -> Iterator[Mutant]:
    left: ast.expr = node.left
    for compared, right in zip(node.ops, node.comparators, strict=True):
        sign, others = _SIGNS.get(type(compared), ("", ()))
        if sign and left.end_lineno == right.lineno and lines[right.lineno - 1].isascii():
            line, start = lines[right.lineno - 1], left.end_col_offset or 0
            place = line.find(sign, start, right.col_offset)
            if place >= 0:
                for new in others:
                    yield Mutant(name, right.lineno, place, place + len(sign), sign, new)
        left = right


def _of_toml(name: str, text: str) -> Iterator[Mutant]:
    """Numbers and what a comparison finds; the examples are left out, for they are the rules' own tests."""
    in_example = False
    for number, line in enumerate(text.splitlines(), start=1):
        if line.strip().startswith("["):
            in_example = "example" in line.split("]")[0]
        if in_example:
            continue
        finds = re.match(r'finds = "(\w+)"', line)
        if finds and finds[1] in _FINDS:
            yield Mutant(name, number, finds.start(1), finds.end(1), finds[1], _FINDS[finds[1]])
        bare = _STRING.sub(lambda match: "s" * len(match[0]), line).split("#")[0]
        for match in _TOML_NUMBER.finditer(bare):
            for new in _changed_number(match[1]):
                yield Mutant(name, number, match.start(1), match.end(1), match[1], new)


def _of_table(name: str, text: str) -> Iterator[Mutant]:
    for number, line in enumerate(text.splitlines()[1:], start=2):
        for match in re.finditer(r"(?<![^,])[0-9]+(?:\.[0-9]+)?(?![^,])", line):
            for new in _changed_number(match[0]):
                yield Mutant(name, number, match.start(), match.end(), match[0], new)
