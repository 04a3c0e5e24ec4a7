"""The error tree of the engine.

HeatdocketError                 anything that Heatdocket raises on purpose
├── InputError                  the input is at fault; carries every fault found, each with its field path
│   ├── UnitFault               one text does not read as a number with a unit of the wanted kind
│   └── FileFault               a file is missing, unreadable, not a case, or of a newer format
├── RangeError                  an argument lies outside what a formula can answer
├── NoSolutionError             no duty has a steady state; carries the reason
└── Cancelled                   long work was given up because nobody waits for it any more
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any


class HeatdocketError(Exception):
    """Anything that Heatdocket raises on purpose; its text is meant for a person."""


@dataclass(frozen=True)
class InputFault:
    """One thing wrong with the input: where it stands, what was given, what would do.

    ``path`` is the field path in the case file, such as ``radiator.core_height`` or ``duties[1].grade``;
    an empty path means the file as a whole.
    """

    path: str
    given: str
    wanted: str

    def __str__(self) -> str:
        where = f"{self.path}: " if self.path else ""
        given = f"{self.given!r} was given; " if self.given else ""
        return f"{where}{given}{self.wanted}"


class InputError(HeatdocketError):
    """The input is at fault. ``faults`` holds every fault, in the order of the file."""

    def __init__(self, faults: tuple[InputFault, ...]) -> None:
        self.faults = faults
        super().__init__("\n".join(str(fault) for fault in faults))

    def __reduce__(self) -> tuple[Any, ...]:
        """For the way from another process: whole, whatever its kind is made from."""
        return _of_faults, (type(self), self.faults)


def _of_faults(kind: type[InputError], faults: tuple[InputFault, ...]) -> InputError:
    error = kind.__new__(kind)
    InputError.__init__(error, faults)
    return error


class UnitFault(InputError):
    """A text does not read as one number with a unit of the wanted kind."""

    def __init__(self, given: str, wanted: str, path: str = "") -> None:
        super().__init__((InputFault(path, given, wanted),))


class FileFault(InputError):
    """A file is missing, unreadable, not a case file, or written by a newer format."""

    def __init__(self, given: str, wanted: str) -> None:
        super().__init__((InputFault("", given, wanted),))


class RangeError(HeatdocketError, ValueError):
    """An argument lies outside what a formula can answer; the text names the argument and its range."""


class NoSolutionError(HeatdocketError):
    """No duty of the case has a steady state; the text says why, ``answer`` holds what was found all the same."""

    def __init__(self, reason: str, answer: Mapping[str, Any] | None = None) -> None:
        self.answer: Mapping[str, Any] = answer or {}
        super().__init__(reason)

    def __reduce__(self) -> tuple[Any, ...]:
        """For the way from another process: with its answer."""
        return NoSolutionError, (str(self), self.answer)


class Cancelled(HeatdocketError):
    """Long work was given up: whoever asked for it said so through its ``cancelled`` function."""
