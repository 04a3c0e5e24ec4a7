"""What an engine drives beside the vehicle: its alternator with all that is electric, and the air conditioning.

    P = P_base + (P_blower + P_fan) / eta_alternator + Q_condenser runs / (1 + COP)

- base: what every running engine drives, in proportion to its displacement. The coolant pump on the belt is part of
  the engine's friction: motored engines turn theirs (Heywood 1988, section 13.6), faster with the engine.
- blower: its speed is set by resistors ahead of its motor, so that the current goes with the square of the air
  (fan laws) at the full voltage.
- compressor: the condenser gives off what the cabin's air loses and the compressor's own work, so that the work is a
  share of the condenser's heat.

Arrays: float64, members on the last axis, all broadcast.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from engcalc.case.conditions import Conditions
from engcalc.case.sections import Sections
from engcalc.components.fan import electric_power, prepare_fan
from engcalc.units import Array

ALTERNATOR_EFFICIENCY = 0.60  # -, belt to current: 55 % (Remy, white paper) to 67 % (Decision (EU) 2015/158, baseline)
BASE_ELECTRIC = 1.1e5  # W/m3 (110 W per litre): ignition, injection, fuel pump, instruments of a 1.6 L car take 180 W
#                        (Denton, Automobile Electrical and Electronic Systems, continuous loads, from memory)
BASE = 2.0e5  # W/m3 (200 W per litre) at the crank, with which cold idles and presets were fitted (tests/road)
BASE_BELT = BASE - BASE_ELECTRIC / ALTERNATOR_EFFICIENCY  # W/m3 (17 W per litre); steering pump at rest, and the belt
BLOWER_PER_FLOW = 2.1e3  # W/(m3/s) on high: 19.8 A at 14 V (one car, MACS, Sept 2014) over 480 m3/h, the latter guessed
BLOWER_EXPONENT = 2.0  # -, of the air in the power: see above
BLOWER_WITH_CONDITIONING = 0.5  # -, of its high flow, that the blower moves while it runs; common practice, no source
ELECTRIC_PUMP = 2.0e4  # W/m3 (20 W per litre): 200 W of a 3 L engine's pump, at two thirds of its speed; no source
COP = 2.5  # -, heat taken from the cabin over the compressor's work; 1.6 to 4 in papers, falls with speed (see tests)
TYPICAL_CONDENSER = 4.0e3  # W; of an air conditioning that is on without a condenser's heat; common practice, no source
CONDITIONING_FROM = 288.15  # K; by the weather off up to 15 degC; common practice, no source
CONDITIONING_FULL = 298.15  # K; from 25 degC on it gives all its heat; common practice, no source


@dataclass(frozen=True, eq=False)
class PreparedAccessories:
    """What the accessories of a case take from the crankshaft, each at its most [W]."""

    base: Array  # at all times
    blower: Array  # on high
    compressor: Array  # with all of the condenser's heat
    fan: Array  # all electric fans at full speed
    has_condenser: bool  # so that the weather may switch the air conditioning on


def prepare_accessories(case: Sections) -> PreparedAccessories:
    """The accessories of a case; a bench rig has none."""
    if case.vehicle.class_ == "bench rig":
        zero = np.zeros(1)
        return PreparedAccessories(zero, zero, zero, zero, has_condenser=has_condenser(case))
    electric = BASE_ELECTRIC + (ELECTRIC_PUMP if case.circuit.pump_drive == "electric" else 0.0)
    base = case.engine.displacement * (BASE_BELT + electric / ALTERNATOR_EFFICIENCY)
    blower = BLOWER_PER_FLOW * case.heater.blower_flow / ALTERNATOR_EFFICIENCY
    fan = electric_power(prepare_fan(case)) / ALTERNATOR_EFFICIENCY
    return PreparedAccessories(base, blower, condenser_heat(case) / (1.0 + COP), fan, has_condenser(case))


def has_condenser(case: Sections) -> bool:
    """Whether a condenser stands ahead of the radiator."""
    return any(cooler.kind == "condenser" for cooler in case.airflow.upstream)


def condenser_heat(case: Sections) -> Array:
    """Heat of the condensers [W] with the air conditioning full on; a typical one where it is on and none is stated."""
    if not has_condenser(case) and any(duty.air_conditioning == "on" for duty in case.duties):
        return np.full(1, TYPICAL_CONDENSER)
    stated = (cooler.heat for cooler in case.airflow.upstream if cooler.kind == "condenser")
    return sum((heat for heat in stated if heat is not None), np.zeros(1))


def conditioning_share(with_condenser: bool, asked: Array, ambient: Array) -> Array:
    """Share of its heat [-] at which the air conditioning runs; ``asked`` -1 off, 0 by the weather, else that share."""
    span = CONDITIONING_FULL - CONDITIONING_FROM
    warm = np.clip((ambient - CONDITIONING_FROM) / span, 0.0, 1.0) * with_condenser
    return np.asarray(np.where(asked > 0.0, asked, np.where(asked < 0.0, 0.0, warm)))


def held_conditioning(share: Array) -> Array:
    """What to ask for, so that the air conditioning runs at a share of its heat [-] in any weather."""
    return np.where(share > 0.0, share, -1.0)


def accessory_power(fitted: PreparedAccessories, asked: Conditions) -> Array:
    """Power [W] at the crankshaft for all accessories but electric fans, the engine running."""
    runs = conditioning_share(fitted.has_condenser, asked.air_conditioning, asked.ambient)
    air = np.maximum(asked.heater_air_share, BLOWER_WITH_CONDITIONING * runs)
    blower = fitted.blower * air**BLOWER_EXPONENT
    return np.asarray(fitted.base + blower + fitted.compressor * runs)
