"""Round the coolant circuit at one moment: what each hose carries and how warm it is, from a result that exists.

A settled duty gives it from its operating point, a warm-up at any of its samples. Nothing is solved here. All the
branches leave the engine's outlet and come together at the pump's inlet, so that

    engine's flow = radiator's + heater's + bypass's
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from engcalc.system.in_time.warmed import Warmup, felt_upper_hose
from engcalc.system.state import OperatingPoint
from engcalc.units import Array

_LEAST_FLOW = 1e-12  # m3/s


@dataclass(frozen=True)
class CircuitMoment:
    """One vehicle's circuit at one moment: temperatures [K], flows of coolant [m3/s], shares [-].

    None where the result does not hold it: of a warm-up the air behind the radiator, its flow and the heats.
    """

    engine_in: float
    engine_out: float
    sensor: float
    upper_hose: float
    lower_hose: float
    heater_in: float
    heater_out: float
    vent: float
    air_in: float
    radiator_flow: float
    heater_flow: float
    bypass_flow: float
    opening: float  # of the thermostat
    fan_speed: float  # of full speed
    air_out: float | None = None
    air_flow: float | None = None  # kg/s
    radiator_heat: float | None = None  # W
    heater_heat: float | None = None  # W

    @property
    def engine_flow(self) -> float:
        """Through the engine [m3/s]."""
        return self.radiator_flow + self.heater_flow + self.bypass_flow

    @property
    def returned(self) -> float:
        """What comes back from radiator and bypass together [K]; the lower hose's while nothing flows."""
        total = self.radiator_flow + self.bypass_flow
        if total <= _LEAST_FLOW:
            return self.lower_hose
        return (self.radiator_flow * self.lower_hose + self.bypass_flow * self.engine_out) / total


@dataclass(frozen=True, eq=False)
class CircuitCourse:
    """The same over time: every series of shape (samples,), names and units as of :class:`CircuitMoment`."""

    time: Array  # s from engine start
    coolant: Array
    sensor: Array
    upper_hose: Array
    lower_hose: Array
    heater_in: Array
    heater_out: Array
    vent: Array
    radiator_flow: Array
    heater_flow: Array
    bypass_flow: Array
    opening: Array
    fan_speed: Array
    ambient: float

    def sample(self, seconds: float) -> int:
        """The sample that is nearest to a time."""
        return int(np.argmin(np.abs(self.time - seconds)))

    def at(self, seconds: float) -> CircuitMoment:
        """The sample that is nearest to a time [s]."""
        i = self.sample(seconds)
        own = {name: float(getattr(self, name)[i]) for name in _ALIKE}
        return CircuitMoment(
            engine_in=self._engine_in(i), engine_out=float(self.coolant[i]), air_in=self.ambient, **own
        )

    def _engine_in(self, i: int) -> float:
        """The mixture of what comes back [K]; the engine's own coolant while nothing flows."""
        V_r = self.radiator_flow[i]
        V_h = self.heater_flow[i]
        V_b = self.bypass_flow[i]
        total = V_r + V_h + V_b
        if total <= _LEAST_FLOW:
            return float(self.coolant[i])
        mixed = V_r * self.lower_hose[i] + V_h * self.heater_out[i] + V_b * self.coolant[i]
        return float(mixed / total)


_ALIKE = (
    "sensor",
    "upper_hose",
    "lower_hose",
    "heater_in",
    "heater_out",
    "vent",
    "radiator_flow",
    "heater_flow",
    "bypass_flow",
    "opening",
    "fan_speed",
)


def settled_moment(point: OperatingPoint) -> CircuitMoment:
    """The circuit of an operating point of one member; its flows are those of the coolant with its air."""

    def one(name: str) -> float:
        return float(getattr(point, name)[0])

    rho = one("coolant_density")
    return CircuitMoment(
        engine_in=one("coolant_in"),
        engine_out=one("coolant_out"),
        sensor=one("coolant_out"),
        upper_hose=one("coolant_out"),
        lower_hose=one("tank_out"),
        heater_in=one("heater_in"),
        heater_out=one("heater_out"),
        vent=one("vent"),
        air_in=one("air_in"),
        radiator_flow=one("radiator_mass_flow") / rho,
        heater_flow=one("heater_mass_flow") / rho,
        bypass_flow=one("bypass_mass_flow") / rho,
        opening=one("opening"),
        fan_speed=one("fan_speed"),
        air_out=one("air_out"),
        air_flow=one("air_mass_flow"),
        radiator_heat=one("radiator_heat"),
        heater_heat=one("heater_heat"),
    )


def course_round(ran: Warmup, ambient: float, side: str) -> CircuitCourse:
    """The circuit over a warm-up of one member; ``side`` is the word of the case for where the thermostat sits."""
    own = {name: getattr(ran, name)[:, 0] for name in ("coolant", *_ALIKE) if name != "upper_hose"}
    return CircuitCourse(time=ran.time, upper_hose=felt_upper_hose(ran, ambient, side)[:, 0], ambient=ambient, **own)
