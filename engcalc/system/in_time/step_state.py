"""Where a run of the warm-up is: the state that a step moves on, and what holds until something is renewed.

Each group of numbers that holds for a while is a frozen record in the state and is replaced as a whole: the step's
length by ``take_pace``, the wind by ``stand_in_wind``, coolant, radiator, heater and engine by ``renewals.renew``.

Weights w of a lump are half a step over its capacity: what one watt, or one watt per kelvin, does to its midpoint.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np

from engcalc.components.thermostat import lift
from engcalc.system.arithmetic import Value
from engcalc.system.in_time.lumps import CELLS, KEPT, SENSOR_TIME, least_engagement, stored_reference
from engcalc.system.in_time.step_fixed import FixedForRun
from engcalc.units import Array

_TINY = 1e-9
SWING_FOLLOWED = 1.0  # s; longest step that follows the swing of an opening valve
LUMPS = ("T_hot", "T_block", "T", "T_upper", "cells", "T_lower", "T_hose", "T_core", "T_cabin", "T_interior")


@dataclass(frozen=True, slots=True, eq=False)
class StepPace:
    """What the step's length makes of the plant."""

    h: Value  # s, half a step
    w_upper: Value
    w_cell: Value  # of the coolant's stream; ``w_face`` of what it gives to the air
    w_lower: Value
    w_face: Value
    w_engine: Value
    w_hose: Value
    w_core: Value
    w_block: Value
    w_cabin: Value
    keep_hot: Value  # -, that the hot metal keeps of its temperature, and what heat and coolant do to it
    hot_by_Q: Value  # K/W
    hot_by_T: Value  # -
    rest_upper: Value  # -, what a hose that loses to the air adds to the 1 of its midpoint
    rest_lower: Value
    rest_hose: Value
    air_hose: Value  # K, what the air gives the heater's hose back
    keep_interior: Value
    interior_gives: Value  # W/K
    interior_takes: Value  # -
    lag: Value  # s, time constant of the wax and half a step
    pull: Value  # -, the part of a step by which the lift looks ahead, over the time constant
    settled: Value  # -, 1/(1 + pull)
    keep_sensor: Value
    keep_shift: Value  # -, by which a mapped valve comes nearer to what the load calls for


@dataclass(frozen=True, slots=True, eq=False)
class BlockInWind:
    """The block's loss to the air in the wind of now, in steps of the length of now."""

    h_air: Value  # W/K
    air_all: Value  # W, that block and heater hose at 0 K would take up
    keep_block: Value
    block_by_air: Value  # K
    block_by_T: Value  # -
    inner: Value  # -, 1 and what the engine's coolant gives to its metal


@dataclass(frozen=True, slots=True, eq=False)
class CoolantNow:
    """The coolant of now in its network."""

    rho: Value
    rho_cp: Value  # J/(m3 K), with its air
    viscous: tuple[Value, ...]  # Pa s/m3: radiator, heater, bypass
    inertial: tuple[Value, ...]  # Pa s2/m6, four times
    squares: tuple[Value, ...]  # of ``viscous``
    valve: Value  # Pa s2/m6, four times the open valve's inertial resistance
    viscous_jacket: Value
    inertial_jacket: Value


@dataclass(frozen=True, slots=True, eq=False)
class RadiatorNow:
    """The radiator at the flows of now."""

    rest_resistance: Value  # K/W, all but the air's
    ratio: Value  # -, its conductance in the form that the flows hardly change, over that of the air alone


@dataclass(frozen=True, slots=True, eq=False)
class HeaterNow:
    """The heater at the flows of now."""

    UA: Value  # W/K, in the form that the flows hardly change
    blown: Value  # W/K, of the blower's air
    auxiliary: Value  # W
    leaves: Value  # W/K, from the cabin with its air
    cabin_fixed: Value  # W, auxiliary heat and what comes in from an air of the ambient's temperature


@dataclass(frozen=True, slots=True, eq=False)
class EngineNow:
    """The engine until the next renewal."""

    begins: int  # step of the renewal
    heat: tuple[tuple[Value, Value], ...]  # W into metal and coolant, in each step from there
    quick_share: Value  # -, of the warm idle's speed, by which it idles faster
    exhaust: Value  # W, heat
    gear_heat: Value  # W, lost in the gearbox
    called: Value  # K, by which the load opens a mapped valve earlier
    T_feed: Array  # K, the coolant at which all this holds
    T_oil: Array  # K, and the oil


@dataclass(frozen=True, slots=True, eq=False)
class WarmerBefore:
    """A warmer in the step before."""

    d: Value  # K, coolant over oil at its start
    q: Value  # W, from coolant to oil
    dt: Value  # s


@dataclass(slots=True, eq=False)
class State:
    """Where a run is: temperatures in K. A step writes it anew."""

    T_hot: Value  # the metal that the gas heats first
    T_block: Value  # block and oil
    T: Value  # coolant in the engine
    T_upper: Value  # upper hose
    cells: tuple[Value, ...]  # of the radiator, along the coolant
    T_lower: Value
    T_hose: Value  # heater hose
    T_core: Value  # heater core
    T_cabin: Value
    T_interior: Value
    T_gear: Value  # gearbox with its oil
    T_feed: Value  # what the wax felt in the last step
    T_return: Value  # out of the lower hose
    T_before: Value | None  # coolant in the engine a step ago, None before the first
    wax: Value
    wax_ahead: Value  # half a step ahead, of a valve at the pump's inlet
    sensor: Value
    behind_felt: Value  # air behind the core as a clutch that senses it feels it
    at_vent: tuple[Value, Value, Value]  # K air into the heater, W from the coolant, K cabin: in the last step
    opening: Value  # -, lift of the valve
    start_open: Value  # K, wax at which it starts to open
    shift: Value  # K, by which load has it open earlier
    engagement: Value  # -, of the fan
    turning: Value  # -, 1 once a pump that stands cold has been started by the coolant
    pressure: Value  # Pa, of the branches
    head_before: Value  # Pa, of the pump in the last step
    flow_r: Value  # m3/s, radiator
    flow_h: Value  # m3/s, heater
    flow_b: Value  # m3/s, bypass
    thin: Value  # -, where the air stands between not warmed and warmed
    added: Value  # W, by the heater in the coolant circuit
    oil: WarmerBefore
    gear: WarmerBefore
    lost: Value  # J, to the air so far
    released: Value  # J, into metal, coolant and cabin air
    burnt: Value  # J, by the heater in the coolant circuit
    recovered: Value  # J, out of the exhaust
    stood: Value  # s, that the pump stood by command
    boiled: Value  # s, when the coolant first boiled
    opens_lowest: Value  # K, lowest ``start_open``
    pace: StepPace
    block: BlockInWind
    coolant: CoolantNow  # zeros, as the next three, before the first renewal
    radiator: RadiatorNow
    heater: HeaterNow
    engine: EngineNow
    keep_cabin: Value  # -, that the cabin's air keeps, by heater and pace
    renewed_at: tuple[Value, Value] | None  # K, coolant at the wax and oil at the last renewal


def begin(fixed: FixedForRun) -> State:
    """The state at the start of the drive: all as warm as the coolant, but the cabin, which is as the air."""
    run = fixed.run
    f = fixed.f
    valve = fixed.valve
    ambient = fixed.lumps.ambient
    T = run.value(run.whole(run.drive.start))
    zero = T * 0.0
    outside = ambient + zero
    none = WarmerBefore(zero, zero, run.drive.step)
    pace = _pace_of_steps(fixed, run.drive.step)
    heater = HeaterNow(zero, zero, zero, 0.0, zero)
    cold = least_engagement(run.plant, run.drive.fan_mode)
    kept_on = run.drive.fan_mode == 0.0
    return State(
        T_hot=T,
        T_block=T,
        T=T,
        T_upper=T,
        cells=(T,) * CELLS,
        T_lower=T,
        T_hose=T,
        T_core=T,
        T_cabin=outside,
        T_interior=outside,
        T_gear=T,
        T_feed=T,
        T_return=T,
        T_before=None,
        wax=T,
        wax_ahead=T,
        sensor=T,
        behind_felt=outside,
        at_vent=(outside, zero, outside),
        opening=_lift(fixed, T),
        start_open=valve.start,
        shift=zero,
        engagement=(f.most(cold, fixed.fan.least) if kept_on else cold) + zero,
        turning=zero,
        pressure=zero + 1.0,
        head_before=zero + 1.0,
        flow_r=zero,
        flow_h=zero,
        flow_b=zero,
        thin=zero,
        added=0.0,
        oil=none,
        gear=none,
        lost=zero,
        released=zero,
        burnt=zero,
        recovered=zero,
        stood=zero,
        boiled=zero + np.inf,
        opens_lowest=valve.start + zero,
        pace=pace,
        block=_block(fixed, pace, fixed.lumps.h_air),
        coolant=CoolantNow(zero, zero, (), (), (), zero, zero, zero),
        radiator=RadiatorNow(zero, zero),
        heater=heater,
        engine=EngineNow(0, (), zero, zero, zero, zero, fixed.run.array(T), fixed.run.array(T)),
        keep_cabin=_cabin_kept(pace, heater),
        renewed_at=None,
    )


def temperatures(state: State) -> dict[str, Any]:
    """Of every lump [K]; ``cells`` is a tuple."""
    return {name: getattr(state, name) for name in LUMPS}


def stand(fixed: FixedForRun, state: State, lumps: Mapping[str, Any]) -> None:
    """Have the lumps at these temperatures [K], the coolant standing: the wax is as warm as that in the engine."""
    for name in LUMPS:
        setattr(state, name, lumps[name])
    state.wax = state.sensor = state.wax_ahead = state.T_feed = state.T
    state.T_return = state.T_lower
    state.T_gear = fixed.lumps.ambient + 0.0 * state.T
    state.opening = _lift(fixed, state.T)


def _lift(fixed: FixedForRun, T: Value) -> Value:
    """Lift [-] of a valve that has stood in coolant of T [K]."""
    run = fixed.run
    return run.value(run.whole(lift(run.plant.valve, run.array(T))))


def take_pace(fixed: FixedForRun, state: State, step: Value) -> None:
    """Take steps of this length [s] from now on."""
    state.pace = _pace_of_steps(fixed, step)
    state.block = _block(fixed, state.pace, state.block.h_air)
    state.keep_cabin = _cabin_kept(state.pace, state.heater)


def stand_in_wind(fixed: FixedForRun, state: State, h_air: Value) -> None:
    """Let the block lose by this conductance to the air [W/K] from now on."""
    state.block = _block(fixed, state.pace, h_air)


def heat_by(state: State, heater: HeaterNow) -> None:
    """Let the heater be this one from now on."""
    state.heater = heater
    state.keep_cabin = _cabin_kept(state.pace, heater)


def _pace_of_steps(fixed: FixedForRun, step: Value) -> StepPace:
    """What depends on the length [s] of a step alone, worked out once for all steps of that length."""
    L = fixed.lumps
    per = fixed.lumps.per_J
    h = 0.5 * step
    half = KEPT * h
    w_hot = h * per.hot
    w_hose = h * per.heater_hose
    w_interior = h * per.interior
    keep_hot = 1.0 / (1.0 + w_hot * L.h_hot)
    rest_hose = 1.0 + w_hose * L.G_hose
    keep_interior = 1.0 / (1.0 + w_interior * L.UA_interior)
    interior_gives = L.UA_interior * keep_interior
    lag = fixed.valve.time_constant + h
    ahead = _lift_ahead(fixed, step)
    return StepPace(
        h=h,
        w_upper=half * per.upper,
        w_cell=half * per.cell,
        w_lower=half * per.lower,
        w_face=h * per.cell,
        w_engine=h * per.engine,
        w_hose=w_hose,
        w_core=h * per.heater_core,
        w_block=h * per.block,
        w_cabin=h * per.cabin,
        keep_hot=keep_hot,
        hot_by_Q=w_hot * keep_hot,
        hot_by_T=w_hot * L.h_hot * keep_hot,
        rest_upper=1.0 + h * per.upper * L.G_upper,
        rest_lower=1.0 + h * per.lower * L.G_lower,
        rest_hose=rest_hose,
        air_hose=(rest_hose - 1.0) * L.ambient,
        keep_interior=keep_interior,
        interior_gives=interior_gives,
        interior_takes=w_interior * interior_gives,
        lag=lag,
        pull=ahead / fixed.valve.time_constant,
        settled=fixed.valve.time_constant / (fixed.valve.time_constant + ahead),
        keep_sensor=2.0 * h / (SENSOR_TIME + h),
        keep_shift=2.0 * h / lag,
    )


def _lift_ahead(fixed: FixedForRun, step: Value) -> Value:
    """How far ahead [s] the wax is looked at for the lift of a step: half of it, and more of a long one at the outlet.

    A valve there that opens onto an icy return swings in some five seconds and comes to rest. Steps of 1 s follow that;
    the middle of a step of 3 s would have it swing for minutes, three quarters of it damp it as fast as it is damped.
    A little more than the middle leaves a valve that hunts the swing that it has in steps of an eighth of a second.
    """
    f = fixed.f
    half = 0.5 * step
    if not fixed.valve.outlet:
        return half
    return half + step * f.least(f.most((step - SWING_FOLLOWED) * 0.125, 0.05), 0.25)


def _block(fixed: FixedForRun, pace: StepPace, h_air: Value) -> BlockInWind:
    L = fixed.lumps
    w = pace.w_block
    keep = 1.0 / (1.0 + w * (L.h_block + h_air))
    by_T = w * L.h_block * keep
    return BlockInWind(
        h_air=h_air,
        air_all=(h_air + L.G_hose) * L.ambient,
        keep_block=keep,
        block_by_air=w * h_air * L.ambient * keep,
        block_by_T=by_T,
        inner=1.0 + pace.w_engine * (L.h_hot * (1.0 - pace.hot_by_T) + L.h_block * (1.0 - by_T)),
    )


def _cabin_kept(pace: StepPace, heater: HeaterNow) -> Value:
    return 1.0 / (1.0 + pace.w_cabin * (heater.leaves + pace.interior_gives))


def vent(fixed: FixedForRun, state: State) -> Value:
    """Air out of the vents [K]; the cabin's where nothing blows."""
    T_in, heat, cabin = state.at_vent
    blown = state.heater.blown
    return fixed.f.choose(blown > 0.0, T_in + (heat + state.heater.auxiliary) / (blown + _TINY), cabin)


def stored(fixed: FixedForRun, state: State) -> Array:
    """Heat in all lumps [J] over that at 0 K, (members,)."""
    run = fixed.run
    s = state
    T = (s.T_hot, s.T_block, s.T, s.T_upper, *s.cells, s.T_lower, s.T_hose, s.T_core, s.T_cabin, s.T_interior)
    parts = (C * run.whole(x) for C, x in zip(stored_reference(run.capacities), T, strict=True))
    gearbox = fixed.equipment.gear_capacity * s.T_gear if fixed.equipment.warms_gearbox else 0.0
    return np.asarray(sum(parts) + gearbox)
