"""Many vehicles put in order: by the odds of a fault, and by the drift of each over its logs.

Drift is the slope of Theil and Sen, the median of the slopes between all pairs (P. K. Sen, J. Am. Stat. Assoc. 63
(1968) 1379), of how far the coolant ended from a healthy vehicle's; a few odd days do not move it. It counts as shown
where the test of Mann and Kendall rejects chance at 5 % (M. G. Kendall, Rank Correlation Methods, 1948; by the normal
distribution, without a correction for small numbers).
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations
from math import sqrt
from statistics import median

from engcalc.diagnosis.grounds import Danger, VehicleState
from engcalc.diagnosis.screening import LogJudged

LATEST = 3  # logs of a vehicle of which the odds are the median: what it is like now; common practice, no source
LEAST_LOGS = 4  # of a drift: with fewer, no order of them is rare enough to be told from chance
SHOWN_Z = 1.959964  # -; standard normal at 97.5 %
LOOK_FIRST = 0.5  # probability of a fault from which a vehicle is to be looked at
SMALL_DRIFT = 2.0  # K; over all logs; less is within what a sensor and the weather do; common practice, no source
_DANGERS = (Danger.NONE, Danger.CARE, Danger.STOP)
_UNREMARKABLE = (VehicleState.HEALTHY, VehicleState.CANNOT_TELL, VehicleState.NOTHING_TO_JUDGE)


@dataclass(frozen=True)
class Drift:
    """How a vehicle changes over all of its logs [K], below 0 towards colder, and whether that is shown."""

    total: float
    shown: bool


@dataclass(frozen=True)
class Ranked:
    """One vehicle in the order: how many logs it has, the last of them as judged, the probability of a fault (median of
    the latest), the worst danger of any, the drift where there are logs enough; whether to look at it first."""

    vehicle: str
    logs: int
    last: LogJudged
    fault: float
    danger: Danger
    drift: Drift | None
    look_first: bool


def drift(deviations: Sequence[float]) -> Drift | None:
    """The drift of deviations [K] in the order of their logs; None of fewer than four."""
    n = len(deviations)
    if n < LEAST_LOGS:
        return None
    pairs = list(combinations(range(n), 2))
    slope = median((deviations[j] - deviations[i]) / (j - i) for i, j in pairs)
    rising = sum(deviations[j] > deviations[i] for i, j in pairs)
    falling = sum(deviations[j] < deviations[i] for i, j in pairs)
    rises = rising - falling
    by_chance = sqrt(n * (n - 1) * (2 * n + 5) / 18.0)  # standard deviation of the rises less the falls: Kendall 1948
    total = slope * (n - 1)
    return Drift(total, abs(rises) > SHOWN_Z * by_chance and abs(total) >= SMALL_DRIFT)


def ranked(vehicles: Mapping[str, Sequence[LogJudged]]) -> list[Ranked]:
    """Vehicles with their logs in order of time: danger first, then what else is to be looked at first; in both the
    likelier fault first, then the larger drift."""
    found = [_ranked(vehicle, logs) for vehicle, logs in vehicles.items() if logs]
    return sorted(found, key=_place)


def _ranked(vehicle: str, logs: Sequence[LogJudged]) -> Ranked:
    fault = median(log.fault for log in logs[-LATEST:])
    danger = max((log.danger for log in logs), key=_DANGERS.index)
    moved = drift([log.deviation for log in logs if log.deviation is not None])
    remarkable = logs[-1].state not in _UNREMARKABLE
    drifts = moved is not None and moved.shown
    look = danger is not Danger.NONE or fault >= LOOK_FIRST or remarkable or drifts
    return Ranked(vehicle, len(logs), logs[-1], fault, danger, moved, look)


def _place(one: Ranked) -> tuple[int, bool, float, float, str]:
    """What vehicles are put in order by, the least first."""
    return -_DANGERS.index(one.danger), not one.look_first, -one.fault, -_size(one.drift), one.vehicle


def _size(moved: Drift | None) -> float:
    if moved is None or not moved.shown:
        return 0.0
    return abs(moved.total)
