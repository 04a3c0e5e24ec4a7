"""Two warm-ups laid over one another where as much heat had been put in.

A drive that works the engine harder warms it sooner. So the run before is looked up not at the same time but when its
engine had taken as much heat. What goes into the engine's metal counts (:mod:`engcalc.system.in_time.fuel_use`), of
which coolant and surface take theirs. What the air took meanwhile is not put right: the fit of both records does that
(:mod:`engcalc.diagnosis.repair.before_after`).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from engcalc.units import Array
from engcalc.vehicle.warmup_study import RecordStudy

APART = 0.10  # -; by which the heat of two drives differs before anybody is told; common practice, no source


@dataclass(frozen=True, eq=False)
class SameHeat:
    """The run before at the heat of the run after, (n,): ``time`` [s] of the run after, ``before`` [K] the coolant of
    the run before when as much heat had gone in, ``time_before`` [s] when that was.

    ``after`` [K] is the coolant at the last of these times. ``ratio`` [-]: heat of the run after over that of the run
    before, as long as both ran.
    """

    time: Array
    before: Array
    time_before: Array
    after: float
    ratio: float

    @property
    def drives_differ(self) -> bool:
        """Whether the same time after the start is not the same heat."""
        return abs(self.ratio - 1.0) > APART


def same_heat(before: RecordStudy, after: RecordStudy) -> SameHeat | None:
    """The run before at the heat of the run after; None where one has no course in time, or took no heat."""
    if before.measured is None or after.measured is None:
        return None
    (tb, Qb), (ta, Qa) = _heat(before), _heat(after)
    first = np.flatnonzero(
        np.diff(Qb, prepend=-1.0) > 0.0
    )  # an engine that stands takes none: when it first had so much
    ends = min(float(before.measured.time[-1]), float(tb[-1]))
    asked = after.measured.time[(after.measured.time >= 0.0) & (after.measured.time <= ta[-1])]
    heat = np.interp(asked, ta, Qa)
    reached = heat <= np.interp(ends, tb, Qb)
    if not (asked[reached] > 0.0).any():
        return None
    time = asked[reached]
    at = np.interp(heat[reached], Qb[first], tb[first])
    both = min(float(asked[-1]), ends)
    whole = float(np.interp(both, tb, Qb))
    return SameHeat(
        time,
        np.interp(at, before.measured.time, before.measured.T),
        at,
        float(np.interp(time[-1], after.measured.time, after.measured.T)),
        float(np.interp(both, ta, Qa)) / whole if whole > 0.0 else 1.0,
    )


def _heat(record: RecordStudy) -> tuple[Array, Array]:
    """Heat that went into the engine [J] by each time [s]."""
    return record.fuel.time, record.fuel.metal[:, 0]
