"""How a vehicle runs from day to day, as its driver tells of it: settled points of simulated members.

A complaint is not of the visit's own run. "Hot standing still" is judged by where a member settles when it idles on a
warm day, "cold under way" by where it settles on a country road on a cool one. The speeds, days and loads are common
practice, no source.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, fields
from enum import StrEnum

import numpy as np
from numpy.typing import NDArray

from engcalc.case.case import Case
from engcalc.case.conditions import Conditions, conditions_of
from engcalc.system.in_time.patterns import TOP_SPEED
from engcalc.system.operating_point import solve
from engcalc.system.plant import Plant
from engcalc.units import Array
from engcalc.words.texts import diagnosis_texts

COOL_DAY = 283.15  # K; 10 degC: at most so warm it is when one complains of cold
WARM_DAY = 303.15  # K; 30 degC: at least so warm it is when one complains of heat
HEATER_ON = 0.5  # -; of the blower's high flow, on a cool day
TRAILER_SHARE = 0.6  # -; of the vehicle's own mass, that a usual trailer has


class EverydayUse(StrEnum):
    """A way in which a vehicle is used every day."""

    IDLE_COOL = diagnosis_texts.STANDING_STILL_ON_A_COOL_DAY
    ROAD_COOL = diagnosis_texts.UNDER_WAY_ON_A_COOL_DAY
    IDLE_WARM = diagnosis_texts.STANDING_STILL_ON_A_WARM_DAY
    FAST_WARM = diagnosis_texts.FAST_ON_A_WARM_DAY
    TOWING_WARM = diagnosis_texts.TOWING_UPHILL_ON_A_WARM_DAY


@dataclass(frozen=True)
class _AskedOfUse:
    """What a use asks: speed [m/s], grade [-], whether it tows, and whether the day is warm (else the heater is on)."""

    speed: float
    grade: float = 0.0
    tows: bool = False
    warm: bool = False


_KMH = 1.0 / 3.6  # m/s
_USES: Mapping[EverydayUse, _AskedOfUse] = {
    EverydayUse.IDLE_COOL: _AskedOfUse(0.0),
    EverydayUse.ROAD_COOL: _AskedOfUse(70.0 * _KMH),
    EverydayUse.IDLE_WARM: _AskedOfUse(0.0, warm=True),
    EverydayUse.FAST_WARM: _AskedOfUse(130.0 * _KMH, warm=True),
    EverydayUse.TOWING_WARM: _AskedOfUse(60.0 * _KMH, grade=0.04, tows=True, warm=True),
}


@dataclass(frozen=True, eq=False)
class SettledTemperatures:
    """Where members settle in one use, (members,) in K: coolant, what the sensor shows of it, air at the vent."""

    coolant: Array
    shown: Array
    vent: Array

    def taken(self, which: NDArray[np.int64]) -> SettledTemperatures:
        """Some members by their index."""
        return SettledTemperatures(self.coolant[which], self.shown[which], self.vent[which])

    @staticmethod
    def joined(parts: Sequence[SettledTemperatures]) -> SettledTemperatures:
        """Several ensembles as one."""
        return SettledTemperatures(
            *(np.concatenate([getattr(p, f.name) for p in parts]) for f in fields(SettledTemperatures))
        )


def settled_coolant(
    case: Case, plant: Plant, ambient: Array, uses: Iterable[EverydayUse]
) -> dict[EverydayUse, tuple[Array, Array]]:
    """Coolant at the engine's outlet and air at the vent [K], (members,), where members settle in each use.

    ``ambient`` [K], (members,), is the air of the record. A member that boils stands at its boiling point.
    """
    return {use: _settled(case, plant, _conditions_of_use(case, _USES[use], ambient)) for use in uses}


def _settled(case: Case, plant: Plant, asked: Conditions) -> tuple[Array, Array]:
    """Coolant and vent [K]. A fan that switches by itself is taken as off where it is not called for; where it is, the
    coolant stands no lower than where it comes on. Its cycle in between no driver sees on a gauge."""
    if not plant.airway.fan.drive.switches:
        point = solve(plant, asked)
        return point.coolant_out, point.vent
    off, on = (solve(plant, asked.replace(fan_mode=np.full(1, mode))) for mode in (-1.0, 1.0))
    called = case.airflow.fan_on < off.coolant_out
    coolant = np.where(called, np.maximum(on.coolant_out, case.airflow.fan_on), off.coolant_out)
    return coolant, np.where(called, on.vent, off.vent)


def _conditions_of_use(case: Case, asked: _AskedOfUse, ambient: Array) -> Conditions:
    """A kind of everyday use as conditions: its speed as far as the class goes, the day as warm or cool as it asks."""
    usual = conditions_of(case.duties[:1]).of_another_day().without_load()
    most = TOP_SPEED.get(case.vehicle.class_, np.inf) * _KMH
    day = np.maximum(ambient, WARM_DAY) if asked.warm else np.minimum(ambient, COOL_DAY)
    none = np.zeros(1)
    return usual.replace(
        vehicle_speed=np.full(1, min(asked.speed, most)),
        grade=np.full(1, asked.grade),
        trailer_mass=TRAILER_SHARE * case.vehicle.mass if asked.tows else none,
        heater_air_share=none if asked.warm else np.full(1, HEATER_ON),
        coolant_heater=none,
        fan_mode=none,  # as its control wants
        coolant_flow=np.full(1, np.nan),
        air_velocity=np.full(1, np.nan),
        valve_held=np.full(1, np.nan),
        ambient=day,
    )
