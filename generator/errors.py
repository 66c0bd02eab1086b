"""What is wrong with an input, said so that a person can find and mend it."""

from __future__ import annotations

from generator.frozen import dataclass


@dataclass(frozen=True, slots=True, order=True)
class Problem:
    """One fault in one file: where it stands, what was read there, what is accepted.

    `line` and `column` count from 1; 0 means that the fault has no place in the file.
    """

    file: str
    line: int
    column: int
    field: str
    read: str
    accepted: str

    def __str__(self) -> str:
        place = f"{self.file}:{self.line}:{self.column}" if self.line else self.file
        field = f" {self.field}:" if self.field else ""
        return f"{place}:{field} {self.read}; {self.accepted}"


class StringlineError(Exception):
    """Base of every error that this program raises on purpose."""


class InputError(StringlineError):
    """A file or a call that cannot be used; carries every problem found, in file order."""

    def __init__(self, problems: list[Problem] | tuple[Problem, ...]) -> None:
        self.problems = tuple(sorted(problems))
        super().__init__("\n".join(str(problem) for problem in self.problems))


class BuildError(StringlineError):
    """An output could not be made; the former outputs are whole."""
