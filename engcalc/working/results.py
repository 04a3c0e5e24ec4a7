"""Where the paths of a duty's terms begin: its answers, and the engine's own numbers behind them.

What the answers do not keep (air of one temperature behind the core, the pump's curve, the heater) is asked again of
the functions that gave the answer, at the answer's temperatures. Numbers of one member, SI.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import Protocol

import numpy as np

from engcalc.case.conditions import conditions_of
from engcalc.case.records import Duty
from engcalc.components.core import air_total_loss
from engcalc.components.engine import (
    T_OIL_WARM,
    Load,
    PreparedEngine,
    friction_power,
    friction_shape,
    oil_factor,
    oil_viscosity,
)
from engcalc.components.fan import REFERENCE_DENSITY, FanSide, speed_ratio
from engcalc.components.louver_fin import friction as fin_friction
from engcalc.components.pressure_cap import absolute_pressure
from engcalc.components.pump import pump_speed
from engcalc.components.thermostat import ThermostatSide, passage
from engcalc.properties.air import density, pressure_at_altitude
from engcalc.properties.coolant import saturation_temperature, water_mole_fraction
from engcalc.system.airflow import FILM_SHARE, draught
from engcalc.system.balance import ROUND_COOLANT_T, Balance, Held, Setting, balance, held_at, prepare_setting
from engcalc.system.plant import Plant
from engcalc.system.state import OperatingPoint
from engcalc.units import Array


class DutyResults(Protocol):
    """What the working reads of one duty; :class:`engcalc.studies.check.DutyCheck` has it all."""

    @property
    def point(self) -> OperatingPoint: ...
    @property
    def held_open(self) -> OperatingPoint: ...
    @property
    def limit(self) -> float: ...
    @property
    def margin(self) -> float | None: ...
    @property
    def peak(self) -> float | None: ...
    @property
    def air_to_boil(self) -> float | None: ...


@dataclass(frozen=True, eq=False)
class NodeAir:
    """The air's way where it was solved for one temperature behind the core, at the fan's engagement of the duty."""

    velocity: float  # m/s, mean over the face
    under: float  # m/s, under the shroud
    beside: float  # m/s
    of_one_fan: float  # m3/s
    fan_density: float  # kg/m3, of the air in the fan
    fan_pressure: float  # Pa
    hotter: float  # -, absolute temperature behind the core over that before it
    draught: float  # Pa
    friction: Array  # -, Fanning, of the fins under the shroud
    core_under: Array  # Pa, total pressure that the core takes under the shroud
    core_beside: Array  # Pa


@dataclass(frozen=True, eq=False)
class Results:
    """A duty as asked, its answers, and the plant that gave them."""

    asked: Duty
    duty: DutyResults
    plant: Plant

    @property
    def engine(self) -> PreparedEngine:
        """The engine as prepared."""
        return self.plant.engine

    @property
    def point(self) -> OperatingPoint:
        """The duty's operating point."""
        return self.duty.point

    @property
    def settles(self) -> float:
        """1 for a duty that goes on until it settles, 0 for one with a duration."""
        return 1.0 if self.asked.duration is None else 0.0

    @property
    def held_open(self) -> OperatingPoint:
        """The same with the valve held open."""
        return self.duty.held_open

    # ---- the engine --------------------------------------------------------------------------------------------------

    @property
    def friction(self) -> Array:
        """Friction power [W] of the engine component at the duty's speed and oil temperature."""
        return friction_power(self.engine, self.point.engine_speed, self.point.wax)

    @property
    def speed_factor(self) -> Array:
        """Friction mean pressure over that at idle [-]."""
        rated = self.engine.rated_speed
        return friction_shape(self.point.engine_speed, rated) / friction_shape(self.engine.idle_speed, rated)

    @property
    def oil_factor(self) -> Array:
        """Friction over that of a warm engine [-]; the oil is as warm as the valve's wax."""
        return oil_factor(self.point.wax)

    @property
    def oil(self) -> Array:
        """Viscosity of the oil [mm2/s]."""
        return oil_viscosity(self.point.wax)

    @property
    def warm_oil(self) -> Array:
        """Viscosity of the oil of a warm engine [mm2/s]."""
        return oil_viscosity(np.full(1, T_OIL_WARM))

    @property
    def willans(self) -> float:
        """1 where fuel follows from power and friction, 0 where it was measured or there is no engine."""
        return float(self.engine.present and self.asked.fuel_flow is None)

    # ---- what the duty asks ------------------------------------------------------------------------------------------

    @cached_property
    def setting(self) -> Setting:
        """The plant under the duty."""
        return prepare_setting(self.plant, conditions_of((self.asked,)))

    @cached_property
    def balanced(self) -> Balance:
        """The plant at the temperature that was found."""
        follows = self.plant.airway.fan.drive.follows
        held: Held | None = None if follows else held_at(self.setting, self.point.fan_speed)
        return balance(self.setting, self.point.wax, held)

    @property
    def load(self) -> Load:
        """What the duty asks of the engine."""
        return self.setting.load

    @property
    def by_road(self) -> float:
        """1 where the power follows from the road: it moves, no power was given, and the engine has enough."""
        c = self.setting.conditions
        asked = ~np.isfinite(c.brake_power) & ~np.isfinite(c.fuel_flow) & (c.vehicle_speed > 0.0)
        return float((asked & ~self.load.power_limited)[0])

    @property
    def at_rest(self) -> float:
        """1 where the vehicle stands and neither power nor fuel was given."""
        c = self.setting.conditions
        asked = ~np.isfinite(c.brake_power) & ~np.isfinite(c.fuel_flow)
        return float((asked & (c.vehicle_speed == 0.0))[0] and self.engine.present)

    @property
    def mass(self) -> Array:
        """Vehicle with trailer [kg]."""
        return self.engine.mass + self.setting.conditions.trailer_mass

    @property
    def drag_area(self) -> Array:
        """Drag coefficient times frontal area [m2], trailer included."""
        c = self.setting.conditions
        towed = c.trailer_frontal_area * c.trailer_drag_coefficient
        return self.engine.drag_area + np.where(c.trailer_mass > 0.0, towed, 0.0)

    @property
    def dry_air(self) -> Array:
        """Density of dry air at the duty's ambient and altitude [kg/m3]."""
        c = self.setting.conditions
        return density(c.ambient, self.ambient_pressure, np.zeros(1))

    @property
    def ambient_pressure(self) -> Array:
        """Pressure of the air [Pa]."""
        return pressure_at_altitude(self.setting.conditions.altitude)

    # ---- boiling -----------------------------------------------------------------------------------------------------

    @property
    def absolute_pressure(self) -> Array:
        """Pressure in the system with its cap at the opening pressure [Pa]."""
        return absolute_pressure(self.plant.cap, self.setting.conditions.altitude)

    @property
    def water_share(self) -> Array:
        """Mole fraction of water in the coolant [-]."""
        return water_mole_fraction(self.plant.cap.base, self.plant.cap.concentration)

    @property
    def vapour_pressure(self) -> Array:
        """Pressure at which water of the coolant's boiling point boils [Pa], by Raoult's law."""
        return np.asarray(self.absolute_pressure / self.water_share)

    @property
    def water_boils(self) -> Array:
        """Boiling point [K] of water at that pressure."""
        return saturation_temperature(self.vapour_pressure)

    @property
    def short_of_raoult(self) -> Array:
        """By how much the coolant is taken to boil below Raoult's law [K], to be on the safe side."""
        return np.asarray(self.water_boils - self.point.boiling)

    # ---- the air's way -----------------------------------------------------------------------------------------------

    @property
    def air_found(self) -> float:
        """1 where the air's flow was found from ram, fan and resistances, 0 where it was given or a shutter moves."""
        given = bool(np.isfinite(self.setting.conditions.air_velocity)[0])
        return float(not given and self.plant.airway.shutter is None)

    @property
    def node(self) -> int | None:
        """The engagement of the fan at which the air was solved; None between two of them."""
        place = float(self.point.fan_speed[0]) * (len(self.plant.airway.engagements) - 1)
        if self.air_found and abs(place - round(place)) < 1e-9:
            return round(place)
        return None

    @property
    def has_fan(self) -> float:
        """1 where a fan stands in the air's way."""
        return float(self.plant.airway.fan.blows[0])

    @cached_property
    def cold(self) -> NodeAir | None:
        """The air where it is not warmed; None between two engagements."""
        return self._node_air(0)

    @cached_property
    def hot(self) -> NodeAir | None:
        """The air where it leaves the core at ``setting.air.T_hot``."""
        return self._node_air(1)

    def _node_air(self, index: int) -> NodeAir | None:
        """Air and fan at one opening of the core, fan pressure as it works out there; None where the air is not
        resolved."""
        if self.node is None:
            return None
        airway = self.plant.airway
        nodes = self.setting.nodes
        air = self.setting.air
        hotter = float((air.T_hot / air.ambient)[0]) if index else 1.0
        puller = airway.fan.side is FanSide.PULLER
        velocity = float(nodes.velocity[index, self.node, 0])
        one = float(nodes.fan_flow[index, self.node, 0]) / self._fans
        under, beside = self._over_the_face(velocity, one, hotter if puller else 1.0)
        rho = float(air.fluid.rho[0])
        return NodeAir(
            velocity=velocity,
            under=under,
            beside=beside,
            of_one_fan=one,
            fan_density=rho / hotter if puller else rho,
            fan_pressure=float(nodes.fan_pressure[index, self.node, 0]),
            hotter=hotter,
            draught=float(draught(air.fluid.rho, hotter, airway.height)[0]),
            friction=self._friction(under),
            core_under=air_total_loss(self.plant.core, np.full(1, under), air.fluid, hotter),
            core_beside=air_total_loss(self.plant.core, np.full(1, beside), air.fluid, hotter),
        )

    @property
    def _fans(self) -> float:
        """How many fans, 1 at least."""
        return max(float(self.plant.airway.fan.count[0]), 1.0)

    def _over_the_face(self, velocity: float, one: float, swells: float) -> tuple[float, float]:
        """Air [m/s] at the part of the face that the fans cover, and at the rest; ``velocity`` is the mean of both.

        ``one`` [m3/s] goes through each fan, where it is ``swells`` times as large as before the core.
        """
        share = float(self.plant.airway.coverage[0])
        per_fan = float(self.plant.airway.face[0]) * share / self._fans * swells
        under = one / per_fan if self.has_fan and per_fan else velocity
        beside = (velocity - share * under) / (1.0 - share) if share < 1.0 else under
        return under, beside

    def _friction(self, velocity: float) -> Array:
        """Friction factor of the fins [-] at a face velocity [m/s]."""
        core = self.plant.core
        air = self.setting.air.fluid
        G = air.rho * velocity / (core.open_face * core.fin.sigma)
        return fin_friction(core.fin, np.asarray(G * core.fin.fin.Lp / air.mu))

    @property
    def fan_ratio(self) -> Array:
        """Speed of the fan over the one at which its curve is stated [-]."""
        return speed_ratio(self.plant.airway.fan, self.load.engine_speed, self.point.fan_speed)

    @property
    def standard_density(self) -> float:
        """Air of fan tests [kg/m3]."""
        return REFERENCE_DENSITY

    @property
    def between(self) -> float | None:
        """How far the air lies between not warmed and warmed [-], found with the air's temperature behind the core."""
        if self.cold is None or self.hot is None or abs(self.hot.velocity - self.cold.velocity) < 1e-12:
            return None
        return (float(self.point.air_velocity[0]) - self.cold.velocity) / (self.hot.velocity - self.cold.velocity)

    @property
    def film_temperature(self) -> Array:
        """Temperature [K] at which the air's specific heat, conductivity and viscosity count."""
        ambient = self.setting.conditions.ambient
        return np.asarray(ambient + FILM_SHARE * np.maximum(self.round_coolant - ambient, 0.0))

    @property
    def round_coolant(self) -> Array:
        """Coolant temperature [K] with which the air's film is reckoned."""
        valve = self.plant.valve
        return valve.full if valve.present else np.full(1, ROUND_COOLANT_T)

    @property
    def at_outlet(self) -> float:
        """1 of a valve at the engine's outlet, 0 of one at its inlet."""
        return float(self.plant.valve.side is ThermostatSide.OUTLET)

    @property
    def preheat(self) -> Array:
        """By how much coolers ahead warm the air [K]."""
        return np.asarray(self.point.upstream_heat / self.balanced.air.C)

    # ---- the coolant's way -------------------------------------------------------------------------------------------

    @property
    def coolant_found(self) -> float:
        """1 where the coolant's flow was found from pump and resistances, 0 where it was given."""
        return float(~np.isfinite(self.setting.conditions.coolant_flow)[0] and self.point.pump_head[0] > 0.0)

    @property
    def engine_flow(self) -> Array:
        """Coolant through the engine [m3/s]."""
        return self.balanced.flows.engine

    @property
    def radiator_flow(self) -> Array:
        """Coolant through the radiator [m3/s]."""
        return self.balanced.flows.radiator

    @property
    def pump_speed(self) -> Array:
        """Pump speed [1/s]."""
        return pump_speed(self.plant.circuit.pump, self.point.engine_speed)

    @property
    def radiator_branch(self) -> tuple[Array, Array]:
        """Viscous [1/m3] and inertial [1/m4] coefficient of the radiator's branch, its valve as it stands open."""
        circuit = self.plant.circuit
        stands = passage(circuit.valve, self.point.opening)
        return circuit.a[0], circuit.b[0] + circuit.b_valve / stands**2

    @property
    def branch_viscous(self) -> Array:
        """Viscous coefficient of the radiator's branch [1/m3]."""
        return self.radiator_branch[0]

    @property
    def branch_inertial(self) -> Array:
        """Inertial coefficient of the radiator's branch [1/m4]."""
        return self.radiator_branch[1]
