"""One line of working: the engine's numbers, to the fewest digits with which the shown formula gives the shown result.

Nothing is computed here but the check: inputs and result are read from the engine's own results at the paths that the
step names. A step whose formula does not give the engine's number is not shown as if it did.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from decimal import ROUND_HALF_EVEN, Decimal
from functools import cached_property
from typing import Any

import numpy as np

from engcalc.errors import RangeError
from engcalc.units import ZERO_CELSIUS
from engcalc.words.texts import class_texts
from engcalc.working.formulas import evaluate, names_in, series_of, size_of, substituted, terms

RESULT_DIGITS = 3  # significant digits of a shown result
MOST_DIGITS = 12  # more would show rounding, not working
IS_IT = 1e-12  # share by which two numbers differ that only the machine's rounding parts
AGREES = 1e-6  # share by which a formula may miss the engine's own number: the solver closes its balance to this


@dataclass(frozen=True)
class Term:
    """A quantity by its symbol: where the engine keeps it, and the unit it is shown in (``degC`` for temperatures)."""

    symbol: str
    path: str
    unit: str
    label: str

    @property
    def is_condition(self) -> bool:
        """Whether it only says which of two formulas counts: no line of a working shows it."""
        return self.label.startswith(("1 where ", "1 of ", "1 if "))


def terms_of(*rows: tuple[str, str, str, str]) -> Mapping[str, Term]:
    """Terms by their symbols, from rows of symbol, path, unit and label."""
    return {row[0]: Term(*row) for row in rows}


@dataclass(frozen=True)
class WorkingLine:
    """``symbol`` = ``formula``; ``parts`` are abbreviations used in the formula, each a formula itself.

    ``condition`` is a formula that must be positive for the step to apply (a laminar formula needs laminar flow).
    ``count`` names the number of terms of a series: the fewest that give the shown result are taken. ``note`` is a
    footnote: what else is to be said of the formula.
    """

    symbol: str
    label: str
    formula: str
    source: str
    parts: Mapping[str, str]
    condition: str = ""
    count: str = ""
    note: str = ""

    @cached_property
    def whole(self) -> str:
        """The formula with its parts put in."""
        whole = self.formula
        for name, part in self.parts.items():
            whole = substituted(whole, {name: part})
        return whole

    @property
    def needs(self) -> tuple[str, ...]:
        """The symbols that the formula reads, in reading order."""
        return tuple(name for name in names_in(self.whole) if name != self.count)


@dataclass(frozen=True)
class Shown:
    """A step with its numbers as texts: ``values`` by symbol in the terms' units, the result, a series' terms."""

    step: WorkingLine
    inputs: Mapping[str, Term]
    result_term: Term
    values: Mapping[str, str]
    result: str
    count: int = 0
    series: tuple[str, ...] = ()

    @property
    def paths(self) -> Mapping[str, str]:
        """Where each input stands among the results."""
        return {symbol: term.path for symbol, term in self.inputs.items()}


def read(root: object, term: Term) -> float | None:
    """The number at the term's path, in its unit; None where there is none or it is not one finite number."""
    here: Any = root
    for name in term.path.split("."):
        here = _item_at(here, int(name)) if name.isdigit() else getattr(here, name, None)
        if here is None:
            return None
    values = np.atleast_1d(np.asarray(here, dtype=np.float64)).ravel()
    if values.size != 1 or not np.isfinite(values[0]):
        return None
    return float(values[0]) - (ZERO_CELSIUS if term.unit == "degC" else 0.0)


def _item_at(here: Any, index: int) -> Any:
    """The number at a place of several; None where there are not so many."""
    return here[index] if index < len(here) else None


def digits_of(value: float, digits: int, *, zeros: bool = False) -> str:
    """``value`` to that many significant digits, without exponent; halves go to the even digit.

    ``zeros``: closing ones behind the point stay, for they say how exact a result is.

    >>> digits_of(84532.0, 3), digits_of(0.0012345, 2), digits_of(-0.0, 3)
    ('84500', '0.0012', '0')
    >>> digits_of(171.02, 4), digits_of(171.02, 4, zeros=True), digits_of(9.9996, 4, zeros=True)
    ('171', '171.0', '10.00')
    """
    exact = Decimal(repr(float(value)))
    if exact == 0:
        return "0"
    step = Decimal(1).scaleb(exact.adjusted() - digits + 1)
    if (exact / step).quantize(Decimal(1), rounding=ROUND_HALF_EVEN).adjusted() >= digits:
        step = step.scaleb(1)  # 9.9996 became 10.00, which has a digit more before its point
    rounded = (
        exact.quantize(step, rounding=ROUND_HALF_EVEN)
        if step < 1
        else (exact / step).quantize(Decimal(1), rounding=ROUND_HALF_EVEN) * step
    )
    text = f"{rounded:f}"
    if "." in text and not zeros:
        return text.rstrip("0").rstrip(".")
    return text


def show_step(step: WorkingLine, terms_by_symbol: Mapping[str, Term], root: object) -> Shown | None:
    """The step with the engine's numbers; None where it does not apply or a number is missing.

    Raises RangeError when the formula does not give the engine's number: then one of the two is wrong.
    """
    if step.condition:
        asked = _known(names_in(step.condition), terms_by_symbol, root)
        if asked is None or not evaluate(step.condition, asked) > 0.0:
            return None
    known = _known(step.needs, terms_by_symbol, root)
    result = read(root, terms_by_symbol[step.symbol])
    if result is None or known is None:
        return None
    count = _terms_needed(step, known, result)
    _agree(step, known, result, count)
    values = _fewest(step, known, result, count)
    return Shown(
        step,
        {name: terms_by_symbol[name] for name in step.needs},
        terms_by_symbol[step.symbol],
        values,
        digits_of(result, RESULT_DIGITS),
        count,
        _series(step, values, count),
    )


def _known(symbols: Iterable[str], terms_by_symbol: Mapping[str, Term], root: object) -> dict[str, float] | None:
    """The number of each symbol; None when one is missing."""
    found = {symbol: read(root, terms_by_symbol[symbol]) for symbol in symbols}
    known = {symbol: value for symbol, value in found.items() if value is not None}
    return known if len(known) == len(found) else None


def _with_count(step: WorkingLine, values: Mapping[str, float], count: int) -> dict[str, float]:
    if step.count:
        return {**values, step.count: float(count)}
    return dict(values)


def _terms_needed(step: WorkingLine, known: Mapping[str, float], result: float) -> int:
    """The fewest terms of the series that give the shown result with a digit to spare."""
    if not step.count:
        return 0
    for count in range(2, 200):
        found = evaluate(step.whole, _with_count(step, known, count))
        near = abs(found - result) <= 10.0 ** -(RESULT_DIGITS + 1) * abs(result)
        if near and digits_of(found, RESULT_DIGITS) == digits_of(result, RESULT_DIGITS):  # beside a half, nearer still
            return count
    raise RangeError(class_texts.SERIES_DOES_NOT_REACH_THE_ENGINES.format(symbol=step.symbol))


def _agree(step: WorkingLine, known: Mapping[str, float], result: float, count: int) -> None:
    values = _with_count(step, known, 4 * count + 16)  # a series is compared where it has converged
    found = evaluate(step.whole, values)
    if abs(found - result) > AGREES * max(abs(result), size_of(step.whole, values)):
        raise RangeError(
            class_texts.GIVES_THE_ENGINE_SAYS.format(
                symbol=step.symbol, formula=step.formula, found=found, result=result
            )
        )


def _fewest(step: WorkingLine, known: Mapping[str, float], result: float, count: int) -> dict[str, str]:
    """The inputs to the fewest digits, the same for all, with which the formula still gives the shown result."""
    for digits in range(2, MOST_DIGITS + 1):
        if _reproduces(step, known, result, count, digits):
            return {name: digits_of(value, digits) for name, value in known.items()}
    raise RangeError(
        class_texts.NO_NUMBER_OF_DIGITS_UP_TO_REPRODUCES.format(symbol=step.symbol, most_digits=MOST_DIGITS)
    )


def _reproduces(step: WorkingLine, known: Mapping[str, float], result: float, count: int, digits: int) -> bool:
    values = {name: float(digits_of(value, digits)) for name, value in known.items()}
    try:
        found = evaluate(step.whole, _with_count(step, values, count))
    except RangeError:
        return False
    is_it = abs(found - result) <= IS_IT * abs(result)  # beside a half the last digit may still differ
    return is_it or digits_of(found, RESULT_DIGITS) == digits_of(result, RESULT_DIGITS)


def _series(step: WorkingLine, values: Mapping[str, str], count: int) -> tuple[str, ...]:
    """The terms of a series at the shown numbers, each to a digit more than the result."""
    call = series_of(step.whole) if step.count else None
    if call is None:
        return ()
    numbers = _with_count(step, {name: float(text) for name, text in values.items()}, count)
    return tuple(digits_of(term, RESULT_DIGITS + 1) for term in terms(call, numbers))
