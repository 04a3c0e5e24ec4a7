"""What a reading gives, one thing after another: who answers, samples, and marks. Live and replayed alike."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from engcalc.logs.channels import Channel
from ui.live.link import VehicleTold


@dataclass(frozen=True)
class Sample:
    """One value of a channel [SI] at a time [s] since reading began; ``unit`` is the control unit that told it."""

    at: float
    channel: Channel
    value: float
    unit: str = ""


class ReadingMarkKind(StrEnum):
    """What is noted beside the samples."""

    GAP_BEGINS = "Gap begins"
    GAP_ENDS = "Gap ends"
    RATES = "Rates"
    TYPED = "By hand"
    ENDED = "Reading ended"


@dataclass(frozen=True)
class ReadingMark:
    """Something noted at a time [s] since reading began."""

    at: float
    kind: ReadingMarkKind
    words: str


@dataclass(frozen=True)
class Connected:
    """A vehicle answers, for the first time or again."""

    at: float
    told: VehicleTold


Event = Sample | ReadingMark | Connected
