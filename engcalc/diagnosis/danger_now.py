"""Dangers that a running engine shows while it is read: at once, from the samples alone, before any odds.

What the coolant may not pass is the same limit as in the conclusion (:mod:`engcalc.diagnosis.hottest`).
"""

from __future__ import annotations

from collections import deque
from dataclasses import dataclass, field
from enum import StrEnum

from engcalc.diagnosis.grounds import Danger
from engcalc.diagnosis.hottest import CLOSE, LOOKS_BACK, NEAR_LIMIT, TOO_SOON, FanWanted, limit_of, rise_of, thirds
from engcalc.diagnosis.members.simulated import fan_starts
from engcalc.logs.channels import Channel
from engcalc.studies.checked import Check
from engcalc.vehicle.run import records

_OPEN_CIRCUIT = 413.15  # K; 140 degC and above is a sensor's circuit, as in engcalc.logs.sensors


class AlarmCode(StrEnum):
    """What is dangerous now."""

    OVER_LIMIT = "over_limit"
    NEAR_LIMIT = "near_limit"
    RISING_FAST = "rising_fast"
    FAN_MISSED = "fan_missed"


_GRAVITY = (AlarmCode.FAN_MISSED, AlarmCode.NEAR_LIMIT, AlarmCode.RISING_FAST, AlarmCode.OVER_LIMIT)


@dataclass(frozen=True)
class Alarm:
    """One danger: when [s], the coolant as it is shown and its limit [K], how fast it rises [K/s]."""

    code: AlarmCode
    at: float
    T: float
    limit: float
    rise: float = 0.0

    @property
    def danger(self) -> Danger:
        """Whether the engine is to be stopped."""
        if self.code in (AlarmCode.NEAR_LIMIT, AlarmCode.FAN_MISSED):
            return Danger.CARE
        return Danger.STOP


@dataclass
class DangerWatch:
    """Watches the samples of one reading. ``limit`` [K]; ``fan_on`` [K] where an electric fan starts, None for others
    and for one that was seen to run.

    The coolant has to be told as it comes, the vehicle's speed where it is known.
    """

    limit: float
    fan_on: float | None
    alarm: Alarm | None = None
    _course: deque[tuple[float, float]] = field(default_factory=deque)
    _speed: float = 0.0
    _fan: FanWanted | None = None
    _fan_missed: bool = False
    _soon_at: float | None = None

    def __post_init__(self) -> None:
        self._fan = None if self.fan_on is None else FanWanted(self.fan_on)

    @classmethod
    def of(cls, check: Check, record: str) -> DangerWatch:
        """For one record of a case that was checked."""
        noted = records(check.case)[record]
        seen_to_run = noted.seen.get("fan_runs_when_hot") is True
        return cls(limit_of(check.case, noted), None if seen_to_run else fan_starts(check.case))

    def take(self, at: float, channel: Channel, value: float) -> Alarm | None:
        """One sample: time [s] and value [SI]. The alarm where there is a new or a graver one; it stands in ``alarm``
        until the coolant is out of danger."""
        if channel is Channel.VEHICLE_SPEED:
            self._speed = value
        if channel is not Channel.COOLANT or value >= _OPEN_CIRCUIT:
            return None
        self._note(at, value)
        before = self.alarm
        self.alarm = self._danger(at, value)
        if self.alarm is None or (before is not None and _gravity(before) >= _gravity(self.alarm)):
            return None
        return self.alarm

    def _note(self, at: float, T: float) -> None:
        self._course.append((at, T))
        while at - self._course[0][0] > LOOKS_BACK:
            self._course.popleft()
        self._fan_missed = self._fan is not None and self._fan.missed(at, T, self._speed)

    def _first_from(self, at: float) -> float:
        """The first reading [K] from a time [s] on."""
        return next(T for t, T in self._course if t >= at)

    def _danger(self, at: float, T: float) -> Alarm | None:
        early = self._course[0]
        late = self._course[-1]
        first, second = (self._first_from(at) for at in thirds(early[0], late[0]))
        rise = rise_of(early, (first, second), late)
        # before its valve opens an engine rises fast by right: only close to the limit is that too fast
        if rise > 0.0 and self.limit - CLOSE <= T and rise * TOO_SOON >= self.limit - T:
            self._soon_at = at
        if self.limit <= T:
            return Alarm(AlarmCode.OVER_LIMIT, at, T, self.limit, rise)
        if self._soon_at is not None and at - self._soon_at <= LOOKS_BACK:  # the sensor rises in whole degrees
            return Alarm(AlarmCode.RISING_FAST, at, T, self.limit, rise)
        if self.limit - NEAR_LIMIT <= T:
            return Alarm(AlarmCode.NEAR_LIMIT, at, T, self.limit, rise)
        if self._fan_missed:
            return Alarm(AlarmCode.FAN_MISSED, at, T, self.limit, rise)
        return None


def _gravity(alarm: Alarm) -> int:
    return _GRAVITY.index(alarm.code)
