"""A problem posed to one person, and its solution line by line.

Each line is worked with the numbers that stand in the lines before it, as a person at the board does, all to the same
number of digits: the fewest with which the answers come out as without any rounding on the way. So every printed line
holds by itself. In full precision every line is held against the engine's own number where the engine has one.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from engcalc.classroom.draw import DrawnNumbers, PrintedNumber, answer_text, draw, in_si, rounded
from engcalc.classroom.measures import MEASURES
from engcalc.classroom.topic import Slip, SolutionLine, Topic
from engcalc.errors import RangeError
from engcalc.units import UnitSystem
from engcalc.words.texts import class_texts
from engcalc.working.formulas import evaluate, names_in

FEWEST_DIGITS = 4  # significant digits of the working
MOST_DIGITS = 9
AGREES = 1e-6  # share by which a line in full precision may miss the engine's number


@dataclass(frozen=True)
class WorkedLine:
    """A line with its numbers: what goes in, by symbol, and what comes out."""

    line: SolutionLine
    formula: str
    inputs: Mapping[str, PrintedNumber]
    result: PrintedNumber


@dataclass(frozen=True)
class AskedQuantity:
    """A quantity that is asked for: the answer as the key prints it, and how far another may lie from it."""

    symbol: str
    label: str
    text: str
    unit: str
    exact: float
    band: float

    @property
    def low(self) -> float:
        """The lowest answer that counts as right."""
        return self.exact - self.band

    @property
    def high(self) -> float:
        """The highest answer that counts as right."""
        return self.exact + self.band


@dataclass(frozen=True)
class PosedProblem:
    """All of one person's sheet and key."""

    topic: Topic
    seed: int
    name: str
    system: UnitSystem
    text: str
    givens: tuple[PrintedNumber, ...]
    looked_up: tuple[PrintedNumber, ...]
    digits: int
    lines: tuple[WorkedLine, ...]
    asked: tuple[AskedQuantity, ...]
    slips: tuple[tuple[Slip, Mapping[str, float]], ...]


def pose(
    topic: Topic,
    seed: int,
    name: str = "",
    system: UnitSystem = UnitSystem.SI,
    stated: Mapping[str, str] = MappingProxyType({}),
) -> PosedProblem:
    """The problem of this topic for a seed and a name; the same three give the same problem. ``stated`` numbers stand
    in it as they were typed, in place of drawn ones.

    Raises RangeError when the topic's bounds allow none, or when a formula misses the engine's number: then one of the
    two is wrong.
    """
    drawn = draw(topic, seed, name, system, stated)
    _held_against_engine(topic, drawn, system)
    digits, lines = _shortest(topic, drawn, system)
    known = (*drawn.givens, *drawn.looked_up)
    shown = {n.symbol: f"{n.text} {n.unit}".strip() for n in known}
    return PosedProblem(
        topic=topic,
        seed=seed,
        name=name,
        system=system,
        text=topic.text.format(**shown),
        givens=drawn.givens,
        looked_up=drawn.looked_up,
        digits=digits,
        lines=lines,
        asked=tuple(_asked_quantity(topic, drawn, symbol, system) for symbol in topic.asked),
        slips=tuple((slip, drawn.slips[slip.key]) for slip in topic.slips),
    )


def _held_against_engine(topic: Topic, drawn: DrawnNumbers, system: UnitSystem) -> None:
    si = in_si(topic, drawn.values, system)
    for symbol, engine in topic.engine(si).items():
        allowed = topic.agrees.get(symbol, AGREES)
        if abs(si[symbol] - engine) > allowed * abs(engine):
            raise RangeError(
                class_texts.COMES_OUT_AS.format(key=topic.key, symbol=symbol, si=si[symbol], engine=engine)
            )


def _shortest(topic: Topic, drawn: DrawnNumbers, system: UnitSystem) -> tuple[int, tuple[WorkedLine, ...]]:
    """The working to the fewest digits with which the answers come out as in full precision."""
    for digits in range(FEWEST_DIGITS, MOST_DIGITS + 1):
        try:
            lines = _worked(topic, drawn, system, digits)
        except RangeError:
            continue
        found = {line.line.symbol: line.result.value for line in lines}
        if all(answer_text(topic, s, found[s]) == answer_text(topic, s, drawn.values[s]) for s in topic.asked):
            return digits, lines
    raise RangeError(class_texts.NO_WORKING_OF_UP_TO_DIGITS_COMES_OUT.format(key=topic.key, most_digits=MOST_DIGITS))


def _worked(topic: Topic, drawn: DrawnNumbers, system: UnitSystem, digits: int) -> tuple[WorkedLine, ...]:
    numbers = {n.symbol: n for n in (*drawn.givens, *drawn.looked_up)}
    lines = []
    for line in topic.lines:
        formula = line.formula_in(system)
        inputs = {symbol: numbers[symbol] for symbol in names_in(formula)}
        value = evaluate(formula, {symbol: number.value for symbol, number in inputs.items()})
        unit = MEASURES[line.measure].unit(system).name
        numbers[line.symbol] = PrintedNumber(line.symbol, line.label, rounded(value, digits), unit, 0.0)
        lines.append(WorkedLine(line, formula, inputs, numbers[line.symbol]))
    return tuple(lines)


def _asked_quantity(topic: Topic, drawn: DrawnNumbers, symbol: str, system: UnitSystem) -> AskedQuantity:
    line = next(line for line in topic.lines if line.symbol == symbol)
    value = drawn.values[symbol]
    return AskedQuantity(
        symbol,
        line.label,
        answer_text(topic, symbol, value),
        MEASURES[line.measure].unit(system).name,
        value,
        drawn.bands[symbol],
    )
