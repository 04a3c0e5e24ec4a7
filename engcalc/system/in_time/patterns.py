"""How a vehicle was driven, in one word: a driven pattern with stops and accelerations in the place of a steady speed.

Each word has a list of hops: speed up, drive on, slow down, stand. The hops are invented. Their statistics are those of
the phases of the WLTC class 3b (UN GTR No. 15, Annex 1), as ``SOURCES`` names them and a test compares them: mean
speed, share of the time at a stop, and mean positive power at the wheels. A speed that swings while it is "steady" asks
for more power than a constant one; so does every start.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from engcalc.components.engine import GRAVITY
from engcalc.units import Array

ROTATING_MASS = 1.05  # -, inertia over mass with wheels and driveline turning; common practice, no source
UNKNOWN_DRIVING = {"idling": 0.2, "town": 0.4, "country road": 0.25, "motorway": 0.15}
"""Weights of the ways to drive where nobody noted which: common practice, no source."""


@dataclass(frozen=True)
class StopToStop:
    """One start to the next stop: top speed [km/h], time near it [s], time at the stop before it [s]."""

    top: float
    drives: float
    stands: float


@dataclass(frozen=True)
class Pattern:
    """Hops in their order, acceleration and braking [m/s2], and the swing of the steady speed: a share of the top speed
    over a period [s]."""

    hops: tuple[StopToStop, ...]
    accelerates: float
    brakes: float
    swing: float
    period: float


SOURCES: Mapping[str, str] = {
    "town": "WLTC class 3b, phase Low: 18.9 km/h with stops, 25 % of the time at a stop, 2.2 kW at a car's wheels",
    "country road": "WLTC class 3b, phases Medium and High: 48.3 km/h, 9 %, 6.2 kW",
    "motorway": "WLTC class 3b, phase Extra-High: 92.0 km/h, 2 %, 15.4 kW",
}
"""Whose statistics each pattern has: UN GTR No. 15, Annex 1. The car has 1500 kg, c_rr 0.011, c_d A 0.68 m2."""

PATTERNS: Mapping[str, Pattern] = {
    "town": Pattern(
        (
            StopToStop(20, 14, 12),
            StopToStop(44, 26, 22),
            StopToStop(28, 24, 24),
            StopToStop(35, 34, 20),
            StopToStop(56, 40, 24),
            StopToStop(24, 16, 20),
        ),
        accelerates=0.55,
        brakes=0.6,
        swing=0.3,
        period=24,
    ),
    "country road": Pattern(
        (
            StopToStop(62, 90, 22),
            StopToStop(76, 120, 18),
            StopToStop(50, 50, 14),
            StopToStop(97, 160, 20),
            StopToStop(66, 100, 12),
        ),
        accelerates=0.5,
        brakes=0.5,
        swing=0.2,
        period=34,
    ),
    "motorway": Pattern(
        (StopToStop(72, 20, 16), StopToStop(131, 500, 0)), accelerates=0.42, brakes=0.5, swing=0.12, period=50
    ),
}
MIXED = ("town", "country road", "motorway")
"""A mixed drive: a round of each, one after another, as the WLTC has its phases."""
LEAD_IN: Mapping[str, tuple[tuple[str, int], ...]] = {
    "country road": (("town", 3),),
    "motorway": (("town", 3), ("country road", 1)),
}
"""Hops of another pattern before a cold vehicle is where the word says: fourteen real trips drove 5 to 25 km/h in their
first five minutes. Most of them went to a motorway."""
TOP_SPEED: Mapping[str, float] = {"light truck": 90.0, "heavy truck": 85.0, "tractor": 40.0}
"""km/h, of classes that go no faster: limiters and rules of the road, common practice."""


@lru_cache(maxsize=8)
def one_round(word: str, top_speed: float = np.inf) -> Array:
    """Speeds [m/s] of one round of a pattern, one a second. ``top_speed`` [km/h] cuts what a vehicle cannot reach."""
    pattern = PATTERNS[word]
    speeds = _hops(pattern, len(pattern.hops), top_speed)
    speeds.flags.writeable = False
    return speeds


def _hops(pattern: Pattern, count: int, top_speed: float) -> Array:
    return np.concatenate([_hop(pattern, hop, min(hop.top, top_speed) / 3.6) for hop in pattern.hops[:count]])


def _hop(pattern: Pattern, hop: StopToStop, top: float) -> Array:
    faster = np.arange(0.0, top, pattern.accelerates)
    seconds = np.arange(hop.drives)
    dips = 0.5 * pattern.swing * (1.0 - np.cos(2.0 * np.pi * seconds / pattern.period))
    steady = top * (1.0 - dips)
    slower = np.arange(steady[-1], 0.0, -pattern.brakes)
    return np.concatenate((np.zeros(int(hop.stands)), faster, steady, slower))


def driven(word: str, duration: float, top_speed: float = np.inf) -> Array:
    """Speeds [m/s], one a second, of ``duration`` [s] driven as one word says; "mixed" is some of each."""
    seconds = max(1, round(duration))
    if word == "idling":
        return np.zeros(seconds)
    if word == "mixed":
        return np.resize(np.concatenate([one_round(part, top_speed) for part in MIXED]), seconds)
    lead = [_hops(PATTERNS[part], count, top_speed) for part, count in LEAD_IN.get(word, ())]
    rounds = -(-seconds // len(one_round(word, top_speed)))
    return np.concatenate([*lead, *[one_round(word, top_speed)] * rounds])[:seconds]


def grade_of_acceleration(speeds: Array) -> Array:
    """The grade [-] that asks for the same force as the change of ``speeds`` [m/s, one a second] does."""
    slope = ROTATING_MASS * np.gradient(speeds) / GRAVITY if len(speeds) > 1 else np.zeros(1)
    return np.asarray(slope / np.sqrt(1.0 - slope**2))


def likely_ways(noted: str) -> Iterable[tuple[str, float]]:
    """The ways in which it may have been driven, each with its weight: the one that was noted, else all."""
    return UNKNOWN_DRIVING.items() if noted == "unknown" else ((noted, 1.0),)
