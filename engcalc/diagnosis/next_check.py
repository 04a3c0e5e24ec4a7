"""The next check: which look or reading settles the most for a minute of work, over a catalogue of hand checks.

The result of a check is predicted in vehicles drawn from the odds as they stand; what it is worth is the mutual
information of cause and result,

    I = sum over causes c and results r of P(c) P(r | c) log2(P(r | c)/P(r))

in bits. Readings are sorted into bins. Readings with the engine hot come from a short run of their own (ten minutes
of idle, five at 2,500 rpm, fifteen of idle, heater on full). Minutes of work are common practice, no source, for a
part that is in easy reach.
"""

from __future__ import annotations

from collections.abc import Callable, Container, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from engcalc.case.case import Case
from engcalc.case.conditions import conditions_of
from engcalc.case.records import Record, ScheduleStep
from engcalc.causes.causes import VisibleState
from engcalc.components.coolant_heater import share_run
from engcalc.diagnosis.observations import FACTS
from engcalc.diagnosis.sights import FILLED, SHARE_READ
from engcalc.diagnosis.simulated import Simulated
from engcalc.system.drive import Drive, scheduled_drive
from engcalc.units import Array
from engcalc.vehicle.unknowns import normal_share

GAUGE_PASSES = 328.15  # K; 55 degC, the middle of the 50 to 60 degC at which the hose is felt
IDLE_END, FAST_END, RUN_END = 600.0, 900.0, 1800.0  # s of the run of the checks
FAST = 2500.0 / 60.0  # rev/s
CHECK_STEP = 2.0  # s; of the simulation of that run
BINS = 8
HOSE, VENT, NECK = 6.0, 6.0, 2.5  # K; clamp on a hose with what the model is wrong by there, vent probe, contact probe
AT_THE_NECK = "outlet_neck"  # a reading of the coolant by a probe on the metal
PROBES = ("clamp", "infrared", "immersed")  # instruments that read the coolant beside its sensor
_HOT_REASONS = ("hot at idle", "hot at speed", "loss of coolant")


@dataclass(frozen=True)
class PredictedReading:
    """A reading predicted in each member [K], with its standard uncertainty."""

    value: Array
    noise: float


Outcome = Sequence[PredictedReading | Array]
"""Readings, or probabilities that something is seen, of one check."""


@dataclass(frozen=True, eq=False)
class Watched:
    """Vehicles drawn from the odds: their record, the run of the checks, the number of their cause and their share of
    the odds, (members,), summing to 1."""

    record: Simulated
    hot: Simulated
    cause: NDArray[np.int64]
    weight: Array

    def of(self, causes: Sequence[int]) -> Watched:
        """Those of some causes, their shares scaled to sum to 1."""
        which = np.flatnonzero(np.isin(self.cause, causes)).astype(np.int64)
        weight = self.weight[which]
        return Watched(self.record.taken(which), self.hot.taken(which), self.cause[which], weight / weight.sum())


Predicted = Callable[[Watched], Outcome]


@dataclass(frozen=True)
class HandCheck:
    """One hand check. ``outcome`` of the record's run and of the run of the checks; ``answers``: facts of the case file
    that it answers; ``first_for``: reasons for the visit for which it comes before any odds ("" for all)."""

    key: str
    minutes: float
    outcome: Predicted
    answers: tuple[str, ...] = ()
    spots: tuple[str, ...] = ()
    first_for: tuple[str, ...] = ()
    record_valve: str = ""


@dataclass(frozen=True)
class CheckValue:
    """What a check is worth: bits over all causes, minutes, and whether it comes first whatever the odds."""

    key: str
    information_bits: float
    minutes: float
    first: bool

    @property
    def rate(self) -> float:
        """Bits for a minute of work."""
        return self.information_bits / self.minutes


def _facts(*names: str) -> Predicted:
    return lambda seen: tuple(FACTS[name](seen.record) for name in names)


def _mixture(seen: Watched) -> Outcome:
    return (PredictedReading(seen.record.states[VisibleState.MIXTURE], float(np.hypot(SHARE_READ, FILLED))),)


def _passing(series: str) -> Predicted:
    return lambda seen: (PredictedReading(seen.record.when_passing(getattr(seen.record, series), GAUGE_PASSES), HOSE),)


def _neck(seen: Watched) -> Outcome:
    return (PredictedReading(seen.record.coolant[-1] - seen.record.shown[-1], NECK),)


def _heater_pair(seen: Watched) -> Outcome:
    hot = seen.hot
    drop = hot.at(hot.heater_in - hot.heater_out, np.array([IDLE_END]))[0]
    return (PredictedReading(drop, HOSE), PredictedReading(hot.at(hot.heater_out, np.array([FAST_END]))[0], HOSE))


def _vent(seen: Watched) -> Outcome:
    return (PredictedReading(seen.hot.at(seen.hot.vent, np.array([FAST_END]))[0], VENT),)


def _radiator_pair(seen: Watched) -> Outcome:
    hot = seen.hot
    return (
        PredictedReading(hot.upper_hose[-1] - hot.ambient, HOSE),
        PredictedReading(hot.lower_hose[-1] - hot.ambient, HOSE),
    )


def _pot(seen: Watched) -> Outcome:
    record = seen.record
    there = record.states[VisibleState.VALVE_GONE] < 0.5
    early = PredictedReading(np.where(there, record.rating - record.opens, 60.0), 2.0)
    return (early, FACTS["thermostat_opens_hot"](record), FACTS["thermostat_open_when_cold"](record))


CHECKS: tuple[HandCheck, ...] = (
    HandCheck(
        "level_and_bubbles",
        2.0,
        _facts("level_low", "bubbles_when_running"),
        ("level_low", "bubbles_when_running"),
        first_for=("",),
    ),
    HandCheck(
        "cold_pressure_test",
        12.0,
        _facts("pressure_held_cold", "coolant_leak"),
        ("pressure_held_cold", "coolant_leak"),
        first_for=("loss of coolant",),
    ),
    HandCheck(
        "combustion_gas_test", 10.0, _facts("combustion_gas_found"), ("combustion_gas_found",), first_for=_HOT_REASONS
    ),
    HandCheck("cap_test", 4.0, _facts("cap_holds_pressure"), ("cap_holds_pressure",), ("cap_opens",)),
    HandCheck("refractometer", 3.0, _mixture, (), ("freezing_point", "concentration")),
    HandCheck("belt_and_pump_drive", 3.0, _facts("belt_drives_pump"), ("belt_drives_pump",)),
    HandCheck(
        "upper_hose_while_warming",
        4.0,
        _passing("upper_hose"),
        ("upper_hose_warms_early",),
        ("upper_hose",),
        record_valve="outlet",
    ),
    HandCheck("lower_hose_while_warming", 4.0, _passing("lower_hose"), (), ("lower_hose",), record_valve="inlet"),
    HandCheck("thermometer_at_outlet_neck", 4.0, _neck, spots=(AT_THE_NECK,)),
    HandCheck(
        "heater_hose_pair", 6.0, _heater_pair, ("heater_hoses_both_hot",), ("heater_inlet_hose", "heater_outlet_hose")
    ),
    HandCheck("vent_at_full_hot", 3.0, _vent, ("vent_cold",), ("vent",)),
    HandCheck("radiator_hose_pair_hot", 5.0, _radiator_pair, ("lower_hose_cold_when_hot",), ("lower_hose",)),
    HandCheck(
        "fan_commanded",
        4.0,
        _facts("fan_runs_when_hot", "fan_runs_always", "fan_blows_backward"),
        ("fan_runs_when_hot", "fan_runs_always", "fan_blows_backward"),
    ),
    HandCheck(
        "radiator_face_and_shutter",
        3.0,
        _facts("face_dirty", "shutter_closed", "seals_missing"),
        ("face_dirty", "shutter_closed", "seals_missing"),
    ),
    HandCheck("heater_hoses_followed", 3.0, _facts("heater_hoses_swapped"), ("heater_hoses_swapped",)),
    HandCheck(
        "valve_out_and_looked_at_cold",
        35.0,
        _facts("thermostat_open_when_cold", "thermostat_missing"),
        ("thermostat_open_when_cold", "thermostat_missing"),
    ),
    HandCheck(
        "valve_in_a_pot_of_water",
        55.0,
        _pot,
        ("thermostat_opens_hot", "thermostat_open_when_cold"),
        ("valve_starts", "valve_open"),
    ),
)


def run_of_checks(case: Case, record: Record, ambient: Array, start: float) -> Drive:
    """Ten minutes of idle, five at 2,500 rpm, fifteen of idle, heater on full, from coolant at ``start`` [K]."""

    def step(n: Array | None, seconds: float) -> ScheduleStep:
        return ScheduleStep(
            engine_speed=n, vehicle_speed=np.zeros(1), driving=None, heater="high", duration=np.full(1, seconds)
        )

    schedule = (step(None, IDLE_END), step(np.full(1, FAST), FAST_END - IDLE_END), step(None, RUN_END - FAST_END))
    ran = np.full(1, share_run(case.heater.coolant_heater, record.auxiliary_heater))
    duty = conditions_of(case.duties[:1])
    first = duty.of_another_day().replace(ambient=ambient, coolant_heater=ran)
    return scheduled_drive(first, replace(record, schedule=schedule), np.full(1, start), CHECK_STEP)


def check_values(seen: Watched, done: Container[str], side: str, reason: str) -> tuple[CheckValue, ...]:
    """Every check that is not done yet, those that come first whatever the odds ahead, then by bits for a minute.

    ``done`` holds facts and spots that were answered; ``side`` where the valve sits.
    """
    found = []
    for check in CHECKS:
        answered = bool(check.answers) and (check.answers[0] in done or all(fact in done for fact in check.answers))
        if answered or any(spot in done for spot in check.spots) or check.record_valve not in ("", side):
            continue
        bits = information(check.outcome(seen), seen.cause, seen.weight)
        found.append(CheckValue(check.key, bits, check.minutes, "" in check.first_for or reason in check.first_for))
    return tuple(sorted(found, key=lambda v: (not v.first, -v.rate)))


def information(outcome: Outcome, cause: NDArray[np.int64], weight: Array) -> float:
    """Mutual information [bits] of cause and result. ``weight`` sums to 1."""
    joint = np.ones((len(weight), 1))
    for part in outcome:
        bins = _binned(part, weight) if isinstance(part, PredictedReading) else np.stack((part, 1.0 - part), axis=1)
        joint = (joint[:, :, None] * bins[:, None, :]).reshape(len(weight), -1)
    numbers = np.unique(cause)
    of_cause = np.array([(weight[cause == c, None] * joint[cause == c]).sum(axis=0) for c in numbers])  # P(c, r)
    p_cause, p_result = of_cause.sum(axis=1, keepdims=True), of_cause.sum(axis=0, keepdims=True)
    some = of_cause > 1e-15
    terms = of_cause[some] * np.log2(of_cause[some] / (p_cause * p_result)[some])
    return float(max(terms.sum(), 0.0))


def _binned(part: PredictedReading, weight: Array) -> Array:
    """Probability of each bin in each member; the bins hold equal shares of all members."""
    order = np.argsort(part.value)
    share = np.cumsum(weight[order])
    edges = np.interp(np.arange(1, BINS) / BINS, share, part.value[order])
    below = normal_share((edges[None] - part.value[:, None]) / part.noise)
    full = np.concatenate((np.zeros((len(weight), 1)), below, np.ones((len(weight), 1))), axis=1)
    return np.asarray(np.clip(np.diff(full, axis=1), 0.0, 1.0))
