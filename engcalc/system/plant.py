"""A case made ready for solving: every part prepared once, whatever the duty."""

from __future__ import annotations

from dataclasses import dataclass, field, fields, replace
from enum import Enum

import numpy as np

from engcalc.case.case import Case
from engcalc.case.sections.radiator import Radiator
from engcalc.case.whole import flows_core
from engcalc.components.coolant_heater import PreparedCoolantHeater, prepare_coolant_heater
from engcalc.components.core import (
    RATED_AIR_T,
    CoreGeometry,
    PreparedCore,
    RatedPoint,
    RatedScale,
    RatedStatus,
    scale_to_rated_point,
)
from engcalc.components.core import prepare as prepare_core
from engcalc.components.engine import PreparedEngine, prepare_engine
from engcalc.components.equipment import Equipment, prepare_equipment
from engcalc.components.exchanger import Arrangement
from engcalc.components.fan import Fan
from engcalc.components.heater import PreparedHeater, prepare_heater
from engcalc.components.hose import heater_hose_conductance
from engcalc.components.pressure_cap import PreparedCap, prepare_cap
from engcalc.components.thermostat import Valve, prepare_valve
from engcalc.properties.air import air_state
from engcalc.properties.coolant import Base, CoolantMixture
from engcalc.properties.fluid import Fluid
from engcalc.properties.material import MATERIALS, Material
from engcalc.system.airflow import Airway, prepare_airway
from engcalc.system.circuit import REFERENCE_T, CoolantNetwork, Cores, prepare_circuit
from engcalc.system.measured import measured_scale, setup_of
from engcalc.system.members import count_members
from engcalc.system.oil_coolers import OilCooler, prepare_oil_coolers
from engcalc.units import Array
from engcalc.words.texts import plant_texts

ARRANGEMENTS = {
    "both unmixed": Arrangement.BOTH_UNMIXED,
    "air mixed": Arrangement.AIR_MIXED,
    "coolant mixed": Arrangement.COOLANT_MIXED,
    "both mixed": Arrangement.BOTH_MIXED,
    "counterflow": Arrangement.COUNTERFLOW,
    "parallel flow": Arrangement.PARALLEL,
}
"""The words of the case file."""

CORE_METALS = {"aluminium": (Material.ALUMINIUM, Material.ALUMINIUM), "copper-brass": (Material.COPPER, Material.BRASS)}
"""Fins and tubes of each word of the case file."""

METAL_CP = 0.5 * (MATERIALS[Material.CAST_ALUMINIUM].cp + MATERIALS[Material.CAST_IRON].cp)  # J/(kg K); half and half
RATED_FILM_T = 313.15  # K; mean film temperature at such a point; common practice
SEA_LEVEL = 101325.0  # Pa; standard atmosphere, ISO 2533
_LEAST_SURFACE = 1e-6  # W/K; lets an engine without flow, heat or surface settle at ambient


class ScaledTo(Enum):
    """What the conductance from dimensions is scaled to."""

    NOTHING = "none"
    RATED = "rated point"
    MEASURED = "measured points"
    TYPED = plant_texts.FACTOR_THAT_WAS_TYPED


class Assumption(Enum):
    """What had to be assumed about a layout, or does not fit together."""

    SIDE = plant_texts.VALVES_PLACE_IS_NOT_KNOWN
    KIND = plant_texts.KIND_OF_VALVE_IS_NOT_KNOWN
    PUMP_COLD = plant_texts.WHETHER_THE_PUMP_STANDS_WHILE_COLD
    BYPASS = plant_texts.BYPASS_IS_NOT_KNOWN
    NOMINAL_RATING = plant_texts.HEAT_OR_A_COMMAND_MOVES_THIS_VALVE
    FLOW_NOT_REACHED = plant_texts.PUMP_CANNOT_DRIVE_THE_STATED_FLOW
    FAN_FLOW_CUT = plant_texts.FANS_ELECTRIC_POWER_CANNOT_DRIVE
    RATED_POINT_IMPOSSIBLE = plant_texts.NO_CORE_OF_THIS_ARRANGEMENT_GIVES
    HEATER_RATING_IMPOSSIBLE = plant_texts.NO_HEATER_CORE_GIVES_ITS_RATED_HEAT


@dataclass(frozen=True, eq=False)
class Plant:
    """Everything of a case that no duty changes."""

    engine: PreparedEngine
    surface_conductance: Array  # W/K, of the engine standing still
    heater_hose_conductance: Array  # W/K, of the hoses between engine and heater core
    metal_capacity: Array  # J/K
    coolant: CoolantMixture
    coolant_volume: Array  # m3
    aeration: Array  # -, air by volume in the coolant
    cap: PreparedCap
    valve: Valve
    rating: Array  # K
    circuit: CoolantNetwork
    core: PreparedCore
    arrangement: Arrangement
    known_scale: Array  # -, on the conductance, from a known point or typed
    uneven_air: Array  # -, share of the conductance that uneven air costs
    ua_scale: Array  # -, of both together
    scaled_to: ScaledTo
    rated: RatedScale | None
    airway: Airway
    heater: PreparedHeater
    coolant_heater: PreparedCoolantHeater
    equipment: Equipment
    oil_coolers: tuple[OilCooler, ...]  # in the coolant
    assumptions: tuple[Assumption, ...]
    members: int = field(init=False)  # the longest of any array here

    def __post_init__(self) -> None:
        """Count the members; a plant changed by ``dataclasses.replace`` counts anew."""
        parts = (getattr(self, f.name) for f in fields(self) if f.init)
        object.__setattr__(self, "members", max(count_members(part) for part in parts))


def core_geometry(r: Radiator) -> CoreGeometry:
    """The core's dimensions and metals."""
    fins, tubes = CORE_METALS[r.material]
    return CoreGeometry(
        core_height=r.core_height,
        core_width=r.core_width,
        core_depth=r.core_depth,
        tube_rows=r.tube_rows,
        tube_width=r.tube_width,
        tube_height=r.tube_height,
        tube_wall=r.tube_wall,
        tube_pitch=r.tube_pitch,
        fin_pitch=r.fin_pitch,
        fin_thickness=r.fin_thickness,
        fin_height=r.fin_height,
        louver_pitch=r.louver_pitch,
        louver_angle=r.louver_angle,
        louver_length=r.louver_length,
        k_fin=np.full(1, MATERIALS[fins].k),
        k_tube=np.full(1, MATERIALS[tubes].k),
        passes=r.passes,
        blocked_tubes=r.blocked_tubes,
        blocked_face=r.blocked_face,
        fouling=r.fouling,
    )


def rated_scale(r: Radiator, geometry: CoreGeometry, mix: CoolantMixture) -> RatedScale | None:
    """The factor to the maker's rated point, None where none is given. Its coolant has 90 degC, its air 20 degC."""
    given = (r.rated_heat, r.rated_coolant_flow, r.rated_air_velocity, r.rated_inlet_difference)
    heat, flow, velocity, difference = given
    if heat is None or flow is None or velocity is None or difference is None:
        return None
    return _at_rated(r, geometry, mix, RatedPoint(heat, flow, velocity, difference))


def at_rated_points(case: Case, points: RatedPoint) -> tuple[RatedScale, Arrangement]:
    """The factor to each of several points of a maker, by the core of a case, and how its streams meet.

    ``points.coolant_mass_flow`` holds the flow by volume [m3/s] here: the coolant is that of :func:`rated_scale`.
    """
    r = case.radiator
    mix = CoolantMixture(Base(case.coolant.base), case.coolant.concentration)
    return _at_rated(r, core_geometry(r), mix, points), ARRANGEMENTS[r.arrangement]


def _at_rated(r: Radiator, geometry: CoreGeometry, mix: CoolantMixture, by_volume: RatedPoint) -> RatedScale:
    hot = mix.state(np.full(1, REFERENCE_T))
    zero = np.zeros(1)
    p = np.full(1, SEA_LEVEL)
    film = air_state(np.full(1, RATED_FILM_T), p, zero)
    rho = air_state(np.full(1, RATED_AIR_T), p, zero).rho
    return scale_to_rated_point(
        geometry,
        replace(by_volume, coolant_mass_flow=by_volume.coolant_mass_flow * hot.rho),
        Fluid(rho, film.cp, film.k, film.mu),
        hot,
        ARRANGEMENTS[r.arrangement],
    )


def _fitted_core(case: Case, clean: PreparedCore) -> PreparedCore:
    """The clean core with which the circuit's stated flows count: this one, or the one that was there before."""
    first = flows_core(case) if case.flows_with is None else case.flows_with
    return clean if first is None else _clean_core(core_geometry(first))


def prepare(case: Case) -> Plant:
    """Make a case ready; once per case, or per ensemble of a case. RangeError for a core that cannot be built."""
    geometry = core_geometry(case.radiator)
    core = prepare_core(geometry)
    clean = _clean_core(geometry)
    fitted = _fitted_core(case, clean)
    mix = CoolantMixture(Base(case.coolant.base), case.coolant.concentration)
    valve = prepare_valve(case)
    circuit = prepare_circuit(case, valve, Cores(fitted, clean, core))
    rated = rated_scale(case.radiator, geometry, mix)
    scale, scaled_to = _scale(case, core, mix, rated)
    heater = prepare_heater(case)
    airway = prepare_airway(case, core)
    surface = np.maximum(case.engine.surface_conductance, _LEAST_SURFACE)
    hoses = heater_hose_conductance(case.coolant.volume, surface)
    return Plant(
        engine=prepare_engine(case),
        surface_conductance=surface - hoses,
        heater_hose_conductance=hoses,
        metal_capacity=case.engine.metal_mass * METAL_CP,
        coolant=mix,
        coolant_volume=case.coolant.volume,
        aeration=case.circuit.aeration,
        cap=prepare_cap(case),
        valve=valve,
        rating=case.thermostat.rating,
        circuit=circuit,
        core=core,
        arrangement=ARRANGEMENTS[case.radiator.arrangement],
        known_scale=scale,
        uneven_air=case.airflow.uneven_air,
        ua_scale=scale * (1.0 - case.airflow.uneven_air),
        scaled_to=scaled_to,
        rated=rated,
        airway=airway,
        heater=heater,
        coolant_heater=prepare_coolant_heater(case),
        equipment=prepare_equipment(case),
        oil_coolers=prepare_oil_coolers(case, circuit),
        assumptions=_what_was_assumed(valve, circuit, airway.fan, rated, heater),
    )


def _clean_core(geometry: CoreGeometry) -> PreparedCore:
    """The core with nothing blocked."""
    return prepare_core(replace(geometry, blocked_tubes=np.zeros(1), blocked_face=np.zeros(1)))


def averaged(plant: Plant) -> Plant:
    """The plant with the mean over a cycle in the place of what switches: an electric fan that comes on by shares just
    over the middle of its band, the valve midway between its warming and its cooling branch.

    For comparing many members with a record: when in a cycle a fan came on no reading tells, and a likelihood of such
    phases is too rough to draw from.
    """
    valve = plant.valve
    half = 0.5 * plant.valve.hysteresis
    fan = replace(plant.airway.fan, averaged=True)
    return replace(
        plant,
        valve=replace(valve, start=valve.start - half, full=valve.full - half, hysteresis=0.0 * half),
        airway=replace(plant.airway, fan=fan),
    )


def _scale(case: Case, core: PreparedCore, mix: CoolantMixture, rated: RatedScale | None) -> tuple[Array, ScaledTo]:
    """The factor on the conductance and where it comes from: typed, else what it is to be scaled to, else 1."""
    r = case.radiator
    if r.ua_scale is not None:
        return r.ua_scale, ScaledTo.TYPED
    if r.scale_to == ScaledTo.MEASURED.value:
        measured = measured_scale(case, core, setup_of(case, mix, ARRANGEMENTS[r.arrangement]))
        if measured is not None:
            return measured, ScaledTo.MEASURED
    if r.scale_to == ScaledTo.RATED.value and rated is not None and (rated.status == RatedStatus.SCALED).any():
        return rated.ua_scale, ScaledTo.RATED
    return np.ones(1), ScaledTo.NOTHING


def scaled_to(case: Case) -> ScaledTo:
    """Where the factor on a case's conductance comes from; RangeError for a core that cannot be built."""
    geometry = core_geometry(case.radiator)
    mix = CoolantMixture(Base(case.coolant.base), case.coolant.concentration)
    return _scale(case, prepare_core(geometry), mix, rated_scale(case.radiator, geometry, mix))[1]


def _what_was_assumed(
    valve: Valve, circuit: CoolantNetwork, fan: Fan, rated: RatedScale | None, heater: PreparedHeater
) -> tuple[Assumption, ...]:
    """What the plant took for granted because nobody stated it, or could not reach as it was stated."""
    heats = (heater.UA_rated > 0.0) & ~heater.rated_possible
    found = {
        Assumption.SIDE: valve.side_assumed and valve.present,
        Assumption.KIND: valve.kind_assumed,
        Assumption.PUMP_COLD: circuit.pump.cold_assumed,
        Assumption.BYPASS: valve.bypass_assumed,
        Assumption.NOMINAL_RATING: valve.rating_is_nominal,
        Assumption.FLOW_NOT_REACHED: bool(np.any(~circuit.reached)),
        Assumption.FAN_FLOW_CUT: bool(np.any(fan.free_flow < fan.advertised)),
        Assumption.RATED_POINT_IMPOSSIBLE: rated is not None and bool(np.any(rated.status != RatedStatus.SCALED)),
        Assumption.HEATER_RATING_IMPOSSIBLE: bool(np.any(heats)),
    }
    return tuple(a for a, holds in found.items() if holds)
