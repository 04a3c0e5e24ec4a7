"""The plant as lumps that store heat: capacities, conductances between them, and tables of what the drive changes.

Where the coolant and the metal sit, and how well they touch, is common practice without a source (constants below); a
case's totals (metal mass, coolant volume, surface conductance, core) are kept. The surface loses through the block,
from the coolant's side in series, so that the steady loss is that of the operating point:
1/UA_surface = 1/UA_block + 1/UA_air.

Hoses lose to the air as well (``components.hose``), so that one in which the coolant hardly moves stays near the air.
The operating point counts those of the heater by the same balance; those of the radiator take their share of the
radiator's heat, which is known to some tens of per cent where theirs is a few thousandths of it.
"""

from __future__ import annotations

from dataclasses import dataclass, fields, replace
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from engcalc.case.conditions import Conditions, whole_run
from engcalc.components.engine import (
    COLD_IDLE_MOST,
    T_OIL_WARM,
    Load,
    catalyst_heating,
    engine_heat,
    engine_load,
    heat_released,
    oil_factor,
    with_fan,
)
from engcalc.components.fan import CLUTCH_LEAST, FanDrive
from engcalc.components.hose import HEATER_HOSE, VOLUME_HEATER, hose_conductance
from engcalc.components.louver_fin import air_side
from engcalc.components.pump import PumpDrive, head_factors, pump_speed
from engcalc.system.airflow import Air, air_of, solve_air
from engcalc.system.balance import ROUND_COOLANT_T
from engcalc.system.in_time.drive import Drive
from engcalc.system.oil_coolers import Coolers, coolers_in_coolant
from engcalc.system.plant import Plant
from engcalc.system.upstream import Stack, stack_ahead
from engcalc.units import Array

CELLS = 6  # of the radiator along the coolant; three at least let a cold slug arrive late
# SHARP: a front 60 K high makes the next cells undershoot by some 5 K for a second; a slug is as deep as in plug flow
SHARP = 0.7  # of the gradient along a cell or radiator hose that its outlet keeps: 0 a stirred tank, 1 nothing smears
KEPT = 1.0 + SHARP
# Three numbers fitted to fourteen cold starts of a diesel of about 2 L and five of a petrol 1.5 L (4 K rms):
HOT_METAL = 0.49  # share of the engine's metal that the gas heats first: liners, head, valves
METAL_OVER_COOLANT = 55.0  # K; hot metal over coolant at rated heat
BLOCK_TIME = 280.0  # s; in which block and oil follow the coolant
OIL_SHARE = 0.25  # oil's heat capacity over that of the metal
VOLUME_ENGINE = 0.45  # share of the coolant in engine and tank
VOLUME_UPPER = 0.08  # share of the coolant in the upper hose
VOLUME_CORE = 0.27  # share of the coolant in the radiator
VOLUME_LOWER = 0.09  # share of the coolant in the lower hose; the rest is in the heater with its hoses
CORE_METAL = 0.35  # heat capacity of the radiator's metal over that of its coolant
HEATER_METAL = 0.5  # the same of the heater core
HOSE_SLENDER = 17.0  # length over bore of each radiator hose: 0.6 m of 36 mm
REFERENCE_T = 333.15  # K; 60 degC, where capacities of coolant count
CABIN_INTERIOR = 14e3  # J/K for each m3 of cabin: seats, panels
CABIN_COUPLING = 22.0  # W/K for each m3 of cabin, air to interior
AIR_CAPACITY = 1210.0  # J/(m3 K); air of 20 degC
SENSOR_TIME = 4.0  # s; a coolant sensor in flow
OIL_NODES = (0.85, 1.0, 1.25, 1.6, 2.1, 2.8, 3.7, 5.0)  # friction over that of warm oil, where heat is tabulated
QUICK_NODES = (0.5 * COLD_IDLE_MOST, COLD_IDLE_MOST)  # of the cold idle's rise, where heat is tabulated besides 0
OIL_TABLE = (np.linspace(233.15, 423.15, 400), oil_factor(np.linspace(233.15, 423.15, 400)))  # K; friction over warm
AIR_NODES = 7  # vehicle speeds at which the air is solved for a log; a schedule's speeds are solved as they are
FEW_ROWS = 12
_SLOW = 0.1  # rev/s; keeps a share of a speed finite


@dataclass(frozen=True, eq=False)
class Lumps:
    """Capacities [J/K] and conductances [W/K] of the lumps, arrays over the members."""

    hot: Array
    block: Array
    engine: Array
    upper: Array
    cell: Array
    lower: Array
    heater_hose: Array
    heater_core: Array
    cabin: Array
    interior: Array
    hot_to_coolant: Array
    block_to_coolant: Array
    upper_to_air: Array
    lower_to_air: Array
    heater_hose_to_air: Array
    cabin_to_air: Array
    cabin_to_interior: Array


@dataclass(frozen=True, eq=False)
class AirTable:
    """The air at speeds of the vehicle, not warmed and warmed, at engagements of the fan.

    Arrays (speeds, 2, engagements, members), with an active shutter (speeds, openings, 2, engagements, members);
    ``airflow`` says what lies between not warmed and warmed.
    """

    index: NDArray[np.int64]  # (steps,) lower node
    weight: Array  # (steps,) of the node above
    C: Array  # W/K, all the air
    UA: Array  # W/K, air film and fins
    recirculation: Array  # -, (speeds, members)
    per_thinned: Array  # -, (members,), as in AirNodes
    air: Air


def prepare_lumps(plant: Plant) -> Lumps:
    """Where heat is stored."""
    state = plant.coolant.state(np.full(1, REFERENCE_T))
    coolant = plant.coolant_volume * state.rho * (1.0 - plant.aeration) * state.cp
    metal = HOT_METAL * plant.metal_capacity
    block = (1.0 - HOT_METAL + OIL_SHARE) * plant.metal_capacity
    to_block = block / BLOCK_TIME
    rated = plant.engine.share_rated * plant.engine.fuel_rated
    cabin = plant.heater.cabin
    return Lumps(
        hot=metal,
        block=block,
        engine=VOLUME_ENGINE * coolant,
        upper=VOLUME_UPPER * coolant,
        cell=VOLUME_CORE * (1.0 + CORE_METAL) / CELLS * coolant,
        lower=VOLUME_LOWER * coolant,
        heater_hose=VOLUME_HEATER * HEATER_HOSE * coolant,
        heater_core=VOLUME_HEATER * (1.0 - HEATER_HOSE) * (1.0 + HEATER_METAL) * coolant,
        cabin=cabin.volume * AIR_CAPACITY,
        interior=cabin.volume * CABIN_INTERIOR,
        hot_to_coolant=np.maximum(rated / METAL_OVER_COOLANT, 1.0),
        block_to_coolant=to_block,
        upper_to_air=hose_conductance(VOLUME_UPPER * plant.coolant_volume, HOSE_SLENDER),
        lower_to_air=hose_conductance(VOLUME_LOWER * plant.coolant_volume, HOSE_SLENDER),
        heater_hose_to_air=plant.heater_hose_conductance,
        cabin_to_air=cabin.heat_loss,
        cabin_to_interior=cabin.volume * CABIN_COUPLING,
    )


def block_to_air(plant: Plant, lumps: Lumps, growth: Array) -> Array:
    """Conductance [W/K] from the block to the air, in series with that from the coolant.

    ``growth`` [-] is that of the whole surface's loss in the wind (``components.surface``).
    """
    to_block = lumps.block_to_coolant
    surface = np.minimum(plant.surface_conductance * growth, 0.9 * to_block)
    return np.asarray(surface * to_block / (to_block - surface))


def stored_reference(lumps: Lumps) -> tuple[Array, ...]:
    """Every capacity once for each lump of that size, to sum what is stored."""
    return (
        lumps.hot,
        lumps.block,
        lumps.engine,
        lumps.upper,
        *(lumps.cell,) * CELLS,
        lumps.lower,
        lumps.heater_hose,
        lumps.heater_core,
        lumps.cabin,
        lumps.interior,
    )


def row_load(plant: Plant, drive: Drive) -> Load:
    """Engine speed and brake power of every row, (rows, members or 1)."""
    return engine_load(plant.engine, drive.conditions)


def late_heat(plant: Plant, drive: Drive, load: Load) -> Array:
    """Heat into the metal [W] by late ignition in the first steps after a cold start, (steps of it, members).

    None where the fuel was measured. Only an idling engine takes its ignition back that far: a driver who asks for
    power gets it.
    """
    heat, lasts = catalyst_heating(plant.engine, drive.start)
    started = np.isnan(load.fuel_flow).any() and (load.engine_speed[drive.which[0]] > 0.0).any()
    if not started or not np.any(heat > 0.0):
        return np.zeros((0, 1))
    steps = lasts / drive.step
    lasting = range(min(int(np.ceil(steps.max())), len(drive.which)))
    idling = [np.mean(load.idles[drive.which[k]], axis=0) for k in lasting]
    return np.stack([heat * np.clip(steps - k, 0.0, 1.0) * idling[k] for k in lasting])


def load_in(load: Load, rows: NDArray[np.int64]) -> Load:
    """What the engine is asked for in some steps, (steps, rows of a step, members or 1)."""

    def asked(table: Any) -> Any:
        return table[rows] if len(table) > 1 else table

    return Load(**{field.name: asked(getattr(load, field.name)) for field in fields(load)})


def heat_nodes(plant: Plant, load: Load) -> tuple[tuple[Array, Array], ...]:
    """Heat into the metal and extra heat [W] of every row with friction at each of ``OIL_NODES``."""
    T, factor = OIL_TABLE
    oil = np.interp(np.asarray(OIL_NODES), factor[::-1], T[::-1])
    return tuple(heat_released(plant.engine, load, np.full(1, x)) for x in oil)


def fan_heat(plant: Plant, load: Load) -> Array:
    """Heat into the metal [W] that an electric fan at its full power adds to every row, the engine warm."""
    T_oil = np.full(1, T_OIL_WARM)
    without, _ = heat_released(plant.engine, load, T_oil)
    with_it, _ = heat_released(plant.engine, with_fan(plant.engine, load, 1.0), T_oil)
    return np.atleast_2d(with_it - without)


def quicker(plant: Plant, load: Load, share: float) -> Load:
    """The load with what idles turning faster by a share of the cold idle's rise."""
    rise = np.where(load.idles, share * plant.engine.cold_idle_rise, 0.0)
    return replace(load, engine_speed=load.engine_speed + rise)


def pump_quicker(plant: Plant, load: Load) -> Array:
    """By which share of its speed the whole cold idle's rise turns the pump faster [-], (rows, members)."""
    if plant.circuit.pump.drive is not PumpDrive.BELT:
        return np.zeros((1, 1))
    return np.asarray(np.where(load.idles, plant.engine.cold_idle_rise / np.maximum(load.engine_speed, _SLOW), 0.0))


def quick_weights(share: Array) -> tuple[Array, Array]:
    """Weights of the heat at ``QUICK_NODES`` over that of warm idle: a parabola through all three."""
    middle, most = QUICK_NODES
    at_middle = share * (most - share) / (middle * (most - middle))
    at_most = share * (share - middle) / (most * (most - middle))
    return at_middle, at_most


def coolers_ahead(plant: Plant, drive: Drive, load: Load) -> Stack:
    """The coolers ahead of the radiator in every row, the engine's oil warm; arrays (rows, members or 1)."""
    upstream = plant.airway.upstream
    rows = len(load.engine_speed)
    if not upstream.has_any:
        return ()
    heat = engine_heat(plant.engine, load, np.full(1, T_OIL_WARM)) if upstream.by_load else None
    stack = stack_ahead(upstream, plant.engine, load, heat, whole_run(drive.conditions))

    def of_rows(values: Array) -> Array:
        found = np.atleast_2d(values)
        return np.broadcast_to(found, (rows, found.shape[-1]))

    return tuple(
        replace(one, asked=of_rows(one.asked), hot=of_rows(one.hot), reach=of_rows(one.reach)) for one in stack
    )


def oil_coolers_in_rows(plant: Plant, load: Load) -> Coolers:
    """The oil coolers in the coolant in every row; arrays (rows, members or 1)."""
    if not plant.oil_coolers:
        return ()
    coolers = coolers_in_coolant(
        plant.oil_coolers, plant.engine, engine_heat(plant.engine, load, np.full(1, T_OIL_WARM))
    )
    return tuple(replace(one, asked=np.atleast_2d(one.asked)) for one in coolers)


def pump_heads(plant: Plant, engine_speed: Array) -> tuple[Array, Array]:
    """Pump head at no flow [Pa] over the coolant's density, for every row, and fall coefficient over density."""
    one = np.ones(1)
    H, c = head_factors(plant.circuit.pump, pump_speed(plant.circuit.pump, engine_speed), one)
    return H, c


def air_in(plant: Plant, drive: Drive) -> Air:
    """The air that comes in."""
    hot = plant.valve.full if plant.valve.present else np.full(1, ROUND_COOLANT_T)
    return air_of(whole_run(drive.conditions), hot)


def air_table(plant: Plant, drive: Drive, load: Load) -> AirTable:
    """Solve the air at the speeds that the drive needs: each member's own of a drive of one row, else one for all."""
    base = whole_run(drive.conditions)
    air = air_in(plant, drive)
    if len(load.engine_speed) == 1:
        steps = len(drive.which)
        index = np.zeros(steps, np.int64)
        weight = np.zeros(steps)
        found = [_air_nodes(plant, base, air, drive.conditions.vehicle_speed[0], load.engine_speed[0])]
    else:
        index, weight, nodes = _air_places(plant, drive, load)
        found = _air_at(plant, base, air, nodes)
    C, UA, recirculation = (np.stack(tables) for tables in zip(*(one[:3] for one in found), strict=True))
    return AirTable(index, weight, C, UA, recirculation, found[0].per_thinned, air)


def _speeds_of_nodes(row_speeds: Array) -> Array:
    """Vehicle speeds [m/s] of the grid, from 0 to the highest driven, closer where the vehicle is slow."""
    top = max(float(row_speeds.max()), 1.0)
    return np.asarray(top * np.linspace(0.0, 1.0, AIR_NODES) ** 1.5)


def _air_places(plant: Plant, drive: Drive, load: Load) -> tuple[NDArray[np.int64], Array, Array]:
    """Which of the nodes each step stands at, with which weight of the next; vehicle and engine speed of each node.

    A drive of few speeds has a node for each of them, another a grid over its vehicle speeds.
    """
    row_speeds = np.broadcast_to(drive.conditions.vehicle_speed[:, 0], load.engine_speed.shape[:1])
    row_turns = load.engine_speed.mean(axis=-1)
    turns_fan = plant.airway.fan.drive in (FanDrive.FIXED, FanDrive.VISCOUS)
    pairs = np.stack((row_speeds, row_turns if turns_fan else np.zeros_like(row_speeds)), axis=1)
    nodes, node_of_row = np.unique(pairs, axis=0, return_inverse=True)
    if len(nodes) <= FEW_ROWS:
        node_of_step = node_of_row.reshape(-1)[drive.which[:, 0]]
        return node_of_step, np.zeros(len(drive.which)), nodes
    grid = _speeds_of_nodes(row_speeds)
    turns = np.interp(grid, *_mean_turns(row_speeds, row_turns))
    step_speeds = row_speeds[drive.which].mean(axis=1)
    below = np.searchsorted(grid, step_speeds, side="right") - 1
    index = np.clip(below, 0, AIR_NODES - 2)
    weight = (step_speeds - grid[index]) / (grid[index + 1] - grid[index])
    return index, np.clip(weight, 0.0, 1.0), np.stack((grid, turns), axis=1)


def _mean_turns(speeds: Array, turns: Array) -> tuple[Array, Array]:
    """Mean engine speed at a few vehicle speeds, for fans that the engine turns."""
    edges = np.unique(np.quantile(speeds, np.linspace(0.0, 1.0, 8)))
    which = np.clip(np.digitize(speeds, edges) - 1, 0, len(edges) - 1)

    def mean_from(edge: int) -> float:
        there = turns[which == edge]
        return float(there.mean() if there.size else turns.mean())

    return edges, np.array([mean_from(edge) for edge in range(len(edges))])


class _AirNodes(NamedTuple):
    """The air at one pair of speeds; C and UA (2, engagements, members), with an active shutter one axis more."""

    C: Array  # W/K
    UA: Array  # W/K
    recirculation: Array  # -, (members,)
    per_thinned: Array  # -, (members,)


def _air_at(plant: Plant, base: Conditions, air: Air, nodes: Array) -> list[_AirNodes]:
    """The air at each pair of vehicle and engine speed, (pairs, 2): of one vehicle all pairs in one call."""
    alone = plant.members == 1 and base.count == 1 and air.T_hot.size == 1
    if not alone:
        return [_air_nodes(plant, base, air, np.full(1, v), np.full(1, n)) for v, n in nodes]
    together = _air_nodes(plant, base, air, nodes[:, 0], nodes[:, 1])
    pairs = [slice(i, i + 1) for i in range(len(nodes))]
    return [
        _AirNodes(together.C[..., i], together.UA[..., i], together.recirculation[i], together.per_thinned)
        for i in pairs
    ]


def _air_nodes(plant: Plant, base: Conditions, air: Air, speed: Array, turns: Array) -> _AirNodes:
    """The air at a vehicle speed [m/s] and an engine speed [rev/s]."""
    nodes = solve_air(plant.airway, plant.core, air, replace(base, vehicle_speed=speed), turns)
    side = air_side(plant.core.fin, nodes.velocity / plant.core.open_face, air.fluid)
    C = air.fluid.rho * nodes.velocity * plant.core.face * air.fluid.cp
    UA = np.maximum(side.eta_o * side.h * plant.core.A_air, 1e-9)
    return _AirNodes(C, UA, nodes.recirculation, nodes.per_thinned)


def least_engagement(plant: Plant, mode: float) -> float:
    """Engagement of a fan that is cold, held off or held on."""
    drive = plant.airway.fan.drive
    if mode != 0.0 or drive in (FanDrive.FIXED, FanDrive.NONE):
        return 0.0 if mode < 0.0 else 1.0
    return CLUTCH_LEAST if drive is FanDrive.VISCOUS else 0.0
