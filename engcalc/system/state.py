"""The contract between the solver and everyone who reads its answers. What it is asked: ``case.conditions``."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum

import numpy as np

from engcalc.components.core import CoreResult
from engcalc.units import Array
from engcalc.words.texts import plant_texts


class Status(Enum):
    """What became of one member."""

    SOLVED = "solved"
    BOILS = plant_texts.NO_STEADY_STATE_BELOW_BOILING
    NO_FLOW = "no coolant flow"
    OUTSIDE = plant_texts.OUTSIDE_WHAT_THE_MODEL_CAN_ANSWER


class Regime(Enum):
    """Which part holds the temperature."""

    REGULATING = "regulating"
    FLOATING_ABOVE = plant_texts.FLOATING_ABOVE_FULL_OPEN
    FLOATING_BELOW = plant_texts.FLOATING_BELOW_START_TO_OPEN
    CYCLING = "cycling"
    FREE = "no valve"
    NONE = "none"


STATUSES: tuple[Status, ...] = tuple(Status)
REGIMES: tuple[Regime, ...] = tuple(Regime)


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
    heat_to_coolant: Array  # W, radiator + heater and its hoses - coolant heater - tanks: taken up in the engine
    radiator_heat: Array  # W
    heater_heat: Array  # W, from coolant to cabin air
    hose_heat: Array  # W, lost from the heater's hoses to the air
    auxiliary_heat: Array  # W
    energy_residual: Array  # W, metal + extra + coolant heater - surface - radiator - heater - its hoses
    coolant_mass_flow: Array  # kg/s through the engine
    radiator_mass_flow: Array  # kg/s
    heater_mass_flow: Array  # kg/s
    bypass_mass_flow: Array  # kg/s
    coolant_density: Array  # kg/m3, with its air, at which the flows count
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
    radiator_out: Array  # K, out of the core
    tank_out: Array  # K, out of its cold tank: with the heat of oil coolers there
    hot_tank_heat: Array  # W, of oil coolers in the tank ahead of the core
    cold_tank_heat: Array  # W, in the tank behind it
    heater_in: Array  # K, into the heater core; the engine outlet's where nothing flows there
    heater_out: Array  # K, out of it
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
