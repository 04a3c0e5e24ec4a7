"""Air network: ram and fan against grille, upstream coolers, core and exit, at the local density.

Two streams side by side pass the core: one under the shroud, which has the fan, and one beside it, which has the ram
alone. Each meets, at its face velocity v,

    ram + draught + fan(v) = (zeta_s + zeta_grille + zeta_upstream + zeta_exit) rho v^2/2 + core(v)

- ram: recovered share of the dynamic pressure of the vehicle's speed; without seals a part of it goes round the core.
- draught: the chimney effect over half of the core's height, which is all that moves air at standstill without a fan.
- grille: sharp entry and sudden widening from the open area to the face (Borda & Carnot); exit: one dynamic head of the
  hot air in the area behind the core. The shutter narrows the grille.
- core: friction of the louvered fin at a film temperature, with the mean density of the air that warms on its way.
- an upstream cooler counts with its share of the face, its heat warms the air, the more the less air there is.
- recirculation: at standstill a share of the hot air comes round again; it falls as the ram grows.

Everything here is independent of the coolant's temperature (hot air is taken at ``T_hot``), so that it is solved once,
at a few engagements of the fan; a clutch that is partly engaged is interpolated between them.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from engcalc.case.sections import Sections
from engcalc.components.core import PreparedCore, air_pressure_drop
from engcalc.components.fan import Fan, FanDrive, FanSide, fan_pressure, fan_pressure_slope, prepare_fan, speed_ratio
from engcalc.properties.air import air_state, density, humidity_ratio, pressure_at_altitude
from engcalc.properties.fluid import Fluid
from engcalc.system.state import Conditions
from engcalc.units import Array

GRAVITY = 9.80665  # m/s2; standard gravity, ISO 80000-3
ENTRY_LOSS = 0.5  # -; sharp entry, dynamic heads of the opening; common practice
SHUT_LEAK = 0.02  # -; of the grille, that a closed shutter lets through; common practice, no source
SEALS_RAM = 0.7  # -; of the ram that still reaches the core without seals; common practice, no source
SEALS_RECIRCULATION = 2.5  # -; times more hot air comes round without seals; common practice, no source
RECIRCULATION_RAM = 10.0  # Pa; ram at which recirculation is halved (some 17 km/h); common practice, no source
RECIRCULATION_MOST = 0.9  # -
UPSTREAM_MOST = 60.0  # K; by which coolers ahead can warm the air at most; common practice, no source
HOT_SHARE = 0.55  # -; of coolant over ambient that the air takes up, for densities; common practice, no source
FILM_SHARE = 0.3  # -; of coolant over ambient, where the air's film properties count; about half of HOT_SHARE
CLUTCH_NODES = 5  # engagements at which a clutch is solved
_STEPS = 25
_STEP = 1e-6  # -; relative step for the slope of the core's drop


@dataclass(frozen=True, eq=False)
class Airway:
    """Everything of the air's way that no duty changes."""

    fan: Fan
    face: Array  # m2
    height: Array  # m, of the core
    zeta: Array  # -, grille, upstream and other losses, dynamic heads at the face, cold air
    zeta_exit: Array  # -, dynamic heads at the face, were the air not warmed
    coverage: Array  # -, share of the face under the shroud
    ram_recovery: Array  # -, seals included
    recirculation: Array  # -, at standstill, seals included
    upstream_heat: Array  # W
    engagements: tuple[float, ...]  # -, nodes


@dataclass(frozen=True, eq=False)
class Air:
    """The air of each duty."""

    p: Array  # Pa
    W: Array  # -, humidity ratio
    ambient: Array  # K
    fluid: Fluid  # density of the incoming air; cp, k, mu at the film temperature
    T_hot: Array  # K, taken for densities behind the core


@dataclass(frozen=True, eq=False)
class AirNodes:
    """The solved air at each fan engagement; arrays (nodes, members)."""

    velocity: Array  # m/s, mean over the face, density of the incoming air
    fan_flow: Array  # m3/s, all fans
    fan_pressure: Array  # Pa
    ram_pressure: Array  # Pa, (members,)
    recirculation: Array  # -, (members,)


@dataclass(frozen=True, eq=False)
class AirPoint:
    """The air at one engagement; arrays (..., members)."""

    velocity: Array
    fan_flow: Array
    fan_pressure: Array


def prepare_airway(case: Sections, core: PreparedCore) -> Airway:
    """The air's way of a case."""
    a, fan = case.airflow, prepare_fan(case)
    opened = core.face / (a.opening_area * np.maximum(a.shutter, SHUT_LEAK))
    grille = ENTRY_LOSS * opened**2 + np.maximum(opened - 1.0, 0.0) ** 2
    upstream, heat = np.zeros(1), np.zeros(1)
    for cooler in a.upstream:
        upstream = upstream + cooler.flow_resistance * cooler.face_share
        heat = heat + cooler.heat
    sealed = a.seals == "fitted"
    nodes = {FanDrive.VISCOUS: CLUTCH_NODES, FanDrive.NONE: 1}.get(fan.drive, 2)
    return Airway(
        fan=fan, face=core.face, height=core.geometry.core_height, zeta=a.system_loss + grille + upstream,
        zeta_exit=(core.face / a.exit_area) ** 2, coverage=a.shroud_coverage,
        ram_recovery=a.ram_recovery * (1.0 if sealed else SEALS_RAM),
        recirculation=np.minimum(a.recirculation * (1.0 if sealed else SEALS_RECIRCULATION), RECIRCULATION_MOST),
        upstream_heat=heat, engagements=tuple(k / max(nodes - 1, 1) for k in range(nodes)))


def air_of(conditions: Conditions, T_coolant: Array) -> Air:
    """Density and film properties of each duty's air; ``T_coolant`` [K] is a round figure for the coolant."""
    T, p = conditions.ambient, pressure_at_altitude(conditions.altitude)
    W = humidity_ratio(T, conditions.relative_humidity, p)
    over = np.maximum(T_coolant - T, 0.0)
    film = air_state(T + FILM_SHARE * over, p, W)
    return Air(p, W, T, Fluid(density(T, p, W), film.cp, film.k, film.mu), T + HOT_SHARE * over)


def solve_air(airway: Airway, core: PreparedCore, air: Air, conditions: Conditions, engine_speed: Array) -> AirNodes:
    """Velocity and fan point of each duty at each engagement node. A given air velocity takes the place of all."""
    rho, fan = air.fluid.rho, airway.fan
    warmed = air.T_hot / air.ambient  # rho of the incoming air over that of the hot air
    ram = airway.ram_recovery * 0.5 * rho * conditions.vehicle_speed**2
    draught = rho * (1.0 - 1.0 / warmed) * GRAVITY * airway.height / 2.0
    ratio = speed_ratio(fan, engine_speed, np.array(airway.engagements)[:, None])
    per_fan = airway.face * airway.coverage / np.maximum(fan.count, 1.0)
    if fan.side is FanSide.PULLER:
        per_fan, rho_fan = per_fan * warmed, rho / warmed
    else:
        rho_fan = rho
    n = np.broadcast_shapes(ram.shape, ratio.shape[1:], per_fan.shape, airway.zeta.shape, core.face.shape,
                            fan.free_flow.shape, fan.stall_pressure.shape)
    losses = 0.5 * rho * (airway.zeta + airway.zeta_exit * warmed)
    drive = np.broadcast_to(ram + draught + 1e-9, n)
    rows = np.broadcast_to(ratio, (ratio.shape[0], *n))
    stall = np.broadcast_to(fan.blows * rho_fan / 1.2 * fan.stall_pressure * rows**2, rows.shape)

    def friction(v: Array) -> Array:
        return air_pressure_drop(core, v, air.fluid) * (0.5 + 0.5 * warmed)

    def net(v: Array) -> tuple[Array, Array]:
        both = friction(np.stack((v, v * (1.0 + _STEP))))
        value = drive - losses * v**2 - both[0]
        slope = -2.0 * losses * v - (both[1] - both[0]) / (v * _STEP)
        flow = v[1:] * per_fan
        value[1:] += fan_pressure(fan, flow, rows, rho_fan)
        slope[1:] += fan_pressure_slope(fan, flow, rows, rho_fan) * per_fan
        return value, slope

    most = np.sqrt(np.concatenate((drive[None], drive + stall)) / losses)
    v = _falling_newton(net, most, friction(most), losses)
    beside, under = v[0], v[1:]
    velocity = airway.coverage * under + (1.0 - airway.coverage) * beside
    flow = under * per_fan
    given = np.isfinite(conditions.air_velocity)
    if given.any():
        stated = np.where(given, conditions.air_velocity, 0.0)
        velocity, flow, ram = np.where(given, stated, velocity), np.where(given, 0.0, flow), np.where(given, 0.0, ram)
    pressure = fan_pressure(fan, flow, rows, rho_fan) * ~given
    recirculation = np.where(given, 0.0, airway.recirculation / (1.0 + ram / RECIRCULATION_RAM))
    return AirNodes(velocity, flow * fan.count * fan.blows, pressure, ram + 0.0 * recirculation, recirculation)


def _falling_newton(net: Callable[[Array], tuple[Array, Array]], most: Array, core_drop: Array, losses: Array) -> Array:
    """Root of the falling ``net`` (value and slope) between 0 and ``most``; Newton's steps kept in a bracket."""
    low, high = np.full(most.shape, 1e-12), most
    v = most * (losses * most**2 / (losses * most**2 + core_drop)) ** 0.55  # all losses as one power of v
    for _ in range(_STEPS):
        value, slope = net(v)
        low, high = np.where(value >= 0.0, v, low), np.where(value >= 0.0, high, v)
        moved = v - value / slope
        inside = (moved >= low) & (moved <= high)  # at a root the step is 0 and the bound is the root itself
        moved = np.where(inside, moved, 0.5 * (low + high))
        close = np.abs(moved - v) <= 1e-8 * v  # the next error goes with the square of this step
        v = moved
        if close.all():
            break
    return v


def air_at(airway: Airway, nodes: AirNodes, engagement: Array) -> AirPoint:
    """The air at an engagement [-] of shape (..., members), by straight lines between the nodes."""
    count = len(airway.engagements)
    table = (nodes.velocity, nodes.fan_flow, nodes.fan_pressure)
    if count == 1:
        return AirPoint(*(t[0] + 0.0 * engagement for t in table))
    steps = [np.clip(engagement * (count - 1) - k, 0.0, 1.0) for k in range(count - 1)]
    return AirPoint(*(t[0] + sum(step * (t[k + 1] - t[k]) for k, step in enumerate(steps)) for t in table))


def preheat(airway: Airway, C_air: Array) -> Array:
    """By how much coolers ahead warm the air [K] at a capacity rate [W/K] >= 0; at most ``UPSTREAM_MOST``."""
    return np.asarray(airway.upstream_heat / np.maximum(C_air + airway.upstream_heat / UPSTREAM_MOST, 1e-9))
