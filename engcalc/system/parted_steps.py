"""A step of the warm-up in parts where a valve has play, and what boiling takes out of it.

Whether such a valve hunts, and where it comes to rest, hangs on each of its swings, and long steps damp those. All
members take parts alike, moving or not, so that each is what it is alone.
"""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np

from engcalc.system.arithmetic import Arithmetic, Value
from engcalc.system.drive import Drive
from engcalc.system.plant import Plant

FINE = 1.0  # s; longest step with a valve that has play: it hunts then as in steps of 0.25 s


class PartedSteps:
    """The part of a run of the warm-up that lays its steps; numbers, state and the step itself are there."""

    plant: Plant
    drive: Drive
    f: Arithmetic
    has_valve: bool
    per_J: dict[str, Value]
    T: Value
    boiling: Value  # K
    boiled: Value  # s
    lost: Value  # J
    pace: Callable[[Value], None]

    def _part_steps(self, step: float) -> None:
        """In how many parts each step [s] is taken."""
        has_play = self.has_valve and bool(np.any(self.plant.valve.hysteresis > 0.0))
        self.parts = math.ceil(step / FINE - 1e-9) if has_play else 1
        if self.parts > 1:
            self.pace(step / self.parts)

    def _boil(self, over: Value, k: int) -> None:
        """Hold the engine's coolant at its boiling point: steam carries off the heat that is over [K]."""
        self.T = self.T - over
        self.lost = self.lost + over / self.per_J["engine"]
        now = self.f.choose(over > 0.0, (k + 1) * self.drive.step, np.inf)
        self.boiled = self.f.least(self.boiled, now)
