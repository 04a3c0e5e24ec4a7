"""Air network: ram and fan against grille, upstream coolers, core and exit, at the local density.

Two streams side by side pass the core: one under the shroud, which has the fan, and one beside it, which has the ram
alone. Each meets, at its face velocity v,

    ram + draught + fan(v) = (zeta_s + zeta_grille + zeta_upstream + zeta_exit) rho v^2/2 + core(v)

- ram: recovered share of the dynamic pressure of the air that comes from the front, less the pressure coefficient at
  the exit; without seals a part of it goes round the core. Wind from behind that is faster than the vehicle counts as
  still air. An exit with more pressure than the opening counts as no ram.
- draught: the chimney effect over half of the core's height, which is all that moves air at standstill without a fan.
- grille: entry and sudden widening from the open area to the face (Borda & Carnot), less what a duct that widens
  slowly saves of it; exit: one dynamic head of the hot air in the area behind the core, less what a diffuser wins
  back. The shutter narrows the grille.
- core: friction of the louvered fin at a film temperature, with the mean density of the air that warms on its way, and
  what it takes to accelerate that air (``core.air_total_loss``).
- an upstream cooler counts with its share of the face; its heat warms the air (``upstream``).
- recirculation: at standstill a share of the hot air comes round again; it falls as the ram grows.

The air behind the core is as hot as the core's heat makes it, and the hotter the less dense. How the air flows is
solved once per duty, at a few engagements of the fan, for air that is not warmed and for air of ``T_hot`` behind the
core. Between the two, and beyond, a velocity goes in proportion to the share of its density that the air loses, which
a fan (flow by volume) and the draught (by difference of density) do in the limit; a clutch that is partly engaged is
interpolated between the engagements.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np

from engcalc.case.conditions import Conditions
from engcalc.case.sections import Sections
from engcalc.case.sections.airflow import Airflow
from engcalc.causes.catalogue.radiator_and_air import SEALS_RAM, SEALS_RECIRCULATION
from engcalc.components.core import PreparedCore, air_total_loss
from engcalc.components.fan import (
    Fan,
    FanDrive,
    FanSide,
    fan_pressure,
    fan_pressure_slope,
    prepare_fan,
    speed_ratio,
)
from engcalc.components.shapes import common_shape, shaped
from engcalc.properties.air import air_state, density, humidity_ratio, pressure_at_altitude
from engcalc.properties.fluid import Fluid
from engcalc.system.upstream import Upstream, prepare_upstream
from engcalc.units import Array

GRAVITY = 9.80665  # m/s2; standard gravity, ISO 80000-3
SHUT_LEAK = 0.02  # -; of the grille, that a closed shutter lets through; common practice, no source
RECIRCULATION_RAM = 10.0  # Pa; ram at which recirculation is halved (some 17 km/h); common practice, no source
RECIRCULATION_MOST = 0.9  # -
HOT_NODE = 0.7  # -; of coolant over ambient that the air takes up, where the flow of warmed air is solved
HOT_NODE_LEAST = 20.0  # K; by which that node lies over the ambient at least
FILM_SHARE = 0.3  # -; of coolant over ambient, where the air's film properties count; common practice, no source
CLUTCH_NODES = 5  # engagements at which a fan of more than one speed is solved
SHUTTER_NODES = (0.0, 0.1, 0.25, 0.5, 1.0)  # of its opening, at which an active shutter is solved
SHUTTER_CONDITIONING = 0.5  # -; that an active shutter opens at least for a condenser; common practice, no source
STILL_AIR = 1e-12  # m/s; counts as none, and lets a film be worked out
_STEPS = 25
_NEAR = 1e-8  # -; of the velocity, a last step
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
    exit_pressure: Array  # -, pressure coefficient where the air leaves
    recirculation: Array  # -, at standstill, seals included
    upstream: Upstream  # coolers ahead
    engagements: tuple[float, ...]  # -, nodes
    shutter: Shutter | None  # an active one; its ``zeta`` then stand for each of its nodes


@dataclass(frozen=True, eq=False)
class Shutter:
    """A shutter that opens with the coolant's temperature."""

    opens: Array  # K, starts to open
    full: Array  # K


@dataclass(frozen=True, eq=False)
class Air:
    """The air of each duty."""

    p: Array  # Pa
    W: Array  # -, humidity ratio
    ambient: Array  # K
    fluid: Fluid  # density of the incoming air; cp, k, mu at the film temperature
    T_hot: Array  # K, behind the core, at which the flow of warmed air is solved


@dataclass(frozen=True, eq=False)
class AirNodes:
    """The solved air, not warmed and warmed, at each fan engagement; arrays (2, engagements, members)."""

    velocity: Array  # m/s, mean over the face, density of the incoming air
    fan_flow: Array  # m3/s, all fans
    fan_pressure: Array  # Pa
    ram_pressure: Array  # Pa, (members,)
    recirculation: Array  # -, (members,)
    ambient: Array  # K
    per_thinned: Array  # -, 1 over the share of its density that the warmed air has lost


@dataclass(frozen=True, eq=False)
class AirPoint:
    """The air at one engagement; arrays (..., members), or (2, ..., members) for air not warmed and warmed."""

    velocity: Array
    fan_flow: Array
    fan_pressure: Array


def _zeta_of_opening(a: Airflow, face: Array) -> Array:
    """What grille, shutter and the widening behind them cost, in velocity heads at the core's ``face`` [m2].

    An active shutter has a row for each of its nodes.
    """
    stands = a.shutter * np.array(SHUTTER_NODES)[:, None] if a.shutter_control == "active" else a.shutter
    opened = face / (a.opening_area * np.maximum(stands, SHUT_LEAK))
    widening = (1.0 - a.inlet_diffuser) * np.maximum(opened - 1.0, 0.0) ** 2
    return np.asarray(a.inlet_loss * opened**2 + widening)


def prepare_airway(case: Sections, core: PreparedCore) -> Airway:
    """The air's way of a case."""
    a = case.airflow
    fan = prepare_fan(case)
    active = a.shutter_control == "active"
    upstream = np.zeros(1)
    for cooler in a.upstream:
        upstream = upstream + cooler.flow_resistance * cooler.face_share
    sealed = a.seals == "fitted"
    nodes = {FanDrive.ELECTRIC: 2, FanDrive.FIXED: 2, FanDrive.NONE: 1}.get(fan.drive, CLUTCH_NODES)
    return Airway(
        fan=fan,
        face=core.face,
        height=core.geometry.core_height,
        zeta=a.system_loss + _zeta_of_opening(a, core.face) + upstream,
        zeta_exit=(1.0 - a.exit_recovery) * (core.face / a.exit_area) ** 2,
        coverage=a.shroud_coverage,
        ram_recovery=a.ram_recovery * (1.0 if sealed else SEALS_RAM),
        exit_pressure=a.exit_pressure,
        recirculation=np.minimum(a.recirculation * (1.0 if sealed else SEALS_RECIRCULATION), RECIRCULATION_MOST),
        upstream=prepare_upstream(case, core.face),
        engagements=tuple(k / max(nodes - 1, 1) for k in range(nodes)),
        shutter=Shutter(a.shutter_opens, a.shutter_full) if active else None,
    )


def shutter_opening(shutter: Shutter, T: Array, conditioning: Array) -> Array:
    """How far [-] an active shutter stands open at a coolant temperature [K]: a straight line, more for a condenser.

    ``conditioning`` is the share at which the air conditioning runs.
    """
    span = np.maximum(shutter.full - shutter.opens, 1.0)
    share = np.minimum(np.maximum((T - shutter.opens) / span, 0.0), 1.0)
    return np.maximum(share, np.where(conditioning > 0.0, SHUTTER_CONDITIONING, 0.0))


def air_of(conditions: Conditions, T_coolant: Array) -> Air:
    """Density and film properties of each duty's air; ``T_coolant`` [K] is a round figure for the coolant."""
    T = conditions.ambient
    p = pressure_at_altitude(conditions.altitude)
    W = humidity_ratio(T, conditions.relative_humidity, p)
    over = np.maximum(T_coolant - T, 0.0)
    film = air_state(T + FILM_SHARE * over, p, W)
    hot = T + HOT_NODE * np.maximum(over, HOT_NODE_LEAST / HOT_NODE)
    return Air(p, W, T, Fluid(density(T, p, W), film.cp, film.k, film.mu), hot)


def solve_air(airway: Airway, core: PreparedCore, air: Air, conditions: Conditions, engine_speed: Array) -> AirNodes:
    """Velocity and fan point of each duty, for both temperatures behind the core, at each engagement.

    A given air velocity takes the place of all. With an active shutter the arrays have one axis more in front, that of
    its nodes.
    """
    if airway.shutter is None:
        return _solved(airway, core, air, conditions, engine_speed)
    found = [
        _solved(replace(airway, zeta=zeta, shutter=None), core, air, conditions, engine_speed) for zeta in airway.zeta
    ]
    velocity, flow, pressure = (
        np.stack([getattr(one, name) for one in found]) for name in ("velocity", "fan_flow", "fan_pressure")
    )
    return replace(found[-1], velocity=velocity, fan_flow=flow, fan_pressure=pressure)


@dataclass(frozen=True, eq=False)
class _Meets:
    """What drives and what holds the air of each duty; axis 0 cold and warmed, axis 1 engagements, then members."""

    warmed: Array  # -, density of the incoming air over that behind the core
    ram: Array  # Pa
    drive: Array  # Pa, ram and draught
    losses: Array  # Pa s2/m2, of everything but the core, over the square of the face velocity
    per_fan: Array  # m2, flow of one fan over the face velocity
    rho_fan: Array  # kg/m3
    turns: Array  # -, speed of the fan over that at which it was stated


def _solved(airway: Airway, core: PreparedCore, air: Air, conditions: Conditions, engine_speed: Array) -> AirNodes:
    """``solve_air`` without an active shutter."""
    fan = airway.fan
    meets = _meets(airway, core, air, conditions, engine_speed)
    v = _face_velocity(fan, core, air.fluid, meets)
    beside = v[:, :1]
    under = v[:, 1:]
    velocity = airway.coverage * under + (1.0 - airway.coverage) * beside
    flow = under * meets.per_fan
    ram = meets.ram
    given = np.isfinite(conditions.air_velocity)
    if given.any():
        stated = np.where(given, conditions.air_velocity, 0.0)
        velocity = np.where(given, stated, velocity)
        flow = np.where(given, 0.0, flow)
        ram = np.where(given, 0.0, ram)
    recirculation = np.where(given, 0.0, airway.recirculation / (1.0 + ram / RECIRCULATION_RAM))
    return AirNodes(
        velocity=velocity,
        fan_flow=flow * fan.count * fan.blows,
        fan_pressure=fan_pressure(fan, flow, meets.turns, meets.rho_fan) * ~given,
        ram_pressure=ram + 0.0 * recirculation,
        recirculation=recirculation,
        ambient=air.ambient,
        per_thinned=1.0 / (1.0 - air.ambient / air.T_hot),
    )


def draught(rho: Array, warmed: Array | float, height: Array) -> Array:
    """What warmed air behind a core of this ``height`` [m] pulls with [Pa]: rho (1 - 1/theta) g H/2.

    ``rho`` [kg/m3] is that of the air before the core, ``warmed`` theta [-] its temperature behind over before.
    """
    return np.asarray(rho * (1.0 - 1.0 / warmed) * GRAVITY * height / 2.0)


def _meets(airway: Airway, core: PreparedCore, air: Air, conditions: Conditions, engine_speed: Array) -> _Meets:
    """What drives and what holds the air of each duty."""
    rho = air.fluid.rho
    fan = airway.fan
    ratio = speed_ratio(fan, engine_speed, np.array(airway.engagements)[:, None])
    from_front = np.maximum(conditions.air_speed, 0.0)
    members = common_shape(
        rho.shape,
        air.T_hot.shape,
        from_front.shape,
        ratio.shape[1:],
        airway.zeta.shape,
        core.face.shape,
        fan.free_flow.shape,
        fan.stall_pressure.shape,
    )
    hotter = shaped(air.T_hot / air.ambient, members)
    warmed = np.stack((np.ones(members), hotter))[:, None]
    recovered = np.maximum(airway.ram_recovery - airway.exit_pressure, 0.0)
    ram = recovered * 0.5 * rho * from_front**2
    per_fan = airway.face * airway.coverage / np.maximum(fan.count, 1.0)
    pulls = fan.side is FanSide.PULLER
    return _Meets(
        warmed=warmed,
        ram=ram,
        drive=ram + draught(rho, warmed, airway.height) + 1e-9,
        losses=0.5 * rho * (airway.zeta + airway.zeta_exit * warmed),
        per_fan=per_fan * warmed if pulls else per_fan,
        rho_fan=rho / warmed if pulls else rho,
        turns=shaped(ratio, (ratio.shape[0], *members)),
    )


def _face_velocity(fan: Fan, core: PreparedCore, fluid: Fluid, meets: _Meets) -> Array:
    """Velocity [m/s] at which drive and losses agree: beside the shroud first, then under it at each engagement."""

    def surplus(v: Array) -> tuple[Array, Array]:
        """Pressure [Pa] that is left at v, and its slope."""
        nudged = v * (1.0 + _STEP)
        drop, drop_nudged = air_total_loss(core, np.stack((v, nudged)), fluid, meets.warmed)
        left = meets.drive - meets.losses * v**2 - drop
        slope = -2.0 * meets.losses * v - (drop_nudged - drop) / (v * _STEP)
        flow = v[:, 1:] * meets.per_fan
        left[:, 1:] += fan_pressure(fan, flow, meets.turns, meets.rho_fan)
        slope[:, 1:] += fan_pressure_slope(fan, flow, meets.turns, meets.rho_fan) * meets.per_fan
        return left, slope

    stall = fan.stall_per_density * meets.rho_fan * meets.turns**2
    no_fan = np.zeros((2, 1, *meets.turns.shape[1:]))
    by_fan = np.concatenate((no_fan, np.broadcast_to(stall, (2, *meets.turns.shape))), axis=1)
    most = np.sqrt((meets.drive + by_fan) / meets.losses)
    return _falling_newton(surplus, most, air_total_loss(core, most, fluid, meets.warmed), meets.losses)


def _falling_newton(net: Callable[[Array], tuple[Array, Array]], most: Array, core_drop: Array, losses: Array) -> Array:
    """Root of the falling ``net`` (value and slope) between 0 and ``most``; Newton's steps kept in a bracket.

    It begins where all losses lie as one power of the velocity.
    """
    low = np.full(most.shape, STILL_AIR)
    high = most
    without_core = losses * most**2
    v = most * (without_core / (without_core + core_drop)) ** 0.55
    for _ in range(_STEPS):
        value, slope = net(v)
        too_slow = value >= 0.0
        low = np.where(too_slow, v, low)
        high = np.where(too_slow, high, v)
        moved = v - value / slope
        inside = (moved >= low) & (moved <= high)  # at a root the step is 0 and the bound is the root itself
        moved = np.where(inside, moved, 0.5 * (low + high))
        close = np.abs(moved - v) <= _NEAR * v  # the next error goes with the square of this step
        v = moved
        if close.all():
            break
    return v


def air_at(airway: Airway, nodes: AirNodes, engagement: Array, opened: Array | None = None) -> AirPoint:
    """The air at an engagement [-] of shape (..., members), by straight lines between the nodes.

    ``opened`` [-] says how far an active shutter stands open.
    For air not warmed and warmed: arrays (2, ..., members), to be read by ``air_warmed``.
    """
    if opened is not None:
        return _air_at_shutter(airway, nodes, engagement, opened)
    tables = (nodes.velocity, nodes.fan_flow, nodes.fan_pressure)
    intervals = len(airway.engagements) - 1

    def node(table: Array, k: int) -> Array:
        return table[:, k].reshape(2, *(1,) * (engagement.ndim - 1), -1)

    if intervals == 0:
        return AirPoint(*(node(t, 0) + 0.0 * engagement for t in tables))
    shares = [np.clip(engagement * intervals - k, 0.0, 1.0) for k in range(intervals)]

    def between(table: Array) -> Array:
        rises = (share * (node(table, k + 1) - node(table, k)) for k, share in enumerate(shares))
        return np.asarray(node(table, 0) + sum(rises))

    return AirPoint(*(between(table) for table in tables))


def _air_at_shutter(airway: Airway, nodes: AirNodes, engagement: Array, opened: Array) -> AirPoint:
    """The same between the nodes of an active shutter, which stand on the first axis."""
    per_node = [
        air_at(airway, replace(nodes, velocity=v, fan_flow=V, fan_pressure=p), engagement)
        for v, V, p in zip(nodes.velocity, nodes.fan_flow, nodes.fan_pressure, strict=True)
    ]
    weights = shutter_weights(opened)

    def mixed(name: str) -> Array:
        parts = (w * getattr(point, name) for w, point in zip(weights, per_node, strict=True))
        return np.asarray(sum(parts))

    return AirPoint(mixed("velocity"), mixed("fan_flow"), mixed("fan_pressure"))


def shutter_weights(opened: Array) -> list[Array]:
    """Weight [-] of each of the shutter's nodes at an opening [-]: straight lines between them."""
    steps = [np.clip((opened - a) / (b - a), 0.0, 1.0) for a, b in pairwise(SHUTTER_NODES)]
    return [1.0 - steps[0], *(here - after for here, after in pairwise(steps)), steps[-1]]


def thinned(nodes: AirNodes, T_behind: Array) -> Array:
    """Where between the nodes [-] air of ``T_behind`` [K] behind the core stands: 0 not warmed, 1 at ``T_hot``."""
    return np.asarray(np.maximum(1.0 - nodes.ambient / T_behind, 0.0) * nodes.per_thinned)


def air_warmed(point: AirPoint, share: Array) -> AirPoint:
    """The air at a place between the nodes (``thinned``), or beyond.

    Air that moves so much the less as it warms that the line runs below none of it stands still.
    """
    velocity, flow, pressure = (
        t[0] + share * (t[1] - t[0]) for t in (point.velocity, point.fan_flow, point.fan_pressure)
    )
    return AirPoint(np.maximum(velocity, STILL_AIR), np.maximum(flow, 0.0), pressure)
