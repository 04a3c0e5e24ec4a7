"""The steady operating point of the coupled system: every duty of a case, or every member of an ensemble, at once.

The wax temperature is bracketed between 5 K under ambient and the boiling point; the heat balance of ``balance``
falls between them, so that there is one root. All fan states and both hysteresis branches are solved in one batch:

- an electric fan on its own control is solved off and on, one of two stages off, low and high. Off stands if it stays
  under the temperature where the fan comes on; on stands if it stays over the one where it goes off; else the fan
  cycles between the two. So do low and high about theirs. An air conditioning that runs keeps the fan on, or at its
  low speed, at least. Of a cycle its mean state is answered: the engine's outlet by its mean over the cycle
  (``fan_cycle``), and the steady share of fan that holds
  it there.
- with hysteresis the warming branch is answered, the span says where the cooling branch would settle.
- where the heat is not carried off below boiling, the numbers are those at boiling, and the time to boiling follows
  from the capacity of metal and coolant, the surplus falling on a straight line in temperature.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from engcalc.case.conditions import Conditions
from engcalc.components.core import CoreFlows, CoreResult, evaluate
from engcalc.components.fan import FanDrive
from engcalc.components.shapes import shaped
from engcalc.components.thermostat import ThermostatSide, raw_lift
from engcalc.system.balance import Balance, Held, Setting, balance, held_at, prepare_setting
from engcalc.system.fan_cycle import Begin, fan_cycle
from engcalc.system.members import take_members
from engcalc.system.plant import Plant
from engcalc.system.roots import falling_root
from engcalc.system.state import REGIMES, STATUSES, OperatingPoint, Regime, Status
from engcalc.system.upstream import warmed_by
from engcalc.units import Array

BELOW_AMBIENT = 5.0  # K; lower end of the bracket: nothing here cools the coolant under ambient
_ENOUGH = 1e-8  # of the heat, some 1e-6 K; residual at which a member counts as converged
_TINY_RATE = 1e-9  # W/K; keeps a quotient finite where no coolant flows
_SAME = 1e-6  # K; slack of comparisons with the boiling point

Fixed = Held | None
Mask = NDArray[np.bool_]


@dataclass(frozen=True, eq=False)
class _Choice:
    """Which of the solved states stands, per member."""

    x: Array
    fixed: Fixed
    cycling: Mask
    on_share: Array
    boils: Mask
    span_low: Array
    span_high: Array


def solve(plant: Plant, conditions: Conditions) -> OperatingPoint:
    """The operating point of each member: one for each duty, or for each member of an ensemble.

    Plant and conditions broadcast together. Every member has a status; no number is NaN.
    """
    setting = prepare_setting(plant, conditions)
    choice = _choose(setting)
    return _answer(setting, choice)


def _states(setting: Setting) -> tuple[Fixed, Mask]:
    """Fan engagements to be solved, (states, members), rising, and which members have a fan that switches by itself."""
    fan, mode = setting.plant.airway.fan, shaped(setting.conditions.fan_mode, setting.shape)
    auto = (mode == 0.0) & fan.drive.switches & (fan.blows > 0.0)
    if fan.drive.follows:
        return None, np.zeros(setting.shape, bool)
    held = np.where(mode < 0.0, 0.0, 1.0)
    if not auto.any():
        return held_at(setting, held[None]), auto
    off = np.where(auto, setting.fan_least, held)
    if fan.drive is FanDrive.TWO_STAGE:
        low = np.where(auto, np.maximum(fan.low_speed, setting.fan_least), held)
        return held_at(setting, np.stack((off, low, held))), auto
    return held_at(setting, np.stack((off, held))), auto


def _choose(setting: Setting) -> _Choice:
    plant, shape, boil = setting.plant, setting.shape, setting.boiling
    fixed, auto = _states(setting)
    states = 1 if fixed is None else fixed[0].shape[0]
    play = plant.valve.present and bool(np.any(plant.valve.hysteresis > 0.0))
    below = _branches(setting) if play else np.zeros((1, 1, *shape))
    full = (below.shape[0], states, *shape)
    low = shaped(setting.conditions.ambient - BELOW_AMBIENT, full)
    high = shaped(boil, full)
    bends = tuple(shaped(T - below, full) for T in (plant.valve.start, plant.valve.full))

    def some(index: NDArray[np.intp]) -> Callable[[Array], Array]:
        part, held, shift = take_members((setting, fixed, below), index, shape[0])
        narrowed = replace(part, shape=index.shape)
        return lambda t: balance(narrowed, t, held, shift).residual

    root = falling_root(
        lambda t: balance(setting, t, fixed, below).residual, low, high, _ENOUGH * setting.scale, bends, some
    )
    x = root.x
    T = x if plant.valve.side is ThermostatSide.OUTLET else balance(setting, x, fixed, below).coolant_out
    boils = (root.at_high > 0.0) | (boil - _SAME < T)
    T = np.where(boils, boil, T)
    state, cycles = _fan_state(setting, T[0], auto)
    pick = state[None]

    def chosen(values: Array) -> Array:
        return np.asarray(np.take_along_axis(values, pick, axis=0)[0])

    held = None if fixed is None else held_at(setting, chosen(fixed[0]))
    choice = _Choice(
        chosen(x[0]),
        held,
        np.zeros(shape, bool),
        _share(setting, held),
        np.take_along_axis(boils[0], pick, axis=0)[0],
        chosen(T[-1]),
        chosen(T[0]),
    )
    if fixed is not None and cycles.any():
        choice = _cycling(setting, choice, cycles, _Pair.of(setting, state, fixed[0], x[0]))
    return _at_boiling(setting, choice) if choice.boils.any() else choice


def _branches(setting: Setting) -> Array:
    """Shift of the valve's line [K], (2, 1, members): warming and cooling."""
    h = np.broadcast_to(setting.plant.valve.hysteresis, setting.shape)
    return np.stack((np.zeros(setting.shape), h))[:, None]


def _share(setting: Setting, fixed: Fixed) -> Array:
    """Share of the time that the fan runs: 0 or 1, but of what follows a temperature (see ``_answer``)."""
    runs = np.asarray(shaped(setting.plant.airway.fan.blows, setting.shape))
    return runs if fixed is None else runs * (fixed[0] > 0.0)


def _fan_state(setting: Setting, T: Array, auto: Mask) -> tuple[NDArray[np.int64], Mask]:
    """Which state stands, and whether it cycles between that one and the next, from the engine's outlet in each."""
    count, fan = T.shape[0], setting.plant.airway.fan
    state, cycles = np.where(auto, 0, count - 1), np.zeros(setting.shape, bool)
    switches = ((fan.on_temperature, fan.off_temperature), (fan.high_on, fan.high_off))
    for k, (on, off) in enumerate(switches[: count - 1]):
        kept = auto & (setting.fan_least > 0.0) & (k == 0)  # the air conditioning keeps it on
        comes_on = auto & (state == k) & ~cycles & ((on <= T[k]) | kept)
        stays = comes_on & ((T[k + 1] > off) | kept)
        state = np.where(stays, k + 1, state)
        cycles = cycles | (comes_on & ~stays)
    return np.asarray(state, np.int64), cycles


@dataclass(frozen=True, eq=False)
class _Pair:
    """The two engagements between which a fan switches, and at which temperatures; arrays (members,)."""

    low: Array  # -, the lower engagement
    high: Array
    x_low: Array  # K, wax, where the plant would settle with the higher engagement: the lower temperature
    x_high: Array  # K, with the lower
    on: Array  # K, engine outlet
    off: Array

    @classmethod
    def of(cls, setting: Setting, state: NDArray[np.int64], engagements: Array, x: Array) -> _Pair:
        """That of the state and the next."""
        fan, n = setting.plant.airway.fan, setting.shape
        after = np.minimum(state + 1, len(engagements) - 1)
        low, high = (
            np.take_along_axis(np.broadcast_to(engagements, (len(engagements), *n)), k[None], 0)[0]
            for k in (state, after)
        )
        x_high, x_low = (np.take_along_axis(x, k[None], 0)[0] for k in (state, after))
        first = state == 0
        return cls(
            low,
            high,
            x_low,
            x_high,
            np.where(first, fan.on_temperature, fan.high_on),
            np.where(first, fan.off_temperature, fan.high_off),
        )


def _cycling(setting: Setting, choice: _Choice, cycles: Mask, pair: _Pair) -> _Choice:
    """Members whose fan cycles: the mean of their cycle, and the engagement that would hold it."""
    index = np.flatnonzero(cycles)
    part, own, fixed = take_members((setting, pair, choice.fixed), index, setting.shape[0])
    part = replace(part, shape=index.shape)
    wax = _wax_at(part, own.on, fixed, own.x_low, own.x_high)
    state = balance(part, wax, held_at(part, own.low))
    found = fan_cycle(part, Begin(wax, state, 0.5 * (own.on + own.off), own.low, own.on, own.off))
    x = np.clip(_wax_at(part, found.mean, fixed, own.x_low, own.x_high), own.x_low, own.x_high)
    e = falling_root(lambda t: balance(part, x, held_at(part, t)).residual, own.low, own.high, _ENOUGH * part.scale).x
    assert choice.fixed is not None  # only a fan that switches cycles

    def put(values: Array, own: Array) -> Array:
        whole = np.array(np.broadcast_to(values, setting.shape))
        whole[index] = own
        return whole

    return _Choice(
        put(choice.x, x),
        held_at(setting, put(choice.fixed[0], e)),
        cycles,
        put(choice.on_share, found.on_share),
        choice.boils & ~cycles,
        put(choice.span_low, found.low),
        put(choice.span_high, found.high),
    )


def _wax_at(setting: Setting, T_out: Array, fixed: Fixed, low: Array, high: Array) -> Array:
    """Wax temperature [K] at which the engine's outlet has ``T_out`` [K]: the same for a valve at the outlet.

    For one at the inlet it lies between ``low`` and ``high`` [K].
    """
    if setting.plant.valve.side is ThermostatSide.OUTLET:
        return T_out
    return falling_root(
        lambda t: T_out - balance(setting, t, fixed).coolant_out, low, high, np.full(setting.shape, _SAME / 1e3)
    ).x


def _at_boiling(setting: Setting, choice: _Choice) -> _Choice:
    low = np.broadcast_to(setting.conditions.ambient - BELOW_AMBIENT, setting.shape)
    at_boiling = _wax_at(setting, setting.boiling, choice.fixed, low, setting.boiling)
    x = np.where(choice.boils, np.where(setting.still, setting.boiling, at_boiling), choice.x)
    return _Choice(x, choice.fixed, choice.cycling, choice.on_share, choice.boils, choice.span_low, choice.span_high)


def _answer(setting: Setting, choice: _Choice) -> OperatingPoint:
    plant, shape = setting.plant, setting.shape
    b = balance(setting, choice.x, choice.fixed)
    core = _core(setting, b)
    still = setting.still
    status = _status(setting, b, choice, still)
    solved = status == STATUSES.index(Status.SOLVED)
    taken = core.Q + b.heater.heat + b.hose_heat - b.coolant_heater - b.hot_tank_heat - b.cold_tank_heat
    C_r = b.effective_rho * b.flows.radiator * b.coolant.cp
    returned = b.coolant_out - np.where(still, 0.0, taken / np.where(b.C > 0.0, b.C, 1.0))
    residual = b.engine.heat_to_metal + b.engine.extra_heat - b.surface_heat - taken
    heater_in, heater_out = _heater_hoses(b)
    fan_drives = np.maximum(b.air.point.fan_pressure, 0.0)
    driving = fan_drives + setting.nodes.ram_pressure
    values: dict[str, Array] = {
        "engine_speed": b.engine_speed,
        "brake_power": b.engine.brake_power,
        "accessory_power": b.engine.accessory_power,
        "fuel_power": b.engine.fuel_power,
        "heat_to_metal": b.engine.heat_to_metal,
        "heat_exhaust": b.engine.heat_exhaust,
        "heat_rest": b.engine.heat_rest,
        "extra_heat": b.engine.extra_heat,
        "coolant_heater_heat": b.coolant_heater,
        "surface_heat": b.surface_heat,
        "heat_to_coolant": taken,
        "radiator_heat": core.Q,
        "heater_heat": b.heater.heat,
        "hose_heat": b.hose_heat,
        "auxiliary_heat": b.heater.auxiliary,
        "energy_residual": residual,
        "coolant_mass_flow": b.effective_rho * b.flows.engine,
        "radiator_mass_flow": b.effective_rho * b.flows.radiator,
        "heater_mass_flow": b.effective_rho * b.flows.heater,
        "bypass_mass_flow": b.effective_rho * b.flows.bypass,
        "coolant_density": b.effective_rho,
        "pump_head": b.flows.head,
        "jacket_drop": b.flows.jacket_drop,
        "branch_drop": b.flows.branch_drop,
        "valve_drop": b.flows.valve_drop,
        "air_velocity": b.air.point.velocity,
        "air_mass_flow": setting.air.fluid.rho * b.air.point.velocity * plant.core.face,
        "fan_flow": b.air.point.fan_flow,
        "fan_pressure": b.air.point.fan_pressure,
        "ram_pressure": setting.nodes.ram_pressure,
        "fan_share": fan_drives / np.maximum(driving, 1e-12),
        "on_share": choice.on_share * (b.engagement > 0.0),
        "fan_speed": b.engagement * plant.airway.fan.blows,
        "air_in": b.air_in,
        "air_out": b.air_out,
        "upstream_heat": warmed_by(setting.ahead, b.air.C) * b.air.C,
        "coolant_out": b.coolant_out,
        "coolant_in": returned,
        "radiator_out": core.T_coolant_out,
        "tank_out": core.T_coolant_out + b.cold_tank_heat / (C_r + _TINY_RATE),
        "hot_tank_heat": b.hot_tank_heat,
        "cold_tank_heat": b.cold_tank_heat,
        "heater_in": heater_in,
        "heater_out": heater_out,
        "coolant_rise": b.coolant_out - returned,
        "wax": choice.x,
        "opening": b.opening,
        "opens_at": plant.valve.start,
        "span_low": np.minimum(choice.span_low, choice.span_high),
        "span_high": np.maximum(choice.span_low, choice.span_high),
        "vent": b.heater.vent,
        "cabin": b.heater.cabin,
        "boiling": setting.boiling,
        "time_to_boil": _time_to_boil(setting, choice, residual, solved),
    }
    return OperatingPoint(
        status=status,
        regime=_regime(setting, choice, solved),
        core=core,
        **{k: shaped(np.asarray(v), shape) for k, v in values.items()},
    )


def _heater_hoses(b: Balance) -> tuple[Array, Array]:
    """Coolant into the heater core and out of it [K]; where nothing flows there, both as at the engine's outlet."""
    C = b.effective_rho * b.flows.heater * b.coolant.cp
    per_watt = np.where(C > 0.0, 1.0 / np.where(C > 0.0, C, 1.0), 0.0)
    into = b.coolant_out + (b.coolant_heater - b.hose_heat) * per_watt
    return into, into - b.heater.heat * per_watt


def _core(setting: Setting, b: Balance) -> CoreResult:
    """The radiator in full at the flows that were found."""
    flows = CoreFlows(
        setting.air.fluid, b.coolant, b.air.point.velocity, b.effective_rho * b.flows.radiator, b.air_in, b.radiator_in
    )
    return evaluate(setting.plant.core, flows, setting.plant.arrangement, setting.plant.ua_scale)


def _status(setting: Setting, b: Balance, choice: _Choice, still: Mask) -> NDArray[np.int64]:
    status = np.where(choice.boils, STATUSES.index(Status.BOILS), STATUSES.index(Status.SOLVED))
    ice = b.coolant_out < setting.plant.coolant.freezing_point
    status = np.where(ice, STATUSES.index(Status.OUTSIDE), status)
    status = np.where(still, STATUSES.index(Status.NO_FLOW), status)
    return np.asarray(shaped(status, choice.x.shape), np.int64)


def _regime(setting: Setting, choice: _Choice, solved: Mask) -> NDArray[np.int64]:
    """Which part holds the temperature; a valve between its stops regulates."""
    valve, index = setting.plant.valve, {r: i for i, r in enumerate(REGIMES)}
    free = np.isfinite(setting.conditions.valve_held) | (not valve.present)
    raw = raw_lift(valve, choice.x)
    held = np.where(raw >= valve.most, index[Regime.FLOATING_ABOVE], index[Regime.REGULATING])
    held = np.where(raw <= valve.least, index[Regime.FLOATING_BELOW], held)
    regime = np.where(free, index[Regime.FREE], held)
    regime = np.where(choice.cycling, index[Regime.CYCLING], regime)
    regime = np.where(solved, regime, index[Regime.NONE])
    return np.asarray(shaped(regime, setting.shape), np.int64)


def _time_to_boil(setting: Setting, choice: _Choice, surplus: Array, solved: Mask) -> Array:
    """Time [s] from the valve's rating to boiling with a surplus that falls on a straight line; infinite if solved."""
    never = np.full(setting.shape, np.inf)
    heats = ~solved & (surplus > 0.0)
    if not heats.any():
        return never
    plant = setting.plant
    start = np.minimum(plant.rating, setting.boiling)
    first = balance(setting, np.broadcast_to(start, setting.shape), choice.fixed).residual
    state = plant.coolant.state(start)
    capacity = plant.metal_capacity + plant.coolant_volume * state.rho * state.cp
    one, two = np.where(heats, np.maximum(first, surplus), 1.0), np.where(heats, surplus, 1.0)
    y = np.maximum(np.log(one / two), 1e-9)  # ln(R1/R2)/(R1 - R2) = y/(R2 (exp(y) - 1))
    return np.where(heats, capacity * (setting.boiling - start) * y / (two * np.expm1(y)), never)
