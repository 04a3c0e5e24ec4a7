"""Speeds of the European driving cycle, as straight lines between points [s, km/h], and drives made of it.

UN Regulation No. 83, Annex 4a: the elementary urban cycle (195 s) and the extra-urban cycle (400 s), gear changes left
out; from memory. A real driver is a little faster or slower, and stands longer or shorter.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

URBAN = (
    (0, 0), (11, 0), (15, 15), (23, 15), (28, 0), (49, 0), (61, 32), (85, 32), (96, 0), (117, 0), (143, 50),
    (155, 50), (163, 35), (176, 35), (188, 0), (195, 0),
)  # fmt: skip
EXTRA_URBAN = (
    (0, 0), (20, 0), (61, 70), (111, 70), (119, 50), (188, 50), (201, 70), (251, 70), (286, 100), (316, 100),
    (336, 120), (346, 120), (380, 0), (400, 0),
)  # fmt: skip
FAST = ((0, 0), (12, 0), (40, 80), (60, 118), (400, 118), (410, 95), (440, 95), (455, 124), (780, 124), (800, 105))
BACK_ROAD = (*((t, 0.92 * v) for t, v in EXTRA_URBAN[:9]), (330, 92), (352, 0), (368, 0))
DRIVES = {
    "idling": (),
    "town": (URBAN,),
    "country road": (URBAN, BACK_ROAD, BACK_ROAD, BACK_ROAD),
    "motorway": (URBAN, FAST, FAST),
}


def driven(way: str, seconds: int, rng: np.random.Generator) -> Array:
    """Speeds [m/s], one a second, of a way to drive as one driver drives it."""
    if way == "idling":
        return np.zeros(seconds)
    eager = rng.uniform(0.85, 1.12)
    parts: list[Array] = []
    while sum(len(p) for p in parts) < seconds:
        of_round = DRIVES[way] if not parts or way == "town" else DRIVES[way][1:]
        for points in of_round:
            t, v = np.array(points, float).T
            stretched = t * rng.uniform(0.85, 1.2)
            second = np.arange(stretched[-1])
            parts.append(eager * rng.uniform(0.93, 1.07) * np.interp(second, stretched, v) / 3.6)
    return np.concatenate(parts)[:seconds]
