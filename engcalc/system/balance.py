"""Heat balance of the plant at a trial wax temperature: the one function whose root is the operating point.

    R(x) = Q_metal + Q_extra + Q_coolant heater - Q_surface - Q_radiator - Q_heater hoses - Q_heater

With the wax temperature x known, the valve's lift follows, so the coolant's flows, so every conductance. A valve at
the outlet has T_out = x. One at the inlet has T_in = x (the mixture of radiator return, bypass and heater return) and

    T_out = x + Q_coolant/C,  Q_coolant = Q_metal + Q_extra - UA_surface (T_out - T_ambient),  C = m cp,

which closes in T_out, as it does with what gearbox and exhaust give: a straight line of T_out in stretches. What comes
to the heater core has passed its hoses and a coolant heater in them, with C_h of the
heater branch and G of the hoses to the air:

    C_h (T_out - T_hose) + Q_coolant heater = Q_heater hoses = G (T_hose - T_ambient)

Coolant properties count at x throughout, and so does the oil; the air's film properties count
at a fixed temperature (see ``airflow``). R falls as x rises.
"""

from __future__ import annotations

from dataclasses import dataclass, fields, replace

import numpy as np
from numpy.typing import NDArray

from engcalc.components.coolant_heater import coolant_heat
from engcalc.components.engine import EngineHeat, Load, engine_heat, engine_load, idling_at, load_of_fuel
from engcalc.components.equipment import flap_open, gearbox_loss, outlet_with_flap, settled_gearbox
from engcalc.components.exchanger import multipass
from engcalc.components.fan import clutch_engagement
from engcalc.components.flat_tube import tube_side
from engcalc.components.heater import HeaterFlows, HeaterResult, heater_exchange
from engcalc.components.louver_fin import air_side
from engcalc.components.pressure_cap import boiling
from engcalc.components.pump import pump_speed
from engcalc.components.thermostat import Side, lift, valve_under_load
from engcalc.properties.fluid import Fluid
from engcalc.system.airflow import Air, AirNodes, AirPoint, air_at, air_of, preheat, solve_air
from engcalc.system.circuit import CircuitFlows, circuit_flows, given_flows
from engcalc.system.plant import Plant
from engcalc.system.state import Conditions
from engcalc.units import Array

ROUND_COOLANT_T = 353.15  # K; coolant without a valve, for the air's film properties and densities only
STILL = 1e-9  # m3/s; a stated flow below it counts as none
AT_REST = 1e-3  # rev/s; a pump that turns slower counts as standing
_LEAST = 1e-9  # W/K; keeps a resistance finite where no air moves


@dataclass(frozen=True, eq=False)
class Setting:
    """A plant under its duties: everything that the wax temperature does not change."""

    plant: Plant
    conditions: Conditions
    load: Load
    air: Air
    nodes: AirNodes
    boiling: Array  # K
    scale: Array  # W, size of the heat flows, to say what is small
    still: NDArray[np.bool_]  # nothing drives the coolant
    shape: tuple[int, ...]  # (members,)


@dataclass(frozen=True, eq=False)
class AirPart:
    """The air side at a fan engagement, arrays (..., members)."""

    point: AirPoint
    C: Array  # W/K
    UA: Array  # W/K, air film and fins


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
    air: AirPart
    air_in: Array  # K
    radiator_heat: Array  # W
    surface_heat: Array  # W
    coolant_heater: Array  # W
    hose_heat: Array  # W, lost from the heater's hoses
    heater: HeaterResult
    residual: Array  # W


def prepare_setting(plant: Plant, conditions: Conditions) -> Setting:
    """Load, air and boiling point of each duty."""
    load = engine_load(plant.engine, conditions)
    heat = engine_heat(plant.engine, load, np.full(1, ROUND_COOLANT_T))
    plant = under_load(plant, load, heat)
    valve = plant.valve
    air = air_of(conditions, valve.full if valve.present else np.full(1, ROUND_COOLANT_T))
    nodes = solve_air(plant.airway, plant.core, air, conditions, load.engine_speed)
    scale = np.maximum(heat.heat_to_metal + heat.extra_heat + plant.coolant_heater.power, 1.0)
    boil = boiling(plant.cap, conditions.altitude)
    shape = np.broadcast_shapes((conditions.count,), (plant.members,))
    still = np.broadcast_to(_still(plant, conditions, load), shape)
    return Setting(plant, conditions, load, air, nodes, np.broadcast_to(boil, shape), np.broadcast_to(scale, shape),
                   still, shape)


def _still(plant: Plant, conditions: Conditions, load: Load) -> NDArray[np.bool_]:
    """Where nothing drives the coolant: a pump that stands or gives nothing, or a given flow of none."""
    pump, stated = plant.circuit.pump, conditions.coolant_flow
    rests = (pump_speed(pump, load.engine_speed) < AT_REST) | (plant.circuit.total < STILL)
    return np.asarray(np.where(np.isfinite(stated), stated < STILL, rests))


def air_part(setting: Setting, engagement: Array) -> AirPart:
    """The air side at an engagement."""
    core, fluid = setting.plant.core, setting.air.fluid
    point = air_at(setting.plant.airway, setting.nodes, engagement)
    side = air_side(core.fin, point.velocity / core.open_face, fluid)
    return AirPart(point, fluid.rho * point.velocity * core.face * fluid.cp,
                   np.maximum(side.eta_o * side.h * core.A_air, _LEAST))


def balance(setting: Setting, x: Array, fixed: tuple[Array, AirPart] | None, below: Array | float = 0.0) -> Balance:
    """The plant at wax temperature x [K], shape (..., members).

    ``fixed`` is the fan's engagement with its air side; None lets the clutch follow the coolant. ``below`` [K] shifts
    the valve's line down (cooling branch).
    """
    plant, c = setting.plant, setting.conditions
    opening = np.where(np.isfinite(c.valve_held), c.valve_held, lift(plant.valve, x, below))
    fluid = plant.coolant.state(x)
    load = idling_at(plant.engine, setting.load, x)
    flows = _flows(setting, opening, fluid, load.engine_speed)
    rho = fluid.rho * (1.0 - plant.aeration)
    C = rho * flows.engine * fluid.cp
    heat = engine_heat(plant.engine, load, x)
    T_out = engine_outlet(setting, x, C, heat)
    if plant.equipment.heats:
        heat = replace(heat, extra_heat=heat.extra_heat + equipment_heat(setting, heat, T_out))
    made = heat.heat_to_metal + heat.extra_heat
    engagement, air = (None, None) if fixed is None else fixed
    if engagement is None or air is None:
        engagement = _clutch(setting, T_out)
        air = air_part(setting, engagement)
    Q_r, air_in = _radiator(setting, fluid, rho * flows.radiator, T_out, air)
    surface = plant.surface_conductance * (T_out - c.ambient)
    C_h = rho * flows.heater * fluid.cp
    added = coolant_heat(plant.coolant_heater, c.coolant_heater, T_out, C_h)
    G = plant.heater_hose_conductance
    T_hose = T_out + (added - G * (T_out - c.ambient)) / np.maximum(C_h + G, _LEAST)
    lost = G * (T_hose - c.ambient)
    heater = heater_exchange(plant.heater, HeaterFlows(
        rho * flows.heater, fluid.cp, T_hose, c.ambient, setting.air.fluid.rho, setting.air.fluid.cp,
        c.heater_air_share))
    return Balance(opening, flows, fluid, rho, heat, load.engine_speed, C, T_out, engagement, air, air_in, Q_r, surface,
                   added, lost, heater, made + added - surface - Q_r - lost - heater.heat)


def engine_outlet(setting: Setting, x: Array, C: Array, heat: EngineHeat) -> Array:
    """Coolant out of the engine [K] with the wax at x [K] and C [W/K] through the engine."""
    plant, ambient = setting.plant, setting.conditions.ambient
    if plant.valve.side is Side.OUTLET:
        return x
    UA, made = plant.surface_conductance, heat.heat_to_metal + heat.extra_heat
    if not plant.equipment.heats:
        mixed = (C * x + made + UA * ambient) / np.maximum(C + UA, 1e-12)
    else:
        given, loses = settled_gearbox(plant.equipment, gearbox_loss(plant.equipment, plant.engine, heat.brake_power))
        UA = UA + loses
        mixed = outlet_with_flap(plant.equipment, C * x + made + given + UA * ambient, C + UA, heat.heat_exhaust)
    return np.where(setting.still, x, mixed)


def equipment_heat(setting: Setting, heat: EngineHeat, T_out: Array) -> Array:
    """Heat [W] that gearbox and exhaust give the coolant; taken from it where negative."""
    fitted = setting.plant.equipment
    given, loses = settled_gearbox(fitted, gearbox_loss(fitted, setting.plant.engine, heat.brake_power))
    recovered = fitted.recovery * heat.heat_exhaust * flap_open(fitted, T_out)
    return np.asarray(given - loses * (T_out - setting.conditions.ambient) + recovered)


def under_load(plant: Plant, load: Load, heat: EngineHeat) -> Plant:
    """The plant with its valve as the load has it open; itself where no load moves the valve."""
    if not plant.valve.is_mapped:
        return plant
    valve = valve_under_load(plant.valve, load_of_fuel(plant.engine, heat.fuel_power, load.engine_speed))
    return replace(plant, valve=valve)


def _clutch(setting: Setting, T: Array) -> Array:
    mode = setting.conditions.fan_mode
    return np.where(mode > 0.0, 1.0, np.where(mode < 0.0, 0.0, clutch_engagement(setting.plant.airway.fan, T)))


def _flows(setting: Setting, opening: Array, fluid: Fluid, engine_speed: Array) -> CircuitFlows:
    """The network's flows, or those given."""
    circuit, stated = setting.plant.circuit, setting.conditions.coolant_flow
    given: NDArray[np.bool_] = np.isfinite(stated)
    if given.all():
        return given_flows(circuit, opening, stated)
    net = circuit_flows(circuit, opening, engine_speed, fluid.rho, fluid.mu)
    if not given.any():
        return net
    fixed = given_flows(circuit, opening, np.where(given, stated, 0.0))
    return CircuitFlows(*(np.where(given, getattr(fixed, f.name), getattr(net, f.name)) for f in fields(CircuitFlows)))


def _radiator(setting: Setting, coolant: Fluid, flow: Array, T_in: Array, air: AirPart) -> tuple[Array, Array]:
    """Heat [W] and the temperature of the air that comes to the core [K].

    Of the hot air that leaves, the share r comes round again: T_air = (1 - r) T_amb + r T_air_out + preheat, and
    T_air_out = T_air + e (T_in - T_air) with e = Q per kelvin over C_air, which closes in T_air.
    """
    core, r = setting.plant.core, setting.nodes.recirculation
    tube = tube_side(core.tube, flow / coolant.rho / core.flow_area, coolant)
    resistance = 1.0 / air.UA + core.R_wall + core.R_fouling + 1.0 / (tube.h * core.A_tube)
    UA = setting.plant.ua_scale / resistance
    chain = multipass(UA, flow * coolant.cp, air.C * core.live_air, core.geometry.passes, setting.plant.arrangement)
    per_kelvin = chain.effectiveness * chain.C_min
    e = per_kelvin / np.maximum(air.C, _LEAST)
    ahead = preheat(setting.plant.airway, air.C)
    T_air = ((1.0 - r) * setting.conditions.ambient + r * e * T_in + ahead) / (1.0 - r + r * e)
    return per_kelvin * (T_in - T_air), T_air
