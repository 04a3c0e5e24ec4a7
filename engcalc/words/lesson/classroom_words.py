"""What sheets, keys and marks say beside the topics' own texts."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping, Sequence
from typing import TypeAlias

from engcalc.classroom.draw import answer_text, rounded
from engcalc.classroom.marking import AnswerMark, AnswerOutcome, MarkedSheet
from engcalc.classroom.problem import AskedQuantity, PosedProblem, PrintedRound, WorkedLine
from engcalc.classroom.symbols import SymbolSet, alike, printed, with_index_below
from engcalc.classroom.topic import Slip
from engcalc.classroom.topics import TOPICS
from engcalc.units import raised
from engcalc.words.terms.numbers import MINUS, capital, raised_to
from engcalc.working.formulas import names_in

Write: TypeAlias = Callable[[str], str]
"""How a sheet writes the symbol of this name."""

SHEET = "Problem sheet"
KEY = "Key"
GIVEN = "Given"
WANTED = "Wanted"
HINTS = "Hints"
WORKING = "Working"
ANSWERS = "Answers"
SLIPS = "Likely slips"
ROOM = "Your working"
NAME = "Name:"
NO_NUMBER = "leads to no number"
BAND_DIGITS = 4  # one more than an answer has
HINTS_LEAD = "Read one at a time, and only when you are stuck."
ROUNDING = "Give three digits, temperatures to a tenth. Carry more digits on the way and round at the end."
BAND_LEAD = (
    "An answer is right within the band: every printed number may lie half a unit of its last digit off, all to the "
    "same side, and the answer is rounded."
)
SLIPS_LEAD = "What comes out when the slip is made with these numbers."


def digits_lead(digits: int) -> str:
    """How the working is rounded."""
    return (
        f"Each line is worked with the numbers printed above it, to {digits} digits: the fewest with which the answers "
        "come out as without rounding on the way."
    )


def heading_of(problem: PosedProblem, kind: str) -> str:
    """The head of a sheet or key: "Problem sheet 7"."""
    return f"{kind} {problem.seed}"


def quantity(text: str, unit: str) -> str:
    """A number with its unit, powers of ten as such.

    >>> quantity("1.5e-4", "m2 K/W"), quantity("-12.0", "")
    ('1.5·10⁻⁴ m² K/W', '−12.0')
    """
    head, letter, power = text.partition("e")
    head = head.replace("-", MINUS)
    number = f"{head}·10{raised_to(power)}" if letter else head
    return f"{number} {raised(unit)}".strip()


def _asked_line(asked: AskedQuantity, write: Write) -> str:
    """What is wanted: label, symbol and unit."""
    unit = f" in {raised(asked.unit)}" if asked.unit else ""
    return f"{capital(asked.label)}, {write(asked.symbol)}{unit}"


def band_text(asked: AskedQuantity) -> str:
    """The answers that count as right: "83.1 to 84.0 kW"."""
    low, high = (rounded(limit, BAND_DIGITS) for limit in (asked.low, asked.high))
    return f"{quantity(low, '')} to {quantity(high, asked.unit)}"


def changed_answers(problem: PosedProblem, made: Mapping[str, float]) -> list[tuple[AskedQuantity, str]]:
    """The answers that a slip changes, each with what comes out."""
    return [
        (asked, quantity(answer_text(problem.topic, asked.symbol, made[asked.symbol]), asked.unit))
        for asked in problem.asked
        if asked.symbol in made and abs(made[asked.symbol] - asked.exact) > asked.band
    ]


def _slip_answers(problem: PosedProblem, slip: Slip, made: Mapping[str, float], write: Write) -> str:
    """What the slip makes of the answers, those that it changes."""
    told = [f"{write(asked.symbol)} = {text}" for asked, text in changed_answers(problem, made)]
    return f"{capital(slip.key)}: {', '.join(told) or NO_NUMBER}."


def mark_line(mark: AnswerMark, problem: PosedProblem, symbols: SymbolSet) -> str:
    """What a person is told of one answer, by its symbol or, where plain text has none, by its name."""
    told = f"{with_index_below(printed(mark.asked.symbol, symbols)) or capital(mark.asked.label)}: "
    key = f"the key has {quantity(mark.asked.text, mark.asked.unit)}"
    if mark.outcome is AnswerOutcome.RIGHT:
        return f"{told}right."
    if mark.outcome is AnswerOutcome.MISSING:
        return f"{told}no answer; {key}."
    if mark.outcome is AnswerOutcome.SLIP:
        slip = next(slip for slip, _ in problem.slips if slip.key == mark.slip)
        return f"{told}{key}. Likely slip: {slip.told}"
    if mark.outcome is AnswerOutcome.POWER_OF_TEN:
        return f"{told}{key}. The digits are right, the power of ten is not: {mark.ratio:.3g} times the key."
    if mark.outcome is AnswerOutcome.SIGN:
        return f"{told}{key}. The sign is the other one."
    return f"{told}{key}. No slip that is known here gives this answer ({mark.ratio:.3g} times the key)."


def marked_lines(marked: Sequence[MarkedSheet], symbols: SymbolSet) -> list[str]:
    """A class's marks, person by person, and what went wrong most."""
    lines = []
    for one in marked:
        lines.append(f"{one.problem.name or 'no name'}: {one.right} of {len(one.marks)} right")
        lines += [f"  {mark_line(mark, one.problem, symbols)}" for mark in one.marks]
    counts: dict[str, int] = {}
    for one in marked:
        for key in {mark.slip for mark in one.marks if mark.slip}:
            counts[key] = counts.get(key, 0) + 1
    ranked = sorted(counts.items(), key=lambda pair: (-pair[1], pair[0]))
    if ranked:
        lines.append("Most often: " + "; ".join(f"{key} ({count})" for key, count in ranked) + ".")
    return lines


def topic_lines() -> list[str]:
    """The topics that there are, one to a line."""
    width = max(len(key) for key in TOPICS)
    return [f"{key.ljust(width)}  {topic.title}" for key, topic in TOPICS.items()]


def _listed(problem: PosedProblem, symbols: SymbolSet) -> Write:
    """How sheet and key of a problem write their symbols."""
    numbers = [number.symbol for number in (*problem.givens, *problem.looked_up)]
    asked = [one.symbol for one in problem.asked]
    return alike([*numbers, *asked, *(worked.line.symbol for worked in problem.lines)], symbols)


def sheet_lines(problem: PosedProblem, symbols: SymbolSet) -> list[str]:
    """A sheet for reading on a screen."""
    write = _listed(problem, symbols)
    name = f", {problem.name}" if problem.name else ""
    numbers = [
        f"  {write(n.symbol)} = {quantity(n.text, n.unit)}   {n.label}{f' ({n.where})' if n.where else ''}"
        for n in (*problem.givens, *problem.looked_up)
    ]
    wanted = [f"  {_asked_line(asked, write)}" for asked in problem.asked]
    hints = [f"  {number}. {hint}" for number, hint in enumerate(problem.hints, start=1)]
    head = f"{heading_of(problem, SHEET)}{name}: {problem.topic.title}"
    return [head, raised(problem.text), f"{GIVEN}:", *numbers, f"{WANTED}:", *wanted, ROUNDING, f"{HINTS}:", *hints]


def key_lines(problem: PosedProblem, symbols: SymbolSet) -> list[str]:
    """A key for reading on a screen: answers, working, slips."""
    write = _listed(problem, symbols)
    answers = [f"  {write(a.symbol)} = {quantity(a.text, a.unit)}   right from {band_text(a)}" for a in problem.asked]
    working = [line for worked in problem.lines for line in _worked_lines(worked, write)]
    slips = [f"  {_slip_answers(problem, slip, made, write)}" for slip, made in problem.slips]
    rounds = [f"  {line}" for line in _round_lines(problem, write)]
    told = [f"{SLIPS}:", *slips] if slips else []
    return [f"{KEY}:", *answers, f"{WORKING} ({problem.digits} digits):", *rounds, *working, *told]


def rounds_lead(problem: PosedProblem, write: Write) -> str:
    """How the number that is asked was found, where it was guessed and corrected."""
    guess, result = problem.rounds[-1].guess, problem.rounds[-1].result
    return (
        f"No line gives {write(guess.symbol)}. It is guessed, and corrected by a straight line between two guesses, until "
        f"{write(result.symbol)} comes out as given."
    )


def round_text(number: int, one: PrintedRound, write: Write) -> str:
    """A round of guess and correction."""
    guess, result = (f"{write(of.symbol)} = {quantity(of.text, of.unit)}" for of in (one.guess, one.result))
    return f"Round {number}: {guess} gives {result}"


def _round_lines(problem: PosedProblem, write: Write) -> list[str]:
    if not problem.rounds:
        return []
    rounds = [f"  {round_text(i, one, write)}" for i, one in enumerate(problem.rounds, start=1)]
    return [rounds_lead(problem, write), *rounds]


def _worked_lines(worked: WorkedLine, write: Write) -> list[str]:
    line = worked.line
    result = worked.result
    numbers = ", ".join(
        f"{write(symbol)} = {quantity(number.text, number.unit)}" for symbol, number in worked.inputs.items()
    )
    known = "; ".join(part for part in (line.source, line.valid) if part)
    shown = f"{write(line.symbol)} = {quantity(result.text, result.unit)}"
    formula = f"{write(line.symbol)} = {_plain_formula(worked.formula, write)}{f' with {numbers}' if numbers else ''}"
    return [f"  {capital(line.label)} ({known})", f"    {numbers if line.converts else formula}: {shown}"]


_POWER = re.compile(r"\*\*(?:([0-9.]+)|\((-?[0-9.]+)\))")
"""A power that is a number, alone or in parentheses."""


def _plain_formula(formula: str, write: Write) -> str:
    """A formula as plain text; powers that are numbers above the line, others with a caret."""
    pieces = re.split(r"([A-Za-z_][A-Za-z_0-9]*)", _POWER.sub(lambda power: raised_to(power[1] or power[2]), formula))
    names = set(names_in(formula))
    told = "".join(write(piece) if piece in names else piece for piece in pieces)
    return told.replace("**", "^").replace("*", "·").replace("pi", "π")
