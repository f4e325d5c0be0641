"""The command `auditor`: finds the command that was asked for, runs it, and turns every error into one sentence.

Exit codes: 0 every listing released; 1 at least one held or rejected; 2 wrong usage, or a bad rule, policy or map
file; 3 a feed could not be read at all; 4 the output could not be written; 5 audited, but a column that matters was not
read; 130 and 143 interrupted.
"""

from __future__ import annotations

import atexit
import contextlib
import errno
import gc
import io
import os
import sys
from collections.abc import Sequence

from auditor.errors import AuditorError, OutputError
from auditor.version import __version__

COMMANDS = {
    "audit": "audit feeds: which listings are held, what each field should say",
    "listing": "audit one listing or a few, given as JSON",
    "decode": "a marking in plain words, with everything that follows from it",
    "substitute": "may one tire stand in for another: the same or higher",
    "serve": "the check of one listing or a few, over HTTP",
    "book": "the rule book: what each rule compares, its tolerance and source",
    "map": "propose a feed map: which column holds what",
    "show": "look into a finished audit",
    "nights": "the nights so far, a supplier's trend, the story of one finding",
    "decide": "take decisions of the staff into the ledger",
    "schema": "print the JSON Schema of a listing, a verdict, a summary, ...",
}

_TAIL = """
`auditor COMMAND --help` explains a command.

Exit codes: 0 every listing released; 1 at least one held or rejected;
2 wrong usage, or a bad rule, policy or map file; 3 a feed could not be read;
4 the output could not be written; 5 audited, but a column that matters was not
read; 130 or 143 interrupted.

This compares what a listing says with its own marking; it does not approve a
tire for a vehicle. The vehicle placard, the owner's manual, the tire itself and
a trained fitter decide, and local law applies.
"""

USAGE, BROKEN_PIPE = 2, 141


def main(argv: Sequence[str] | None = None) -> int:
    """Runs one command and returns its exit code.  Prints errors as one sentence, never a traceback."""
    words = list(sys.argv[1:] if argv is None else argv)
    atexit.unregister(gc.freeze)
    atexit.register(
        gc.freeze
    )  # else a process that ends looks for garbage once more, a tenth of what a short one takes
    try:
        _steady_streams()
        return _run(words)
    except SystemExit as ended:  # argparse, after it printed help or its complaint
        return ended.code if isinstance(ended.code, int) else USAGE
    except BrokenPipeError:
        return _reader_gone()
    except KeyboardInterrupt:
        _say("auditor: interrupted; nothing was written.")
        return 130
    except OSError as error:
        return _failed(error) if error.errno == errno.ENOMEM else _unwritable(error)
    except Exception as error:
        return _failed(error)


def _run(words: list[str]) -> int:
    if not words or words[0] in ("-h", "--help", "help"):
        if words[:1] == ["help"] and len(words) == 2:
            return _run([words[1], "--help"])
        print(help_text(), end="")
        return 0 if words else USAGE
    if words[0] in ("--version", "-V"):
        print(f"auditor {__version__}")
        return 0
    name = words[0]
    if name not in COMMANDS:
        _say(f"auditor: {_unknown_command(name)}")
        return USAGE
    # Start-up: `auditor` alone prints its help without an argument parser.
    from auditor.shell.command_line import run_command

    code = run_command(name, COMMANDS[name], words[1:])
    sys.stdout.flush()
    return code


def help_text() -> str:
    """What `auditor --help` prints."""
    lines = ["usage: auditor COMMAND ...", "", "Audits tire listings against their own markings.", ""]
    lines += [f"  {name:<10} {summary}" for name, summary in COMMANDS.items()]
    return "\n".join(lines) + "\n" + _TAIL


def _unknown_command(name: str) -> str:
    from difflib import get_close_matches

    if name.startswith("-"):
        return f"unknown option {name}; a command comes first: {', '.join(COMMANDS)}."
    near = get_close_matches(name, COMMANDS, n=1, cutoff=0.5)
    if near:
        return f"there is no command {name!r}; did you mean {near[0]!r}?"
    return f"there is no command {name!r}; there are {', '.join(COMMANDS)}."


def _steady_streams() -> None:
    """A text that a terminal's encoding lacks is shown escaped rather than ending the run."""
    if sys.stdout is None:
        sys.stdout = _ClosedOutput()  # what is written to it is missed
    if sys.stderr is None:
        sys.stderr = open(os.devnull, "w", encoding="utf-8")  # noqa: PTH123, SIM115
    for stream in (sys.stdout, sys.stderr):
        reconfigure = getattr(stream, "reconfigure", None)
        if reconfigure is not None:
            reconfigure(errors="backslashreplace")


class _ClosedOutput(io.TextIOBase):
    """Stands for a standard output that was closed before we began."""

    def write(self, text: str) -> int:
        raise OSError(errno.EBADF, "it is closed")


def _reader_gone() -> int:
    """Whoever read our output has had enough; Python must not complain about it while it shuts down."""
    os.dup2(os.open(os.devnull, os.O_WRONLY), 1)
    return BROKEN_PIPE


def _unwritable(error: OSError) -> int:
    """Standard output takes nothing: its disk is full, or it is closed."""
    with contextlib.suppress(OSError):
        _reader_gone()
    _say(
        f"auditor: the output could not be written ({(error.strerror or str(error)).lower()}); make room and run again."
    )
    return OutputError.exit_code


def _short_of_memory(error: Exception) -> bool:
    """Whether this machine, or a limit on this process, has no more memory; libraries say so in several ways."""
    text = str(error)
    signs = ("failed to map segment", "annot allocate memory", "can't start new thread", "Unable to allocate")
    return isinstance(error, MemoryError) or any(sign in text for sign in signs)


def _failed(error: Exception) -> int:
    if isinstance(error, AuditorError):
        _say(f"auditor: {error}")
        return error.exit_code
    if isinstance(error, ModuleNotFoundError) and error.name and not error.name.startswith("auditor"):
        needs = error.name.partition(".")[0]
        _say(f"auditor: this needs {needs}, which is not installed: pip install tire-listing-auditor.")
        return USAGE
    if _short_of_memory(error):
        _say("auditor: there is not enough memory; raise the limit on this process, or run with fewer --workers.")
        return OutputError.exit_code
    if os.environ.get("AUDITOR_DEBUG"):
        import traceback

        traceback.print_exception(error)
    what = " ".join(f"{type(error).__name__}: {error}".split())[:300]
    _say(
        f"auditor: internal error ({what}); please report it with the command and, if you may, the listing; "
        "AUDITOR_DEBUG=1 shows where it happened."
    )
    return USAGE


def _say(text: str) -> None:
    with contextlib.suppress(OSError):
        print(text, file=sys.stderr, flush=True)
