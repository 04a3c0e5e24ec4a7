"""Judging a warm-up: the time that the case asks for, and the criterion that regulations set for a thermostat monitor.

California Code of Regulations, title 13, section 1968.2 (text of 9 November 2007), (e)(10.2.1)(A): a malfunction is to
be detected where, within a time after the start that the authority approves, the coolant does not reach "a warmed-up
temperature within 20 degrees Fahrenheit of the manufacturer's nominal thermostat regulating temperature". That time
is not in the text: here it is the one in which 19 of 20 healthy vehicles of this kind make it in this run.

A vehicle that, as described, boils or passes its coolant's limit in the run does not hold: that comes before any time.
A slow warm-up is called so only where nothing that nobody noted could have slowed it.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from enum import StrEnum

import numpy as np

from engcalc.case.case import Case
from engcalc.case.reading_words import GAUGE_MIDDLE
from engcalc.units import Array
from engcalc.vehicle.run import Run
from engcalc.verdict import OVERCOOLED_BY, Verdict
from engcalc.words.texts import record_texts

WITHIN = 20.0 / 1.8  # K; 20 degF, 13 CCR 1968.2 (e)(10.2.1)(A)(ii)
SWITCHED_OFF_BELOW = 266.48  # K; 20 degF ambient at the start, below which a monitor may be off, (10.3.1)(B)
IN_TIME = 0.95  # share of healthy vehicles that sets the time
SURE = 0.9  # share of healthy vehicles that would have been warm in time, from which on a late one is at fault


class WarmupOutcome(StrEnum):
    """What became of a temperature that was to be reached in a time."""

    IN_TIME = "reached in time"
    LATE = record_texts.NOT_REACHED_IN_TIME
    NOT_YET = record_texts.RECORD_ENDS_TOO_EARLY_TO_TELL
    NOT_IN_THIS_RUN = record_texts.HEALTHY_VEHICLE_WOULD_NOT_REACH
    UNANSWERED = record_texts.LATE_BUT_SOMETHING_THAT_NOBODY_NOTED
    BOILS = "boils"
    TOO_HOT = "passes its limit"
    SETTLED_COLD = record_texts.SETTLED_FAR_BELOW_WHAT_A_HEALTHY


@dataclass(frozen=True)
class Criterion:
    """The regulation's criterion on one record; temperatures in K, times in s from engine start."""

    regulating: float
    target: float
    allowed: float | None  # None: too few healthy vehicles get there in this run
    reached: float | None
    outcome: WarmupOutcome
    may_be_off: bool  # so cold that a monitor need not run


@dataclass(frozen=True)
class WarmFacts:
    """What a warm-up is judged by. ``healthy_share``: of healthy vehicles that would be warm in time."""

    within: float  # s
    reached: float | None  # s
    ends: float  # s, length of the record
    healthy_share: float
    settled: float | None  # K; None where it has not settled
    healthy_end: float  # K, what a healthy vehicle shows at the end
    healthy_low: float  # K, what nine in ten of them exceed there
    excuses: tuple[str, ...]  # what nobody noted and may have slowed it
    boils: float | None = None  # s, as described; None where it does not or where a record was measured
    peak: float | None = None  # K, as described; None where a record was measured
    limit: float | None = None  # K, of the coolant
    freezing: float | None = None  # K, of the coolant; None where the run's air is no colder
    middle_by: float | None = None  # s, by :func:`gauge_middle_by`


@dataclass(frozen=True)
class WarmVerdict:
    """``verdict`` None: nothing can be said yet."""

    verdict: Verdict | None
    outcome: WarmupOutcome
    facts: WarmFacts


# What nobody noted: whether it is unknown, the question, and whether it makes a healthy engine slower
_QUESTIONS: tuple[tuple[Callable[[Run], bool], str, bool], ...] = (
    (
        lambda run: run.record.engine_off_phases == "unknown" and run.log is None and not run.hybrid,
        record_texts.DOES_THE_ENGINE_STOP_BY_ITSELF,
        True,
    ),
    (
        lambda run: run.hybrid,
        record_texts.FOR_HOW_MUCH_OF_THE_RUN_DID,
        True,
    ),
    (lambda run: run.record.block_heater == "unknown", record_texts.WAS_A_BLOCK_HEATER_PLUGGED_IN_BEFORE, False),
    (
        lambda run: run.record.auxiliary_heater == "unknown",
        record_texts.DID_AN_AUXILIARY_HEATER_RUN,
        False,
    ),
    (lambda run: run.record.heater_setting == "unknown", record_texts.HOW_WAS_THE_HEATER_SET, False),
)
"""The heater's setting slows a warm-up too, but is carried in the band from off to high."""


def confounders(run: Run) -> tuple[str, ...]:
    """The questions that nobody answered."""
    return tuple(words for unknown, words, _ in _QUESTIONS if unknown(run))


def excuses(run: Run) -> tuple[str, ...]:
    """Those of them whose answer could explain a slow warm-up of a healthy vehicle."""
    return tuple(words for unknown, words, slows in _QUESTIONS if slows and unknown(run))


def target(case: Case) -> float:
    """Temperature [K] that the regulation asks for: 20 degF under where the valve starts to open."""
    return float(case.thermostat.start_to_open[0]) - WITHIN


def criterion_of(case: Case, run: Run, reached: float | None, ends: float, healthy_times: Array) -> Criterion:
    """The criterion on a record that reached the target at ``reached`` and ends at ``ends`` [s]; ``healthy_times`` [s]
    those of healthy vehicles, infinite where they do not get there."""
    allowed = float(np.quantile(healthy_times, IN_TIME, method="higher"))
    known = allowed if np.isfinite(allowed) else None
    outcome = _outcome(reached, ends, known, excuses(run))
    cold = float(np.min(run.drive.conditions.ambient)) < SWITCHED_OFF_BELOW
    return Criterion(float(case.thermostat.start_to_open[0]), target(case), known, reached, outcome, cold)


def _outcome(reached: float | None, ends: float, allowed: float | None, excused: tuple[str, ...]) -> WarmupOutcome:
    if reached is not None and (allowed is None or reached <= allowed):
        return WarmupOutcome.IN_TIME
    if allowed is None:
        return WarmupOutcome.NOT_IN_THIS_RUN
    if ends < allowed:
        return WarmupOutcome.NOT_YET
    return WarmupOutcome.UNANSWERED if excused else WarmupOutcome.LATE


def gauge_middle_by(time: Array, low: Array) -> float | None:
    """From when on [s] healthy vehicles keep a dash gauge in its middle, the slow ones too; None: not in this run.

    ``low`` [K] is what 19 of 20 of them exceed at each ``time`` [s]. Rounded up to five minutes, as a clock is read.
    """
    below = np.flatnonzero(low < GAUGE_MIDDLE[0])
    if below.size and below[-1] == len(low) - 1:
        return None
    first = int(below[-1]) + 1 if below.size else 0
    return float(np.ceil(time[first] / _WHOLE) * _WHOLE)


_WHOLE = 300.0  # s; common practice, no source


def judge_warm_up(facts: WarmFacts) -> WarmVerdict:
    """Undersized where it boils or passes its limit as described; overcooling where it settled more than 11 K under a
    healthy vehicle or was late where a healthy one is in time."""
    if facts.boils is not None:
        return WarmVerdict(Verdict.UNDERSIZED, WarmupOutcome.BOILS, facts)
    if facts.peak is not None and facts.limit is not None and facts.peak > facts.limit:
        return WarmVerdict(Verdict.UNDERSIZED, WarmupOutcome.TOO_HOT, facts)
    cold = facts.settled is not None and facts.settled < min(facts.healthy_end - OVERCOOLED_BY, facts.healthy_low)
    if cold:
        outcome = WarmupOutcome.UNANSWERED if facts.excuses else WarmupOutcome.SETTLED_COLD
        return WarmVerdict(None if facts.excuses else Verdict.OVERCOOLING, outcome, facts)
    sure = facts.within if facts.healthy_share >= SURE else None
    outcome = _outcome(facts.reached, facts.ends, sure, facts.excuses)
    if outcome is WarmupOutcome.NOT_IN_THIS_RUN and facts.ends < facts.within:
        outcome = WarmupOutcome.NOT_YET  # a record of three minutes cannot say what was not reached within twenty
    verdict = _VERDICTS.get(outcome)
    if verdict is Verdict.HOLDS and facts.freezing is not None:  # it warmed, but it must not stand in this air
        verdict = Verdict.MARGINAL
    return WarmVerdict(verdict, outcome, facts)


_VERDICTS: Mapping[WarmupOutcome, Verdict] = {
    WarmupOutcome.IN_TIME: Verdict.HOLDS,
    WarmupOutcome.LATE: Verdict.OVERCOOLING,
}
