"""What a valve and a fan that work hold the coolant at, and how improbable a reading far over it is.

What the model is wrong by in the heat, valve and fan take up. So its discrepancy brings no vehicle far over what they
hold, and a reading up there speaks for itself: by its distance over the coolant of the simulated vehicle, or over what
that one's valve and fan hold, whichever is hotter. All numbers are common practice, no source.
"""

from __future__ import annotations

import numpy as np

from engcalc.diagnosis.members.simulated import Simulated
from engcalc.units import Array

HELD = 8.0  # K; over where the valve starts to open or the fan goes off: their own spans, thermometers that differ
HELD_WITHIN = 4.0  # K; by which what valve and fan hold is passed in use, besides


def held_at(s: Simulated) -> Array:
    """The coolant that valve and fan of each member hold at most [K], (members,)."""
    return np.asarray(np.maximum(s.opens, s.fan_wanted) + HELD)


def log_of_so_hot(values: Array, predicted: Array, held: Array, error: float) -> Array:
    """Log of how improbable it is that valve and fan held so badly, (members,): by the hottest of what was read.

    ``values`` read (readings,) and ``predicted`` (readings, members) [K], ``held`` (members,) [K], and what instrument
    and place may be wrong by, ``error`` [K]. It is 0 where nothing was read that hot.

        -(T_read - max(T_member, T_held))^2 / (2 (HELD_WITHIN^2 + error^2))
    """
    over = (values[:, None] - np.maximum(predicted, held)).max(axis=0)
    return np.asarray(-0.5 * np.maximum(over, 0.0) ** 2 / (HELD_WITHIN**2 + error**2))
