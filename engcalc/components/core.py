"""A radiator or heater core from its dimensions: films, resistances, conductance, heat, outlets, pressure drops.

Layout: flat tubes lie along ``core_width`` from one side tank to the other and are stacked at ``tube_pitch`` over
``core_height``; ``tube_rows`` of them stand behind one another along the air; louvered fins fill the space between. A
core whose tubes stand upright is described by exchanging height and width.

Conventions
- The air velocity is the mean over the whole face, blocked part included, at the density of the air given.
- ``blocked_face``: that share of the face lets no air through; all the air passes the rest. The blockage is thought of
  as spread over every tube, so the same share of both surfaces transfers nothing.
- ``blocked_tubes``: that share of the tubes carries no coolant. Their surface, their fins and the air that passes them
  are left out of the exchange (that air mixes in unheated): the cautious end, since some heat does reach a dead tube's
  fins from its neighbours. The pressure drop of the air does not change.
- ``passes``: the tubes in equal groups one above the other, the coolant going through the groups in turn.
- ``fouling`` is a resistance on the inner surface of the tubes. Contact between fin and tube is taken as perfect.

``prepare`` computes once what no flow changes; ``evaluate`` is then a few dozen array operations.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from enum import IntEnum

import numpy as np
from numpy.typing import NDArray

from engcalc.case.whole import rows_fit
from engcalc.components.exchanger import (
    Arrangement,
    Attainable,
    Exchange,
    conductance_from_effectiveness,
    exchanged,
)
from engcalc.components.flat_tube import (
    FlatTube,
    LaminarWall,
    PreparedTube,
    TubeDrop,
    TubeSide,
    outside_validity,
    prepare_tube,
    tube_drop,
    tube_side,
)
from engcalc.components.louver_fin import (
    AirSide,
    LouverFin,
    PreparedFin,
    air_side,
    outside_database,
    prepare_fin,
    pressure_drop,
)
from engcalc.components.validity import Outside
from engcalc.errors import RangeError
from engcalc.properties.fluid import Fluid
from engcalc.units import Array
from engcalc.words.texts import plant_texts

# Share of the heat by which a prediction from dimensions misses a given core, low and high: Ng, Johnson & Watkins
# (2005) report +24/-10 % for a model of nine radiators in a wind tunnel.
PREDICTION_LOW = -0.10  # -
PREDICTION_HIGH = 0.25  # -
RATED_AIR_T = 293.15  # K; air at which a maker's rated velocity counts; common practice
_LEAST = 1e-9  # W/K; keeps a resistance finite where no air moves


@dataclass(frozen=True, eq=False)
class CoreGeometry:
    """Dimensions of a core (SI), each an array over the members or of one element for all."""

    core_height: Array  # m, across the tubes
    core_width: Array  # m, along the tubes
    core_depth: Array  # m, along the air
    tube_rows: Array  # -, along the air
    tube_width: Array  # m, outer, along the air
    tube_height: Array  # m, outer, across the air
    tube_wall: Array  # m
    tube_pitch: Array  # m, across the air
    fin_pitch: Array  # m
    fin_thickness: Array  # m
    fin_height: Array  # m, of the fin itself, from tube to tube
    louver_pitch: Array  # m
    louver_angle: Array  # rad
    louver_length: Array  # m
    k_fin: Array  # W/(m K)
    k_tube: Array  # W/(m K)
    passes: Array  # -
    blocked_tubes: Array  # -, share 0..1
    blocked_face: Array  # -, share 0..1
    fouling: Array  # m2 K/W, inner surface


@dataclass(frozen=True, eq=False)
class PreparedCore:
    """Everything of a core that no flow changes."""

    geometry: CoreGeometry
    fin: PreparedFin
    tube: PreparedTube
    face: Array  # m2, whole face
    tubes: Array  # -, all tubes, blocked ones included
    open_tubes_per_pass: Array  # -
    flow_area: Array  # m2, coolant, of one pass
    A_air: Array  # m2, air-side surface that takes part
    A_tube: Array  # m2, inner tube surface that takes part
    R_wall: Array  # K/W
    R_fouling: Array  # K/W
    open_face: Array  # -, share
    live_air: Array  # -, share of the air that passes tubes with coolant in them


@dataclass(frozen=True, eq=False)
class CoreFlows:
    """What comes to a core; arrays over the members."""

    air: Fluid
    coolant: Fluid
    air_velocity: Array  # m/s, mean over the face, at air.rho
    coolant_mass_flow: Array  # kg/s
    T_air_in: Array  # K
    T_coolant_in: Array  # K


@dataclass(frozen=True, eq=False)
class CoreResult:
    """What a core does with its flows; every intermediate is kept."""

    core: PreparedCore
    flows: CoreFlows
    air: AirSide
    tube: TubeSide
    R_air: Array  # K/W, film and fins
    R_tube: Array  # K/W, coolant film
    R_wall: Array  # K/W
    R_fouling: Array  # K/W
    R_total: Array  # K/W
    UA_geometry: Array  # W/K, as the dimensions give it
    ua_scale: Array  # -, from a maker's rated point, or 1
    UA: Array  # W/K
    exchange: Exchange  # between the coolant and the air that passes live tubes
    C_air: Array  # W/K, all the air
    effectiveness: Array  # -, Q over what the smaller of coolant and all the air could take
    Q: Array  # W
    T_coolant_out: Array  # K
    T_air_out: Array  # K, all the air mixed
    dp_air: Array  # Pa
    coolant_drop: TubeDrop  # Pa, all passes

    @property
    def shares(self) -> dict[str, Array]:
        """Share [-] of each thermal resistance in the total."""
        parts = {"air": self.R_air, "wall": self.R_wall, "fouling": self.R_fouling, "coolant": self.R_tube}
        return {name: part / self.R_total for name, part in parts.items()}

    @property
    def NTU(self) -> Array:
        """NTU [-] of the exchange."""
        return self.exchange.NTU

    @property
    def Cr(self) -> Array:
        """Capacity ratio [-] of the exchange."""
        return self.exchange.Cr


class RatedStatus(IntEnum):
    """What a maker's rated point allows."""

    SCALED = 0
    IMPOSSIBLE = 1  # it asks for more heat than the arrangement can pass on at those flows, or for none


@dataclass(frozen=True, eq=False)
class RatedPoint:
    """A maker's rated point, of a clean core with nothing blocked; arrays over the members."""

    heat: Array  # W
    coolant_mass_flow: Array  # kg/s
    air_velocity: Array  # m/s, mean over the face
    inlet_difference: Array  # K, coolant in over air in


@dataclass(frozen=True, eq=False)
class RatedScale:
    """The factor that brings the conductance from dimensions to a rated point; 1 where the point is impossible."""

    ua_scale: Array  # -
    status: NDArray[np.int64]  # RatedStatus
    UA_needed: Array  # W/K, 0 where impossible
    effectiveness_needed: Array  # -
    effectiveness_highest: Array  # -, that the arrangement cannot exceed at those flows
    predicted: CoreResult  # the rated point as the dimensions alone give it


def prepare(geometry: CoreGeometry, wall: LaminarWall = LaminarWall.EVEN_TEMPERATURE) -> PreparedCore:
    """Surfaces, tube count and constants. Raises RangeError (naming the field) for a core that cannot be built."""
    _check(geometry)
    g = geometry
    fin = prepare_fin(
        LouverFin(
            theta=g.louver_angle,
            Fp=g.fin_pitch,
            Fl=g.fin_height,
            Lp=g.louver_pitch,
            Ll=g.louver_length,
            Fd=g.core_depth,
            Dm=g.tube_height,
            Tp=g.tube_pitch,
            delta_f=g.fin_thickness,
            k_fin=g.k_fin,
        )
    )
    tube = prepare_tube(FlatTube(g.tube_width, g.tube_height, g.tube_wall, g.core_width), wall)
    tubes = tubes_per_row(g) * g.tube_rows
    _require("passes", g.passes, (g.passes >= 1.0) & (g.passes <= tubes), plant_texts.FROM_1_TO_THE_NUMBER_OF_TUBES)
    open_face = 1.0 - g.blocked_face
    live = 1.0 - g.blocked_tubes
    face = g.core_height * g.core_width
    run = tubes * live * open_face * g.core_width  # m of tube that take part
    A_tube = run * tube.perimeter
    return PreparedCore(
        geometry=g,
        fin=fin,
        tube=tube,
        face=face,
        tubes=tubes,
        open_tubes_per_pass=tubes * live / g.passes,
        flow_area=tubes * live / g.passes * tube.area,
        A_air=fin.area_ratio * face * live * open_face,
        A_tube=A_tube,
        R_wall=g.tube_wall / (g.k_tube * run * tube.perimeter_middle),
        R_fouling=g.fouling / A_tube,
        open_face=open_face,
        live_air=live,
    )


def core_mass(core: PreparedCore, rho_fin: float, rho_tube: float) -> Array:
    """Mass [kg] of tubes and fins from dimensions and densities [kg/m3]; tanks, headers and brackets left out."""
    g = core.geometry
    tube_metal = core.tubes * g.core_width * core.tube.perimeter_middle * g.tube_wall
    fin_surface = core.fin.fin_share * core.fin.area_ratio * core.face  # m2, both faces of every fin
    return np.asarray(rho_tube * tube_metal + rho_fin * 0.5 * fin_surface * g.fin_thickness)


def tubes_per_row(geometry: CoreGeometry) -> Array:
    """Whole tubes [-] that fit over the height at their pitch, one at least."""
    return np.asarray(np.maximum(np.floor(geometry.core_height / geometry.tube_pitch + 1e-6), 1.0))


def _check(g: CoreGeometry) -> None:
    for name in ("core_height", "core_width", "core_depth", "tube_pitch", "tube_width", "k_tube"):
        value = getattr(g, name)
        _require(name, value, (value > 0.0) & np.isfinite(value), "a number above 0")
    _require("tube_rows", g.tube_rows, g.tube_rows >= 1.0, "a number from 1")
    _require("fouling", g.fouling, (g.fouling >= 0.0) & np.isfinite(g.fouling), "a number from 0")
    for name in ("blocked_tubes", "blocked_face"):
        value = getattr(g, name)
        _require(name, value, (value >= 0.0) & (value < 1.0), plant_texts.SHARE_FROM_0_TO_LESS_THAN_1)
    fits = rows_fit(g.tube_rows, g.tube_width, g.core_depth)
    _require("tube_width", g.tube_width, fits, plant_texts.WIDTH_OF_WHICH_ALL_ROWS_FIT)


def _require(name: str, value: Array, good: NDArray[np.bool_], wanted: str) -> None:
    if not good.all():
        given = np.broadcast_to(value, good.shape)[~good][0]
        raise RangeError(plant_texts.WAS_GIVEN_WOULD_DO.format(name=name, given=given, wanted=wanted))


def evaluate(
    core: PreparedCore,
    flows: CoreFlows,
    arrangement: Arrangement = Arrangement.BOTH_UNMIXED,
    ua_scale: Array | float = 1.0,
) -> CoreResult:
    """Heat, outlets and pressure drops of a core at given flows >= 0 (no flow: no heat).

    ``ua_scale`` [-] multiplies the conductance (see ``scale_to_rated_point``).
    """
    air = air_side(core.fin, flows.air_velocity / core.open_face, flows.air)
    coolant_volume = flows.coolant_mass_flow / flows.coolant.rho
    tube = tube_side(core.tube, coolant_volume / core.flow_area, flows.coolant)
    R_air = 1.0 / np.maximum(air.eta_o * air.h * core.A_air, _LEAST)
    R_tube = 1.0 / (tube.h * core.A_tube)
    R_total = R_air + core.R_wall + core.R_fouling + R_tube
    UA_geometry = 1.0 / R_total
    UA = UA_geometry * ua_scale
    C_air = flows.air.rho * flows.air_velocity * core.face * flows.air.cp
    C_coolant = flows.coolant_mass_flow * flows.coolant.cp
    passed = exchanged(
        UA, C_coolant, C_air * core.live_air, flows.T_coolant_in, flows.T_air_in, core.geometry.passes, arrangement
    )
    C_min = np.minimum(C_air, C_coolant)
    live_share = np.where(C_min > 0.0, passed.C_min / np.maximum(C_min, 1e-300), 1.0)
    T_air_out = flows.T_air_in + core.live_air * (passed.T_cold_out - flows.T_air_in)
    return CoreResult(
        core=core,
        flows=flows,
        air=air,
        tube=tube,
        R_air=R_air,
        R_tube=R_tube,
        R_wall=core.R_wall,
        R_fouling=core.R_fouling,
        R_total=R_total,
        UA_geometry=UA_geometry,
        ua_scale=np.atleast_1d(np.asarray(ua_scale, dtype=np.float64)),
        UA=UA,
        exchange=passed,
        C_air=C_air,
        effectiveness=passed.effectiveness * live_share,
        Q=passed.Q,
        T_coolant_out=passed.T_hot_out,
        T_air_out=T_air_out,
        dp_air=air_pressure_drop(core, flows.air_velocity, flows.air, T_air_out / flows.T_air_in),
        coolant_drop=coolant_pressure_drop(core, coolant_volume, flows.coolant),
    )


def air_pressure_drop(core: PreparedCore, velocity: Array, air: Fluid, warmed: Array | float = 1.0) -> Array:
    """Drop of the static pressure [Pa] from before the core to behind it, at a mean face velocity [m/s] >= 0.

    ``warmed`` [-] is the air's temperature (K) behind the core over that before it: rho_in/rho_out. With the mass flux
    G between the fins and sigma, free-flow area over face,

        dp = G^2/(2 rho_in) [f (A/A_min) rho_in/rho_m + (1 + sigma^2) (rho_in/rho_out - 1)]

    which is Kays & London, Compact Heat Exchangers, 3rd ed. (1984), eq. 2-26, with the terms of its entrance and exit
    that go with the density; what an entrance and exit cost air of one density is in the data of f. rho_in/rho_m is
    taken as the mean of 1 and ``warmed``.
    """
    opened = velocity / core.open_face
    taken = pressure_drop(core.fin, opened, air) * (0.5 + 0.5 * warmed)
    return np.asarray(taken + (1.0 + core.fin.sigma**2) * _acceleration(core, opened, air, warmed))


def air_total_loss(core: PreparedCore, velocity: Array, air: Fluid, warmed: Array | float = 1.0) -> Array:
    """Loss of total pressure [Pa] over the core: what the air network uses, whose exit loses what the air moves with.

    The static drop less the rise of the dynamic pressure from face to face, sigma^2 G^2/(2 rho_in) (warmed - 1).
    """
    opened = velocity / core.open_face
    taken = pressure_drop(core.fin, opened, air) * (0.5 + 0.5 * warmed)
    return np.asarray(taken + _acceleration(core, opened, air, warmed))


def _acceleration(core: PreparedCore, opened: Array, air: Fluid, warmed: Array | float) -> Array:
    """G^2/2 (1/rho_out - 1/rho_in) [Pa]: half of what air that expands between the fins takes to be accelerated."""
    G = air.rho * opened / core.fin.sigma
    return np.asarray(G**2 / (2.0 * air.rho) * (warmed - 1.0))


def coolant_pressure_drop(core: PreparedCore, volume_flow: Array, coolant: Fluid) -> TubeDrop:
    """Coolant pressure drop [Pa] of all passes at a volume flow [m3/s] >= 0, tanks and hoses left out.

    ``friction`` is a mu V in laminar flow (exactly) and bends to about rho V^1.8 in turbulent flow; ``ends`` is
    b rho V^2.
    """
    one = tube_drop(core.tube, volume_flow / core.flow_area, coolant)
    p = core.geometry.passes
    return TubeDrop(one.Re, one.f, p * one.friction, p * one.ends, p * one.dp)


def scale_to_rated_point(
    geometry: CoreGeometry,
    rated: RatedPoint,
    air: Fluid,
    coolant: Fluid,
    arrangement: Arrangement = Arrangement.BOTH_UNMIXED,
) -> RatedScale:
    """The factor on UA that makes the clean core of these dimensions give a maker's rated heat.

    ``air.rho`` is the density at which the rated velocity counts. A point that no conductance explains has scale 1 and
    status IMPOSSIBLE. Raises RangeError for flows or an inlet difference that are not above zero.
    """
    for name in ("coolant_mass_flow", "air_velocity", "inlet_difference"):
        value = np.atleast_1d(getattr(rated, name))
        _require(f"rated {name}", value, (value > 0.0) & np.isfinite(value), "a number above 0")
    zero = np.zeros(1)
    clean = prepare(replace(geometry, blocked_tubes=zero, blocked_face=zero, fouling=zero))
    cold = np.full(1, RATED_AIR_T)
    flows = CoreFlows(air, coolant, rated.air_velocity, rated.coolant_mass_flow, cold, cold + rated.inlet_difference)
    predicted = evaluate(clean, flows, arrangement)
    C_hot = predicted.exchange.C_hot
    C_cold = predicted.exchange.C_cold
    needed = rated.heat / (predicted.exchange.C_min * rated.inlet_difference)
    found = conductance_from_effectiveness(needed, C_hot, C_cold, arrangement, geometry.passes)
    possible = (found.status == Attainable.YES) & (found.UA > 0.0)
    return RatedScale(
        ua_scale=np.where(possible, found.UA / predicted.UA_geometry, 1.0),
        status=np.where(possible, RatedStatus.SCALED, RatedStatus.IMPOSSIBLE).astype(np.int64),
        UA_needed=found.UA,
        effectiveness_needed=needed,
        effectiveness_highest=found.highest,
        predicted=predicted,
    )


def outside_ranges(result: CoreResult) -> tuple[Outside, ...]:
    """What of a result lies outside the data behind its correlations, both sides, with a mask over the members."""
    air = outside_database(result.core.fin, result.air.Re_Lp)
    return air + outside_validity(result.core.tube, result.tube.Re, result.flows.coolant.Pr)
