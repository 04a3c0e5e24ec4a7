"""A class's lists: whose sheets are wanted, and the answers that came back, marked.

An answer is right within the band that the printed numbers leave. Else the slips of the topic, really made with the
same numbers, are held against it; then a missed power of ten and a missed sign.
"""

from __future__ import annotations

import csv
import io
import math
import re
import unicodedata
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from enum import Enum

from engcalc.classroom.draw import as_one_name
from engcalc.classroom.problem import AskedQuantity, PosedProblem
from engcalc.classroom.symbols import SymbolSet, printed
from engcalc.errors import InputError, InputFault
from engcalc.words.texts import class_texts

MOST_NAMES = 500
LONGEST_NAME = 80
NAME_HEADS = ("name", "names", "student", "students")
SHEET_HEAD = "sheet"  # of the column that says which sheets the answers belong to
_NUMBER = re.compile(r"([+-]?\d+(?:[.,]\d+)?(?:[eE][+-]?\d{1,3})?)\s*(.*)")
_EITHER_WAY = re.compile(r"[+-]?[1-9]\d{0,2},\d{3}")  # a decimal comma, or one between thousands


class AnswerOutcome(Enum):
    """What an answer comes to."""

    RIGHT = "right"
    SLIP = "slip"
    POWER_OF_TEN = "power of ten"
    SIGN = "sign"
    WRONG = "wrong"
    MISSING = "missing"


@dataclass(frozen=True)
class AnswerMark:
    """One answer marked. ``slip`` is the key of the slip that gives it, ``ratio`` answer over key."""

    asked: AskedQuantity
    given: float | None
    outcome: AnswerOutcome
    slip: str = ""
    ratio: float = 0.0


@dataclass(frozen=True)
class MarkedSheet:
    """One person's answers, marked."""

    problem: PosedProblem
    marks: tuple[AnswerMark, ...]

    @property
    def right(self) -> int:
        """How many are right."""
        return sum(mark.outcome is AnswerOutcome.RIGHT for mark in self.marks)


@dataclass(frozen=True)
class Answers:
    """One row of a class's answers: by symbol, None where the cell is empty."""

    name: str
    values: Mapping[str, float | None]


def _rows(text: str, path: str) -> list[list[str]]:
    """The rows of a CSV with comma, semicolon or tab, without empty ones; letters with accents in their one usual form,
    so that a name typed on two machines stays one name. Raises InputError where it is no table."""
    plain = unicodedata.normalize("NFC", text.lstrip("\ufeff"))
    first = plain.partition("\n")[0]
    separator = max((";", "\t", ","), key=first.count)
    try:
        rows = [[" ".join(cell.split()) for cell in row] for row in csv.reader(io.StringIO(plain), delimiter=separator)]
    except csv.Error as error:
        raise InputError((InputFault(path, f"no table ({error})", class_texts.ROWS_OF_CELLS_AS_CSV),)) from error
    return [row for row in rows if any(row)]


def class_names(text: str, path: str = "class") -> tuple[str, ...]:
    """The names of a class list: a column headed ``name``, or the first column where nothing is headed so.

    Raises InputError with every fault: an empty list, a name twice, too long, or more than can be.
    """
    rows = _rows(text, path)
    heads = [cell.casefold() for cell in rows[0]] if rows else []
    column = next((i for i, head in enumerate(heads) if head in NAME_HEADS), None)
    of_names = column or 0
    people = rows if column is None else rows[1:]
    names = [row[of_names] for row in people if len(row) > of_names]
    names = [name for name in names if name]
    if not names:
        raise InputError((InputFault(path, class_texts.LIST_WITHOUT_NAMES, class_texts.ONE_NAME_TO_A_ROW),))
    ones = [as_one_name(name) for name in names]
    twice = {one: name for one, name in zip(ones, names, strict=True) if ones.count(one) > 1}
    faults = [InputFault(path, name, class_texts.EACH_NAME_ONCE) for name in twice.values()]
    faults += [
        InputFault(path, f"{name[:40]}...", class_texts.AT_MOST_CHARACTERS.format(longest_name=LONGEST_NAME))
        for name in names
        if len(name) > LONGEST_NAME
    ]
    if len(names) > MOST_NAMES:
        faults.append(
            InputFault(path, f"{len(names)} names", class_texts.AT_MOST_IN_ONE_LIST.format(most_names=MOST_NAMES))
        )
    if faults:
        raise InputError(tuple(faults))
    return tuple(names)


def class_answers(
    text: str, posed: Callable[[str], PosedProblem], path: str = "answers", symbols: SymbolSet = SymbolSet.A
) -> tuple[Answers, ...]:
    """The rows of a class's answers: a column ``name`` and one for each quantity asked, headed by its symbol.

    A symbol may be written as the table has it or as the sheet prints it in this set (``T_c_out``, ``ϑ_c,out``).
    A column ``sheet`` names topic and seed: answers to another sheet are refused: all would be marked wrong.
    Raises InputError with every fault: columns that are missing, cells that do not read as one number in the unit.
    """
    rows = _rows(text, path)
    unnamed = posed("")
    asked = unnamed.asked
    if len(rows) < 2:
        wanted = class_texts.HEAD_AND_ONE_ROW_TO_A_PERSON.format(head=_head(asked, symbols))
        raise InputError((InputFault(path, "no answers", wanted),))
    heads = [_as_one_head(cell) for cell in rows[0]]
    columns = {one.symbol: _column(heads, _heads_of(one, symbols)) for one in asked}
    name_column = _column(heads, NAME_HEADS)
    missing = [symbol for symbol, column in columns.items() if column is None]
    if name_column is None or missing:
        raise InputError((InputFault(path, ", ".join(rows[0])[:80], f"the columns {_head(asked, symbols)}"),))
    faults = [*_units_in_heads(rows[0], asked, path, symbols), *_of_other_sheets(heads, rows, unnamed, path)]
    found = _answers_in_rows(rows[1:], name_column, {one: columns[one.symbol] for one in asked}, path, faults)
    if faults:
        raise InputError(tuple(faults))
    return tuple(found)


def _answers_in_rows(
    rows: Sequence[Sequence[str]],
    name_column: int,
    columns: Mapping[AskedQuantity, int | None],
    path: str,
    faults: list[InputFault],
) -> list[Answers]:
    """What each person answered; cells that do not read and names that come twice are added to ``faults``."""
    found: list[Answers] = []
    for number, row in enumerate(rows, start=2):
        at = f"{path}, row {number}"
        name = _cell(row, name_column)
        values = {one.symbol: _read(_cell(row, column), one, at, faults) for one, column in columns.items()}
        if any(as_one_name(name) == as_one_name(other.name) for other in found):
            faults.append(InputFault(at, name, "each name once"))
        found.append(Answers(name, values))
    return found


def _head(asked: Sequence[AskedQuantity], symbols: SymbolSet) -> str:
    """The columns that are wanted, each with how the sheet prints its symbol where that is another."""
    told = [(one.symbol, printed(one.symbol, symbols)) for one in asked]
    columns = (
        symbol if _as_one_head(symbol) == _as_one_head(on_sheet) else f"{symbol} ({on_sheet})"
        for symbol, on_sheet in told
    )
    return ", ".join(("name", *columns))


def _heads_of(asked: AskedQuantity, symbols: SymbolSet) -> tuple[str, ...]:
    return _as_one_head(asked.symbol), _as_one_head(printed(asked.symbol, symbols))


def _as_one_head(head: str) -> str:
    """A head as all ways to write it have it: an index after a comma or a line, a dot drawn in one sign or two."""
    return unicodedata.normalize("NFC", head).casefold().replace(",", "_")


def _column(heads: Sequence[str], wanted: Sequence[str]) -> int | None:
    return next((i for i, head in enumerate(heads) if head.partition("[")[0].strip() in wanted), None)


def _units_in_heads(
    heads: Sequence[str], asked: Sequence[AskedQuantity], path: str, symbols: SymbolSet
) -> list[InputFault]:
    """A fault for each head with another unit than the sheet asks for: right answers would be marked wrong."""
    faults = []
    for head in heads:
        symbol, bracket, unit = head.partition("[")
        one = next((a for a in asked if _as_one_head(symbol.strip()) in _heads_of(a, symbols)), None)
        if one is not None and bracket and _plain(unit.strip().removesuffix("]")) != _plain(one.unit):
            faults.append(
                InputFault(
                    path,
                    head[:60],
                    class_texts.IN_AS_THE_SHEET_ASKS.format(symbol=one.symbol, unit=one.unit or "no unit"),
                )
            )
    return faults


def sheet_name(problem: PosedProblem) -> str:
    """Which sheet a problem is on, by topic and seed, such as ``counterflow-7``; turned round, by what is asked too."""
    asked = "".join(f"-{one.guess.symbol}" for one in problem.rounds[-1:])
    return f"{problem.topic.key}-{problem.seed}{asked}"


def _of_other_sheets(
    heads: Sequence[str], rows: Sequence[Sequence[str]], problem: PosedProblem, path: str
) -> Iterator[InputFault]:
    """A fault for each other sheet that the table names: its answers would all be marked wrong."""
    column = _column(heads, (SHEET_HEAD,))
    wanted = sheet_name(problem)
    named = {_cell(row, column): None for row in rows[1:]}
    for other in named:
        if other not in ("", wanted):
            yield InputFault(path, other, class_texts.ANSWERS_TO_THE_SHEET.format(sheet=wanted))


def _cell(row: Sequence[str], column: int | None) -> str:
    if column is not None and column < len(row):
        return row[column]
    return ""


def _read(text: str, asked: AskedQuantity, path: str, faults: list[InputFault]) -> float | None:
    """The number in a cell; None for an empty one; a fault for anything else, or for another unit."""
    if not text:
        return None
    match = _NUMBER.fullmatch(text.replace("−", "-"))
    unit = asked.unit or "no unit"
    wanted = class_texts.AS_ONE_NUMBER_IN.format(symbol=asked.symbol, unit=unit)
    if match is not None and _EITHER_WAY.fullmatch(match[1]):
        point = match[1].replace(",", ".")
        none = match[1].replace(",", "")
        faults.append(InputFault(path, text[:60], class_texts.IS_OR_MEANT.format(point=point, none=none)))
        return None
    if match is None or _plain(match[2]) not in ("", _plain(asked.unit)):
        faults.append(InputFault(path, text[:60], wanted))
        return None
    value = float(match[1].replace(",", "."))
    if not math.isfinite(value):
        faults.append(InputFault(path, text[:60], wanted))
        return None
    return value


def _plain(unit: str) -> str:
    return unit.casefold().replace(" ", "").replace("²", "2").replace("³", "3").replace("°", "").removeprefix("deg")


def mark(problem: PosedProblem, values: Mapping[str, float | None]) -> MarkedSheet:
    """The answers of one person, marked."""
    return MarkedSheet(problem, tuple(_marked(problem, one, values.get(one.symbol)) for one in problem.asked))


def _marked(problem: PosedProblem, asked: AskedQuantity, given: float | None) -> AnswerMark:
    if given is None:
        return AnswerMark(asked, None, AnswerOutcome.MISSING)
    ratio = given / asked.exact if asked.exact else 0.0
    if asked.low <= given <= asked.high:
        return AnswerMark(asked, given, AnswerOutcome.RIGHT, ratio=ratio)
    slip = _likely(problem, asked, given)
    if slip:
        return AnswerMark(asked, given, AnswerOutcome.SLIP, slip, ratio)
    if _is_power_of_ten(ratio, asked):
        return AnswerMark(asked, given, AnswerOutcome.POWER_OF_TEN, ratio=ratio)
    if asked.low <= -given <= asked.high:
        return AnswerMark(asked, given, AnswerOutcome.SIGN, ratio=ratio)
    return AnswerMark(asked, given, AnswerOutcome.WRONG, ratio=ratio)


def _likely(problem: PosedProblem, asked: AskedQuantity, given: float) -> str:
    """The slip whose answer lies nearest, within the band that an answer of its size has; empty when none does."""
    share = asked.band / abs(asked.exact)
    near = [
        (abs(given - made[asked.symbol]), slip.key)
        for slip, made in problem.slips
        if asked.symbol in made
        and abs(given - made[asked.symbol]) <= max(asked.band, share * abs(made[asked.symbol]))
        and abs(made[asked.symbol] - asked.exact) > asked.band
    ]
    return min(near)[1] if near else ""


def _is_power_of_ten(ratio: float, asked: AskedQuantity) -> bool:
    if ratio <= 0.0 or asked.unit in ("°C", "°F"):
        return False
    power = round(math.log10(ratio))
    return power != 0 and abs(ratio / 10.0**power - 1.0) <= asked.band / abs(asked.exact)
