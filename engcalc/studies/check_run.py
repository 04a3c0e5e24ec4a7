"""What the parts of one check share: what was asked, and the operating points that all of them read."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field

from engcalc.case.case import Case
from engcalc.case.conditions import Conditions
from engcalc.errors import Cancelled
from engcalc.studies.duties.course import DutiesInTime, KnownRounds
from engcalc.system.in_time.valve_cycle import Hunting
from engcalc.system.plant import Plant
from engcalc.system.state import OperatingPoint
from engcalc.units import Array
from engcalc.words.texts import shared_texts


@dataclass(frozen=True, eq=False)
class CheckRun:
    """What the parts of one check share."""

    case: Case
    plant: Plant
    conditions: Conditions
    limits: Array  # K, coolant limit of each duty
    members: int
    seed: int
    progress: Callable[[float], None] | None
    cancelled: Callable[[], bool] | None
    known: KnownRounds = field(default_factory=KnownRounds)

    def asked(self, ambient: Array | None = None) -> DutiesInTime:
        """The nominal duties over their time, in another ambient if one is given."""
        duties = self.case.duties
        plant = self.plant
        return DutiesInTime(duties, self.conditions, 1, self.limits, lambda _: plant, ambient, True, self.known)

    def reached(self, share: float) -> None:
        """Report how far the check has come; end it here where it was cancelled."""
        if self.progress is not None:
            self.progress(share)
        if self.cancelled is not None and self.cancelled():
            raise Cancelled(shared_texts.CHECK_WAS_CANCELLED)


@dataclass(frozen=True, eq=False)
class CheckPoints:
    """The nominal plant, the healthy one, and the one with its valve held open."""

    nominal: tuple[OperatingPoint, ...]
    healthy: tuple[OperatingPoint, ...]
    held: tuple[OperatingPoint, ...]
    all_nominal: OperatingPoint
    hunting: tuple[Hunting | None, ...] = ()  # of the nominal plant's valve in each duty
    healthy_hunting: tuple[Hunting | None, ...] = ()
