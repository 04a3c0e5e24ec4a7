"""The cells of a log: text to numbers, each spelling read once; which cells are new answers."""

from __future__ import annotations

import math
import re
from collections.abc import Iterable, Sequence

import numpy as np

from engcalc.logs.record import Mask
from engcalc.units import Array

_BLANKS = frozenset(
    {
        "",
        "-",
        "--",
        "---",
        "n/a",
        "na",
        "nan",
        "null",
        "none",
        "nodata",
        "no data",
        "?",
        "unsupported",
        "not supported",
        "stopped",
        "unable to connect",
        "searching...",
        "error",
        "inf",
        "-inf",
        "∞",
    }
)
_VALUE = re.compile(r"([-+−]?[0-9][0-9.,' ]*|[-+−]?[.,][0-9]+)([eE][-+]?[0-9]{1,3})?\s*(\D{0,20})")
_COMMA_NUMBER = re.compile(r"[-+]?[0-9]+,[0-9]+\D{0,10}")
_COMMA_THOUSANDS = re.compile(r"[-+]?[1-9][0-9]{0,2},[0-9]{3}\D{0,10}")
_POINT_NUMBER = re.compile(r"[-+]?[0-9,]*[0-9]\.[0-9]+\D{0,10}")
_MOST_SPELLINGS = 300_000  # kept at a time
_LARGEST = 1e12


class NumberReader(dict[str, float]):
    """Text to number, remembered: a log repeats few spellings many times. NaN for what is blank or unreadable."""

    def __init__(self, decimal_comma: bool) -> None:
        super().__init__()
        self.decimal_comma = decimal_comma

    def __missing__(self, text: str) -> float:
        if len(self) > _MOST_SPELLINGS:
            self.clear()
        value = read_number(text, self.decimal_comma)
        self[text] = value
        return value

    def column(self, cells: Iterable[str]) -> Array:
        """The numbers of a column."""
        return np.array(list(map(self.__getitem__, cells)), dtype=np.float64)


def read_number(text: str, decimal_comma: bool) -> float:
    """One cell: a number, perhaps with a unit behind it."""
    if not decimal_comma or "," not in text:
        try:
            value = float(text)
        except ValueError:
            value = math.nan
        if math.isfinite(value) and "_" not in text:
            return value if abs(value) < _LARGEST else math.nan
    match = _VALUE.fullmatch(text.strip()) if len(text) < 60 else None
    if match is None:
        return math.nan
    digits = match.group(1).replace("−", "-").replace(" ", "").replace("'", "")
    digits = digits.replace(".", "").replace(",", ".") if decimal_comma and "," in digits else digits.replace(",", "")
    try:
        value = float(digits + (match.group(2) or ""))
    except ValueError:
        return math.nan
    return value if abs(value) < _LARGEST else math.nan


def is_blank(text: str) -> bool:
    """Whether a cell says that there is no value."""
    return text.strip().casefold() in _BLANKS


def unit_of_cell(text: str) -> str:
    """The unit that stands behind a number in its own cell."""
    match = _VALUE.fullmatch(text.strip()) if len(text) < 60 else None
    return (match.group(3) or "").strip() if match else ""


def uses_decimal_comma(cells: Iterable[str]) -> bool:
    """Whether a comma within numbers is the decimal sign rather than a separator of thousands."""
    commas = [cell for cell in cells if "," in cell and _COMMA_NUMBER.fullmatch(cell.strip())]
    if not commas:
        return False
    if any(not _COMMA_THOUSANDS.fullmatch(cell.strip()) for cell in commas):
        return True
    return not any(_POINT_NUMBER.fullmatch(cell.strip()) for cell in cells)


def new_answers(columns: Sequence[Array]) -> tuple[list[Mask], int]:
    """Which filled cells are answers of their own, and the length of the round in which channels are asked.

    A row log of latest values repeats every channel in every row and changes one at a time. It is taken for one where
    three channels or more change, and nine in ten rows with a change have a single one. Its tool asks the channels in
    turn, so that a channel's own answers stand a whole number of rounds after its last change, changed or not.
    A round of 0 says that every filled cell is an answer.
    """
    filled = [np.isfinite(x) for x in columns]
    if not columns or columns[0].size < 50:
        return filled, 0
    changed = [_changes(x) for x in columns]
    number = np.sum(changed, axis=0)
    rows = int(np.count_nonzero(number))
    blank = float(np.mean([np.mean(~f) for f in filled]))
    varying = sum(int(c.sum()) >= 5 for c in changed)
    if varying < 3 or rows == 0 or np.count_nonzero(number == 1) < 0.9 * rows or blank > 0.5:
        return filled, 0
    length = _round_length(changed)
    if length < 2:
        return filled, 0
    everything_still = _still(number, 5 * length)
    return [
        f & (c | (_since_change(c) % length == 0) & ~everything_still) for f, c in zip(filled, changed, strict=True)
    ], length


def _changes(x: Array) -> Mask:
    before = np.concatenate(([np.nan], x[:-1]))
    return np.asarray(np.isfinite(x) & ~(x == before))


def _round_length(changed: Sequence[Mask]) -> int:
    """The commonest distance between two changes of one channel, when most distances are whole multiples of it."""
    steps = np.concatenate([np.diff(np.flatnonzero(c)) for c in changed])
    short = steps[steps <= 200]
    if short.size < 10:
        return 0
    length = int(np.argmax(np.bincount(short)))
    if length >= 2 and np.mean(short % length == 0) > 0.7:
        return length
    return 0


def _since_change(changed: Mask) -> Array:
    """Rows since the channel last changed."""
    index = np.arange(changed.size)
    last = np.maximum.accumulate(np.where(changed, index, -1))
    return np.asarray(np.where(last >= 0, index - last, 1))


def _still(number: Array, rows: int) -> Mask:
    """Rows with no change of any channel for as many rows: nobody answers any more."""
    return np.asarray(_since_change(np.asarray(number > 0)) > rows)
