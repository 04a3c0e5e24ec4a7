"""Coolant pump: head over flow by the affinity laws.

    dp = rho/rho0 [dp0 (n/n0)^2 - c V^2] (1 - x)^6

dp0 is the pressure at no flow, speed n0 and density rho0; a parabola through it and the working point is common
practice. Flow goes with speed, pressure with its square (AMCA 211 and ISO 5801 for fans; the same laws for pumps).
Carried air takes head: with the exponent 6 a tenth of air halves it (centrifugal pumps lose their prime between 10 and
20 % of gas; common practice, no source).

A pump that stands while the engine is cold, by design, is started by the engine's own coolant, or by the heater where
that calls for it (service information of a 2 L engine of 2018: it stands up to 85 degC, at up to 4000 rpm, unless the
heater asks). Once warm it turns on; where things settle it counts as turning.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import Enum

import numpy as np

from engcalc.case.sections import Sections
from engcalc.case.sections.circuit import STANDS_COLD, STARTS_PUMP
from engcalc.units import Array

AERATION_EXPONENT = 6.0  # -; common practice, no source
HEAT_ASKED = 0.05  # -, share of the blower's high flow from which the heater calls for the pump; common practice
SUCTION_SPEED = 8500.0 / 2733.0  # -; 8500 in rpm, US gal/min and feet, a limit of pump standards; from memory


class PumpDrive(Enum):
    """What turns the pump; the values are the words of the case file."""

    BELT = "belt"
    ELECTRIC = "electric"


@dataclass(frozen=True, eq=False)
class Pump:
    """A pump and its curve; ``c`` is found from the working point (see ``engcalc.system.circuit``)."""

    drive: PumpDrive
    ratio: Array  # -, pump turns per engine turn
    reference_speed: Array  # rev/s
    shutoff_pressure: Array  # Pa at the reference speed and density
    c: Array  # Pa s2/m6 at the reference density
    reference_density: Array  # kg/m3
    aeration: Array  # -, air by volume
    stands_cold: bool = False  # until the coolant in the engine has ``starts``
    starts: Array = field(default_factory=lambda: np.zeros(1))  # K
    heat_starts: bool = True  # a heater that is switched on calls for it
    cold_assumed: bool = False  # nobody knows whether it stands cold: it is taken as turning
    slips: Array = field(default_factory=lambda: np.full(1, np.inf))  # rev/s; an impeller on the belt turns no faster


def prepare_pump(case: Sections, working_flow: Array, working_head: Array, density: Array) -> Pump:
    """The pump of a case, its parabola through ``working_head`` [Pa] at ``working_flow`` [m3/s] and its own speed."""
    k = case.circuit
    c = np.maximum(k.pump_shutoff_pressure - working_head, 0.0) / np.maximum(working_flow, 1e-12) ** 2
    return Pump(
        PumpDrive(k.pump_drive),
        k.pump_ratio,
        k.pump_flow_speed,
        k.pump_shutoff_pressure,
        c,
        density,
        k.aeration,
        k.pump_cold == STANDS_COLD,
        k.pump_starts,
        k.pump_for_heat == STARTS_PUMP,
        k.pump_cold == "unknown",
        k.impeller_slips,
    )


def pump_speed(pump: Pump, engine_speed: Array) -> Array:
    """Speed of the impeller [rev/s]: with the engine [rev/s], or as commanded whatever the engine does.

    One that is loose on its shaft is driven by friction alone. The torque that it takes grows with the square of its
    speed, so that it slips at the one speed at which it takes what friction gives, however fast the shaft turns.
    """
    if pump.drive is PumpDrive.ELECTRIC:
        return np.asarray(pump.reference_speed + 0.0 * engine_speed)
    return np.minimum(pump.ratio * engine_speed, pump.slips)


def head_factors(pump: Pump, speed: Array, rho: Array) -> tuple[Array, Array]:
    """Head at no flow H [Pa] and fall coefficient c [Pa s2/m6] at a speed [rev/s] and density: dp = H - c V^2."""
    derate = (rho / pump.reference_density) * (1.0 - pump.aeration) ** AERATION_EXPONENT
    return (
        np.asarray(derate * pump.shutoff_pressure * (speed / pump.reference_speed) ** 2),
        np.asarray(derate * pump.c),
    )


def suction_needed(pump: Pump, engine_speed: Array, flow: Array, rho: Array) -> Array:
    """Pressure over the vapour's [Pa] that the pump wants at its inlet lest it cavitates.

    rho (w sqrt(V)/S)^(4/3): suction specific speed S = w sqrt(V)/(NPSH g)^(3/4) at its customary limit, w = 2 pi n.
    A rule for pumps at large; a given pump may want half or twice as much.
    """
    w = 2.0 * np.pi * pump_speed(pump, engine_speed)
    return np.asarray(rho * (w * np.sqrt(np.maximum(flow, 0.0)) / SUCTION_SPEED) ** (4.0 / 3.0))
