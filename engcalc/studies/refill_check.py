"""The refill section of a case worked out: what the mixture stands, what to drain and fill in, what air is left."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from engcalc.case.case import Case
from engcalc.case.records import MIXTURE_SPOTS
from engcalc.case.refilling import Refilling
from engcalc.properties.coolant import Base, freezing_point
from engcalc.studies.refill import (
    FilledSystem,
    Joint,
    LevelFall,
    Protection,
    Refill,
    RefractometerReading,
    air_by_pressure,
    drain_to_open,
    expansion,
    protection,
    refill,
    refractometer,
    trapped_air,
)
from engcalc.units import Array

MOST_READ = 0.6  # -; where the scales end that can be computed
T_COLD = 293.15  # K; a cold vehicle in the shop, from which the coolant grows; common practice, no source


@dataclass(frozen=True, eq=False)
class OfferedReading:
    """A refractometer's reading that stands among the case's readings: first ice [K], on a glycol's scale.

    Shape (1,).
    """

    freezing: Array
    scale: Base


@dataclass(frozen=True, eq=False)
class RefillCheck:
    """Everything that is said of a refill; arrays of shape (members,), SI, None where something was not entered.

    ``fraction`` [-] is the coolant's own: as read, else as entered; ``scale`` the glycol that the reading was for;
    ``offered`` stands among the case's readings and is not entered here. ``opening`` [m3] is what to let out before
    ``joint`` is opened, with its standard uncertainty. ``growth`` [m3] from T_COLD to ``hottest`` [K]. ``released``
    [m3] is the air that came out by the fall of the level, ``missing`` [m3] what came out and has not gone in again
    (negative: more went in), ``pressed`` [m3] the air by the tester.
    """

    case: Case
    base: Base
    scale: Base
    reading: RefractometerReading | None
    offered: OfferedReading | None
    fraction: Array
    protection: Protection
    joint: Joint
    opening: tuple[Array, Array]
    target: Array
    refill: Refill | None
    hottest: Array
    growth: Array
    released: Array | None
    missing: Array | None
    pressed: Array | None


def is_entered(case: Case) -> bool:
    """Whether a person typed anything into the refill section."""
    return any(given.typed for path, given in case.given.items() if path.startswith("refill."))


def check_refill(case: Case) -> RefillCheck:
    """Work the refill section out."""
    entered = case.refill
    coolant = case.coolant
    base = Base(coolant.base)
    scale = base if entered.scale == "that of the coolant" else Base(entered.scale)
    reading = None
    if entered.refractometer is not None and Base.WATER not in (base, scale):
        reading = refractometer(entered.refractometer, scale, base)
    glycol = coolant.concentration if reading is None else reading.fraction
    fraction = np.zeros(1) if base is Base.WATER else glycol
    altitude = _altitude(case)
    target = coolant.concentration if entered.target is None else entered.target
    hottest = case.limits.coolant_limit if entered.hottest is None else entered.hottest
    joint = Joint(entered.opened)
    return RefillCheck(
        case=case,
        base=base,
        scale=scale,
        reading=reading,
        fraction=fraction,
        offered=None if entered.refractometer is not None or base is Base.WATER else offered(case),
        protection=protection(base, fraction, coolant.cap_pressure, altitude),
        joint=joint,
        opening=drain_to_open(coolant.volume, joint),
        target=target,
        refill=None if base is Base.WATER else _refill(entered, coolant.volume, fraction, target),
        hottest=hottest,
        growth=expansion(base, fraction, coolant.volume, np.full(1, T_COLD), hottest),
        released=_released(entered, base, fraction, coolant.volume),
        missing=_missing(entered),
        pressed=_pressed(entered, altitude),
    )


def offered(case: Case) -> OfferedReading | None:
    """The last reading of a refractometer among the latest record's that has one."""
    both = [record.spots for record in (case.evidence.before, case.evidence.after) if record is not None]
    found = [spot for spots in both for spot in spots if spot.what in MIXTURE_SPOTS]
    if not found:
        return None
    spot = found[-1]
    scale = Base.ETHYLENE if spot.instrument == "ethylene_scale" else Base.PROPYLENE
    freezing = spot.value if spot.what == "freezing_point" else freezing_point(scale, np.minimum(spot.value, MOST_READ))
    return OfferedReading(freezing, scale)


def _altitude(case: Case) -> Array:
    """As entered, else the highest of the duties: there the coolant boils first."""
    if case.refill.altitude is not None:
        return case.refill.altitude
    highest = np.zeros(1) if not case.duties else case.duties[0].altitude
    for duty in case.duties[1:]:
        highest = np.maximum(highest, duty.altitude)
    return highest


def _refill(entered: Refilling, capacity: Array, fraction: Array, target: Array) -> Refill:
    holds = np.maximum(capacity - entered.drained, 0.0)
    return refill(FilledSystem(capacity, holds, fraction, entered.drainable), target, entered.product)


def _released(entered: Refilling, base: Base, fraction: Array, capacity: Array) -> Array | None:
    if entered.level_fall is None or entered.tank_area is None:
        return None
    fall = LevelFall(entered.level_fall, entered.tank_area, entered.first_look, entered.second_look)
    return trapped_air(base, fraction, capacity, fall).released


def _pressed(entered: Refilling, altitude: Array) -> Array | None:
    """Air that a pressure tester tells of; None where nothing was pressed."""
    if entered.pressed_fall is None or entered.tester is None:
        return None
    return air_by_pressure(entered.pressed_fall, entered.tester, altitude)


def _missing(entered: Refilling) -> Array | None:
    if entered.filled is None or not np.any(entered.drained > 0.0):
        return None
    return np.asarray(entered.drained - entered.filled)
