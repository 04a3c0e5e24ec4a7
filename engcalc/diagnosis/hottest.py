"""The hottest that the coolant was read in a record, and what it may not pass: its limit, or its boiling point at the
pressure that this system still holds.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from engcalc.case.case import Case
from engcalc.case.instruments import instrument_of
from engcalc.case.records import Record, Spot
from engcalc.components.pressure_cap import boiling, prepare_cap
from engcalc.logs.channels import Channel
from engcalc.logs.record import LogRecord
from engcalc.studies.checked import Check, LoggedPeak
from engcalc.units import Array

NEAR_LIMIT = 5.0  # K under the limit from which on a reading counts as a danger; common practice, no source
LOOKS_BACK = 60.0  # s; over which a rise is measured; common practice, no source
LEAST_BACK = 20.0  # s; a shorter stretch tells no rise: the sensor is rounded to 1 K
TOO_SOON = 120.0  # s; within which a rise that goes on would pass the limit; common practice, no source
CLOSE = 20.0  # K under its limit, from which a rise counts: one whose valve has yet to open rises fast by right; own
EACH_THIRD = 0.15  # -, of a rise, that each third of its time brings at least: a jump is none; common practice
LEAST_RISE = 3.0  # K; less in LOOKS_BACK is the rounding, or a valve that regulates; common practice, no source
_ROUNDING = 1e-6  # K; 110 degC typed lies exactly 5 K under 115 degC typed
FAN_OVER = 4.0  # K; over where the fan starts, before it is missed; common practice
FAN_FOR = 60.0  # s; for how long; common practice
SLOW = 25.0 / 3.6  # m/s; below which the wind does not stand in for the fan; common practice, no source
HOT_PLACES = ("coolant", "upper_hose", "lower_hose", "heater_inlet_hose", "heater_outlet_hose")  # the coolant is as hot


@dataclass(frozen=True)
class HotReading:
    """A reading of a coolant that is too hot or nearly so: K, s; ``limit`` the lower of limit and boiling point [K].

    ``T`` is ``as_read`` less the known error of its instrument. ``instrument`` is empty for a curve that was typed.
    """

    record: str
    what: str
    instrument: str
    at: float | None
    as_read: float
    T: float
    limit: float
    word: str | None = None  # in which it was read: T is then what the word stands for
    ahead: float = 0.0  # K; where the rise with which a log ends leads it within TOO_SOON

    @property
    def over(self) -> bool:
        """Whether it is at the limit or over it."""
        return self.limit - _ROUNDING <= self.T

    @property
    def near(self) -> bool:
        """Whether it is over the limit or close to it."""
        return self.limit - NEAR_LIMIT - _ROUNDING <= self.T

    @property
    def soon(self) -> bool:
        """Whether it would be at the limit within two minutes."""
        return self.limit - _ROUNDING <= self.ahead


def rise_of(early: tuple[float, float], between: tuple[float, float], late: tuple[float, float]) -> float:
    """How fast the coolant rises [K/s] between two samples of time [s] and temperature [K]; ``between`` [K] is what it
    had after one and after two thirds of that time. 0 where it does not rise, too little was seen, or it jumped.

    Right after a hard run the coolant at the outlet jumps by some kelvins, as the flow falls, and then stays.
    """
    (t0, T0), (t1, T1) = early, late
    if t1 - t0 < LEAST_BACK or T1 - T0 < LEAST_RISE:
        return 0.0
    slowest = min(between[0] - T0, between[1] - between[0], T1 - between[1])
    if slowest >= EACH_THIRD * (T1 - T0):
        return (T1 - T0) / (t1 - t0)
    return 0.0


def thirds(early: float, late: float) -> tuple[float, float]:
    """The times [s] after one and after two thirds from one to another."""
    return early + (late - early) / 3.0, late - (late - early) / 3.0


def ahead_of(t: Array, T: Array, limit: float) -> float:
    """Where a rise leads the coolant within ``TOO_SOON`` [K], the highest of the last minute's samples; 0 for none.

    Only those ``CLOSE`` to the ``limit`` [K] count: before its valve opens an engine rises fast by right, and on a hill
    so fast that it would seem to pass its limit.
    """
    found = 0.0
    late = (t >= t[-1] - LOOKS_BACK) & (limit - CLOSE <= T) if t.size else np.zeros(0, dtype=bool)
    for k in np.flatnonzero(late).tolist():
        j = int(np.searchsorted(t, t[k] - LOOKS_BACK))
        early = (float(t[j]), float(T[j]))
        now = (float(t[k]), float(T[k]))
        first, second = (float(T[int(np.searchsorted(t, at))]) for at in thirds(early[0], now[0]))
        rise = rise_of(early, (first, second), now)
        if rise > 0.0:
            found = max(found, now[1] + rise * TOO_SOON)
    return found


@dataclass
class FanWanted:
    """Whether a fan is missed, sample after sample: hot for a while where only the fan cools. ``fan_on`` [K]."""

    fan_on: float
    _since: float | None = None

    def missed(self, at: float, T: float, speed: float) -> bool:
        """At a time [s] with this coolant [K] and speed [m/s], all samples before it told already."""
        wanted = self.fan_on + FAN_OVER <= T and speed < SLOW
        self._since = (at if self._since is None else self._since) if wanted else None
        return self._since is not None and at - self._since >= FAN_FOR


def fan_missed(t: Array, T: Array, speed: Array, fan_on: float) -> int | None:
    """The first sample at which the fan is missed; None for never. Times [s], coolant [K], speed [m/s] at each."""
    if not (fan_on + FAN_OVER <= T).any():
        return None
    wanted = FanWanted(fan_on)
    told = zip(t.tolist(), T.tolist(), speed.tolist(), strict=True)
    return next((i for i, sample in enumerate(told) if wanted.missed(*sample)), None)


def fan_missed_in(log: LogRecord | None, time: Array, T: Array, starts: float | None) -> tuple[float, float] | None:
    """When [s] a log first shows that a fan is missed, and the coolant then [K].

    ``time`` [s] and ``T`` [K] are the log's coolant; ``starts`` [K] is where the fan comes on, None for no such fan.
    """
    if starts is None or log is None:
        return None
    told, speeds = log.observed(Channel.VEHICLE_SPEED)
    last = np.searchsorted(told, time, side="right") - 1  # the speed that was told last; at first it stands
    speed = np.zeros(time.size)
    if told.size:
        speed = np.where(last >= 0, speeds[np.maximum(last, 0)], 0.0)
    at = fan_missed(time, T, speed, starts)
    if at is None:
        return None
    return (float(time[at]), float(T[at]))


def without_fan(check: Check, name: str, record: Record) -> HotReading | None:
    """What a record's log shows as the fan was missed; None where it was not, or somebody saw it run."""
    if record.seen.get("fan_runs_when_hot") is True:
        return None
    still = (peak.without_fan for peak in check.logged if peak.record == name and peak.without_fan is not None)
    return next((HotReading(name, "coolant", "log", at, T, T, limit_of(check.case, record)) for at, T in still), None)


def hottest(check: Check, name: str, record: Record) -> HotReading | None:
    """The hottest that the coolant was read in a record, by hand, as typed over time, or in its log."""
    limit = limit_of(check.case, record)
    found = [_of_spot(name, spot, limit) for spot in record.spots if spot.what in HOT_PLACES]
    found += [HotReading(name, "coolant", "", at, T, T, limit) for at, T in record.curve]
    found += [_of_log(peak, limit) for peak in check.logged if peak.record == name]
    return max(found, key=lambda hot: hot.T, default=None)


def _of_spot(name: str, spot: Spot, limit: float) -> HotReading:
    """A reading by hand. One by infrared on bare metal reads low: it is at least as hot as it shows."""
    instrument = instrument_of(spot)
    as_read = float(spot.value[0])
    T = as_read if instrument is None else as_read - instrument.bias
    at = None if spot.at is None else float(spot.at[0])
    return HotReading(name, spot.what, spot.instrument, at, as_read, T, limit, spot.word)


def _of_log(peak: LoggedPeak, limit: float) -> HotReading:
    return HotReading(peak.record, "coolant", "log", peak.at, peak.T, peak.T, limit, ahead=peak.ahead)


def limit_of(case: Case, record: Record) -> float:
    """What the coolant may not pass [K]: its limit or its boiling point at the pressure that this system holds."""
    cap = prepare_cap(case)
    pressure = _pressure_held(record)
    if pressure is not None:
        cap = replace(cap, gauge_pressure=np.minimum(cap.gauge_pressure, pressure))
    return min(float(case.limits.coolant_limit[0]), float(boiling(cap, case.duties[0].altitude)[0]))


def read_hot(case: Case, record: Record, curve: Array) -> bool:
    """Whether a record holds a reading at its limit or close to it: by hand, or in its ``curve`` [K], log or typed."""
    limit = limit_of(case, record)
    by_hand = (_of_spot("", spot, limit) for spot in record.spots if spot.what in HOT_PLACES)
    return any(hot.near for hot in by_hand) or bool((curve >= limit - NEAR_LIMIT - _ROUNDING).any())


def _pressure_held(record: Record) -> float | None:
    """The gauge pressure [Pa] that leaks and a tested cap leave; None where nothing speaks against the stamped one."""
    seen = record.seen
    lost = (
        seen.get("pressure_held_cold") is False
        or seen.get("cap_holds_pressure") is False
        or seen.get("coolant_leak") is True
    )
    opens = [float(s.value[0]) for s in record.spots if s.what == "cap_opens"]
    found = [*([0.0] if lost else []), *(max(p, 0.0) for p in opens)]
    return min(found, default=None)
