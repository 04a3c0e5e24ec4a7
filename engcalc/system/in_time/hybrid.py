"""A hybrid's engine, which stands part of the time by design: at halts and in slow, light driving.

Its control is not known: it is taken to run for a minute and to stand for the next, wherever nobody noted the
engine's speed and it is asked for little below ``SLOW``. So it stands half of that time, common practice, no source. It
begins by running: a cold engine runs to heat its catalyst.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from engcalc.case.conditions import Conditions, every_row, rows_after_rows
from engcalc.components.engine import PreparedEngine, engine_load
from engcalc.system.in_time.drive import Drive
from engcalc.units import Array

Mask = NDArray[np.bool_]

SLOW = 30.0 / 3.6  # m/s; below it the motor alone drives, where little is asked for; common practice, no source
LIGHT = 0.1  # -, of the rated power, up to which the motor alone drives; common practice, no source
RUNS = 60.0  # s, in turn with that it stands; common practice, no source
STANDS = 60.0  # s; common practice, no source


def engine_stands(time: Array) -> Mask:
    """Whether the engine stands at a time from the start [s], where it may."""
    return np.asarray(time % (RUNS + STANDS) >= RUNS)


def may_stand(engine: PreparedEngine, asked: Conditions) -> Mask:
    """Rows in which a hybrid's engine may stand: slow, light, and nothing measured of the engine.

    ``asked`` is the table of a drive.
    """
    known = np.isfinite(asked.engine_speed) | np.isfinite(asked.fuel_flow)
    light = engine_load(engine, asked).brake_power <= LIGHT * engine.rated_power
    return np.asarray((~known & light & (asked.vehicle_speed < SLOW)).all(axis=-1))


def hybrid_drive(drive: Drive, engine: PreparedEngine) -> Drive:
    """The drive with the engine standing half of the time where it may; itself where it nowhere may."""
    may = may_stand(engine, drive.conditions)
    rows = len(may)
    time = np.arange(float(len(drive.which))) * drive.step
    stands = engine_stands(time)[:, None] & may[drive.which]
    if not stands.any():
        return drive
    running = every_row(drive.conditions)
    both = rows_after_rows(running, running.with_engine_standing())
    return replace(
        drive,
        conditions=both,
        which=np.where(stands, drive.which + rows, drive.which),
        part_of=None if drive.part_of is None else np.concatenate((drive.part_of, drive.part_of)),
        richness=None if drive.richness is None else np.concatenate((drive.richness, drive.richness)),
    )
