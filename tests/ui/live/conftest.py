"""What the tests of a live reading share: a warm-up of an invented vehicle, played fast."""

from __future__ import annotations

import time
from collections.abc import Callable
from dataclasses import dataclass, field

import pytest
from live_courses import Course, course

from engcalc.logs.channels import scale
from ui.live.reading import Clock


@dataclass
class FastClock:
    """A clock that goes ``speed`` times as fast as the one on the wall."""

    speed: float
    begun: float = field(default_factory=time.monotonic)

    def now(self) -> float:
        return (time.monotonic() - self.begun) * self.speed

    def clock(self) -> Clock:
        return Clock(self.now, lambda seconds: time.sleep(seconds / self.speed))


@pytest.fixture(scope="session")
def healthy() -> Course:
    return course()


@pytest.fixture
def fast() -> Callable[[float], FastClock]:
    scale("degC", "temperature")  # units are loaded before the clock starts
    return FastClock
