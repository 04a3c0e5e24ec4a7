"""A lap or work cycle as a curve, and the heat-soak after the stop.

Legs follow one another until a whole cycle ends where it began (:mod:`engcalc.studies.duties.course`). The heat-soak
goes on from the end of the last leg, by the same steps.
"""

from __future__ import annotations

import copy
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from engcalc.case.case import Case, frozen_array
from engcalc.case.conditions import FAN_MODE, NOT_GIVEN, conditions_of
from engcalc.errors import InputError, InputFault
from engcalc.studies.duties.course import DutyChain, LegsInTime, chains, run_legs
from engcalc.studies.members import solve_duties
from engcalc.studies.sweeps import duty_name
from engcalc.system.in_time.fan_cycle import under
from engcalc.system.in_time.legs import run_leg
from engcalc.system.in_time.step_state import State
from engcalc.system.plant import prepare
from engcalc.system.state import OperatingPoint
from engcalc.units import Array
from engcalc.words.texts import shared_texts, study_texts

SOAK_TIME = 1800.0  # s that a stop is followed; the peak comes within the first minutes
ELECTRIC_FANS = ("electric", "two-stage electric", "PWM electric")


@dataclass(frozen=True)
class Leg:
    """One stretch: which duty of the case, for how long [s]."""

    duty_index: int
    duration: float


@dataclass(frozen=True, eq=False)
class LegResult:
    """One leg of the last cycle; temperatures of the engine outlet in K. ``settled`` is its steady value, if any."""

    leg: Leg
    name: str
    start: float
    end: float
    peak: float
    mean: float
    limit: float
    settled: float | None

    @property
    def margin(self) -> float:
        """Limit less peak [K]."""
        return self.limit - self.peak


@dataclass(frozen=True, eq=False)
class Soak:
    """After the stop, the engine off. ``peak`` [K] of the coolant in the engine, ``time`` [s], T [K]."""

    peak: float
    boiling: float
    time: Array
    coolant: Array

    @property
    def boils(self) -> bool:
        """Whether the coolant that stands in the engine reaches its boiling point."""
        return self.peak >= self.boiling

    @property
    def peak_after(self) -> float:
        """Time from the stop to the peak [s]."""
        return float(self.time[int(np.argmax(self.coolant))])


@dataclass(frozen=True, eq=False)
class Cycle:
    """The last cycle; ``time`` [s] from its start and ``coolant`` [K], both of shape (n,).

    ``repeats``: a lap or work cycle; else the legs were run once. ``closed``: it ended where it began, after
    ``cycles``. ``boils``: somewhere the boiling point was reached, where the temperature is held. ``soak``: all stands
    after the stop; ``soak_with_fan``: fan and an electric pump run on, None of a fan that is not electric.
    """

    legs: tuple[LegResult, ...]
    time: Array
    coolant: Array
    peak: float
    mean: float
    cycles: int
    repeats: bool
    closed: bool
    boils: bool
    soak: Soak
    soak_with_fan: Soak | None


def courses(case: Case) -> tuple[Cycle, ...]:
    """Every lap, work cycle or run of duties that follow one another with durations, as its curve."""
    return tuple(_of_chain(case, chain) for chain in chains(case.duties) if _is_a_cycle(case, chain))


def _is_a_cycle(case: Case, chain: DutyChain) -> bool:
    return len(chain.duties) > 1 and all(case.duties[i].duration is not None for i in chain.duties)


def _of_chain(case: Case, chain: DutyChain) -> Cycle:
    return cycle(case, legs_of(case, chain.duties), repeat=chain.repeats)


def legs_of(case: Case, duty_indices: Sequence[int]) -> tuple[Leg, ...]:
    """Legs from duties that give their duration. Raises InputError naming every one that does not exist or has none."""
    faults = []
    legs = []
    for i in duty_indices:
        if not 0 <= i < len(case.duties):
            faults.append(
                InputFault("duties", str(i + 1), shared_texts.NUMBER_OF_A_DUTY.format(duties_count=len(case.duties)))
            )
            continue
        duration = case.duties[i].duration
        if duration is None:
            faults.append(InputFault(f"duties[{i}].duration", "", study_texts.LEG_OF_A_CYCLE_NEEDS_ITS_DURATION))
        else:
            legs.append(Leg(i, float(duration[0])))
    if not duty_indices:
        faults.append(InputFault("duties", "", study_texts.AT_LEAST_ONE_DUTY_WITH_A_DURATION_WOULD_DO))
    if faults:
        raise InputError(tuple(faults))
    return tuple(legs)


def cycle(case: Case, legs: Sequence[Leg], *, repeat: bool = True) -> Cycle:
    """Run through the legs again and again until the cycle closes; once only with ``repeat`` False.

    It begins at what light running leaves. ``case`` has one member.
    """
    asked = [conditions_of((case.duties[leg.duty_index],)) for leg in legs]
    found = run_legs(prepare(case), asked, [leg.duration for leg in legs], repeats=repeat)
    how = found.rounds, repeat, bool(found.closed[0]), bool(found.reached.boiled.any())
    return _result(case, legs, found, how)


def _result(case: Case, legs: Sequence[Leg], found: LegsInTime, how: tuple[int, bool, bool, bool]) -> Cycle:
    """The lap as it was run, with the stop after it; ``how`` says how often, and whether it came round."""
    point = solve_duties(case)
    last = legs[-1].duty_index
    electric = case.airflow.fan_drive in ELECTRIC_FANS and float(case.airflow.fan_count[0]) > 0.0
    with_fan = soak(case, last, found.ends, runs_on=True) if electric else None
    results = [_leg_result(case, leg, found, k, point) for k, leg in enumerate(legs)]
    begins = np.cumsum([0.0, *(leg.duration for leg in legs)])
    pieces = zip(begins[:-1], found.traces, strict=True)
    time = np.concatenate([begin + piece[:, 0] for begin, piece in pieces])
    coolant = np.concatenate([piece[:, 1] for piece in found.traces])
    mean = sum(result.mean * result.leg.duration for result in results) / float(begins[-1])
    peak = float(found.reached.peak.max())
    stands = soak(case, last, found.ends)
    return Cycle(tuple(results), frozen_array(time), frozen_array(coolant), peak, mean, *how, stands, with_fan)


def _leg_result(case: Case, leg: Leg, found: LegsInTime, k: int, settled: OperatingPoint) -> LegResult:
    """What the k-th leg went through, with where its duty would settle."""
    t, T = found.traces[k].T
    i = leg.duty_index
    duty = case.duties[i]
    limit = case.limits.coolant_limit if duty.limit is None else duty.limit
    return LegResult(
        leg,
        duty_name(case, i),
        float(T[0]),
        float(T[-1]),
        float(found.reached.peak[k, 0]),
        _mean(t, T),
        min(float(limit[0]), float(settled.boiling[i])),
        float(settled.coolant_out[i]) if bool(settled.solved[i]) else None,
    )


def _mean(t: Array, T: Array) -> float:
    """Mean over time, by trapezia; where nothing takes time, the value."""
    if t[-1] <= t[0]:
        return float(T[0])
    between = 0.5 * (T[1:] + T[:-1])
    lasts = t[-1] - t[0]
    return float(np.sum(between * np.diff(t)) / lasts)


def soak(case: Case, duty_index: int, begins: State, duration: float = SOAK_TIME, *, runs_on: bool = False) -> Soak:
    """Heat-soak after a stop out of a duty, on from the state at its end: engine, pump, fan and blower stand.

    By the steps of the legs: what the hot metal holds warms the coolant in the engine within a minute, then block and
    surface take it. Held at boiling. ``runs_on``: the fan is held on, and a pump that is electric turns.
    """
    zero = np.zeros(1)
    absent = np.full(1, NOT_GIVEN)
    asked = conditions_of((case.duties[duty_index],)).with_engine_standing()
    stopped = asked.replace(
        vehicle_speed=zero,
        headwind=zero,
        fan_mode=np.full(1, FAN_MODE["on" if runs_on else "off"]),
        heater_air_share=zero,
        coolant_heater=zero,
        coolant_flow=absent,
        air_velocity=absent,
    )
    plant = prepare(case if runs_on else _with_pump_on_belt(case))
    fixed = under(plant, stopped, 1)
    trace = [(0.0, float(begins.T))]
    reached = run_leg(fixed, copy.copy(begins), duration, trace)
    time, coolant = np.array(trace).T
    return Soak(float(reached.peak), float(fixed.lumps.boiling), frozen_array(time), frozen_array(coolant))


def _with_pump_on_belt(case: Case) -> Case:
    """The case with a pump that stands whenever the engine does."""
    return replace(case, circuit=replace(case.circuit, pump_drive="belt"))
