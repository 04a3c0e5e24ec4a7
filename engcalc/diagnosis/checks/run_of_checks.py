"""The vehicles in which hand checks are predicted, and the run that the checks need.

They are drawn from the odds as they are. Readings with the engine hot come from a short run of their own: ten minutes
of idle, five at 2,500 rpm, fifteen of idle, heater on full.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from engcalc.case.case import Case
from engcalc.case.conditions import conditions_of
from engcalc.case.records import Record, ScheduleStep
from engcalc.components.coolant_heater import share_run
from engcalc.diagnosis.members.simulated import Simulated
from engcalc.system.in_time.drive import Drive, scheduled_drive
from engcalc.units import Array

IDLE_END = 600.0  # s of the run of the checks
FAST_END = 900.0  # s
RUN_END = 1800.0  # s
FAST = 2500.0 / 60.0  # rev/s
CHECK_STEP = 3.0  # s; of the simulation of that run; in longer ones some valves hunt


@dataclass(frozen=True, eq=False)
class CheckedVehicles:
    """Vehicles drawn from the odds: their record, the run of the checks, the number of their cause and their share of
    the odds, (members,), summing to 1."""

    record: Simulated
    hot: Simulated
    cause: NDArray[np.int64]
    weight: Array

    def __post_init__(self) -> None:
        """A check of the fan commands it, or waits until it is hot: what it tells does not hang on the record."""
        ready = replace(self.record, fan_wanted=np.zeros(self.record.members))
        object.__setattr__(self, "record", ready)

    def of(self, causes: Sequence[int]) -> CheckedVehicles:
        """Those of some causes, their shares scaled to sum to 1."""
        which = np.flatnonzero(np.isin(self.cause, causes)).astype(np.int64)
        weight = self.weight[which]
        return CheckedVehicles(
            self.record.taken(which), self.hot.taken(which), self.cause[which], weight / weight.sum()
        )


def run_of_checks(case: Case, record: Record, ambient: Array, start: float) -> Drive:
    """Ten minutes of idle, five at 2,500 rpm, fifteen of idle, heater on full, from coolant at ``start`` [K]."""

    def step(n: Array | None, seconds: float) -> ScheduleStep:
        return ScheduleStep(
            engine_speed=n, vehicle_speed=np.zeros(1), driving=None, heater="high", duration=np.full(1, seconds)
        )

    idle = step(None, IDLE_END)
    fast = step(np.full(1, FAST), FAST_END - IDLE_END)
    schedule = (idle, fast, step(None, RUN_END - FAST_END))
    ran = np.full(1, share_run(case.heater.coolant_heater, record.auxiliary_heater))
    duty = conditions_of(case.duties[:1])
    first = duty.of_another_day().replace(ambient=ambient, coolant_heater=ran)
    return scheduled_drive(first, replace(record, schedule=schedule), np.full(1, start), CHECK_STEP)
