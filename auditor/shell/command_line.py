"""Reads the arguments of one command: argparse with our wording, and the nearest valid option suggested."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Sequence
from importlib import import_module
from typing import NoReturn

WIDTH = 80


class Help(argparse.RawDescriptionHelpFormatter):
    """Help at 80 columns whatever the terminal says, so that it can be quoted."""

    def __init__(self, prog: str) -> None:
        super().__init__(prog, max_help_position=26, width=WIDTH)


class CommandParser(argparse.ArgumentParser):
    """An argument parser that complains in one sentence."""

    def error(self, message: str) -> NoReturn:
        ending = "" if message.endswith("?") else "." if not message.endswith(".") else ""
        print(f"{self.prog}: {message}{ending} See `{self.prog} --help`.", file=sys.stderr)
        sys.exit(2)

    def options(self) -> list[str]:
        """Every option this command knows."""
        return [word for action in self._actions for word in action.option_strings if word.startswith("--")]


def run_command(name: str, summary: str, words: Sequence[str]) -> int:
    """Loads the command's module, reads its arguments, runs it and returns its exit code."""
    module = import_module(f"auditor.shell.commands.{name}")
    parser = CommandParser(
        prog=f"auditor {name}",
        description=f"{summary[0].upper()}{summary[1:]}.",
        epilog=module.EPILOG,
        formatter_class=Help,
        allow_abbrev=False,
    )
    module.arguments(parser)
    options, left = parser.parse_known_args(list(words))
    if left:
        parser.error(unexpected(left[0], parser.options()))
    code: int = module.run(options)
    return code


def unexpected(word: str, known: Sequence[str]) -> str:
    """Why a word is not understood, with the nearest option where it looks like one."""
    if not word.startswith("-"):
        return f"unexpected argument {word!r}"
    bare = word.split("=", 1)[0]
    # Start-up: only a word that is none needs its neighbors.
    from difflib import get_close_matches

    near = get_close_matches(bare, known, n=1, cutoff=0.5)
    if near:
        return f"unknown option {bare}; did you mean {near[0]}?"
    return f"unknown option {bare}; there are {', '.join(known)}"
