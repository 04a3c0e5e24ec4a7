"""The engine's charge air: from the boost that its air flow asks for.

    m = fuel (A/F) lambda                        air that the fuel burns with
    p_2/p_1 = m R T_2/(eta_v V_d n i p_1)        what it takes to bring it into the cylinders; at least 1: no boost
    T_c - T_1 = T_1 [(p_2/p_1)^((k-1)/k) - 1]/eta_c     out of the compressor

Heywood, Internal Combustion Engine Fundamentals (1988), eq. 2.27 for the air that fills the cylinders and section 6.8.1
for compressors. A naturally aspirated engine has none of it.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from engcalc.components.engine import PreparedEngine
from engcalc.properties.air import pressure_at_altitude
from engcalc.units import Array

GAS_CONSTANT = 287.05  # J/(kg K); dry air, ISO 2533
CP = 1006.0  # J/(kg K); air near ambient
EXPONENT = 0.4 / 1.4  # -, (k - 1)/k of air
FILLING = 0.9  # -, volumetric efficiency; common practice, no source
COMPRESSOR_EFFICIENCY = 0.7  # -, isentropic; common practice, no source
CHARGE_OVER = 20.0  # K; charge air over ambient in the manifold; common practice, no source


@dataclass(frozen=True, eq=False)
class ChargeAir:
    """The engine's air; arrays over the duties or members."""

    flow: Array  # kg/s
    pressure_ratio: Array  # -
    rise: Array  # K, over the compressor


def charge_air(
    engine: PreparedEngine, fuel_power: Array, engine_speed: Array, ambient: Array, altitude: Array
) -> ChargeAir:
    """Air flow, boost and what it warms the air by; fuel power [W], speed [rev/s], ambient [K], altitude [m]."""
    flow = fuel_power / engine.heating_value * engine.stoichiometric_ratio * engine.air_ratio
    T_charge = ambient + CHARGE_OVER
    p = pressure_at_altitude(altitude)
    drawn = FILLING * engine.displacement * np.maximum(engine_speed, 1e-3) * engine.cycles_per_turn  # m3/s
    ratio = np.maximum(flow * GAS_CONSTANT * T_charge / (drawn * p), 1.0)
    if engine.naturally_aspirated:
        ratio = np.ones_like(ratio)
    rise = ambient * (ratio**EXPONENT - 1.0) / COMPRESSOR_EFFICIENCY
    return ChargeAir(flow, ratio, np.asarray(rise))
