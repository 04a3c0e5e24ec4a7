"""The legs that a test drive is planned from, and the runs that they make: from a cold start, or on from a record."""

from __future__ import annotations

from collections.abc import Mapping, Sequence, Set
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from engcalc.case.case import Case
from engcalc.case.conditions import HEATER_AIR_SHARE, Conditions, every_row, rows_after_rows, table_of
from engcalc.case.records import HeaterChange, Record
from engcalc.diagnosis.members.simulated import fan_wanted
from engcalc.system.in_time.drive import Drive
from engcalc.system.in_time.patterns import TOP_SPEED
from engcalc.vehicle.run import Run

STEP = 3.0  # s; of a run from a cold start, as of judged runs (simulated.JUDGED_COARSEST)
CUT = 180.0  # s; between two moments at which a leg may end
READ_AGAIN = 600.0  # s; sooner the same hoses tell the same again; common practice, no source
READ_LAST = 30.0  # s before the end of a leg, at which hoses are read; common practice, no source
AT_A_STOP = ("coolant", "upper_hose", "lower_hose", "heater_inlet_hose", "heater_outlet_hose", "vent")
"""What a person reads by hand at a stop, one after another: the coolant at the outlet neck, beside its sensor."""


@dataclass(frozen=True)
class DriveLeg:
    """One leg: how long [s], how fast [m/s], how steep [-].

    ``reads`` are places that a person reads at its end, standing; ``listens``: whether the fan is listened for.
    ``heater`` is its setting; "unknown" leaves it as it is.
    """

    key: str
    seconds: float
    speed: float
    grade: float
    reads: tuple[str, ...] = ()
    listens: bool = False
    heater: str = "unknown"

    @property
    def minutes(self) -> float:
        """How long it takes."""
        return self.seconds / 60.0

    @property
    def stands(self) -> bool:
        """Whether the vehicle stands, so that it can be switched off at once."""
        return self.speed == 0.0


_ALL = (  # lengths, speeds and grade are common practice, no source
    DriveLeg("idle", 600.0, 0.0, 0.0),
    DriveLeg("steady_road", 600.0, 80.0 / 3.6, 0.0),
    DriveLeg("hill", 360.0, 50.0 / 3.6, 0.06),
    DriveLeg("fan_at_idle", 600.0, 0.0, 0.0, listens=True),
    DriveLeg("stop", 300.0, 0.0, 0.0, reads=AT_A_STOP),
    DriveLeg("stop_with_fan", 300.0, 0.0, 0.0, reads=AT_A_STOP, listens=True),
)
LEGS: Mapping[str, DriveLeg] = {leg.key: leg for leg in _ALL}


def speed_of(leg: DriveLeg, case: Case) -> float:
    """How fast a vehicle drives a leg [m/s]: no faster than its class goes."""
    return min(leg.speed, TOP_SPEED.get(case.vehicle.class_, np.inf) / 3.6)


COURSES = (
    ("steady_road", "steady_road"),
    ("idle", "idle"),
    ("hill", "steady_road"),
    ("steady_road", "fan_at_idle"),
    ("hill", "fan_at_idle"),
    ("stop", "steady_road", "stop"),
    ("steady_road", "stop"),
    ("idle", "stop"),
    ("hill", "stop"),
    ("hill", "hill", "stop"),
)
"""What a drive may be, by the keys of its legs; it may end within any of them. A fan is heard after a drive, and at
each stop where an electric one switches."""
_LISTENS_TOO = {"stop": "stop_with_fan"}


def courses(case: Case, read_already: Set[str] = frozenset()) -> list[tuple[DriveLeg, ...]]:
    """The courses for a vehicle: a fan is listened for where an electric one switches, and no course begins with hoses
    that were read already."""
    switches = fan_wanted(case) > 0.0
    keyed = [tuple(_LISTENS_TOO.get(key, key) if switches else key for key in keys) for keys in COURSES]
    found = [tuple(LEGS[key] for key in keys) for keys in keyed]
    heard = [legs for legs in found if switches or not any(leg.listens for leg in legs)]
    return [legs for legs in heard if not legs[0].reads or not read_already >= set(legs[0].reads)]


def heated(legs: Sequence[DriveLeg], moving: str, read: str) -> tuple[DriveLeg, ...]:
    """Legs with the heater set so while they go on, and so where hoses and vent are read."""
    return tuple(replace(leg, heater=read if leg.reads else moving) for leg in legs)


def minutes_of(legs: Sequence[DriveLeg]) -> float:
    """How long legs take together."""
    return sum(leg.minutes for leg in legs)


def read_lately(run: Run) -> frozenset[str]:
    """Places that were read by hand in the last minutes of a record; a reading without its time counts as one of
    them."""
    spots = run.record.spots
    times = [float(spot.at[0]) for spot in spots if spot.at is not None]
    ends = max([*times, 0.0 if run.log is None else run.log.end])
    return frozenset(spot.what for spot in spots if spot.at is None or ends - float(spot.at[0]) < READ_AGAIN)


def cuts(course: Sequence[DriveLeg]) -> list[tuple[DriveLeg, ...]]:
    """The ways to end a course: after each leg, and within a leg that nothing is read in every few minutes."""
    found: list[tuple[DriveLeg, ...]] = []
    for i, leg in enumerate(course):
        before = tuple(course[:i])
        if not (leg.reads or leg.listens):
            found += [(*before, replace(leg, seconds=s)) for s in np.arange(CUT, leg.seconds, CUT).tolist()]
        found.append((*before, leg))
    return found


def from_cold(case: Case, weather: Conditions, legs: Sequence[DriveLeg]) -> Drive:
    """Legs one after another from a cold start, everything as warm as the air of ``weather``, one member."""
    first = weather.replace(heater_air_share=np.full(1, HEATER_AIR_SHARE["unknown"]))
    which = np.concatenate([np.full(_steps(leg, STEP), i) for i, leg in enumerate(legs)])
    return Drive(STEP, which.astype(np.int64)[:, None], table_of(_rows(case, first, legs), first), first.ambient)


def gone_on(run: Run, case: Case, weather: Conditions, legs: Sequence[DriveLeg]) -> Run:
    """The run of a log with legs driven on from its end, in its own steps; the heater stays as it was at its end until
    a leg sets it."""
    drive = run.drive
    table = every_row(drive.conditions)
    recorded = len(table.vehicle_speed)
    first = weather.replace(heater_air_share=table.heater_air_share[-1])
    more = table_of(_rows(case, first, legs), first)
    added = np.concatenate([np.full(_steps(leg, drive.step), recorded + i) for i, leg in enumerate(legs)])
    which = np.repeat(added.astype(np.int64)[:, None], drive.which.shape[1], axis=1)
    richness = drive.richness
    if richness is not None:  # of a leg nobody measured the fuel: what stands here is not read
        richness = np.concatenate((richness, np.ones((len(legs), richness.shape[1]))))
    record, part_of = _heater_set(run, recorded, legs)
    longer = replace(
        drive,
        conditions=rows_after_rows(table, more),
        which=np.concatenate((drive.which, which)),
        richness=richness,
        part_of=part_of,
    )
    return replace(run, record=record, drive=longer)


def _heater_set(run: Run, recorded: int, legs: Sequence[DriveLeg]) -> tuple[Record, NDArray[np.int64] | None]:
    """The record with the heater as the legs set it, and which of its settings holds in each row of the drive."""
    drive = run.drive
    record = run.record
    part_of = np.zeros(recorded, np.int64) if drive.part_of is None else drive.part_of
    at = max([drive.duration, *(float(change.at[0]) for change in record.heater_changes)])
    changes = list(record.heater_changes)
    parts = part_of.tolist()
    for leg in legs:
        if leg.heater == "unknown":
            parts.append(parts[-1])
            continue
        changes.append(HeaterChange(at=np.full(1, at), setting=leg.heater))
        parts.append(len(changes))
    if len(changes) == len(record.heater_changes) and drive.part_of is None:
        return record, None
    return replace(record, heater_changes=tuple(changes)), np.array(parts)


def _rows(case: Case, first: Conditions, legs: Sequence[DriveLeg]) -> list[Conditions]:
    rows = []
    level = first.without_load()
    for leg in legs:
        asked = level.replace(vehicle_speed=np.full(1, speed_of(leg, case)), grade=np.full(1, leg.grade))
        if leg.heater != "unknown":
            level = level.replace(heater_air_share=np.full(1, HEATER_AIR_SHARE[leg.heater]))
            asked = asked.replace(heater_air_share=level.heater_air_share)
        rows.append(asked)
    return rows


def _steps(leg: DriveLeg, step: float) -> int:
    return max(round(leg.seconds / step), 1)
