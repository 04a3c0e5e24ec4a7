"""What engines of today have beside pump, valve and radiator: warmers of oil, and heat taken out of the exhaust.

Warmer of engine or gearbox oil, a coolant-to-oil exchanger of conductance UA; cold oil takes heat, hot oil gives it:

    Q = UA (T_coolant - T_oil)

The gearbox is one lump of metal and oil with the heat of its own losses:

    C dT_g/dt = Q_loss + UA (T_coolant - T_g) - G (T_g - T_ambient)

which settled gives the coolant UA/(UA + G) (Q_loss - G (T_coolant - T_ambient)). Engine oil has the temperature of the
block, whose losses are counted at the engine's surface: settled, its warmer passes nothing, for the heat that oil takes
from the engine is within the share into the metal.

Exhaust heat: the coolant takes a share of what leaves with the exhaust, until it is warm; then a flap leads the exhaust
past. The flap closes over the last ``FLAP`` kelvins. What leaks past a closed flap is left out.

Lumped capacity and Q = UA dT: Incropera, Fundamentals of Heat and Mass Transfer, 7th edition, sections 5.1 and 11.3.
Arrays: float64, members on the last axis.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from engcalc.case.sections import Sections
from engcalc.case.sections.circuit import EXHAUST_HEAT, GEARBOX_WARMER, OIL_WARMER, ExtraSource
from engcalc.components.engine import EngineHeat
from engcalc.units import Array

FLAP = 5.0  # K, over which the exhaust's flap closes; common practice, no source
GEARBOX_CP = 700.0  # J/(kg K); aluminium case, steel gears, oil, about 0.45, 0.45 and 0.1 by mass; common practice
GEARBOX_TO_AIR = 0.1  # W/(K kg), of its case to the air under the vehicle; common practice, no source
GEARBOX_SHARE = 0.4  # of the driveline's loss that warms the gearbox; axles and joints take the rest; common practice
_LEAST = 1e-12


@dataclass(frozen=True, eq=False)
class Equipment:
    """What is fitted; a conductance or share of 0 stands for what is not."""

    oil_UA: Array  # W/K, engine oil to coolant
    gear_UA: Array  # W/K, gearbox oil to coolant
    gear_capacity: Array  # J/K
    gear_to_air: Array  # W/K
    gear_loss: Array  # -, of the power through the driveline, that warms the gearbox
    recovery: Array  # -, share of the exhaust's heat
    stops: Array  # K

    @property
    def warms_oil(self) -> bool:
        """Whether coolant and engine oil exchange heat."""
        return bool(np.any(self.oil_UA > 0.0))

    @property
    def warms_gearbox(self) -> bool:
        """Whether coolant and gearbox oil exchange heat."""
        return bool(np.any(self.gear_UA > 0.0))

    @property
    def recovers(self) -> bool:
        """Whether the coolant takes heat from the exhaust."""
        return bool(np.any(self.recovery > 0.0))

    @property
    def heats(self) -> bool:
        """Whether any of it changes what settles."""
        return self.warms_gearbox or self.recovers


def prepare_equipment(case: Sections) -> Equipment:
    """What a case has; at most one item of each kind."""
    oil, gear, exhaust = (_item(case, kind) for kind in (OIL_WARMER, GEARBOX_WARMER, EXHAUST_HEAT))
    zero = np.zeros(1)
    mass = np.ones(1) if gear is None else gear.mass
    gear_UA = zero if gear is None else gear.conductance
    return Equipment(
        oil_UA=zero if oil is None else oil.conductance,
        gear_UA=gear_UA,
        gear_capacity=mass * GEARBOX_CP,
        gear_to_air=mass * GEARBOX_TO_AIR,
        gear_loss=np.where(gear_UA > 0.0, GEARBOX_SHARE * (1.0 - case.vehicle.driveline_efficiency), 0.0),
        recovery=zero if exhaust is None else exhaust.recovery,
        stops=zero if exhaust is None else exhaust.stops,
    )


def _item(case: Sections, kind: str) -> ExtraSource | None:
    return next((item for item in case.circuit.extra if item.kind == kind), None)


def gearbox_loss(equipment: Equipment, heat: EngineHeat) -> Array:
    """Heat [W] that warms the gearbox: a share of the power at the crankshaft, less what drives accessories."""
    return np.asarray(equipment.gear_loss * np.maximum(heat.brake_power - heat.accessory_power, 0.0))


def settled_gearbox(equipment: Equipment, loss: Array) -> tuple[Array, Array]:
    """a [W] and b [W/K] of the heat a - b (T - T_ambient) that a settled gearbox gives the coolant."""
    UA = equipment.gear_UA
    G = equipment.gear_to_air
    given = UA / (UA + G)
    return np.asarray(given * loss), np.asarray(given * G)


def flap_open(equipment: Equipment, T: Array) -> Array:
    """Share [-] of the exhaust that is led through its exchanger at a coolant temperature [K]."""
    return np.asarray(np.minimum(np.maximum((equipment.stops - T) / FLAP, 0.0), 1.0))


def outlet_with_flap(equipment: Equipment, base: Array, U: Array, exhaust: Array) -> Array:
    """T [K] at which U T = base + recovery exhaust flap(T); base [W], U [W/K], exhaust heat [W].

    Both sides are straight lines of T in three stretches, the right one falling: so there is one answer, and where the
    flap moves it lies between those with the flap open and shut.
    """
    whole = equipment.recovery * exhaust
    safe = np.maximum(U, _LEAST)
    closed = base / safe
    opened = (base + whole) / safe
    moves = (base + whole * equipment.stops / FLAP) / (safe + whole / FLAP)
    return np.asarray(np.minimum(opened, np.maximum(closed, moves)))
