"""A lap or work cycle that repeats, and the heat-soak after the stop: one lump of metal and coolant over the balance.

    C dT/dt = Q_metal + Q_extra - Q_surface - Q_radiator - Q_heater,   C = m_metal c_metal + V rho cp

T is the engine outlet. The right side is the heat balance of the steady solver (``engcalc.system.balance``), tabulated
once over temperature for each leg and fan state and read along straight lines. An electric fan switches at its two
temperatures; the valve follows its warming line without lag or play. Legs follow one another until a whole cycle ends
where it began. This is meant for a hot engine; the warm-up from cold has a model with more states of its own.

Steps are exponential (Rosenbrock-Euler: exact where the balance is a straight line), so that they are stable however
steep the thermostat's line is.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from engcalc.case.case import Case, frozen_array
from engcalc.components.fan import FanDrive
from engcalc.errors import Fault, InputError
from engcalc.studies.members import solve_duties
from engcalc.studies.sweeps import duty_name
from engcalc.system.balance import AirPart, Setting, air_part, balance, prepare_setting
from engcalc.system.plant import Plant, prepare
from engcalc.system.state import conditions_of
from engcalc.units import Array

STEP = 1.0  # s
GRID = 241  # temperatures of the table: steps of about half a kelvin
CLOSED = 0.05  # K; a cycle that ends this near to its start has closed
MOST_CYCLES = 200
HOT_COOLANT_T = 363.15  # K; at which the coolant's capacity counts
SUPERHEAT = 20.0  # K; mean of the metal over the coolant at rated power; common practice, no source
IN_ENGINE = 0.5  # -; share of the coolant that stands in the engine after the stop; common practice, no source


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
    """After the stop: engine off, no pump, no fan. ``peak`` [K] of the coolant in the engine, ``time`` [s], T [K]."""

    peak: float
    boiling: float
    time: Array
    coolant: Array

    @property
    def boils(self) -> bool:
        """Whether the coolant that stands in the engine reaches its boiling point."""
        return self.peak >= self.boiling


@dataclass(frozen=True, eq=False)
class Cycle:
    """The last cycle; ``time`` [s] from its start and ``coolant`` [K], both of shape (n,).

    ``closed``: it ended where it began, after ``cycles``. ``boils``: somewhere the boiling point was reached, where the
    temperature is held.
    """

    legs: tuple[LegResult, ...]
    time: Array
    coolant: Array
    peak: float
    mean: float
    cycles: int
    closed: bool
    boils: bool
    soak: Soak


@dataclass(frozen=True, eq=False)
class _Table:
    """Surplus heat [W] over temperature: ``low`` [K], ``step`` [K], rows (fan off, fan on) by leg, on the grid."""

    low: float
    step: float
    surplus: Array  # (2, legs, GRID)
    boiling: Array  # K, by leg


def legs_of(case: Case, duty_indices: Sequence[int]) -> tuple[Leg, ...]:
    """Legs from duties that give their duration. Raises InputError naming every one that does not exist or has none."""
    faults, legs = [], []
    for i in duty_indices:
        if not 0 <= i < len(case.duties):
            faults.append(Fault("duties", str(i + 1), f"the number of a duty, 1 to {len(case.duties)}, would do"))
            continue
        duration = case.duties[i].duration
        if duration is None:
            faults.append(Fault(f"duties[{i}].duration", "", "a leg of a cycle needs its duration"))
        else:
            legs.append(Leg(i, float(duration[0])))
    if not duty_indices:
        faults.append(Fault("duties", "", "at least one duty with a duration would do"))
    if faults:
        raise InputError(tuple(faults))
    return tuple(legs)


def cycle(case: Case, legs: Sequence[Leg], *, start: float | None = None, repeat: bool = True) -> Cycle:
    """Run through the legs again and again until the cycle closes; once only with ``repeat`` False.

    ``start`` [K] is the engine outlet at first, by default the valve's rating. ``case`` has one member.
    """
    plant = prepare(case)
    setting = prepare_setting(plant, conditions_of([case.duties[leg.duty_index] for leg in legs]))
    table, C = _tabulate(setting), capacity(plant)
    T, on = float(plant.rating[0]) if start is None else start, False
    count, closed, boils = 0, False, False
    while not closed and count < (MOST_CYCLES if repeat else 1):
        begin = T
        pieces = []
        for k, leg in enumerate(legs):
            temperatures, on, boiled = _run(table, k, leg.duration, T, on, setting, C)
            pieces.append(temperatures)
            T, boils = float(temperatures[-1]), boils or boiled
        count, closed = count + 1, abs(T - begin) < CLOSED
    return _result(case, legs, pieces, count, closed, boils, soak(case, legs[-1].duty_index, T))


def capacity(plant: Plant) -> float:
    """Heat capacity [J/K] of metal and coolant."""
    state = plant.coolant.state(np.full(1, HOT_COOLANT_T))
    return float((plant.metal_capacity + plant.coolant_volume * state.rho * state.cp)[0])


def _tabulate(setting: Setting) -> _Table:
    """The balance of every leg over temperature, with the fan off and on."""
    legs = setting.shape[0]
    low, high = float(setting.conditions.ambient.min()) - 1.0, float(setting.boiling.max())
    trial = np.linspace(low, high, GRID)
    x = np.broadcast_to(trial[:, None], (GRID, legs))
    rows = []
    for fixed in _fan_states(setting):
        b = balance(setting, x, fixed)
        T, surplus = np.broadcast_to(b.coolant_out, x.shape), np.broadcast_to(b.residual, x.shape)
        rows.append([np.interp(trial, T[:, k], surplus[:, k]) for k in range(legs)])
    return _Table(low, float(trial[1] - trial[0]), np.array(rows), setting.boiling)


def _fan_states(setting: Setting) -> tuple[tuple[Array, AirPart] | None, ...]:
    """Off and on; twice the same where no switch turns the fan. None lets a clutch follow the coolant."""
    fan, mode = setting.plant.airway.fan, np.broadcast_to(setting.conditions.fan_mode, setting.shape)
    if fan.drive is FanDrive.VISCOUS:
        return None, None
    held = np.where(mode < 0.0, 0.0, 1.0)
    off = np.where(mode == 0.0, 0.0, held) if fan.drive is FanDrive.ELECTRIC else held
    return tuple((e, air_part(setting, e)) for e in (off, held))


def _run(table: _Table, k: int, duration: float, T: float, on: bool, setting: Setting, C: float
         ) -> tuple[Array, bool, bool]:
    """Temperatures at the start and after each step of one leg, the fan's state at its end, whether it boiled."""
    fan = setting.plant.airway.fan
    T_on, T_off, boiling = float(fan.on_temperature[0]), float(fan.off_temperature[0]), float(table.boiling[k])
    steps = max(1, math.ceil(duration / STEP))
    h, boiled = duration / steps, False
    temperatures = np.empty(steps + 1)
    temperatures[0] = T
    rows = table.surplus[:, k]
    for i in range(steps):
        on = T_on <= T or (on and T_off < T)
        row = rows[int(on)]
        at = min(max((T - table.low) / table.step, 0.0), GRID - 1.001)
        j = int(at)
        slope = (row[j + 1] - row[j]) / table.step
        z = slope * h / C
        grown = math.expm1(z) / z if abs(z) > 1e-9 else 1.0
        T += (row[j] + slope * (at - j) * table.step) * h / C * grown
        if boiling <= T:
            T, boiled = boiling, True
        temperatures[i + 1] = T
    return temperatures, on, boiled


def _result(case: Case, legs: Sequence[Leg], pieces: Sequence[Array], count: int, closed: bool, boils: bool, after: Soak
            ) -> Cycle:
    point = solve_duties(case)
    results, time, begin = [], [], 0.0
    for leg, T in zip(legs, pieces, strict=True):
        duty, i = case.duties[leg.duty_index], leg.duty_index
        limit = case.limits.coolant_limit if duty.limit is None else duty.limit
        settled = float(point.coolant_out[i]) if bool(point.solved[i]) else None
        results.append(LegResult(leg, duty_name(case, i), float(T[0]), float(T[-1]), float(T.max()), _mean(T),
                                 min(float(limit[0]), float(point.boiling[i])), settled))
        time.append(begin + np.linspace(0.0, leg.duration, T.size))
        begin += leg.duration
    coolant = frozen_array(np.concatenate(pieces))
    mean = sum(r.mean * r.leg.duration for r in results) / begin
    return Cycle(tuple(results), frozen_array(np.concatenate(time)), coolant, float(coolant.max()), mean, count, closed,
                 boils, after)


def _mean(T: Array) -> float:
    """Mean over even steps, by trapezia."""
    return float((T.sum() - 0.5 * (T[0] + T[-1])) / (T.size - 1))


def soak(case: Case, duty_index: int, coolant: float, duration: float = 1800.0) -> Soak:
    """Heat-soak after a stop out of a duty with the engine outlet at ``coolant`` [K]: closed form.

    The metal stands over the coolant in proportion to the heat that passes it (``SUPERHEAT`` at rated power). With the
    pump at rest that heat spreads into the coolant in the engine at once, and both then lose it through the engine's
    surface: T = T_amb + (T_peak - T_amb) exp(-UA t/C). The rise is the highest that this heat can give.
    """
    plant = prepare(case)
    duty = case.duties[duty_index]
    setting = prepare_setting(plant, conditions_of((duty,)))
    at = balance(setting, np.full(1, coolant), _fan_states(setting)[1])
    rated = plant.engine.fuel_rated * plant.engine.share_rated
    state = plant.coolant.state(np.full(1, HOT_COOLANT_T))
    C_metal, C_coolant = plant.metal_capacity, IN_ENGINE * plant.coolant_volume * state.rho * state.cp
    over = SUPERHEAT * at.engine.heat_to_metal / rated
    C = float((C_metal + C_coolant)[0])
    peak = coolant + float((C_metal * over)[0]) / C
    time = np.linspace(0.0, duration, 181)
    ambient = float(duty.ambient[0])
    T = ambient + (peak - ambient) * np.exp(-float(plant.surface_conductance[0]) * time / C)
    return Soak(peak, float(setting.boiling[0]), frozen_array(time), frozen_array(T))
