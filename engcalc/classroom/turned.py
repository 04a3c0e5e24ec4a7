"""A topic turned round: one of its given numbers is asked, and one of its results is given in its place.

No formula is solved for the number that is asked. It is guessed and corrected until the result comes out as given, as
a class does it on paper; then the working goes forward with it, line by line.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, replace

from engcalc.classroom.draw import (
    ANSWER_DIGITS,
    DrawnNumbers,
    PrintedNumber,
    answer_text,
    half_step,
    in_si,
    looked_up,
    measure_of,
    tells_kind_of_flow,
    worked_out,
)
from engcalc.classroom.measures import MEASURES
from engcalc.classroom.stated import half_of_last_digit
from engcalc.classroom.topic import Topic
from engcalc.errors import RangeError
from engcalc.units import UnitSystem
from engcalc.working.formulas import evaluate

STEPS = 40  # to either side of the first guess within which an answer is looked for
STEP = 2.0**0.125  # between two of them; temperatures go by equal steps
DEGREES = 5.0  # K or °F; such a step
MOST_ROUNDS = 100
LARGEST_BAND = 0.15  # share of the answer; else the result hardly hangs on what is asked
MOST_TABLES = 20  # times that tables are read again, as the number that is asked moves
COMES_OUT = 1e-9  # share by which the last round may miss what is wanted
RESTS = 1e-13  # share by which the last round still moves the answer
SHOWN = 0.02  # share of half a last digit by which the last round that is shown may miss what is given


@dataclass(frozen=True)
class GuessRound:
    """One round: the guess, and the result that comes of it."""

    guess: float
    result: float


@dataclass(frozen=True)
class Turn:
    """The given number that is asked, the result that is given for it, and the rounds that it took."""

    asked: str
    given: str
    rounds: tuple[GuessRound, ...]


def turned(
    topic: Topic, drawn: DrawnNumbers, asked: str, given: str, text: str, system: UnitSystem
) -> tuple[DrawnNumbers, Turn] | None:
    """What was drawn, turned round; ``text`` is the result as it was typed, empty for the one that was drawn.

    None where no number, or more than one, gives the result, or the result hardly hangs on it: then another draw is
    made.
    """
    shown = text or answer_text(topic, given, drawn.values[given])
    half = half_step(drawn.values[given], ANSWER_DIGITS, measure_of(topic, given) == "temperature")
    label = next(line.label for line in topic.lines if line.symbol == given)
    unit = MEASURES[measure_of(topic, given)].unit(system).name
    stated = PrintedNumber(given, label, shown, unit, min(half, half_of_last_digit(text)) if text else half)
    search = _NumberAsked(topic, asked, given, system, drawn.printed[asked])
    others = tuple(one for one in drawn.givens if one.symbol != asked)
    unknown = next(one for one in drawn.givens if one.symbol == asked)
    tables, rounds = drawn.looked_up, None
    for _ in range(MOST_TABLES):
        known = {one.symbol: one.value for one in (*others, *tables)}
        rounds = search.rounds(known, stated.value, alone=True)
        if rounds is None:
            return None
        unknown = replace(unknown, text=answer_text(topic, asked, rounds[-1].guess))
        read = looked_up(topic, (*others, unknown), system)
        if read == tables:
            break
        tables = read
    else:
        return None
    found = rounds[-1].guess
    values = worked_out(topic, {**known, asked: found}, system)
    si = in_si(topic, values, system)
    holds = (one for one in topic.conditions if not text or tells_kind_of_flow(one))
    if not all(evaluate(condition, si) > 0.0 for condition in holds):
        return None
    band = search.band(known, stated, (*others, *tables), found)
    if band is None or band > LARGEST_BAND * abs(found):
        return None
    slips = {slip.key: search.slipped(known, stated.value, slip.puts) for slip in topic.slips}
    telling = {key: made for key, made in slips.items() if made and abs(made[asked] - found) > 2.0 * band}
    told = tuple(_told(rounds, stated.value, SHOWN * stated.half_step))
    made = DrawnNumbers((*others, stated), tables, values, {asked: band}, telling)
    return made, Turn(asked, given, told)


def _told(rounds: tuple[GuessRound, ...], wanted: float, near: float) -> Iterator[GuessRound]:
    """The rounds up to the first that comes near enough."""
    for one in rounds:
        yield one
        if abs(one.result - wanted) <= near:
            return


@dataclass(frozen=True)
class _NumberAsked:
    """Looks for the number that is asked, about a first guess in its unit."""

    topic: Topic
    asked: str
    given: str
    system: UnitSystem
    guess: float

    def rounds(
        self, known: Mapping[str, float], wanted: float, puts: Mapping[str, str] | None = None, *, alone: bool = False
    ) -> tuple[GuessRound, ...] | None:
        """The rounds to the answer nearest to the guess; None where there is none, or ``alone`` asks for one only."""

        def miss(x: float) -> float:
            return worked_out(self.topic, {**known, self.asked: x}, self.system, puts)[self.given] - wanted

        brackets = list(self._changes_of_sign(miss))
        if not brackets or (alone and len(brackets) > 1):
            return None
        low, high = min(brackets, key=lambda ends: abs(0.5 * (ends[0] + ends[1]) - self.guess))
        rounds = tuple(GuessRound(x, y + wanted) for x, y in _corrected(miss, low, high))
        came_out = math.isclose(rounds[-1].result, wanted, rel_tol=COMES_OUT, abs_tol=COMES_OUT)
        return rounds if came_out else None  # else the result jumps over what is wanted

    def band(
        self, known: Mapping[str, float], stated: PrintedNumber, others: tuple[PrintedNumber, ...], found: float
    ) -> float | None:
        """How far the answer may lie off: every printed number half a unit of its last digit off, all to one side."""
        band = half_step(found, ANSWER_DIGITS, measure_of(self.topic, self.asked) == "temperature")
        moved = [(known, stated.value + stated.half_step)]
        moved += [({**known, one.symbol: one.value + one.half_step}, stated.value) for one in others if one.half_step]
        for numbers, wanted in moved:
            rounds = self.rounds(numbers, wanted)
            if rounds is None:
                return None
            band += abs(rounds[-1].guess - found)
        return band

    def slipped(self, known: Mapping[str, float], wanted: float, puts: Mapping[str, str]) -> dict[str, float]:
        """The answer with a slip made; empty where it leads to no number."""
        rounds = self.rounds(known, wanted, puts) if puts else None
        return {} if rounds is None else {self.asked: rounds[-1].guess}

    def _changes_of_sign(self, miss: Callable[[float], float]) -> Iterator[tuple[float, float]]:
        """Between which numbers the result passes what is wanted."""
        before: tuple[float, float] | None = None
        for step in range(-STEPS, STEPS + 1):
            x = self._at(step)
            try:
                now = (x, miss(x))
            except RangeError:
                before = None
                continue
            if before is not None and (before[1] < 0.0) != (now[1] < 0.0):
                yield before[0], x
            before = now

    def _at(self, step: int) -> float:
        if measure_of(self.topic, self.asked) == "temperature":
            return self.guess + DEGREES * step
        return float(self.guess * STEP**step)


def _corrected(miss: Callable[[float], float], low: float, high: float) -> Iterator[tuple[float, float]]:
    """Guesses and what they miss by: a straight line between the two ends tells the next, and the end that stays twice
    counts half (the Illinois rule: Dowell and Jarratt, BIT 11 (1971) 168)."""
    ends = [(low, miss(low)), (high, miss(high))]
    yield from ends
    weights, moved, x = [1.0, 1.0], -1, high
    for _ in range(MOST_ROUNDS):
        (a, fa), (b, fb) = ends
        fa, fb = weights[0] * fa, weights[1] * fb
        before, x = x, (a * fb - b * fa) / (fb - fa)
        y = miss(x)
        yield x, y
        if y == 0.0 or math.isclose(x, before, rel_tol=RESTS):
            return
        side = 0 if (y < 0.0) == (ends[0][1] < 0.0) else 1
        ends[side], weights[side] = (x, y), 1.0
        if side == moved:
            weights[1 - side] /= 2.0
        moved = side
