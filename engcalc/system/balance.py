"""Heat balance of the plant at a trial wax temperature: the one function whose root is the operating point.

    R(x) = Q_metal + Q_extra + Q_coolant heater + Q_tanks - Q_surface - Q_radiator - Q_heater hoses - Q_heater

With the wax temperature x known, the valve's lift follows, so the coolant's flows, so every conductance. A valve at
the outlet has T_out = x. One at the inlet has T_in = x (the mixture of radiator return, bypass and heater return) and

    T_out = x + Q_coolant/C,  Q_coolant = Q_metal + Q_extra - UA_surface (T_out - T_ambient),  C = m cp,

which closes in T_out, as it does with what gearbox and exhaust give: a straight line of T_out in stretches. What comes
to the heater core has passed its hoses and a coolant heater in them, with C_h of the
heater branch and G of the hoses to the air:

    C_h (T_out - T_hose) + Q_coolant heater = Q_heater hoses = G (T_hose - T_ambient)

Oil coolers beside the engine give their heat with Q_extra; those in the tanks (``oil_coolers``) warm the coolant on its
way into the core, or behind it.

The air behind the core is as hot as the core's heat makes it, which thins it, which the air's flow follows: first with
the flow of air as warm as where it was solved, then with that at the temperature that came of it. Each step brings the
error down to a few hundredths, so that two are enough.

Coolant properties count at x throughout, and so does the oil; the air's film properties count
at a fixed temperature (see ``airflow``). R falls as x rises.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, fields, replace
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from engcalc.case.conditions import Conditions
from engcalc.components.coolant_heater import coolant_heat
from engcalc.components.engine import (
    T_OIL_WARM,
    EngineHeat,
    Load,
    engine_heat,
    engine_load,
    idling_at,
    load_of_fuel,
    with_fan,
)
from engcalc.components.equipment import flap_open, gearbox_loss, outlet_with_flap, settled_gearbox
from engcalc.components.exchanger import multipass
from engcalc.components.fan import CLUTCH_LEAST, engagement_at, least_by_conditioning, power_share
from engcalc.components.flat_tube import tube_side
from engcalc.components.heater import HeaterFlows, HeaterResult, heater_exchange
from engcalc.components.louver_fin import air_side
from engcalc.components.pressure_cap import boiling
from engcalc.components.pump import pump_speed
from engcalc.components.shapes import common_shape, shaped
from engcalc.components.surface import surface_growth
from engcalc.components.thermostat import ThermostatSide, lift, valve_under_load
from engcalc.properties.fluid import Fluid
from engcalc.system.airflow import (
    CLUTCH_NODES,
    Air,
    AirNodes,
    AirPoint,
    air_at,
    air_of,
    air_warmed,
    shutter_opening,
    solve_air,
    thinned,
)
from engcalc.system.circuit import CircuitFlows, circuit_flows, given_flows
from engcalc.system.oil_coolers import CoolerPlace, Coolers, coolers_in_coolant, heat_at
from engcalc.system.plant import Plant
from engcalc.system.upstream import Stack, air_conditioning, stack_ahead, warmed_by
from engcalc.units import Array

ROUND_COOLANT_T = 353.15  # K; coolant without a valve, for the air's film properties and densities only
STILL = 1e-9  # m3/s; a stated flow below it counts as none
CHORDS = 4  # after a clutch's engagement in the air that it makes, from a fifth of its range
AT_REST = 1e-3  # rev/s; a pump that turns slower counts as standing
MOST_EXPONENT = 5.0  # -; on how warm air behind the core is, on its way to agree with itself; our own bound
_LEAST = 1e-9  # W/K; keeps a resistance finite where no air moves


@dataclass(frozen=True, eq=False)
class Setting:
    """A plant under its duties: everything that the wax temperature does not change."""

    plant: Plant
    conditions: Conditions
    load: Load
    air: Air
    nodes: AirNodes
    ahead: Stack  # coolers that stand in the air ahead
    conditioning: Array  # -, share at which the air conditioning runs
    fan_least: Array  # -, engagement at which that keeps an electric fan, at least
    surface_conductance: Array  # W/K, of the engine in the wind of the duty
    boiling: Array  # K
    oil: Coolers  # in the coolant
    scale: Array  # W, size of the heat flows, to say what is small
    still: NDArray[np.bool_]  # nothing drives the coolant
    shape: tuple[int, ...]  # (members,)


@dataclass(frozen=True, eq=False)
class AirFlow:
    """The air through the core, arrays (..., members)."""

    point: AirPoint
    C: Array  # W/K
    UA: Array  # W/K, air film and fins


@dataclass(frozen=True, eq=False)
class AirPart:
    """The air side at a fan engagement, whatever the temperature behind the core."""

    nodes: AirPoint  # (2, ..., members): not warmed and warmed
    warmed: AirFlow  # as warm as where it was solved


Held = tuple[Array, AirPart | None]
"""A fan's engagement, and its air side where that does not hang on the coolant."""


@dataclass(frozen=True, eq=False)
class _IntoCore:
    """The coolant that comes to the radiator, arrays (..., members)."""

    coolant: Fluid
    flow: Array  # kg/s
    T: Array  # K


@dataclass(frozen=True, eq=False)
class RadiatorHeat:
    """What passes between coolant and air in the core, arrays (..., members)."""

    Q: Array  # W
    T_air_in: Array  # K, after coolers ahead and with hot air that comes round again
    T_air_out: Array  # K, all the air mixed
    taken_share: Array  # -, by which the air comes nearer to the coolant's temperature


@dataclass(frozen=True, eq=False)
class Balance:
    """The plant at a trial wax temperature; arrays (..., members)."""

    opening: Array
    flows: CircuitFlows
    coolant: Fluid
    effective_rho: Array  # kg/m3, coolant with its air
    engine: EngineHeat
    engine_speed: Array  # rev/s, of idle by the coolant's temperature
    C: Array  # W/K, engine
    coolant_out: Array  # K
    engagement: Array
    air: AirFlow
    radiator_in: Array  # K, coolant
    air_in: Array  # K
    air_out: Array  # K
    radiator_heat: Array  # W
    hot_tank_heat: Array  # W, of oil coolers in the tank ahead of the core
    cold_tank_heat: Array  # W, in the one behind it
    surface_heat: Array  # W
    coolant_heater: Array  # W
    hose_heat: Array  # W, lost from the heater's hoses
    heater: HeaterResult
    residual: Array  # W


def prepare_setting(plant: Plant, conditions: Conditions) -> Setting:
    """Load, air and boiling point of each duty."""
    load = engine_load(plant.engine, conditions)
    heat = engine_heat(plant.engine, load, np.full(1, T_OIL_WARM))
    plant = under_load(plant, load, heat)
    valve = plant.valve
    air = air_of(conditions, valve.full if valve.present else np.full(1, ROUND_COOLANT_T))
    nodes = solve_air(plant.airway, plant.core, air, conditions, load.engine_speed)
    oil = coolers_in_coolant(plant.oil_coolers, plant.engine, heat)
    asked = sum((one.asked for one in oil), np.zeros(1))
    scale = np.maximum(heat.heat_to_metal + heat.extra_heat + plant.coolant_heater.power + asked, 1.0)
    ahead = stack_ahead(plant.airway.upstream, plant.engine, load, heat, conditions)
    runs = air_conditioning(plant.airway.upstream, conditions.air_conditioning, conditions.ambient)
    boil = boiling(plant.cap, conditions.altitude)
    shape = common_shape((conditions.count,), (plant.members,))
    still = shaped(_still(plant, conditions, load), shape)
    return Setting(
        plant=plant,
        conditions=conditions,
        load=load,
        air=air,
        nodes=nodes,
        ahead=ahead,
        conditioning=runs,
        fan_least=least_by_conditioning(plant.airway.fan, runs),
        surface_conductance=plant.surface_conductance * surface_growth(conditions.air_speed),
        boiling=shaped(boil, shape),
        oil=oil,
        scale=shaped(scale, shape),
        still=still,
        shape=shape,
    )


def _still(plant: Plant, conditions: Conditions, load: Load) -> NDArray[np.bool_]:
    """Where nothing drives the coolant: a pump that stands or gives nothing, or a given flow of none."""
    pump = plant.circuit.pump
    stated = conditions.coolant_flow
    rests = (pump_speed(pump, load.engine_speed) < AT_REST) | (plant.circuit.total < STILL)
    return np.asarray(np.where(np.isfinite(stated), stated < STILL, rests))


def air_part(setting: Setting, engagement: Array, opened: Array | None = None) -> AirPart:
    """The air side at an engagement, and how far an active shutter stands open."""
    nodes = air_at(setting.plant.airway, setting.nodes, engagement, opened)
    warmed = AirPoint(nodes.velocity[1], nodes.fan_flow[1], nodes.fan_pressure[1])
    return AirPart(nodes, _air_flow(setting, warmed))


def _air_flow(setting: Setting, point: AirPoint) -> AirFlow:
    core = setting.plant.core
    fluid = setting.air.fluid
    side = air_side(core.fin, point.velocity / core.open_face, fluid)
    C = fluid.rho * point.velocity * core.face * fluid.cp
    UA = np.maximum(side.eta_o * side.h * core.A_air, _LEAST)
    return AirFlow(point, C, UA)


def held_at(setting: Setting, engagement: Array) -> Held:
    """The fan held at an engagement; its air side, where no shutter changes that."""
    return engagement, None if setting.plant.airway.shutter is not None else air_part(setting, engagement)


def balance(setting: Setting, x: Array, fixed: Held | None, below: Array | float = 0.0) -> Balance:
    """The plant at wax temperature x [K], shape (..., members).

    ``fixed`` holds the fan at an engagement (``held_at``); None lets a clutch or a motor follow its temperature.
    ``below`` [K] shifts the valve's line down (cooling branch).
    """
    plant = setting.plant
    conditions = setting.conditions
    opening = np.where(np.isfinite(conditions.valve_held), conditions.valve_held, lift(plant.valve, x, below))
    coolant = plant.coolant.state(x)
    load = idling_at(plant.engine, setting.load, x)
    flows = _flows(setting, opening, coolant, load.engine_speed)
    rho = coolant.rho * (1.0 - plant.aeration)
    C = rho * flows.engine * coolant.cp
    if plant.airway.fan.drive.electric:
        engaged = _motor_engagement(setting, x, C, load) if fixed is None else fixed[0]
        load = with_fan(plant.engine, load, power_share(plant.airway.fan, engaged))
    heat = _heat_made(setting, load, x, C)
    T_out = engine_outlet(setting, x, C, heat)
    if plant.equipment.heats:
        heat = replace(heat, extra_heat=heat.extra_heat + equipment_heat(setting, heat, T_out))
    m_r = rho * flows.radiator
    C_r = m_r * coolant.cp
    hot_tank = heat_at(setting.oil, CoolerPlace.HOT_TANK, C_r, T_out)
    into_core = _IntoCore(coolant, m_r, T_out + hot_tank / (C_r + _LEAST))
    engagement, part = _fan_and_air(setting, into_core, T_out, fixed)
    air, radiator = _radiator(setting, into_core, part)
    cold_tank = heat_at(setting.oil, CoolerPlace.COLD_TANK, C_r, into_core.T - radiator.Q / (C_r + _LEAST))
    surface = setting.surface_conductance * (T_out - conditions.ambient)
    branch = _heater_branch(setting, rho * flows.heater, coolant, T_out)
    made = heat.heat_to_metal + heat.extra_heat
    return Balance(
        opening=opening,
        flows=flows,
        coolant=coolant,
        effective_rho=rho,
        engine=heat,
        engine_speed=load.engine_speed,
        C=C,
        coolant_out=T_out,
        engagement=engagement,
        air=air,
        radiator_in=into_core.T,
        air_in=radiator.T_air_in,
        air_out=radiator.T_air_out,
        radiator_heat=radiator.Q,
        hot_tank_heat=0.0 * C_r + hot_tank,
        cold_tank_heat=0.0 * C_r + cold_tank,
        surface_heat=surface,
        coolant_heater=branch.added,
        hose_heat=branch.lost,
        heater=branch.heater,
        residual=made + branch.added + hot_tank + cold_tank - surface - radiator.Q - branch.lost - branch.heater.heat,
    )


def _fan_and_air(setting: Setting, into: _IntoCore, T_out: Array, fixed: Held | None) -> tuple[Array, AirPart]:
    """Engagement [-] of the fan, held or by what it follows, and the air side at it; the engine's outlet [K]."""
    shutter = setting.plant.airway.shutter
    opened = None if shutter is None else shutter_opening(shutter, T_out, setting.conditioning)
    if fixed is None:
        engagement = _followed(setting, into, T_out, opened)
        return engagement, air_part(setting, engagement, opened)
    engagement, part = fixed
    if part is None:
        part = air_part(setting, engagement + 0.0 * T_out, opened)
    return engagement, part


@dataclass(frozen=True, eq=False)
class _HeaterBranch:
    """Heats [W] between engine and heater core, and the core itself."""

    added: Array  # by a coolant heater
    lost: Array  # from the hoses to the air
    heater: HeaterResult


def _heater_branch(setting: Setting, flow: Array, coolant: Fluid, T_out: Array) -> _HeaterBranch:
    """The heater's branch at a flow [kg/s] of coolant that leaves the engine at ``T_out`` [K]."""
    plant = setting.plant
    conditions = setting.conditions
    air = setting.air.fluid
    C_h = flow * coolant.cp
    added = coolant_heat(plant.coolant_heater, conditions.coolant_heater, T_out, C_h)
    G = plant.heater_hose_conductance
    kept = added - G * (T_out - conditions.ambient)
    T_hose = T_out + kept / np.maximum(C_h + G, _LEAST)
    lost = G * (T_hose - conditions.ambient)
    flows = HeaterFlows(flow, coolant.cp, T_hose, conditions.ambient, air.rho, air.cp, conditions.heater_air_share)
    return _HeaterBranch(added, lost, heater_exchange(plant.heater, flows))


def _heat_made(setting: Setting, load: Load, x: Array, C: Array) -> EngineHeat:
    """The engine's heat with its coolant as warm as x [K], oil coolers beside it included; C [W/K] through it."""
    heat = engine_heat(setting.plant.engine, load, x)
    if not setting.oil:
        return heat
    beside = heat_at(setting.oil, CoolerPlace.ENGINE, C, x)
    return replace(heat, extra_heat=heat.extra_heat + beside)


def engine_outlet(setting: Setting, x: Array, C: Array, heat: EngineHeat) -> Array:
    """Coolant out of the engine [K] with the wax at x [K] and C [W/K] through the engine."""
    plant = setting.plant
    ambient = setting.conditions.ambient
    if plant.valve.side is ThermostatSide.OUTLET:
        return x
    UA = setting.surface_conductance
    made = heat.heat_to_metal + heat.extra_heat
    if not plant.equipment.heats:
        mixed = (C * x + made + UA * ambient) / np.maximum(C + UA, 1e-12)
    else:
        given, loses = settled_gearbox(plant.equipment, gearbox_loss(plant.equipment, heat))
        UA = UA + loses
        mixed = outlet_with_flap(plant.equipment, C * x + made + given + UA * ambient, C + UA, heat.heat_exhaust)
    return np.where(setting.still, x, mixed)


def equipment_heat(setting: Setting, heat: EngineHeat, T_out: Array) -> Array:
    """Heat [W] that gearbox and exhaust give the coolant; taken from it where negative."""
    fitted = setting.plant.equipment
    given, loses = settled_gearbox(fitted, gearbox_loss(fitted, heat))
    recovered = fitted.recovery * heat.heat_exhaust * flap_open(fitted, T_out)
    return np.asarray(given - loses * (T_out - setting.conditions.ambient) + recovered)


def under_load(plant: Plant, load: Load, heat: EngineHeat) -> Plant:
    """The plant with its valve as the load has it open; itself where no load moves the valve."""
    if not plant.valve.is_mapped:
        return plant
    valve = valve_under_load(plant.valve, load_of_fuel(plant.engine, heat.fuel_power, load.engine_speed))
    return replace(plant, valve=valve)


def _followed(setting: Setting, into: _IntoCore, T_out: Array, opened: Array | None) -> Array:
    """Engagement of a fan that follows a temperature, or that is held."""
    fan = setting.plant.airway.fan
    mode = setting.conditions.fan_mode
    wanted = _by_air(setting, into, opened) if fan.senses_air else engagement_at(fan, T_out, setting.fan_least)
    return np.where(mode > 0.0, 1.0, np.where(mode < 0.0, 0.0, wanted))


def _motor_engagement(setting: Setting, x: Array, C: Array, load: Load) -> Array:
    """Engagement [-] of an electric fan that follows the engine's outlet.

    With a valve at the inlet the outlet counts without the heat that the fan's own power makes: some 0.2 K short.
    """
    fan = setting.plant.airway.fan
    mode = setting.conditions.fan_mode
    T_out = engine_outlet(setting, x, C, _heat_made(setting, load, x, C))
    wanted = engagement_at(fan, T_out, setting.fan_least)
    return np.where(mode > 0.0, 1.0, np.where(mode < 0.0, 0.0, wanted))


def _around_zero(nodes: Sequence[Array], at_nodes: Sequence[Array]) -> tuple[Array, Array, Array, Array]:
    """The two neighbouring nodes between which a falling function passes 0, and what it is at both."""
    low, high = nodes[:2]
    at_low, at_high = at_nodes[:2]
    for (left, right), (at_left, at_right) in zip(pairwise(nodes[1:]), pairwise(at_nodes[1:]), strict=True):
        beyond = at_left > 0.0
        low = np.where(beyond, left, low)
        at_low = np.where(beyond, at_left, at_low)
        high = np.where(beyond, right, high)
        at_high = np.where(beyond, at_right, at_high)
    return low, high, at_low, at_high


def _by_air(setting: Setting, into: _IntoCore, opened: Array | None) -> Array:
    """Engagement of a clutch in air that is the cooler the more it engages: where both agree.

    Looked for between a few engagements, then by chords between the two that hold it.
    """
    fan = setting.plant.airway.fan

    def surplus(engagement: Array) -> Array:
        """By how much the clutch in this air would engage further; falls."""
        _, radiator = _radiator(setting, into, air_part(setting, engagement, opened))
        return np.asarray(engagement_at(fan, radiator.T_air_out) - engagement)

    nodes = [e + 0.0 * into.T for e in np.linspace(CLUTCH_LEAST, 1.0, CLUTCH_NODES)]
    low, high, at_low, at_high = _around_zero(nodes, [surplus(e) for e in nodes])
    for _ in range(CHORDS):
        found = _chord(low, high, at_low, at_high)
        at_found = surplus(found)
        further = at_found > 0.0
        low = np.where(further, found, low)
        at_low = np.where(further, at_found, at_low)
        high = np.where(further, high, found)
        at_high = np.where(further, at_high, at_found)
    return _chord(low, high, at_low, at_high)


def _chord(low: Array, high: Array, at_low: Array, at_high: Array) -> Array:
    """Where the straight line between two values crosses zero, within the two places."""
    fall = at_low - at_high
    share = at_low / np.where(fall > 0.0, fall, 1.0)
    return np.asarray(low + (high - low) * np.clip(share, 0.0, 1.0))


def _flows(setting: Setting, opening: Array, fluid: Fluid, engine_speed: Array) -> CircuitFlows:
    """The network's flows, or those given."""
    circuit = setting.plant.circuit
    stated = setting.conditions.coolant_flow
    given: NDArray[np.bool_] = np.isfinite(stated)
    if given.all():
        return given_flows(circuit, opening, stated)
    net = circuit_flows(circuit, opening, engine_speed, fluid.rho, fluid.mu)
    if not given.any():
        return net
    fixed = given_flows(circuit, opening, np.where(given, stated, 0.0))
    names = (field.name for field in fields(CircuitFlows))
    return CircuitFlows(*(np.where(given, getattr(fixed, name), getattr(net, name)) for name in names))


def _radiator(setting: Setting, into: _IntoCore, part: AirPart) -> tuple[AirFlow, RadiatorHeat]:
    """The air through the core and the heat that it takes, at the temperature behind the core that comes of it."""
    core = setting.plant.core
    coolant = into.coolant
    flow = into.flow
    T_in = into.T
    tube = tube_side(core.tube, flow / coolant.rho / core.flow_area, coolant)
    rest = core.R_wall + core.R_fouling + 1.0 / (tube.h * core.A_tube)
    C_coolant = flow * coolant.cp
    first = _passed(setting, C_coolant, rest, T_in, part.warmed)
    came = thinned(setting.nodes, first.T_air_out)
    agreed = came ** root_exponent(part.nodes.velocity, first.taken_share)
    air = _air_flow(setting, air_warmed(part.nodes, agreed))
    return air, _passed(setting, C_coolant, rest, T_in, air)


def root_exponent(velocity: Array, taken_share: Array) -> Array:
    """Exponent on what came of 1, where the flow was solved, that leads to where just what is put in comes out.

    ``velocity`` (2, ..., members) is that of air not warmed and warmed; ``taken_share`` as in ``RadiatorHeat``.

    The flow goes with a power of how much the air has thinned: 1 of a draught, next to 0 where a fan or ram drives it.
    The heat goes with a power of the flow: 1 where the air takes up all that it can, 0 where the coolant gives all.
    Where less flow warms the air so much more that it would lead to none at all, the exponent is held.
    """
    cold, warm = velocity
    flow_power = (warm - cold) / np.maximum(warm, _LEAST)
    heat_power = np.minimum(np.maximum(taken_share, 0.0), 1.0)
    return np.asarray(1.0 / np.maximum(1.0 + (1.0 - heat_power) * flow_power, 1.0 / MOST_EXPONENT))


def _passed(setting: Setting, C_coolant: Array, rest: Array, T_in: Array, air: AirFlow) -> RadiatorHeat:
    """Heat and the air's temperatures before and behind the core; ``rest`` [K/W] is all resistance but the air's.

    Of the hot air that leaves, the share r comes round again: T_air = (1 - r) T_amb + r T_air_out + preheat, and
    T_air_out = T_air + e (T_in - T_air) with e = Q per kelvin over C_air, which closes in T_air.
    """
    plant = setting.plant
    r = setting.nodes.recirculation
    UA = plant.ua_scale / (1.0 / air.UA + rest)
    chain = multipass(UA, C_coolant, air.C * plant.core.live_air, plant.core.geometry.passes, plant.arrangement)
    per_kelvin = chain.effectiveness * chain.C_min
    e = per_kelvin / np.maximum(air.C, _LEAST)
    ahead = warmed_by(setting.ahead, air.C)
    brought = (1.0 - r) * setting.conditions.ambient + r * e * T_in + ahead
    T_air = brought / (1.0 - r + r * e)
    over = T_in - T_air
    return RadiatorHeat(per_kelvin * over, T_air, T_air + e * over, e)
