"""Errors a user can meet.  Each carries the exit code that the command line ends with.

The text of every error is one sentence that names the file, the place in it, what was expected and what to do.
"""

from __future__ import annotations


class AuditorError(Exception):
    """Base of all errors raised on purpose; `exit_code` is what a shell sees."""

    exit_code = 2


class UsageError(AuditorError):
    """A command, option or argument is wrong (exit 2)."""


class FieldError(UsageError):
    """A member of a listing is no field, or holds no text, number or truth value; `field` names it."""

    def __init__(self, message: str, field: str) -> None:
        super().__init__(message)
        self.field = field

    def __reduce__(self) -> tuple[type[FieldError], tuple[str, str]]:
        """Errors travel between processes: both arguments are needed to make it again."""
        return type(self), (str(self), self.field)


class RuleBookError(AuditorError):
    """A rule, table, policy or map file is wrong (exit 2)."""


class FeedError(AuditorError):
    """A feed could not be read at all, or has no column that is recognised (exit 3)."""

    exit_code = 3


class OutputError(AuditorError):
    """The output could not be written (exit 4)."""

    exit_code = 4


class UnreadColumnWarning(UserWarning):
    """A column of a frame looks as if it mattered, but was not read; the audit says nothing of what it holds."""


def printable(text: str) -> str:
    """A text of a feed or listing, quoted in a message: without control characters, which could steer a terminal."""
    return "".join(char if char.isprintable() else " " for char in text)
