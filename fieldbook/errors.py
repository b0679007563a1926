"""What can go wrong, in words for the person at the keyboard, and the exit codes that say it."""

from enum import IntEnum


class Exit(IntEnum):
    """What the command line returns to the shell."""

    DONE = 0
    FOUND = 1
    """Something was found: problems in a check, rows refused in an import."""
    MISUSE = 2
    """The command cannot be carried out as it was given."""
    BOOK = 3
    """The book cannot be read or written."""


class BookError(Exception):
    """Something the person at the keyboard can put right.

    Args:
        message: What is wrong, naming the file, row or field.
        hint: The way out.
        code: The exit code of a command that ends with it.
    """

    code: Exit = Exit.MISUSE

    def __init__(self, message: str, hint: str = "", code: Exit | None = None) -> None:
        super().__init__(message)
        self.message = message
        self.hint = hint
        if code is not None:
            self.code = code

    def __str__(self) -> str:
        return f"{self.message}\n  {self.hint}" if self.hint else self.message


class Doubtful(BookError):
    """A number or date that may be a slip of the finger: may be recorded when confirmed."""


class NotOnCrew(BookError):
    """A name that is not on the crew list: may be added.

    Args:
        person: The name as typed.
    """

    def __init__(self, person: str, message: str, hint: str) -> None:
        super().__init__(message, hint)
        self.person = person


class NotSaved(BookError):
    """The entry is not on disk; nothing of it counts, and it may be tried again."""

    code = Exit.BOOK
