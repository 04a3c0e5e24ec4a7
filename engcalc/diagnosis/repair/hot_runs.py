"""A vehicle that ran hot before its repair: whether the run after it asked as much of the cooling.

A run that stayed cool proves nothing by itself: it may have been shorter, faster, in colder air, or with a heater that
helped. Heat is counted from the moment the engine is warm, so that a warm start is no shortcut. How much is "as much"
is common practice, no source.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from engcalc.case.case import Case
from engcalc.case.conditions import every_row
from engcalc.case.records import Record, heater_settings
from engcalc.diagnosis.checks.found_causes import fan_cannot_run
from engcalc.diagnosis.evidence.readings import course_is_hotter
from engcalc.diagnosis.hottest import fan_missed_in, read_hot
from engcalc.diagnosis.members.simulated import fan_starts
from engcalc.logs.channels import Channel
from engcalc.system.in_time.warmed import crossing
from engcalc.units import Array
from engcalc.vehicle.run import Run
from engcalc.vehicle.warmup_study import RecordStudy
from engcalc.verdict import OVERCOOLED_BY

STRETCH = 300.0  # s; over which speed and heat are averaged before the hottest moment
LEAST_HEAT = 0.9  # -, of the heat that the warm engine took before until it was hottest
LEAST_POWER = 0.8  # -, of the mean heat of the stretch before
FASTER = 10.0 / 3.6  # m/s; by which the mean speed may be above that of before: the wind cools
COLDER = 5.0  # K; by which the air may be colder than before
FEWEST_WARM = 2  # readings of the warm engine after the repair
_HEATER = ("off", "low", "high")  # as the heater takes more heat from the engine
FAN_RUNS = ("fan_runs_when_hot", True)
_SEEN_AGAIN: Mapping[tuple[str, bool], tuple[tuple[str, bool], ...]] = {  # what was found before, and what answers it
    ("fan_runs_when_hot", False): (FAN_RUNS,),
    ("belt_drives_pump", False): (("belt_drives_pump", True),),
    ("combustion_gas_found", True): (("combustion_gas_found", False),),
    ("bubbles_when_running", True): (("bubbles_when_running", False), ("combustion_gas_found", False)),
}


@dataclass(frozen=True)
class HotRuns:
    """The hottest moment of both runs: coolant [K] at a time [s] from the engine's start, and what the run after lacks.

    ``read_again``: the warm engine was read often enough. ``noted``: how it ran is known of both. ``as_long``,
    ``as_slow``, ``as_warm_outside``, ``no_more_heater``: what was asked of the cooling. ``looked_at``: what was found
    before was looked at again.
    """

    before: float
    before_at: float
    after: float
    after_at: float
    read_again: bool
    noted: bool
    as_long: bool
    as_slow: bool
    as_warm_outside: bool
    no_more_heater: bool
    looked_at: bool

    @property
    def asked_as_much(self) -> bool:
        """Whether the run after the repair asked as much of the cooling as the one before, and was watched."""
        asked = self.as_long and self.as_slow and self.as_warm_outside and self.no_more_heater
        return asked and self.noted and self.read_again and self.looked_at


def ran_hot(case: Case, record: RecordStudy) -> bool:
    """Whether a measured course got hotter than any healthy vehicle, or close to its limit."""
    if record.measured is None:
        return False
    return read_hot(case, record.run.record, record.measured.T) or course_is_hotter(case, record)


def hot_runs(case: Case, before: RecordStudy, after: RecordStudy) -> HotRuns | None:
    """Both runs of a vehicle that ran hot before its repair; None where it did not, or one has no course in time."""
    if not ran_hot(case, before) or after.measured is None:
        return None
    warm = float(case.thermostat.start_to_open[0]) - OVERCOOLED_BY
    first = _CourseOfLoad.of(before, warm)
    again = _CourseOfLoad.of(after, warm)
    return HotRuns(
        before=first.hottest,
        before_at=first.hottest_at,
        after=again.hottest,
        after_at=again.hottest_at,
        read_again=int((warm <= after.measured.T).sum()) >= FEWEST_WARM,
        noted=all(_is_noted(r.run) for r in (before, after)),
        as_long=_took_as_much(first, again),
        as_slow=_as_slow_once(first, again),
        as_warm_outside=_ambient(after) >= _ambient(before) - COLDER,
        no_more_heater=_no_more_heater(before.run.record, after.run.record),
        looked_at=_looked_at(case, before, after),
    )


@dataclass(frozen=True, eq=False)
class _CourseOfLoad:
    """One run as the cooling met it: at each second the heat [J] that went into the engine and the way [m] driven."""

    hottest: float  # K
    hottest_at: float  # s
    warm_at: float  # s; infinite where it never was warm
    ends: float  # s, of what was read
    time: Array
    heat: Array
    way: Array

    @classmethod
    def of(cls, record: RecordStudy, warm: float) -> _CourseOfLoad:
        measured = record.measured
        if measured is None:
            raise AssertionError("a run without a course in time is not laid beside another")
        i = int(measured.T.argmax())
        is_warm_already = float(measured.T[0]) >= warm
        warm_at = float(measured.time[0]) if is_warm_already else crossing(measured.time, measured.T, warm)
        time = record.fuel.time
        return cls(
            float(measured.T[i]),
            float(measured.time[i]),
            warm_at,
            min(float(measured.time[-1]), float(time[-1])),
            time,
            record.fuel.metal[:, 0],
            _way(record.run, time),
        )

    def heat_between(self, start: float, end: float) -> float:
        """Heat [J] between two times [s]."""
        return float(np.interp(end, self.time, self.heat) - np.interp(start, self.time, self.heat))

    def speed_between(self, start: float, end: float) -> float:
        """Mean speed [m/s] between two times [s]."""
        begun, ended = np.interp((start, end), self.time, self.way)
        way = float(ended - begun)
        return way / max(end - start, 1.0)


def _way(run: Run, time: Array) -> Array:
    """The way [m] that was driven by each time [s]."""
    speed = every_row(run.drive.conditions).vehicle_speed[:, 0][run.drive.which].mean(axis=1)
    driven = np.concatenate((np.zeros(1), np.cumsum(speed) * run.drive.step))
    return np.asarray(np.interp(time, run.drive.step * np.arange(len(driven)), driven))


def _took_as_much(first: _CourseOfLoad, again: _CourseOfLoad) -> bool:
    """Whether the warm engine took as much heat after the repair as before until it was hottest."""
    if not np.isfinite(again.warm_at):
        return False
    until_hot = first.heat_between(min(first.warm_at, first.hottest_at), first.hottest_at)
    return again.heat_between(again.warm_at, again.ends) >= LEAST_HEAT * until_hot


def _as_slow_once(first: _CourseOfLoad, again: _CourseOfLoad) -> bool:
    """Whether the warm engine once worked as hard at as low a speed as before its hottest moment."""
    if not np.isfinite(again.warm_at):
        return False
    began = max(first.hottest_at - STRETCH, 0.0)
    lasted = first.hottest_at - began
    speed = first.speed_between(began, first.hottest_at)
    heat = first.heat_between(began, first.hottest_at)
    long_enough = again.time >= again.warm_at + lasted
    ends = again.time[long_enough & (again.time <= again.ends)].tolist()
    return any(
        again.speed_between(end - lasted, end) <= speed + FASTER
        and again.heat_between(end - lasted, end) >= LEAST_POWER * heat
        for end in ends
    )


def _is_noted(run: Run) -> bool:
    """Whether a log, a schedule or a word tells how it ran."""
    logged = run.log is not None and (run.log.has(Channel.ENGINE_SPEED) or run.log.has(Channel.VEHICLE_SPEED))
    return logged or bool(run.record.schedule) or run.record.driving != "unknown"


def _ambient(record: RecordStudy) -> float:
    return float(np.mean(record.run.drive.conditions.ambient))


def _no_more_heater(before: Record, after: Record) -> bool:
    """Whether the heater took no more heat after the repair; off takes none, whatever nobody noted before."""
    was, now = ([word for _, word in heater_settings(record)] for record in (before, after))
    if set(now) == {"off"}:
        return True
    known = {*was, *now} <= set(_HEATER)
    return known and max(map(_HEATER.index, now)) <= min(map(_HEATER.index, was))


def _looked_at(case: Case, before: RecordStudy, after: RecordStudy) -> bool:
    """Whether what was found before was looked at again and is in order; a fan that was missed wants to be seen."""
    was = before.run.record.seen
    now = after.run.record.seen
    answers = [healthy for found, healthy in _SEEN_AGAIN.items() if was.get(found[0]) is found[1]]
    if fan_cannot_run(was) or _fan_was_missed(case, before):
        answers.append((FAN_RUNS,))
    return all(any(now.get(fact) is good for fact, good in healthy) for healthy in answers)


def _fan_was_missed(case: Case, record: RecordStudy) -> bool:
    """Whether a log shows that the fan did not come on when only the fan could cool, and nobody saw it run."""
    log = record.run.log
    if log is None or record.run.record.seen.get("fan_runs_when_hot") is True:
        return False
    return fan_missed_in(log, *log.observed(Channel.COOLANT), fan_starts(case)) is not None
