"""Heaters that run while the vehicle is parked: what is switched on before the start, and the plant as it then stands.

A block heater warms the coolant in the engine's jacket, a coolant heater that in the heater branch, which its own pump
sends round through the heater core and the engine. Engine, its pump, fan and blower rest, so that only the engine's
surface loses heat; radiator, hoses and cabin stay as cold as the air. Everything begins at the air's temperature: what
an earlier run left is not told apart, but a start temperature that was noted sets the level.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import Any

import numpy as np

from engcalc.case.case import Case
from engcalc.case.conditions import only_given, table_of
from engcalc.case.records import Record
from engcalc.components.coolant_heater import share_run
from engcalc.components.pump import PumpDrive
from engcalc.system.arithmetic import Arithmetic
from engcalc.system.in_time.drive import Drive, Preheat
from engcalc.system.plant import Plant
from engcalc.units import Array

BLOCK_HEATER_TIME = 3.0 * 3600.0  # s, plugged in where nobody noted how long; common practice, no source
LEAST_RISE = 0.01  # K; heaters that warm the coolant by less did not run
STEP = 30.0  # s; with nothing but a block heater
FINE_STEP = 5.0  # s; with coolant that goes round


@dataclass(frozen=True, eq=False)
class Phase:
    """A stretch of the time before the start: the plant with what is switched on, and its run."""

    plant: Plant
    drive: Drive


def preheat_of(case: Case, record: Record, start_was_read: bool) -> Preheat | None:
    """What warmed the engine before a record's start, as far as it was noted with its power; None for nothing."""
    power = case.engine.block_heater_power
    gap = float(record.block_heater_unplugged[0])
    plugged = _plugged(record, gap) if record.block_heater == "yes" and power is not None else 0.0
    ran = share_run(case.heater.coolant_heater, record.auxiliary_heater) == 1.0
    burns = float(record.coolant_heater_time[0]) if ran and record.coolant_heater_time is not None else 0.0
    if plugged <= 0.0 and burns <= 0.0:
        return None
    return Preheat(np.zeros(1) if power is None else power, plugged, gap, burns, not start_was_read)


def _plugged(record: Record, gap: float) -> float:
    if record.block_heater_time is not None:
        return float(record.block_heater_time[0])
    if record.soak is None:
        return BLOCK_HEATER_TIME
    return min(BLOCK_HEATER_TIME, max(float(record.soak[0]) - gap, 0.0))


def phases(plant: Plant, drive: Drive) -> Iterator[Phase]:
    """The stretches before the start of a drive that has a pre-heat, one after another."""
    p = drive.preheat
    assert p is not None
    begins = p.block_time + p.unplugged if p.block_time > 0.0 else 0.0
    edges = sorted({begins, p.unplugged if begins else 0.0, p.coolant_heater_time, 0.0}, reverse=True)
    for earlier, later in pairwise(edges):
        plugged = begins >= earlier and later >= p.unplugged
        burns = p.coolant_heater_time >= earlier
        step = min(FINE_STEP if burns else STEP, earlier - later)
        yield Phase(
            _resting(plant, p.block_power if plugged else np.zeros(1)),
            _standing(drive, earlier - later, step, 1.0 if burns else 0.0),
        )


def begun(
    f: Arithmetic, ambient: Any, parked: Mapping[str, Any], own: Mapping[str, Any], sets_start: bool
) -> dict[str, Any]:
    """Temperatures of every lump [K] at the start, from where the heaters left them and where they stand without.

    ``own`` has the coolant as it was read: then all that is warm goes in proportion to it, unless ``sets_start``.
    """
    rise = parked["T"] - ambient
    read = own["T"]
    level = 1.0 if sets_start else f.most(read - ambient, 0.0) / f.most(rise, LEAST_RISE)

    def one(there: Any, here: Any) -> Any:
        return f.choose(rise > LEAST_RISE, ambient + level * (there - ambient), here)

    made = {
        name: tuple(one(*pair) for pair in zip(there, own[name], strict=True))
        if name == "cells"
        else one(there, own[name])
        for name, there in parked.items()
    }
    return made if sets_start else {**made, "T": read}


def _resting(plant: Plant, block_power: Array) -> Plant:
    """The plant with the engine and its pump at rest and a block heater's power [W] into the coolant in the engine."""
    zero = np.zeros(1)
    engine = replace(plant.engine, extra_always=block_power, extra_idle=zero, extra_rated=zero)
    return replace(
        plant, engine=engine, circuit=replace(plant.circuit, pump=replace(plant.circuit.pump, drive=PumpDrive.BELT))
    )


def _standing(drive: Drive, duration: float, step: float, share: float) -> Drive:
    """The vehicle as it stands for ``duration`` [s], its coolant heater at a share [-] of its power."""
    zero = np.zeros((1, 1))
    absent = np.full(1, np.nan)
    steps = np.zeros(max(1, round(duration / step)), np.int64)
    asked = table_of([only_given()], drive.conditions).with_engine_standing()
    conditions = replace(
        asked,
        heater_air_share=zero,
        coolant_heater=zero + share,
        fan_mode=np.full(1, -1.0),
        coolant_flow=absent,
        air_velocity=absent,
    )
    return replace(
        drive,
        step=duration / len(steps),
        which=steps[:, None],
        conditions=conditions,
        start=drive.conditions.ambient,
        preheat=None,
        ways=(),
    )
