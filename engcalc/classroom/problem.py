"""A problem posed to one person, and its solution line by line.

Each line is worked with the numbers that stand in the lines before it, as a person at the board does, all to the same
number of digits: the fewest with which the answers come out as without any rounding on the way. So every printed line
holds by itself. In full precision every line is held against the engine's own number where the engine has one.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from itertools import islice
from types import MappingProxyType

from engcalc.classroom.draw import (
    DrawnNumbers,
    PrintedNumber,
    answer_text,
    draw,
    draws,
    in_si,
    no_sensible_draw,
    rounded,
    worked_out,
)
from engcalc.classroom.measures import MEASURES
from engcalc.classroom.stated import asked_and_given
from engcalc.classroom.topic import GivenNumber, Slip, SolutionLine, Topic
from engcalc.classroom.turned import Turn, turned
from engcalc.errors import RangeError
from engcalc.units import UnitSystem
from engcalc.words.texts import class_texts
from engcalc.working.formulas import evaluate, names_in

_SENTENCE = re.compile(r"\S.*?[.?](?=\s|$)", re.DOTALL)
FEWEST_DIGITS = 4  # significant digits of the working
MOST_DIGITS = 9
MOST_TURNS = 20  # draws that are tried, where one of the given numbers is asked
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
class PrintedRound:
    """A round of guess and correction: the guess of what is asked, and the result that the lines make of it."""

    guess: PrintedNumber
    result: PrintedNumber


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
    hints: tuple[str, ...]
    rounds: tuple[PrintedRound, ...] = ()  # of guess and correction, where one of the given numbers is asked


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
    drawn, turn = _drawn(topic, seed, name, system, stated)
    _held_against_engine(topic, drawn, system)
    digits, lines = _shortest(topic, drawn, system, turn)
    asked = topic.asked if turn is None else (turn.asked,)
    hints = topic.hints if turn is None else (class_texts.TURNED_HINT, *topic.hints)
    return PosedProblem(
        topic=topic,
        seed=seed,
        name=name,
        system=system,
        text=_text(topic, drawn, turn),
        givens=drawn.givens,
        looked_up=drawn.looked_up,
        digits=digits,
        lines=lines,
        asked=tuple(_asked_quantity(topic, drawn, symbol, system) for symbol in asked),
        slips=tuple((slip, drawn.slips[slip.key]) for slip in topic.slips if slip.key in drawn.slips),
        hints=hints,
        rounds=() if turn is None else tuple(_rounds(topic, drawn, system, digits, turn)),
    )


def _drawn(
    topic: Topic, seed: int, name: str, system: UnitSystem, stated: Mapping[str, str]
) -> tuple[DrawnNumbers, Turn | None]:
    """The numbers of this person, turned round where one of the given numbers is asked."""
    ends = asked_and_given(topic, stated)
    if ends is None:
        return draw(topic, seed, name, system, stated), None
    asked, results = ends
    for drawn in islice(draws(topic, seed, name, system, stated), MOST_TURNS):
        for given in results:
            made = turned(topic, drawn, asked, given, stated.get(given, ""), system)
            if made is not None:
                return made
    raise no_sensible_draw(topic)


def _text(topic: Topic, drawn: DrawnNumbers, turn: Turn | None) -> str:
    """The problem in words. Turned round, what was asked is told and what was told is asked."""
    shown = {n.symbol: f"{n.text} {n.unit}".strip() for n in (*drawn.givens, *drawn.looked_up)}
    if turn is None:
        return topic.text.format(**shown)
    told = " ".join(sentence for sentence in _SENTENCE.findall(topic.text) if not sentence.endswith("?"))
    known = next(number for number in drawn.givens if number.symbol == turn.given)
    wanted = next(given.label for given in topic.givens if given.symbol == turn.asked)
    besides = class_texts.KNOWN_AND_WANTED.format(known=known.label, value=shown[turn.given], wanted=wanted)
    return f"{told.format(**{**shown, turn.asked: class_texts.TO_BE_FOUND})} {besides}"


def _held_against_engine(topic: Topic, drawn: DrawnNumbers, system: UnitSystem) -> None:
    si = in_si(topic, drawn.values, system)
    for symbol, engine in topic.engine(si).items():
        allowed = topic.agrees.get(symbol, AGREES)
        if abs(si[symbol] - engine) > allowed * abs(engine):
            raise RangeError(
                class_texts.COMES_OUT_AS.format(key=topic.key, symbol=symbol, si=si[symbol], engine=engine)
            )


def _shortest(
    topic: Topic, drawn: DrawnNumbers, system: UnitSystem, turn: Turn | None
) -> tuple[int, tuple[WorkedLine, ...]]:
    """The working to the fewest digits with which the answers come out as in full precision."""
    for digits in range(FEWEST_DIGITS, MOST_DIGITS + 1):
        try:
            lines = _worked(topic, drawn, system, digits, turn)
        except RangeError:
            continue
        found = {line.line.symbol: line.result.value for line in lines}
        if _come_out(topic, drawn, found, turn):
            return digits, lines
    raise RangeError(class_texts.NO_WORKING_OF_UP_TO_DIGITS_COMES_OUT.format(key=topic.key, most_digits=MOST_DIGITS))


def _come_out(topic: Topic, drawn: DrawnNumbers, found: Mapping[str, float], turn: Turn | None) -> bool:
    """Whether a working comes out as in full precision: in the answers, or in the result that was given."""
    if turn is not None:
        stated = next(number for number in drawn.givens if number.symbol == turn.given)
        return abs(found[turn.given] - stated.value) <= stated.half_step
    return all(answer_text(topic, s, found[s]) == answer_text(topic, s, drawn.values[s]) for s in topic.asked)


def _worked(
    topic: Topic, drawn: DrawnNumbers, system: UnitSystem, digits: int, turn: Turn | None
) -> tuple[WorkedLine, ...]:
    numbers = {n.symbol: n for n in (*drawn.givens, *drawn.looked_up)}
    if turn is not None:
        numbers[turn.asked] = found_number(topic, drawn.values[turn.asked], system, digits, turn)
    lines = []
    for line in topic.lines:
        formula = line.formula_in(system)
        inputs = {symbol: numbers[symbol] for symbol in names_in(formula)}
        value = evaluate(formula, {symbol: number.value for symbol, number in inputs.items()})
        unit = MEASURES[line.measure].unit(system).name
        numbers[line.symbol] = PrintedNumber(line.symbol, line.label, rounded(value, digits), unit, 0.0)
        lines.append(WorkedLine(line, formula, inputs, numbers[line.symbol]))
    return tuple(lines)


def _rounds(topic: Topic, drawn: DrawnNumbers, system: UnitSystem, digits: int, turn: Turn) -> Iterator[PrintedRound]:
    """The rounds as they are printed: each result is that of the printed guess. The last guess is the answer."""
    line = next(one for one in topic.lines if one.symbol == turn.given)
    unit = MEASURES[line.measure].unit(system).name
    printed = {symbol: value for symbol, value in drawn.printed.items() if symbol != turn.given}
    guesses = [found_number(topic, one.guess, system, digits, turn) for one in turn.rounds]
    last = found_number(topic, drawn.values[turn.asked], system, digits, turn)
    for guess in [*(one for one in guesses if one != last), last]:
        result = worked_out(topic, {**printed, turn.asked: guess.value}, system)[turn.given]
        yield PrintedRound(guess, PrintedNumber(turn.given, line.label, rounded(result, digits), unit, 0.0))


def found_number(topic: Topic, value: float, system: UnitSystem, digits: int, turn: Turn) -> PrintedNumber:
    """A guess of the number that is asked, as the working puts it in."""
    given = next(one for one in topic.givens if one.symbol == turn.asked)
    unit = MEASURES[given.measure].unit(system).name
    return PrintedNumber(given.symbol, given.label, rounded(value, digits), unit, 0.0)


def _asked_quantity(topic: Topic, drawn: DrawnNumbers, symbol: str, system: UnitSystem) -> AskedQuantity:
    numbers: tuple[GivenNumber | SolutionLine, ...] = (*topic.givens, *topic.lines)
    line = next(one for one in numbers if one.symbol == symbol)
    value = drawn.values[symbol]
    return AskedQuantity(
        symbol,
        line.label,
        answer_text(topic, symbol, value),
        MEASURES[line.measure].unit(system).name,
        value,
        drawn.bands[symbol],
    )
