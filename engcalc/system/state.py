"""The contract between the solver and everyone who reads its answers: what is asked, and what is answered."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, fields
from enum import Enum

import numpy as np

from engcalc.case.records import Duty
from engcalc.components.core import CoreResult
from engcalc.units import Array

HEATER_AIR_SHARE: Mapping[str, float] = {"off": 0.0, "low": 1.0 / 3.0, "high": 1.0, "unknown": 1.0 / 3.0}
"""Share of the blower's high flow that each heater setting takes; low is common practice, no source."""


class Status(Enum):
    """What became of one member."""

    SOLVED = "solved"
    BOILS = "no steady state below boiling"
    NO_FLOW = "no coolant flow"
    OUTSIDE = "outside what the model can answer"


class Regime(Enum):
    """Which part holds the temperature."""

    REGULATING = "regulating"
    FLOATING_ABOVE = "floating above full open"
    FLOATING_BELOW = "floating below start to open"
    CYCLING = "cycling"
    FREE = "no valve"
    NONE = "none"


STATUSES: tuple[Status, ...] = tuple(Status)
REGIMES: tuple[Regime, ...] = tuple(Regime)


@dataclass(frozen=True, eq=False)
class Conditions:
    """What is asked of the plant: one duty for each member, every field float64 of shape (n,), SI.

    ``absent`` values (an engine speed or a flow that is not given) are marked by NaN here and only here: the solver
    replaces them before it computes. ``fan_mode`` is -1 held off, 0 as its control wants, +1 held on.
    ``heater_air_share`` is the share of the blower's high flow. ``valve_held`` is the opening at which the valve is
    held (SAE J1393 holds it at 1); NaN leaves the valve free.
    """

    brake_power: Array
    fuel_flow: Array
    vehicle_speed: Array
    grade: Array
    trailer_mass: Array
    trailer_frontal_area: Array
    trailer_drag_coefficient: Array
    engine_speed: Array
    ambient: Array
    altitude: Array
    relative_humidity: Array
    fan_mode: Array
    heater_air_share: Array
    coolant_flow: Array
    air_velocity: Array
    valve_held: Array
    coolant_heater: Array  # -, share of its power at which a heater in the coolant circuit is run
    air_conditioning: Array  # -1 off, 0 by the weather, else the share of its heat at which it runs

    @property
    def count(self) -> int:
        """Number of members."""
        return max(int(np.shape(getattr(self, f.name))[-1]) for f in fields(self))

    def replace(self, **changes: Array) -> Conditions:
        """The same conditions with some fields changed; everything broadcasts to one length."""
        values = {f.name: changes.get(f.name, getattr(self, f.name)) for f in fields(self)}
        n = max(np.shape(v)[-1] for v in values.values())
        return Conditions(**{k: np.broadcast_to(v, (n,)) for k, v in values.items()})


AIR_CONDITIONING_MODE: Mapping[str, float] = {"off": -1.0, "weather": 0.0, "on": 1.0}
FAN_MODE: Mapping[str, float] = {"off": -1.0, "auto": 0.0, "on": 1.0}


def conditions_of(duties: Sequence[Duty]) -> Conditions:
    """One member for each duty (each duty's arrays have shape (1,)); heater and fan words become numbers."""
    columns = [_row(duty) for duty in duties]
    n = max((v.shape[-1] for row in columns for v in row.values()), default=1)
    return Conditions(
        **{name: np.concatenate([np.broadcast_to(row[name], (n,)) for row in columns]) for name in columns[0]}
    )


def _row(duty: Duty) -> dict[str, Array]:
    absent = np.full(1, np.nan)

    def or_absent(value: Array | None) -> Array:
        return absent if value is None else value

    return {
        "brake_power": or_absent(duty.brake_power),
        "fuel_flow": or_absent(duty.fuel_flow),
        "vehicle_speed": duty.vehicle_speed,
        "grade": duty.grade,
        "trailer_mass": duty.trailer_mass,
        "trailer_frontal_area": duty.trailer_frontal_area,
        "trailer_drag_coefficient": duty.trailer_drag_coefficient,
        "engine_speed": or_absent(duty.engine_speed),
        "ambient": duty.ambient,
        "altitude": duty.altitude,
        "relative_humidity": duty.relative_humidity,
        "fan_mode": np.array([FAN_MODE[duty.fan]]),
        "heater_air_share": np.array([HEATER_AIR_SHARE[duty.heater]]),
        "coolant_flow": or_absent(duty.coolant_flow),
        "air_velocity": or_absent(duty.air_velocity),
        "valve_held": absent,
        "coolant_heater": np.ones(1),
        "air_conditioning": np.array([AIR_CONDITIONING_MODE[duty.air_conditioning]]),
    }


@dataclass(frozen=True, eq=False)
class OperatingPoint:
    """The steady operating point of each member; every array has shape (n,), SI.

    ``status`` and ``regime`` are indices into :data:`STATUSES` and :data:`REGIMES`. Where a member is not solved its
    numbers are those at the boiling point (finite, not to be shown as an answer); ``time_to_boil`` [s] is then the time
    from the valve's rating to boiling, else infinite. On a cycling member temperatures are means over the fan's cycle,
    ``span_low`` and ``span_high`` its lowest and highest and ``on_share`` the fan's share of the time.
    """

    status: np.ndarray[tuple[int, ...], np.dtype[np.int64]]
    regime: np.ndarray[tuple[int, ...], np.dtype[np.int64]]
    engine_speed: Array  # rev/s
    brake_power: Array  # W at the crankshaft
    accessory_power: Array  # W, of the brake power: alternator, fan, air conditioning and the like
    fuel_power: Array  # W
    heat_to_metal: Array  # W, engine share of fuel into the metal
    heat_exhaust: Array  # W, carried away by the exhaust
    heat_rest: Array  # W, radiation, incomplete burning and the like
    extra_heat: Array  # W, circuit.extra into the coolant
    coolant_heater_heat: Array  # W, of a heater in the coolant circuit, ahead of the heater core
    surface_heat: Array  # W, lost from the engine's surface
    heat_to_coolant: Array  # W, radiator + heater and its hoses - coolant heater: taken up in the engine
    radiator_heat: Array  # W
    heater_heat: Array  # W, from coolant to cabin air
    hose_heat: Array  # W, lost from the heater's hoses to the air
    auxiliary_heat: Array  # W
    energy_residual: Array  # W, metal + extra + coolant heater - surface - radiator - heater - its hoses
    coolant_flow: Array  # kg/s through the engine
    radiator_flow: Array  # kg/s
    heater_flow: Array  # kg/s
    bypass_flow: Array  # kg/s
    pump_head: Array  # Pa
    jacket_drop: Array  # Pa
    branch_drop: Array  # Pa, across the parallel branches
    valve_drop: Array  # Pa, across the thermostat
    air_velocity: Array  # m/s at the core's face
    air_mass_flow: Array  # kg/s
    fan_flow: Array  # m3/s through the fans
    fan_pressure: Array  # Pa
    ram_pressure: Array  # Pa
    fan_share: Array  # share of the driving pressure that the fan gives, 0..1
    on_share: Array  # 0..1, of the time that the fan runs; of a cycle from low to high all of it
    fan_speed: Array  # 0..1, engagement: of full speed, a mean over a cycle; of a clutch, of its input
    air_in: Array  # K, into the core, after recirculation and upstream coolers
    air_out: Array  # K, behind the core, all the air mixed
    upstream_heat: Array  # W, that coolers ahead give off into the air
    coolant_out: Array  # K, engine outlet
    coolant_in: Array  # K, engine inlet
    radiator_out: Array  # K
    coolant_rise: Array  # K
    wax: Array  # K, what the valve feels
    opening: Array  # 0..1
    opens_at: Array  # K, wax at which the valve starts to open at this load, warming
    span_low: Array  # K, lowest steady engine outlet with hysteresis, or lowest of a cycle
    span_high: Array  # K, highest
    vent: Array  # K, after blend and auxiliary heat
    cabin: Array  # K, steady
    boiling: Array  # K, at the cap's absolute pressure
    time_to_boil: Array  # s
    core: CoreResult  # every intermediate of the radiator

    @property
    def solved(self) -> np.ndarray[tuple[int, ...], np.dtype[np.bool_]]:
        """Which members have an answer."""
        return np.asarray(self.status == STATUSES.index(Status.SOLVED))

    @property
    def cycles(self) -> np.ndarray[tuple[int, ...], np.dtype[np.bool_]]:
        """Where a fan switches on and off for ever."""
        return np.asarray(self.regime == REGIMES.index(Regime.CYCLING))

    @property
    def peak(self) -> Array:
        """Highest engine outlet [K]: settled, or of the fan's cycle."""
        return np.asarray(np.where(self.cycles, self.span_high, self.coolant_out))
