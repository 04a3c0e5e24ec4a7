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
from engcalc.components.roots import falling_root
from engcalc.components.shapes import shaped
from engcalc.components.thermostat import ThermostatSide, raw_lift
from engcalc.system.balance import Balance, Held, Setting, balance, held_at, prepare_setting
from engcalc.system.in_time.fan_cycle import CycleBegin, fan_cycle
from engcalc.system.members import take_members
from engcalc.system.plant import Plant
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

    x: Array  # K, wax
    fixed: Fixed  # the fan's engagement, None where it follows a temperature
    cycling: Mask
    on_share: Array  # -, of the time that the fan runs
    boils: Mask
    span_low: Array  # K, engine outlet on the cooling branch of the valve, or at the lowest of a cycle
    span_high: Array  # K, on the warming branch, or at the highest


def solve(plant: Plant, conditions: Conditions) -> OperatingPoint:
    """The operating point of each member: one for each duty, or for each member of an ensemble.

    Plant and conditions broadcast together. Every member has a status; no number is NaN.
    """
    setting = prepare_setting(plant, conditions)
    choice = _choose(setting)
    return _operating_point(setting, choice)


def _states(setting: Setting) -> tuple[Fixed, Mask]:
    """Fan engagements to be solved, (states, members), rising, and which members have a fan that switches by itself."""
    fan = setting.plant.airway.fan
    mode = shaped(setting.conditions.fan_mode, setting.shape)
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
    """Solve every fan state on both branches of the valve, and choose the state that stands."""
    shape = setting.shape
    fixed, auto = _states(setting)
    states = 1 if fixed is None else fixed[0].shape[0]
    x, boils, T = _solved_states(setting, fixed, states)
    state, cycles = _fan_state(setting, T[0], auto)

    def chosen(values: Array) -> Array:
        return np.asarray(np.take_along_axis(values, state[None], axis=0)[0])

    held = None if fixed is None else held_at(setting, chosen(fixed[0]))
    choice = _Choice(
        x=chosen(x[0]),
        fixed=held,
        cycling=np.zeros(shape, bool),
        on_share=_share(setting, held),
        boils=np.take_along_axis(boils[0], state[None], axis=0)[0],
        span_low=chosen(T[-1]),
        span_high=chosen(T[0]),
    )
    if fixed is not None and cycles.any():
        choice = _cycling(setting, choice, cycles, _Pair.of(setting, state, fixed[0], x[0]))
    return _at_boiling(setting, choice) if choice.boils.any() else choice


def _solved_states(setting: Setting, fixed: Fixed, states: int) -> tuple[Array, Mask, Array]:
    """Wax temperature [K], whether it boils, and the engine's outlet [K], each (branches, fan states, members)."""
    plant = setting.plant
    boil = setting.boiling
    below = _branches(setting)
    full = (below.shape[0], states, *setting.shape)
    low = shaped(setting.conditions.ambient - BELOW_AMBIENT, full)
    high = shaped(boil, full)
    bends = tuple(shaped(T - below, full) for T in (plant.valve.start, plant.valve.full))

    def surplus(wax: Array) -> Array:
        return balance(setting, wax, fixed, below).residual

    def surplus_of_some(index: NDArray[np.intp]) -> Callable[[Array], Array]:
        part, held, shift = take_members((setting, fixed, below), index, setting.shape[0])
        narrowed = replace(part, shape=index.shape)
        return lambda wax: balance(narrowed, wax, held, shift).residual

    root = falling_root(surplus, low, high, _ENOUGH * setting.scale, bends, surplus_of_some)
    at_outlet = plant.valve.side is ThermostatSide.OUTLET
    T = root.x if at_outlet else balance(setting, root.x, fixed, below).coolant_out
    boils = (root.at_high > 0.0) | (boil - _SAME < T)
    return root.x, boils, np.where(boils, boil, T)


def _branches(setting: Setting) -> Array:
    """Shift of the valve's line [K], (2, 1, members): warming and cooling; (1, 1, members) for a valve without play."""
    valve = setting.plant.valve
    if not (valve.present and np.any(valve.hysteresis > 0.0)):
        return np.zeros((1, 1, *setting.shape))
    h = np.broadcast_to(valve.hysteresis, setting.shape)
    return np.stack((np.zeros(setting.shape), h))[:, None]


def _share(setting: Setting, fixed: Fixed) -> Array:
    """Share of the time that the fan runs: 0 or 1, but of what follows a temperature (see ``_operating_point``)."""
    runs = np.asarray(shaped(setting.plant.airway.fan.blows, setting.shape))
    if fixed is None:
        return runs
    return runs * (fixed[0] > 0.0)


def _fan_state(setting: Setting, T: Array, auto: Mask) -> tuple[NDArray[np.int64], Mask]:
    """Which state stands, and whether it cycles between that one and the next, from the engine's outlet in each."""
    count = T.shape[0]
    fan = setting.plant.airway.fan
    state = np.where(auto, 0, count - 1)
    cycles = np.zeros(setting.shape, bool)
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
        fan = setting.plant.airway.fan
        count = len(engagements)
        after = np.minimum(state + 1, count - 1)
        each = np.broadcast_to(engagements, (count, *setting.shape))

        def at(values: Array, which: NDArray[np.int64]) -> Array:
            return np.asarray(np.take_along_axis(values, which[None], 0)[0])

        is_first = state == 0
        return cls(
            low=at(each, state),
            high=at(each, after),
            x_low=at(x, after),
            x_high=at(x, state),
            on=np.where(is_first, fan.on_temperature, fan.high_on),
            off=np.where(is_first, fan.off_temperature, fan.high_off),
        )


def _begin_of_cycle(setting: Setting, pair: _Pair, fixed: Fixed) -> CycleBegin:
    """Where the cycle begins: the engine's outlet at which the fan comes on, with the fan as it stood before."""
    wax = _wax_at(setting, pair.on, fixed, pair.x_low, pair.x_high)
    state = balance(setting, wax, held_at(setting, pair.low))
    middle = 0.5 * (pair.on + pair.off)
    return CycleBegin(wax=wax, state=state, middle=middle, base=pair.low, on=pair.on, off=pair.off)


def _cycling(setting: Setting, choice: _Choice, cycles: Mask, pair: _Pair) -> _Choice:
    """Members whose fan cycles: the mean of their cycle, and the engagement that would hold it."""
    assert choice.fixed is not None  # only a fan that switches cycles
    index = np.flatnonzero(cycles)
    part, own, fixed = take_members((setting, pair, choice.fixed), index, setting.shape[0])
    part = replace(part, shape=index.shape)
    found = fan_cycle(part, _begin_of_cycle(part, own, fixed))
    at_mean = _wax_at(part, found.mean, fixed, own.x_low, own.x_high)
    x = np.clip(at_mean, own.x_low, own.x_high)

    def surplus(engagement: Array) -> Array:
        return balance(part, x, held_at(part, engagement)).residual

    holds_it = falling_root(surplus, own.low, own.high, _ENOUGH * part.scale).x

    def put(values: Array, own: Array) -> Array:
        whole = np.array(np.broadcast_to(values, setting.shape))
        whole[index] = own
        return whole

    return _Choice(
        x=put(choice.x, x),
        fixed=held_at(setting, put(choice.fixed[0], holds_it)),
        cycling=cycles,
        on_share=put(choice.on_share, found.on_share),
        boils=choice.boils & ~cycles,
        span_low=put(choice.span_low, found.low),
        span_high=put(choice.span_high, found.high),
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
    """The choice with the wax, in members that boil, where the engine's outlet boils."""
    low = np.broadcast_to(setting.conditions.ambient - BELOW_AMBIENT, setting.shape)
    moving = _wax_at(setting, setting.boiling, choice.fixed, low, setting.boiling)
    at_boiling = np.where(setting.still, setting.boiling, moving)
    return replace(choice, x=np.where(choice.boils, at_boiling, choice.x))


def _operating_point(setting: Setting, choice: _Choice) -> OperatingPoint:
    """All that is told of the state that stands."""
    b = balance(setting, choice.x, choice.fixed)
    core = _core(setting, b)
    status = _status(setting, b, choice, setting.still)
    solved = status == STATUSES.index(Status.SOLVED)
    values = (
        _heats(setting, b, core) | _flows_and_pressures(setting, b, choice) | _temperatures(setting, b, core, choice)
    )
    values["time_to_boil"] = _time_to_boil(setting, choice, values["energy_residual"], solved)
    return OperatingPoint(
        status=status,
        regime=_regime(setting, choice, solved),
        core=core,
        **{name: shaped(np.asarray(value), setting.shape) for name, value in values.items()},
    )


def _heat_out_of_engine(b: Balance, core: CoreResult) -> Array:
    """Heat [W] that the coolant carries out of the engine."""
    return core.Q + b.heater.heat + b.hose_heat - b.coolant_heater - b.hot_tank_heat - b.cold_tank_heat


def _heats(setting: Setting, b: Balance, core: CoreResult) -> dict[str, Array]:
    """Speed, powers and heats of an operating point, by the names of its fields [rev/s, W]."""
    taken = _heat_out_of_engine(b, core)
    return {
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
        "energy_residual": b.engine.heat_to_metal + b.engine.extra_heat - b.surface_heat - taken,
        "upstream_heat": warmed_by(setting.ahead, b.air.C) * b.air.C,
    }


def _flows_and_pressures(setting: Setting, b: Balance, choice: _Choice) -> dict[str, Array]:
    """Coolant, air and fan of an operating point, by the names of its fields [kg/s, Pa, m/s, m3/s, -]."""
    face = setting.plant.core.face
    by_fan = np.maximum(b.air.point.fan_pressure, 0.0)
    driving = by_fan + setting.nodes.ram_pressure
    return {
        "coolant_mass_flow": b.effective_rho * b.flows.engine,
        "radiator_mass_flow": b.effective_rho * b.flows.radiator,
        "heater_mass_flow": b.effective_rho * b.flows.heater,
        "bypass_mass_flow": b.effective_rho * b.flows.bypass,
        "coolant_density": b.effective_rho,
        "pump_head": b.flows.head,
        "jacket_drop": b.flows.jacket_drop,
        "branch_drop": b.flows.branch_drop,
        "valve_drop": b.flows.valve_drop,
        "opening": b.opening,
        "air_velocity": b.air.point.velocity,
        "air_mass_flow": setting.air.fluid.rho * b.air.point.velocity * face,
        "fan_flow": b.air.point.fan_flow,
        "fan_pressure": b.air.point.fan_pressure,
        "ram_pressure": setting.nodes.ram_pressure,
        "fan_share": by_fan / np.maximum(driving, 1e-12),
        "on_share": choice.on_share * (b.engagement > 0.0),
        "fan_speed": b.engagement * setting.plant.airway.fan.blows,
    }


def _temperatures(setting: Setting, b: Balance, core: CoreResult, choice: _Choice) -> dict[str, Array]:
    """Temperatures of an operating point [K], by the names of its fields."""
    C_r = b.effective_rho * b.flows.radiator * b.coolant.cp
    C = np.where(b.C > 0.0, b.C, 1.0)
    rise = np.where(setting.still, 0.0, _heat_out_of_engine(b, core) / C)
    returned = b.coolant_out - rise
    heater_in, heater_out = _heater_hoses(b)
    return {
        "air_in": b.air_in,
        "air_out": b.air_out,
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
        "opens_at": setting.plant.valve.start,
        "span_low": np.minimum(choice.span_low, choice.span_high),
        "span_high": np.maximum(choice.span_low, choice.span_high),
        "vent": b.heater.vent,
        "cabin": b.heater.cabin,
        "boiling": setting.boiling,
    }


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
    valve = setting.plant.valve
    index = {r: i for i, r in enumerate(REGIMES)}
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
    begins = np.where(heats, np.maximum(first, surplus), 1.0)
    ends = np.where(heats, surplus, 1.0)
    y = np.maximum(np.log(begins / ends), 1e-9)  # ln(R1/R2)/(R1 - R2) = y/(R2 (exp(y) - 1))
    takes = capacity * (setting.boiling - start) * y / (ends * np.expm1(y))
    return np.where(heats, takes, never)
