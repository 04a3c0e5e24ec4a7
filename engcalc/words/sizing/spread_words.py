"""How sure a duty is, in plain sentences and as tables: the chance with its error, intervals, what to measure next."""

from __future__ import annotations

from engcalc.case.catalogue import entry
from engcalc.case.sections import SECTION_LABELS
from engcalc.studies.spread.spread_study import PREDICTION, DutySpread, InputShare, Interval
from engcalc.units import UnitSystem, show, to_unit, unit_for
from engcalc.words.terms.numbers import share, temperature

INTERVAL_HEAD = ("Result", "Mean", "5 % lie below", "95 % lie below", "Standard deviation")
SHARE_HEAD = ("Input", "Alone", "With others", "Linear", "Left if it were known")
REST = "all others together"
CORE_FORMULAS = "the core's predicted conductance"


def spread_sentences(found: DutySpread, system: UnitSystem = UnitSystem.SI) -> tuple[str, ...]:
    """What came of it, a sentence each, the chance first."""
    said = [_chance(found), _range(found, system), _linear(found, system), *_next(found, system)]
    return tuple(text for text in said if text)


def _chance(found: DutySpread) -> str:
    error = 100.0 * found.probability_error
    enough = "" if found.settled else " That is the most that are drawn: not every digit of the table is sure."
    return (
        f"{found.name}: of {found.points} vehicles drawn from the inputs' uncertainty "
        f"{100.0 * found.probability:.1f} % hold (standard error {max(error, 0.1):.1f} %); wanted are "
        f"{share(found.wanted)}.{enough}"
    )


def _range(found: DutySpread, system: UnitSystem) -> str:
    low = temperature(found.peak.low, system)
    high = temperature(found.peak.high, system)
    return f"Nine in ten of them get to between {low} and {high}; one that boils counts with its boiling point."


def _linear(found: DutySpread, system: UnitSystem) -> str:
    drawn, linear = (_spread(K, system) for K in (found.peak.deviation, found.linear))
    said = f"The standard uncertainty of the hottest coolant is {drawn}; linear propagation says {linear}"
    alike = abs(found.linear - found.peak.deviation) <= 0.1 * max(found.linear, found.peak.deviation)
    if alike:
        return f"{said}."
    return f"{said}: the duty does not answer in proportion, by what switches, regulates or boils. The first counts."


def _next(found: DutySpread, system: UnitSystem) -> tuple[str, ...]:
    best = found.measure_next
    if best is None:
        return ("No single input is worth measuring for this duty: none moves it much.",) if found.shares else ()
    return (
        f"Measure this next: {input_name(best)}. It makes {share(best.first)} of the variance alone. Were it known "
        f"exactly, the standard uncertainty would fall from {_spread(found.peak.deviation, system)} to "
        f"{_spread(best.left, system)} on average.",
    )


def input_name(one: InputShare) -> str:
    """The input's label with its section; several that go together in a row."""
    if not one.paths:
        return REST
    return " with ".join(CORE_FORMULAS if path == PREDICTION else _label(path) for path in one.paths)


def _label(path: str) -> str:
    section = SECTION_LABELS[path.partition(".")[0].partition("[")[0]].lower()
    label = entry(path).input.label
    return f"{section}: {label[:1].lower()}{label[1:]}"


def interval_rows(found: DutySpread, system: UnitSystem = UnitSystem.SI) -> tuple[tuple[str, ...], ...]:
    """The interval of each result, under ``INTERVAL_HEAD``."""
    return tuple(_interval(one, system) for one in found.intervals)


def _interval(one: Interval, system: UnitSystem) -> tuple[str, ...]:
    kind = one.quantity.kind
    if kind == "temperature":
        ends = (temperature(x, system) for x in (one.mean, one.low, one.high))
        return (one.quantity.label, *ends, _spread(one.deviation, system))
    numbers = (show(x, kind, system, 3) for x in (one.mean, one.low, one.high))
    return (one.quantity.label, *numbers, show(one.deviation, kind, system, 2))


def _spread(kelvin: float, system: UnitSystem) -> str:
    unit = unit_for("temperature difference", system)
    return f"{to_unit(kelvin, unit, 'temperature difference'):.1f} {unit}"


def share_rows(found: DutySpread, system: UnitSystem = UnitSystem.SI) -> tuple[tuple[str, ...], ...]:
    """Each input's share of the variance of the hottest coolant, under ``SHARE_HEAD``."""
    return tuple(
        (
            input_name(one),
            _percent(one.first, one.first_error),
            _percent(one.total, one.total_error),
            share(one.linear),
            _spread(one.left, system),
        )
        for one in found.shares
    )


def _percent(part: float, error: float) -> str:
    return f"{100.0 * max(part, 0.0):.0f} ± {max(100.0 * error, 1.0):.0f} %"
