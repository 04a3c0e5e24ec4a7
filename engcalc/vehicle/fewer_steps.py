"""A long log's settled stretches, run in fewer steps: a warm vehicle that drives on tells the same every minute.

A stretch is settled where the coolant was read steady within it and beside it, while the vehicle drove. In it each step
stands for several: it takes rows evenly out of all of theirs, so that in the mean it is asked for the same. The time of
the record goes on faster there than that of the drive. A vehicle with whatever fault is near where it settles by then.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from engcalc.units import Array
from engcalc.vehicle.run import RecordClock, Run

# Of two 80-minute logs joined from real trips 1,600 steps become 900 and 1,110 by these; the log likelihood of members
# that count moves by 0.03 and 0.02 in the root mean square
LONG = 2700.0  # s; a shorter log is run as it is
FROM = 1500.0  # s from the start; what comes later may be settled
STRETCH = 120.0  # s; what is settled or not as a whole
BESIDE = 60.0  # s; what is looked at on either side of it
FEWER = 8  # steps that one stands for
STEADY = 6.0  # K; between the readings of a stretch and those beside it
DRIVES = 30.0 / 3.6  # m/s; mean speed of a stretch: a fan that does not run shows while the vehicle stands


def thinned(run: Run) -> Run:
    """The run in fewer steps where it was settled; itself where it nowhere was, or is not long."""
    drive = run.drive
    if run.log is None or drive.duration < LONG:
        return run
    per = round(STRETCH / drive.step)
    parts = []
    lasts = []
    for begins in range(0, len(drive.which), per):
        rows = drive.which[begins : begins + per]
        fewer = len(rows) // FEWER if _is_settled(run, rows, begins * drive.step) else len(rows)
        spaced = np.linspace(0.0, rows.size - 1.0, fewer * rows.shape[1])
        evenly = np.round(spaced).astype(np.int64)
        parts.append(rows.reshape(-1)[evenly].reshape(fewer, -1))
        lasts.append(np.full(fewer, len(rows) * drive.step / fewer))
    which = np.concatenate(parts)
    if len(which) == len(drive.which):
        return run
    recorded = np.concatenate(([0.0], np.cumsum(np.concatenate(lasts))))
    clock = RecordClock(np.arange(len(which) + 1.0) * drive.step, recorded)
    return replace(run, drive=replace(drive, which=which), clock=clock)


def _is_settled(run: Run, rows: NDArray[np.int64], begins: float) -> bool:
    """Whether the stretch of these rows that begins at a time [s] is settled, and nothing is read by hand near it."""
    ends = begins + STRETCH
    is_full = len(rows) == round(STRETCH / run.drive.step)
    whole = is_full and ends + BESIDE <= run.drive.duration
    if begins < FROM or not whole:
        return False
    by_hand = [float(spot.at[0]) for spot in run.record.spots if spot.at is not None]
    if any(_near(np.array([at]), begins, ends).any() for at in by_hand):
        return False
    times, read = run.curve
    near = read[_near(times, begins, ends)]
    asked = run.drive.conditions.vehicle_speed
    drives = float(asked[rows].mean()) >= DRIVES if len(asked) > 1 else False
    return bool(near.size) and float(np.ptp(near)) <= STEADY and drives


def _near(times: Array, begins: float, ends: float) -> NDArray[np.bool_]:
    return np.asarray((times >= begins - BESIDE) & (times < ends + BESIDE))
