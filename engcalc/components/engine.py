"""Engine heat: what the fuel brings, and where it goes.

Fuel power follows a Willans line, which is a straight line of fuel power over brake power at a constant speed (Heywood,
Internal Combustion Engine Fundamentals (1988), sections 5.4 and 13.2; Willans, Min. Proc. Inst. Civ. Eng. 114 (1893)):

    fuel = (brake + friction) / indicated efficiency,    friction = fmep V_d n i        (i: cycles per turn, 1/2 or 1)

with n in rev/s. The indicated efficiency is the one at which the rated point has the stated brake thermal efficiency.
The friction mean pressure of warm idle grows with speed as Barnes-Moss found for petrol engines (C343/73, quoted by
Heywood eq. 13.6, from memory): 0.97 + 0.15 N + 0.05 N^2 bar, N in 1000 rpm.

After a cold start a spark engine ignites late for some 40 s, so that the exhaust heats the catalyst. It burns more fuel
for the same work (``catalyst_heating``). Fuel of a mixture richer than the air can burn gives no heat: it leaves
unburnt with the exhaust (``after_cold_start``; how much of it, ``cold_mixture``).

An engine that runs drives its accessories (``accessories``), of which the electric fan comes on by itself: its share
is added where the coolant's temperature is known (``with_fan``).

A cold engine idles faster: in a straight line of coolant temperature from the warm idle to the cold one, which is
stated at 20 degC. Where the line begins goes with the way of ignition (``COLD_IDLE_ENDS``, read from measured starts).

Heat into the metal follows heat = c fuel^m through the idle point and the rated point (Heywood section 12.3 on the
dependence of engine heat transfer on load and speed; exponents of 0.7 to 0.9 are common practice).

Arrays: float64, members on the last axis; a case of one member and conditions of n broadcast.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from engcalc.case.conditions import Conditions
from engcalc.case.sections import Sections
from engcalc.case.sections.circuit import OIL_COOLER, ExtraSource
from engcalc.components.accessories import PreparedAccessories, accessory_power, prepare_accessories
from engcalc.components.shapes import common_shape, shaped
from engcalc.properties.air import density, pressure_at_altitude
from engcalc.properties.fuel import FUELS, Fuel, Ignition
from engcalc.units import Array

Mask = NDArray[np.bool_]

GRAVITY = 9.80665  # m/s2; standard gravity, ISO 80000-3
MISCELLANEOUS_SHARE = 0.04  # of fuel, unburnt and radiated; Heywood (1988) Table 12.1: 3 to 15 %, from memory
RUBBING_SHARE = 2.0 / 3.0  # of motored friction that stays in metal and oil, the rest is pumping; common practice
REFERENCE_PRESSURE = 99.0e3  # Pa; SAE J1349 reference air, from memory
REFERENCE_T = 298.15  # K; the same
SHAPE_SPEED = 100.0  # rev/s; engines rated above 6000 rpm have shorter strokes: their speed counts in proportion
T_OIL_WARM = 363.15  # K; oil of a warm engine, at which friction_mep counts
T_OIL_RANGE = (233.15, 423.15)  # K; oil temperatures beyond are answered as at the bound
_OIL_40 = 61.0  # mm2/s at 40 degC; a multigrade 5W-30, typical data sheet, from memory
_OIL_100 = 10.5  # mm2/s at 100 degC; the same
_Z40, _Z100 = (float(np.log10(np.log10(v + 0.7))) for v in (_OIL_40, _OIL_100))
_SLOPE = (_Z40 - _Z100) / float(np.log10(373.15 / 313.15))
FRICTION_EXPONENT = 0.185  # of viscosity in friction: gives 2 to 2.5 times at -10 degC, a prior, from memory
COLD_IDLE_T = 293.15  # K; coolant at which the cold idle speed is stated
COLD_IDLE_ENDS = {  # K; coolant from which an engine idles at its warm speed
    Ignition.SPARK: 348.15,  # 75 degC; fitted to five cold idles of a petrol 1.5 L: within 60 rpm from 41 degC up
    Ignition.COMPRESSION: 323.15,
}  # 50 degC; fitted to ten cold starts of a diesel of about 2 L
COLD_IDLE_MOST = 1.3  # of the rise at 20 degC, in hard frost; two makers' target tables, -20 degC (see tests)
CATALYST_TIME = 40.0  # s after a start at 20 degC in which a spark engine heats its catalyst; 40 to 65 s by its monitor
# The air drawn in meanwhile [g] by coolant at the start [K]: a maker's monitor of it (code P050A, petrol 2.0 L, 2016).
# The time is in proportion.
CATALYST_AIR = ((233.15, 253.15, 273.15, 293.15), (2391.0, 1419.0, 715.0, 390.0))
CATALYST_BELOW = 333.15  # K; coolant of 60 degC: a start from above finds the catalyst warm; from memory
CATALYST_FUEL = 6.0e6  # W/m3 (6 kW per litre) that late ignition burns more at the same work; from memory
CATALYST_SHARE = 0.35  # of it into the metal, the rest leaves hot; with the two above fitted to five petrol idles
_LEAST = 1e-12  # W; keeps logarithms finite


@dataclass(frozen=True, eq=False)
class PreparedEngine:
    """Everything of an engine and its vehicle that no duty changes."""

    displacement: Array  # m3
    cycles_per_turn: float  # -, 1/2 or 1
    rated_power: Array  # W, at the crank
    rated_speed: Array  # rev/s
    idle_speed: Array  # rev/s, warm
    cold_idle_rise: Array  # rev/s, that idle is faster by with coolant of 20 degC
    cold_idle_ends: float  # K, coolant from which idle is as slow as warm
    friction_mep: Array  # Pa, warm, at idle
    indicated_efficiency: Array  # -
    efficiency_possible: Mask  # False where friction and efficiency together ask for more than the fuel holds
    fuel_rated: Array  # W
    fuel_idle: Array  # W, warm, with no accessories but those that always run
    share_rated: Array  # -
    heat_exponent: Array  # -, m of heat = c fuel^m
    accessories: PreparedAccessories
    fuel: Fuel
    heating_value: float  # J/kg
    catalyst_fuel: Array  # W, that it burns more while it heats its catalyst; 0 of a diesel
    stoichiometric_ratio: float  # -, air over fuel by mass
    air_ratio: Array  # -, air over stoichiometric air; tells fuel from air where a log has no mixture
    naturally_aspirated: bool
    mass: Array  # kg
    drag_area: Array  # m2, c_d A_f
    rolling_coefficient: Array  # -
    driveline_efficiency: Array  # -
    extra_always: Array  # W
    extra_idle: Array  # W
    extra_rated: Array  # W
    present: bool  # False for a bench rig: an engine's idle does not apply there

    @cached_property
    def friction_per_shape(self) -> Array:
        """Friction work of a turn, warm [J], over the shape that its mean pressure has with speed [bar]."""
        at_idle = friction_shape(self.idle_speed, self.rated_speed)
        return np.asarray(self.friction_mep / at_idle * self.displacement * self.cycles_per_turn)


@dataclass(frozen=True, eq=False)
class Load:
    """What the engine is asked for, one duty for each member."""

    engine_speed: Array  # rev/s
    brake_power: Array  # W at the crank; negative when the vehicle drives the engine
    wheel_power: Array  # W, road load; 0 where brake power was given
    fuel_flow: Array  # kg/s, NaN where it was not given
    speed_guessed: Mask
    idles: Mask  # at standstill without load at a speed that nobody gave: faster while the coolant is cold
    power_limited: Mask  # the engine cannot make what was asked at this air density
    accessory_power: Array = field(default_factory=lambda: np.zeros(1))  # W, of the brake power
    drives_fan: Mask = field(default_factory=lambda: np.zeros(1, np.bool_))  # an electric fan adds to the brake power


@dataclass(frozen=True, eq=False)
class EngineHeat:
    """Where the fuel's power goes: fuel = brake + metal + exhaust + unburnt + rest."""

    fuel_power: Array  # W
    brake_power: Array  # W
    accessory_power: Array  # W, of the brake power
    friction_power: Array  # W
    heat_to_metal: Array  # W
    heat_exhaust: Array  # W, sensible
    heat_rest: Array  # W
    extra_heat: Array  # W, circuit.extra into the coolant
    indicated_efficiency: Array  # -, 0 where no fuel flows
    balance_impossible: Mask  # the shares ask for more than the fuel has; the metal's share was cut to close
    heat_unburnt: Array = field(default_factory=lambda: np.zeros(1))  # W, chemical, of fuel that found no air


def prepare_engine(case: Sections) -> PreparedEngine:
    """The engine of a case: Willans line through the rated point, heat law through idle and rated."""
    e = case.engine
    v = case.vehicle
    present = v.class_ != "bench rig"
    cycles = 1.0 if e.cycle == "two-stroke" else 0.5
    rated = e.rated_power / v.driveline_efficiency if e.power_at == "wheel" else e.rated_power
    fuel_rated = rated / e.brake_thermal_efficiency
    swept_by_idle = e.displacement * e.idle_speed * cycles
    swept_by_rated = e.displacement * e.rated_speed * cycles
    shape = friction_shape(e.rated_speed, e.rated_speed) / friction_shape(e.idle_speed, e.rated_speed)
    indicated = (rated + e.friction_mep * shape * swept_by_rated) / fuel_rated
    accessories = prepare_accessories(case)
    used = np.minimum(indicated, 1.0)
    fuel_idle = (accessories.base + e.friction_mep * swept_by_idle) / used
    burns = FUELS[Fuel(e.fuel)]
    always, idle, at_rated = _extra(case.circuit.extra)
    return PreparedEngine(
        displacement=e.displacement,
        cycles_per_turn=cycles,
        rated_power=rated,
        rated_speed=e.rated_speed,
        idle_speed=e.idle_speed,
        cold_idle_rise=np.maximum(e.cold_idle_speed - e.idle_speed, 0.0),
        cold_idle_ends=COLD_IDLE_ENDS[burns.ignition],
        friction_mep=e.friction_mep,
        indicated_efficiency=used,
        efficiency_possible=np.asarray(indicated <= 1.0),
        fuel_rated=fuel_rated,
        fuel_idle=fuel_idle,
        share_rated=e.coolant_share_rated,
        heat_exponent=_exponent(e.coolant_share_idle, e.coolant_share_rated, fuel_idle, fuel_rated),
        accessories=accessories,
        fuel=Fuel(e.fuel),
        heating_value=burns.lower_heating_value,
        catalyst_fuel=CATALYST_FUEL * e.displacement * (burns.ignition is Ignition.SPARK),
        stoichiometric_ratio=burns.stoichiometric_ratio,
        air_ratio=e.air_fuel_ratio,
        naturally_aspirated=e.aspiration == "natural",
        mass=v.mass,
        drag_area=v.drag_coefficient * v.frontal_area,
        rolling_coefficient=v.rolling_coefficient,
        driveline_efficiency=v.driveline_efficiency,
        extra_always=always,
        extra_idle=idle,
        extra_rated=at_rated,
        present=present,
    )


def _exponent(share_idle: Array, share_rated: Array, fuel_idle: Array, fuel_rated: Array) -> Array:
    """m of heat = c fuel^m through both points; 1 (one share throughout) where the two do not span a range."""
    span = np.log(np.maximum(fuel_idle, _LEAST) / fuel_rated)
    usable = (fuel_idle > _LEAST) & (span < -0.1)
    slope = np.log(share_idle / share_rated) / np.where(usable, span, -1.0)
    return np.asarray(np.where(usable, np.maximum(1.0 + slope, 0.05), 1.0))


def _extra(sources: tuple[ExtraSource, ...]) -> tuple[Array, Array, Array]:
    """Heat always there, at idle and at rated power [W], each summed over the sources."""
    zero = np.zeros(1)
    always = zero
    idle = zero
    rated = zero
    for s in sources:
        if s.kind == OIL_COOLER:  # gives its heat at a place of its own (``system.oil_coolers``)
            continue
        if s.heat is not None:
            always = always + s.heat
        elif s.at_idle is not None and s.at_rated is not None:
            idle = idle + s.at_idle
            rated = rated + s.at_rated
    return always, idle, rated


def friction_shape(n: Array, rated_speed: Array) -> Array:
    """Friction mean pressure [bar] of Barnes-Moss at n [rev/s]; only ratios of it are used."""
    N = n * 0.06 * np.minimum(1.0, SHAPE_SPEED / rated_speed)  # 1000 rpm
    return np.asarray(0.97 + 0.15 * N + 0.05 * N**2)  # bar; Heywood eq. 13.6, from memory


def oil_viscosity(T_oil: Array) -> Array:
    """Kinematic viscosity [mm2/s] of engine oil at T_oil [K] by ASTM D341 (Walther) through 40 and 100 degC."""
    T = np.minimum(np.maximum(T_oil, T_OIL_RANGE[0]), T_OIL_RANGE[1])
    return np.asarray(10.0**10.0 ** (_Z100 + _SLOPE * np.log10(373.15 / T)) - 0.7)


_WARM = oil_viscosity(np.full(1, T_OIL_WARM))


def oil_factor(T_oil: Array) -> Array:
    """Friction over that of a warm engine [-] at an oil temperature [K]; some 2.2 at -10 degC."""
    return np.asarray((oil_viscosity(T_oil) / _WARM) ** FRICTION_EXPONENT)


def friction_power(engine: PreparedEngine, n: Array, T_oil: Array) -> Array:
    """Friction with pumping [W] at n [rev/s] and an oil temperature [K]."""
    warm = engine.friction_per_shape * friction_shape(n, engine.rated_speed) * n
    return np.asarray(warm * oil_factor(T_oil))


def power_factor(ambient: Array, altitude: Array) -> Array:
    """Share [-] of its rated power that a naturally aspirated engine makes in this air, at most 1.

    SAE J1349 (from memory): rated/actual = 1.18 (99 kPa/p) sqrt(T/298 K) - 0.18. Vapour pressure is left out.
    """
    ratio = REFERENCE_PRESSURE / pressure_at_altitude(altitude) * np.sqrt(ambient / REFERENCE_T)
    return np.asarray(1.0 / np.maximum(1.18 * ratio - 0.18, 1.0))


def road_power(engine: PreparedEngine, conditions: Conditions) -> Array:
    """Power at the wheels [W] at a steady speed: rolling, air drag and grade of vehicle and trailer.

    F = (m + m_t) g (c_rr cos a + sin a) + rho/2 (c_d A + c_dt A_t) u |u|, tan a = grade, u the speed of the air against
    the vehicle's front. Without a trailer's mass there is no trailer.
    """
    mass = engine.mass + conditions.trailer_mass
    slope = np.arctan(conditions.grade)
    rho = density(conditions.ambient, pressure_at_altitude(conditions.altitude), np.zeros(1))
    weight = mass * GRAVITY * (engine.rolling_coefficient * np.cos(slope) + np.sin(slope))
    towed = conditions.trailer_frontal_area * conditions.trailer_drag_coefficient
    drag_area = engine.drag_area + np.where(conditions.trailer_mass > 0.0, towed, 0.0)
    air_speed = conditions.air_speed
    drag = 0.5 * rho * drag_area * (air_speed * np.abs(air_speed))
    return np.asarray((weight + drag) * conditions.vehicle_speed)


def available_power(engine: PreparedEngine, ambient: Array, altitude: Array) -> Array:
    """Brake power [W] that the engine gives at most in this air: rated power, less with thin air unless charged."""
    factor = power_factor(ambient, altitude) if engine.naturally_aspirated else np.ones(1)
    return np.asarray(engine.rated_power * factor)


def asked_power(engine: PreparedEngine, conditions: Conditions) -> tuple[Array, Array, Array]:
    """What is asked of the engine [W] at the crankshaft; of it by accessories; and of the road, at the wheels.

    Brake power as given, of which those accessories take a part that always run, and nothing is asked of the road. Else
    road load through the driveline plus accessories, which at standstill is idle.
    """
    given = np.isfinite(conditions.brake_power)
    wheel = np.where(given, 0.0, road_power(engine, conditions))
    eta = engine.driveline_efficiency
    fitted = engine.accessories
    driven = np.where(given, fitted.base, accessory_power(fitted, conditions))
    driven = np.where(conditions.engine_speed <= 0.0, 0.0, driven)  # it stands, and so does what it drives
    by_road = np.where(wheel >= 0.0, wheel / eta, wheel * eta) + driven
    return np.where(given, conditions.brake_power, by_road), driven, wheel


def engine_load(engine: PreparedEngine, conditions: Conditions) -> Load:
    """Engine speed and brake power of each duty.

    The power asked (see ``asked_power``), and never more than the engine gives in the duty's air (``power_limited``
    tells). Where the fuel was measured and the power was not given, no more than that fuel makes: a road load with a
    grade that nobody knew must not take the heat of the fuel.
    """
    asked, driven, wheel = asked_power(engine, conditions)
    most = available_power(engine, conditions.ambient, conditions.altitude)
    brake = np.minimum(asked, most)
    limited = asked > most * (1.0 + 1e-12)
    guessed = ~np.isfinite(conditions.engine_speed)
    n = conditions.engine_speed
    idles = np.zeros(1, np.bool_)
    if guessed.any():
        unloaded = (conditions.vehicle_speed <= 0.0) & (brake <= driven * (1.0 + 1e-9))
        idles = guessed & unloaded
        n = np.where(guessed, _guessed_speed(engine, brake, conditions.vehicle_speed, unloaded), n)
    by_fuel = np.isfinite(conditions.fuel_flow) & ~np.isfinite(conditions.brake_power)
    if by_fuel.any():
        brake = np.where(by_fuel, np.minimum(brake, _made_by(engine, conditions.fuel_flow, n)), brake)
    known = np.isfinite(conditions.fuel_flow) | np.isfinite(conditions.brake_power)
    drives_fan = ~known & ~limited & (n > 0.0)
    shape = common_shape(n.shape, brake.shape, wheel.shape, conditions.fuel_flow.shape)
    return Load(
        *(
            shaped(x, shape)
            for x in (n, brake, wheel, conditions.fuel_flow, guessed, idles, limited, driven, drives_fan)
        )
    )


def cold_idle_share(engine: PreparedEngine, T_coolant: Array) -> Array:
    """Share of the cold idle's rise [-] at a coolant temperature [K]: 0 warm, 1 at 20 degC, more in frost."""
    below = (engine.cold_idle_ends - T_coolant) / (engine.cold_idle_ends - COLD_IDLE_T)
    return np.asarray(np.minimum(np.maximum(below, 0.0), COLD_IDLE_MOST))


def with_fan(engine: PreparedEngine, load: Load, share: Array | float) -> Load:
    """The load with an electric fan that takes a share of its full power [-]; what was measured or given stays."""
    fan = engine.accessories.fan * np.where(load.drives_fan, share, 0.0)
    return replace(load, brake_power=load.brake_power + fan, accessory_power=load.accessory_power + fan)


def idling_at(engine: PreparedEngine, load: Load, T_coolant: Array) -> Load:
    """The load with the idle speed of a coolant temperature [K]; what does not idle is left alone."""
    if not load.idles.any():
        return load
    rise = np.where(load.idles, engine.cold_idle_rise * cold_idle_share(engine, T_coolant), 0.0)
    return replace(load, engine_speed=load.engine_speed + rise)


def catalyst_heating(engine: PreparedEngine, T_start: Array) -> tuple[Array, Array]:
    """Heat into the metal [W] by late ignition after a start with coolant of T_start [K]; how long it lasts [s]."""
    heat = np.where(T_start < CATALYST_BELOW, CATALYST_SHARE * engine.catalyst_fuel, 0.0)
    temperatures, air = CATALYST_AIR
    return np.asarray(heat), np.asarray(CATALYST_TIME * np.interp(T_start, temperatures, air) / air[-1])


def late_fuel(heat: Array) -> Array:
    """Fuel power [W] of late ignition that brings a heat into the metal [W]; the rest of it leaves hot."""
    return np.asarray(heat / CATALYST_SHARE)


def after_cold_start(heat: EngineHeat, richness: Array, late: Array) -> EngineHeat:
    """The same after a cold start: a mixture richer than its air burns, late ignition.

    ``richness`` is fuel taken over fuel burnt [-], ``late`` the fuel power of late ignition [W]. Work and friction stay
    as they are, and the sum closes as before. Of the late ignition's fuel a share goes into the metal and the rest
    leaves hot; what finds no air leaves unburnt.
    """
    burnt = heat.fuel_power + late
    taken = richness * burnt
    ratio = np.where(taken > 0.0, heat.fuel_power / np.maximum(taken, _LEAST), 0.0)
    return replace(
        heat,
        fuel_power=taken,
        heat_to_metal=heat.heat_to_metal + CATALYST_SHARE * late,
        heat_exhaust=heat.heat_exhaust + (1.0 - CATALYST_SHARE) * late,
        heat_unburnt=taken - burnt,
        indicated_efficiency=heat.indicated_efficiency * ratio,
    )


def _made_by(engine: PreparedEngine, fuel_flow: Array, n: Array) -> Array:
    """Brake power [W] that a measured fuel flow [kg/s] makes in a warm engine at n [rev/s], never negative.

    Willans line.
    """
    indicated = engine.indicated_efficiency * engine.heating_value * fuel_flow
    return np.maximum(indicated - friction_power(engine, n, np.full(1, T_OIL_WARM)), 0.0)


def _guessed_speed(engine: PreparedEngine, brake: Array, v: Array, unloaded: Mask) -> Array:
    """Engine speed [rev/s]: warm idle where it stands ``unloaded``, more with road speed or power, rated at full power.

    Between idle and rated by the larger of (P/P_rated)^0.7 and 0.45 v/(120 km/h), the latter at most 0.4: common
    practice, no source. Brings a car to 2700 rpm at a steady 120 km/h and a heavy truck to 1060 rpm at 80 km/h.
    """
    by_power = np.clip(brake / engine.rated_power, 0.0, 1.0) ** 0.7
    share = np.where(unloaded, 0.0, np.maximum(by_power, np.minimum(0.45 * v / (120.0 / 3.6), 0.4)))
    return np.asarray(engine.idle_speed + np.maximum(engine.rated_speed - engine.idle_speed, 0.0) * share)


def engine_heat(engine: PreparedEngine, load: Load, T_oil: Array) -> EngineHeat:
    """Fuel power and where it goes at an oil temperature [K].

    A measured fuel flow takes the place of the Willans line. The engine brakes with no more than its friction; with
    the fuel cut, two thirds of what it brakes stays in the metal. The sum closes exactly and no part is negative: where
    the shares ask for more heat than there is, the metal takes what is left and ``balance_impossible`` says so.
    """
    friction = friction_power(engine, load.engine_speed, T_oil)
    fuel, brake, metal, impossible = _metal_heat(engine, load, friction)
    left = fuel - brake - metal
    rest = np.minimum(MISCELLANEOUS_SHARE * fuel, 0.5 * left)
    indicated = np.where(fuel > 0.0, (brake + friction) / np.maximum(fuel, _LEAST), 0.0)
    return EngineHeat(
        fuel_power=fuel,
        brake_power=brake,
        accessory_power=load.accessory_power,
        friction_power=friction,
        heat_to_metal=metal,
        heat_exhaust=left - rest,
        heat_rest=rest,
        extra_heat=_extra_heat(engine, brake),
        indicated_efficiency=indicated,
        balance_impossible=impossible,
    )


def heat_released(engine: PreparedEngine, load: Load, T_oil: Array) -> tuple[Array, Array]:
    """Heat into the metal and extra heat [W] as in ``engine_heat``, without what else becomes of the fuel."""
    free = bool(np.all(np.isfinite(load.fuel_flow)) and np.all(load.brake_power >= 0.0))  # friction does not count
    friction = np.zeros(1) if free else friction_power(engine, load.engine_speed, T_oil)
    _, brake, metal, _ = _metal_heat(engine, load, friction)
    return metal, _extra_heat(engine, brake)


def _metal_heat(engine: PreparedEngine, load: Load, friction: Array) -> tuple[Array, Array, Array, Mask]:
    """Fuel power, brake power, heat into the metal [W]; whether the shares ask for more than there is."""
    brake = np.maximum(load.brake_power, -friction)
    measured = np.isfinite(load.fuel_flow)
    fuel = np.where(measured, load.fuel_flow, 0.0) * engine.heating_value
    if not measured.all():
        fuel = np.where(measured, fuel, np.maximum(brake + friction, 0.0) / engine.indicated_efficiency)
    short = brake > fuel
    brake = np.minimum(brake, fuel)
    law = engine.share_rated * engine.fuel_rated * (fuel / engine.fuel_rated) ** engine.heat_exponent
    wanted = law + RUBBING_SHARE * np.maximum(-brake, 0.0)
    heat = fuel - brake
    return fuel, brake, np.minimum(wanted, heat), np.asarray(short | (wanted > heat * (1.0 + 1e-9)))


def _extra_heat(engine: PreparedEngine, brake: Array) -> Array:
    """Heat of other sources [W]: steady ones, and those that go from idle to rated with brake power."""
    share = np.clip(brake / engine.rated_power, 0.0, 1.0)
    return np.asarray(engine.extra_always + engine.extra_idle + (engine.extra_rated - engine.extra_idle) * share)


def load_of_fuel(engine: PreparedEngine, fuel_power: Array, n: Array) -> Array:
    """Load [-]: fuel per turn at a fuel power [W] and n [rev/s] over that at the rated point; 0 at rest."""
    turns = n * engine.fuel_rated
    return np.asarray(np.where(turns > 0.0, fuel_power * engine.rated_speed / np.where(turns > 0.0, turns, 1.0), 0.0))
