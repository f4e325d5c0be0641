"""The house as it is meant to be: imports run one way, and nothing grows beyond what can be read at a sight."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator

import pytest

from tests.house import (
    BEGIN,
    CHECKOUT,
    PACKAGE,
    ROOMS,
    arrows,
    circles,
    imports,
    modules,
    room_of,
    tree_of,
    with_drawing,
)

MOST_AT_ROOT = 5  # modules
MOST_LINES = 350  # of a module
MOST_FUNCTION_LINES = 60
MOST_PARAMETERS = 7
FEWEST_REASON_WORDS = 4

Function = ast.FunctionDef | ast.AsyncFunctionDef


# What is being moved out of the way; nothing may be added here.
NOT_YET_ARROWS = {("marking", "wording"), ("columns", "wording")}
NOT_YET_CIRCLES: list[list[str]] = []
NOT_YET_INDENTED = {"auditor.rulebook.files"}


def test_every_room_has_its_place() -> None:
    assert {room_of(name) for name in modules()} - {PACKAGE} == set(ROOMS)


def test_a_room_imports_only_from_those_before_it() -> None:
    order = list(ROOMS)
    back = [
        f"{one.by} line {one.line} imports {one.module}"
        for one in imports()
        if one.by != PACKAGE
        and room_of(one.by) != room_of(one.module)
        and (room_of(one.by), room_of(one.module)) not in NOT_YET_ARROWS
        and (one.module == PACKAGE or order.index(room_of(one.module)) > order.index(room_of(one.by)))
    ]
    assert back == []


def test_no_modules_import_each_other_in_a_circle() -> None:
    edges: dict[str, set[str]] = {name: set() for name in modules()}
    for one in imports():
        edges[one.by].add(one.module)
    assert [circle for circle in circles(edges) if circle not in NOT_YET_CIRCLES] == []


def test_circles_are_seen() -> None:
    assert circles({"a": {"b"}, "b": {"c"}, "c": {"b"}, "d": set()}) == [["b", "c"]]
    assert circles({"a": {"b"}, "b": set()}) == []


def test_the_arrows_are_seen() -> None:
    assert {"feeds", "judging", "outputs"} <= arrows()["engine"]
    assert any(one.indented for one in imports())


def test_the_root_stays_small() -> None:
    assert len(list((CHECKOUT / PACKAGE).glob("*.py"))) <= MOST_AT_ROOT


def _lines(name: str) -> list[str]:
    return modules()[name].read_text(encoding="utf-8").splitlines()


def _reason_beside(lines: list[str], line: int) -> bool:
    """Whether a comment on the line, or right above it, gives a reason in words."""
    above = lines[line - 2].strip() if line >= 2 else ""
    comment = re.search(r"#\s*(.*)", lines[line - 1])
    found = comment[1] if comment else above.removeprefix("#") if above.startswith("#") else ""
    return len(found.split()) >= FEWEST_REASON_WORDS


def test_indented_imports_give_their_reason() -> None:
    bare = []
    for name in modules():
        lines = _lines(name)
        for line in sorted({one.line for one in imports() if one.by == name and one.indented}):
            first = line
            while re.match(r"\s+(from|import) ", lines[first - 2]):  # one reason for imports in a row
                first -= 1
            if name not in NOT_YET_INDENTED and not any(_reason_beside(lines, at) for at in (line, first)):
                bare.append(f"{name} line {line}: {lines[line - 1].strip()}")
    assert bare == []


def test_modules_can_be_read_at_a_sitting() -> None:
    assert {name: count for name in modules() if (count := len(_lines(name))) > MOST_LINES} == {}


def _functions() -> Iterator[tuple[str, Function]]:
    for name, path in modules().items():
        for node in ast.walk(tree_of(path)):
            if isinstance(node, Function):
                yield name, node


def _parameters(function: Function) -> int:
    """How many values a caller gives."""
    given = function.args
    names = [one.arg for one in (*given.posonlyargs, *given.args, *given.kwonlyargs)]
    return len(names) - (names[:1] in (["self"], ["cls"]))


@pytest.mark.parametrize(
    ("measure", "most"),
    [
        (lambda function: (function.end_lineno or 0) - function.lineno + 1, MOST_FUNCTION_LINES),
        (_parameters, MOST_PARAMETERS),
    ],
    ids=["lines", "parameters"],
)
def test_functions_fit_a_screen(measure, most: int) -> None:  # type: ignore[no-untyped-def]
    """A function may be longer, or take more, where a comment above it or on its first line says why."""
    large = [
        f"{name}.{function.name}: {size}"
        for name, function in _functions()
        if (size := measure(function)) > most and not _reason_beside(_lines(name), function.lineno)
    ]
    assert large == []


def test_the_drawing_is_that_of_the_code() -> None:
    text = (CHECKOUT / "DEVELOPERS.md").read_text(encoding="utf-8")
    assert BEGIN in text
    assert text == with_drawing(text), "run python -m tests.house"


def test_tests_mirror_the_rooms() -> None:
    """Tests of a room lie where its modules lie, and those that bear the name of a module where that module lies."""
    tests = CHECKOUT / "tests"
    elsewhere = []
    places: dict[str, set[str]] = {}
    for path in modules().values():
        places.setdefault(path.stem, set()).add(path.parent.relative_to(CHECKOUT / PACKAGE).as_posix())
    for room in ROOMS:
        for path in sorted((tests / room).rglob("test_*.py")):
            own = path.parent.relative_to(tests).as_posix()
            if not (CHECKOUT / PACKAGE / own).is_dir():
                elsewhere.append(f"{own}/ has no twin in {PACKAGE}/")
            named = places.get(path.stem.removeprefix("test_"), {own})
            if own not in named and any(one.split("/")[0] == room for one in named):
                elsewhere.append(f"{own}/{path.name}: its module is in {' or '.join(sorted(named))}")
    assert elsewhere == []
